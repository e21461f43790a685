"""A logger's file as a table of text: whatever delimiter, decimal sign, preamble or heading it came with, or JSON."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from temperbench.app.read_figure import Phrase
from temperbench.foundation.errors import InputError

__all__ = ["LARGEST_BYTES", "Cell", "Table", "moment", "number_of", "table_of"]

LARGEST_BYTES = 20_000_000
_MOST_ROWS = 400_000
_DELIMITERS = ("\t", ";", "|", ",")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?")
_UNIT = re.compile(r"\s*(?:°\s*[CF]|º\s*[CF]|℃|℉|s|sec|min)$", re.IGNORECASE)
_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)(?:\s*([AaPp])\.?[Mm]\.?)?")
_DATES = ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%Y/%m/%d", "%d-%m-%Y", "%d.%m.%y")
_CSV_ADVICE = "export it as text with a time and a temperature in each line"

Cell = str


@dataclass(frozen=True)
class Table:
    """Names of the columns, as far as the file has any, and rows of equal length with their line in the file."""

    names: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    lines: tuple[int, ...]

    def column(self, place: int) -> list[Cell]:
        """Return the cells of one column."""
        return [row[place] for row in self.rows]


def number_of(cell: Cell) -> float | None:
    """Return a cell as a number, with a decimal point or comma and perhaps a unit; None when it is none.

    Parameters
    ----------
    cell : Cell
        Text of the cell. [-]

    Returns
    -------
    float | None
        The number. [-]
    """
    tidy = _UNIT.sub("", cell.strip().replace("−", "-"))
    return float(tidy.replace(",", ".")) if _NUMBER.fullmatch(tidy) else None


def moment(cell: Cell) -> float | None:
    """Return a cell as seconds when it is a clock time, a date or both; None when it is none of these.

    Parameters
    ----------
    cell : Cell
        Text of the cell. [-]

    Returns
    -------
    float | None
        Seconds since midnight, or since a fixed day when there is a date. [-]
    """
    tidy = cell.strip()
    clock = _CLOCK.fullmatch(tidy)
    if clock:
        return _clock(clock)
    try:
        found = datetime.fromisoformat(tidy)
        if ":" in tidy:
            return found.timestamp() if found.tzinfo else (found - datetime(1970, 1, 1)).total_seconds()
    except ValueError:
        pass
    day, _, rest = tidy.partition("T" if "T" in tidy else " ")
    clock = _CLOCK.fullmatch(rest.strip())
    for pattern in _DATES:
        try:
            date = (datetime.strptime(day, pattern) - datetime(1970, 1, 1)).total_seconds()
        except ValueError:
            continue
        return date + _clock(clock) if clock else (date if not rest else None)
    return None


def _clock(found: re.Match[str]) -> float:
    """Seconds of a clock time. Two parts are minutes and seconds, unless morning or afternoon is named."""
    first, second, third, half = found.groups()
    last = float(third.replace(",", "."))
    if first is None and not half:
        return 60.0 * int(second) + last
    hours = int(first if first is not None else second)
    if half:
        hours = hours % 12 + (12 if half.lower() == "p" else 0)
    return 3600.0 * hours + (60.0 * int(second) + last if first is not None else 60.0 * last)


def table_of(content: bytes, name: str) -> Table:
    """Return the table in a file.

    Parameters
    ----------
    content : bytes
        The whole file. [-]
    name : str
        Its name for a message. [-]

    Returns
    -------
    Table
        At least two columns and one row. [-]
    """
    if len(content) > LARGEST_BYTES:
        big = Phrase(f"{len(content) / 1e6:.0f} MB")
        raise InputError(name, big, f"up to {LARGEST_BYTES / 1e6:.0f} MB", "cut it to the part of one sample")
    text = _decoded(content, name)
    if not text.strip():
        raise InputError(name, Phrase("an empty file"), "a log with a time and a temperature in each line", _CSV_ADVICE)
    if text.lstrip()[0] in "[{":
        return _json_table(text, name)
    return _text_table(text, name)


def _decoded(content: bytes, name: str) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace")
    if b"\0" in content:
        raise InputError(name, Phrase("a file that is no text"), "a text file such as CSV or JSON", _CSV_ADVICE)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _json_table(text: str, name: str) -> Table:
    allowed = 'JSON such as [[0, 31.5], [1, 31.4]] or [{"s": 0, "c": 31.5}] or {"s": [0, 1], "c": [31.5, 31.4]}'
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        try:
            found = [json.loads(line) for line in text.splitlines() if line.strip()]
        except (ValueError, RecursionError):
            raise InputError(name, Phrase("text that begins like JSON and is none"), allowed, _CSV_ADVICE) from None
    if isinstance(found, dict):
        columns = {key: value for key, value in found.items() if isinstance(value, list)}
        if len(columns) == 1 and all(isinstance(v, dict | list) for v in next(iter(columns.values()))):
            found = next(iter(columns.values()))
        elif len(columns) >= 2 and len({len(value) for value in columns.values()}) == 1:
            found = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    if not isinstance(found, list) or not found:
        raise InputError(name, Phrase("JSON of another shape"), allowed, "write it as one of these")
    names: tuple[str, ...] = ()
    if isinstance(found[0], dict):
        names = tuple(str(key) for key, value in found[0].items() if not isinstance(value, dict | list))
        cells = [[row.get(key) for key in names] if isinstance(row, dict) else None for row in found]
    else:
        cells = [list(row) if isinstance(row, list) else None for row in found]
    width = len(names) or (len(cells[0]) if cells[0] else 0)
    if width < 2 or any(row is None or len(row) != width for row in cells) or len(cells) > _MOST_ROWS:
        raise InputError(name, Phrase("JSON of another shape"), allowed, "write it as one of these")
    rows = tuple(tuple("" if cell is None else str(cell) for cell in row or ()) for row in cells)
    return Table(names or tuple("" for _ in range(width)), rows, tuple(range(1, len(rows) + 1)))


def _text_table(text: str, name: str) -> Table:
    lines = [(i, line) for i, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > _MOST_ROWS:
        raise InputError(name, Phrase(f"{len(lines)} lines"), f"up to {_MOST_ROWS}", "cut it to the part of one sample")
    cells = [(i, row) for i, row in _split(lines) if any(cell.strip() for cell in row)]
    widths = Counter(len(row) for _, row in cells if sum(_is_figure(cell) for cell in row) >= 2)
    if not widths:
        allowed = "a time and a temperature in each line, in two columns"
        raise InputError(name, Phrase("a file without two columns of figures"), allowed, _CSV_ADVICE)
    width = widths.most_common(1)[0][0]
    first = next(n for n, (_, row) in enumerate(cells) if len(row) == width and sum(map(_is_figure, row)) >= 2)
    heads = [row for _, row in cells[:first] if len(row) == width]
    names = tuple(cell.strip() for cell in heads[-1]) if heads else ("",) * width
    kept = [(i, tuple(cell.strip() for cell in row)) for i, row in cells[first:] if len(row) == width]
    return Table(names, tuple(row for _, row in kept), tuple(i for i, _ in kept))


def _split(lines: list[tuple[int, str]]) -> list[tuple[int, list[str]]]:
    """Split lines by the delimiter that makes the most of them alike; by blanks when none does."""
    sample = [line for _, line in lines[-200:]]
    best, most = " ", 0
    for delimiter in _DELIMITERS:
        counts = Counter(line.count(delimiter) for line in sample)
        count, times = counts.most_common(1)[0]
        if count >= 1 and times > 0.8 * len(sample) and not (delimiter == "," and _decimal_commas(sample, count)):
            best, most = delimiter, count
            break
    if not most:
        return [(i, line.split()) for i, line in lines]
    rows = csv.reader([line for _, line in lines], delimiter=best, skipinitialspace=True)
    return [(i, row) for (i, _), row in zip(lines, rows, strict=False)]


def _decimal_commas(sample: list[str], count: int) -> bool:
    """Tell whether commas are decimal signs in columns set apart by blanks, as in ``12,5  31,2``."""
    parts = [line.split() for line in sample]
    return all(len(row) >= 2 and sum("," in cell for cell in row) == count for row in parts) and all(
        number_of(cell) is not None or moment(cell) is not None for row in parts for cell in row
    )


def _is_figure(cell: str) -> bool:
    return number_of(cell) is not None or moment(cell) is not None
