"""Exports in plain text: CSV for spreadsheets, JSON lines for programs and restoring. Laid down in docs/book.md."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO

from sqlalchemy import Connection, Table, func, select

from temperbench.book.checks import checked_id, from_json
from temperbench.book.errors import BookDamaged
from temperbench.book.migrate import newest
from temperbench.book.moments import from_ms
from temperbench.book.tables import JSON_COLUMNS, METADATA, MOMENT_COLUMNS, SECRET, runs
from temperbench.foundation.errors import InputError, one_of

__all__ = ["CSV_TABLES", "FORMAT", "guarded", "ordered_rows", "write_csv", "write_jsonl"]

FORMAT = 1
CSV_TABLES = ("runs", "happenings", "kit", "kit_versions", "lots", "stock_moves")
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")  # what a spreadsheet may take for a formula
_ORDER = {"happenings": ("run_id", "seq"), "kit_versions": ("thing_id", "version"), "stock_moves": ("lot_id", "seq")}


def guarded(cell: Any) -> Any:
    """Return a text that a spreadsheet would take for a formula with an apostrophe first; all else unchanged."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell


@contextmanager
def ordered_rows(connection: Connection, table: Table, run_id: str | None = None) -> Iterator[Iterator[dict[str, Any]]]:
    """Give the rows of a table as stored, numbered rows by owner and number; of one run only, when it is named."""
    order = _ORDER.get(table.name, tuple(table.primary_key.c.keys()))
    query = select(table).order_by(*(table.c[name] for name in order))
    if run_id is not None:
        query = query.where((table.c.id if table.name == "runs" else table.c.run_id) == run_id)
    with connection.execute(query.execution_options(yield_per=500)) as found:
        yield (dict(row._mapping) for row in found)


def _opened(table: str, row: dict[str, Any]) -> dict[str, Any]:
    """Return a row with its JSON columns read."""
    try:
        return row | {name: from_json(row[name]) for name in JSON_COLUMNS[table]}
    except ValueError as error:
        key = row.get("id", row.get("key"))
        raise BookDamaged(table, f"the JSON of {key} cannot be read") from error


def _flat(table: str, row: dict[str, Any]) -> dict[str, Any]:
    """Return a row for a spreadsheet: moments readable, every name of a JSON column a column of its own."""
    flat: dict[str, Any] = {}
    for name, value in _opened(table, row).items():
        if name in JSON_COLUMNS[table] and isinstance(value, dict):
            flat |= {f"{name}.{key}": _cell(item) for key, item in value.items()}
        elif name in MOMENT_COLUMNS[table] and value is not None:
            flat |= {name: value, f"{name.removesuffix('_ms')}_utc": _iso(from_ms(value))}
        elif name != "found_by":
            flat[name] = _cell(value)
    return flat


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    plain = isinstance(value, str | int | float) and not isinstance(value, bool)
    return value if plain else json.dumps(value, ensure_ascii=False, sort_keys=True)


def _iso(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def write_csv(connection: Connection, path: Path, name: str, run_id: str | None) -> int:
    """Write one table as CSV and return the number of rows. Reads the rows twice: the names of columns come first."""
    table = METADATA.tables[one_of("table", name, CSV_TABLES)]
    if run_id is not None:
        checked_id("run", run_id)
        if name != "runs" and "run_id" not in table.c:
            raise InputError("table", name, "a table whose rows belong to runs", "leave the run out")
    columns: dict[str, None] = {}
    with ordered_rows(connection, table, run_id) as rows:
        for row in rows:
            columns |= dict.fromkeys(_flat(name, row))
    if not columns:
        columns = dict.fromkeys(
            column.name for column in table.c if column.name not in (*JSON_COLUMNS[name], "found_by")
        )
    count = 0
    with (  # the mark at the start of the file tells spreadsheets that it is UTF-8
        path.open("w", encoding="utf-8-sig", errors="backslashreplace", newline="") as file,
        ordered_rows(connection, table, run_id) as rows,
    ):
        writer = csv.writer(file)
        writer.writerow(guarded(column) for column in columns)
        for row in rows:
            flat = _flat(name, row)
            writer.writerow(guarded(flat.get(column, "")) for column in columns)
            count += 1
    return count


def write_jsonl(connection: Connection, path: Path, now_ms: int, *, secrets: bool, run_id: str | None = None) -> int:
    """Write the whole book, or one run with what happened in it, as JSON lines; return the number of rows."""
    names = list(JSON_COLUMNS) if run_id is None else ["runs", "happenings"]
    if run_id is not None:
        _known_run(connection, run_id)
    with path.open("w", encoding="utf-8", newline="\n") as file:
        whole = run_id is None and secrets
        _line(file, {"temperbench_book": FORMAT, "revision": newest(), "exported_ms": now_ms, "whole": whole})
        count = 0
        for name in names:
            with ordered_rows(connection, METADATA.tables[name], run_id) as rows:
                for row in rows:
                    if name == "settings" and not secrets and row["key"].startswith(SECRET):
                        continue
                    _line(file, {"table": name, "row": _opened(name, row)})
                    count += 1
        _line(file, {"end": True, "rows": count})
    return count


def _known_run(connection: Connection, run_id: str) -> None:
    found = connection.execute(select(func.count()).where(runs.c.id == checked_id("run", run_id))).scalar()
    if not found:
        raise InputError("run", run_id, "the id of a run in this book", "choose a run from the book")


def _line(file: TextIO, value: dict[str, Any]) -> None:
    file.write(json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":")) + "\n")
