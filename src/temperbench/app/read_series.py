"""Reads a logged series: finds time, sample and bath in a table, and refuses what no curve can be read from."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from temperbench.app.read_figure import Phrase
from temperbench.app.series_table import Table, moment, number_of, table_of
from temperbench.foundation.errors import InputError, nearest
from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.curve.series import Series

__all__ = ["Columns", "Logged", "read_series"]

_TIME = re.compile(
    r"time|zeit|temps|tiempo|ora|tijd|clock|uhr|date|datum|elapsed|stamp|second|sekunde|minute|^(t|s|sec|min|h)$|"
    r"[\[(/ ](s|sec|min|ms|h)[\])]?$",
    re.IGNORECASE,
)
_BATH = re.compile(r"bath|bad\b|water|wasser|ice|eis|glace|bain|bagno|baño", re.IGNORECASE)
_HEAT = re.compile(r"temp|°|º|℃|℉|celsius|fahrenheit|sample|probe|choc|schok|^(c|f|t[0-9]?)$|[\[(/ _](c|f)[\])]?$",
                   re.IGNORECASE)  # fmt: skip
_FAHRENHEIT = re.compile(r"fahrenheit|[°º]\s*F|℉|[\[(/ _]F[\])]?$|^F$|deg\s*F")
_CELSIUS = re.compile(r"celsius|[°º]\s*C|℃|[\[(/ _]C[\])]?$|^C$|deg\s*C", re.IGNORECASE)
_PER_SECOND = (
    (re.compile(r"\bms\b|milli", re.IGNORECASE), 0.001), (re.compile(r"min", re.IGNORECASE), 60.0),
    (re.compile(r"\bh\b|hour|stunde|hrs?\b", re.IGNORECASE), 3600.0),
    (re.compile(r"\bs\b|sec|sek", re.IGNORECASE), 1.0),
)  # fmt: skip
_DAY_S = 86400.0
_SAME = 10  # readings alike before a sensor is called stuck
_NUMERIC = 0.5  # share of its cells that are numbers in a column of readings
_FAULTS = 120.0  # °C; what is hotter is a sensor's sign of a fault
_FOUND_BY = "name it with --column, --time-column and --bath-column, or by its number"


@dataclass(frozen=True)
class Columns:
    """Which columns to take, by name or number from 1; None is found out. The unit where it is stated."""

    time: str | None = None
    sample: str | None = None
    bath: str | None = None
    fahrenheit: bool | None = None  # None: by the heading, else °C unless °F is suspected


@dataclass(frozen=True)
class Logged:
    """A series read from a file, and what was taken for granted."""

    series: Series
    notes: tuple[str, ...]


def read_series(content: bytes, name: str, columns: Columns | None = None) -> Logged:
    """Return the series in a file.

    Parameters
    ----------
    content : bytes
        CSV or other delimited text, or JSON. [-]
    name : str
        Name of the file for a message. [-]
    columns : Columns | None
        Which columns to take, and the unit. [-]

    Returns
    -------
    Logged
        Seconds from the first reading, and °C. [-]
    """
    asked = columns or Columns()
    table = table_of(content, name)
    notes: list[str] = []
    used, seconds = _time(table, name, asked, notes)
    sample, bath = _temperatures(table, name, asked, used)
    celsius = _figures(table, sample)
    good = np.isfinite(seconds) & np.isfinite(celsius) & (np.abs(celsius) < _FAULTS)
    missing = len(good) - int(good.sum())
    if missing > number("series.missing") * len(good):
        allowed = f"at most {100 * number('series.missing'):.0f} % of them"
        what = Phrase(f"{missing} of {len(good)} lines without a reading")
        raise InputError(name, what, allowed, "check probe and plug, and log again")
    if missing:
        notes.append(f"{missing} lines without a usable reading were left out.")
    lines = np.array(table.lines)[good]
    seconds, celsius = _forward(seconds[good], lines, name, notes), celsius[good]
    celsius = _in_celsius(celsius, table.names[sample], name, asked.fahrenheit)
    beside = None
    if bath is not None:
        beside = _in_celsius(_figures(table, bath)[good], table.names[bath], name, asked.fahrenheit)
        beside = np.interp(seconds, seconds[np.isfinite(beside)], beside[np.isfinite(beside)])
    _check(seconds, celsius, lines, name)
    return Logged(Series(seconds - seconds[0], celsius, beside), tuple(notes))


def _figures(table: Table, place: int) -> Array:
    return np.array([np.nan if (x := number_of(cell)) is None else x for cell in table.column(place)])


def _place(table: Table, asked: str, name: str) -> int:
    """Place of a column asked for by name or by number from 1."""
    width = len(table.names)
    if asked.strip().isdigit() and 1 <= int(asked) <= width:
        return int(asked) - 1
    spelt = {column.lower(): i for i, column in enumerate(table.names) if column}
    if asked.strip().lower() in spelt:
        return spelt[asked.strip().lower()]
    guess = nearest(asked.strip().lower(), spelt) if spelt else None
    known = ", ".join(column for column in table.names if column) or f"numbers 1 to {width}, for it has no heading"
    raise InputError(name, asked, f"one of its columns: {known}", f"did you mean “{guess}”?" if guess else _FOUND_BY)


def _time(table: Table, name: str, asked: Columns, notes: list[str]) -> tuple[set[int], Array]:
    """Find the time: the columns it takes, and seconds for each line."""
    width = len(table.names)
    if asked.time is not None:
        place = _place(table, asked.time, name)
        return {place}, _seconds(table, place, notes)
    taken = {_place(table, column, name) for column in (asked.sample, asked.bath) if column is not None}
    free = [i for i in range(width) if i not in taken]
    stamps = [i for i in free if _is_moment(table, i)]
    if len(stamps) >= 2 and all(":" not in cell for cell in table.column(stamps[0])[:5]):
        day, clock = (_moments(table, i) for i in stamps[:2])  # a date beside a clock time
        return set(stamps[:2]), day + clock
    if stamps:
        return {stamps[0]}, _moments(table, stamps[0])
    named = [i for i in free if _TIME.search(table.names[i]) and not _CELSIUS.search(table.names[i])]
    for place in (*named, *free):
        values = _figures(table, place)
        values = values[np.isfinite(values)]
        rising = np.mean(np.diff(values) > 0.0) if len(values) > 2 else 0.0
        if place in named or rising > 0.97:
            return {place}, _seconds(table, place, notes)
    what = Phrase("a file without a time column")
    raise InputError(name, what, "seconds, minutes or clock times that go forward",
                     "log the time with each reading, or name its column with --time-column")  # fmt: skip


def _is_moment(table: Table, place: int) -> bool:
    cells = [cell for cell in table.column(place)[:50] if cell]
    return (
        bool(cells)
        and all(moment(cell) is not None for cell in cells)
        and any(number_of(cell) is None for cell in cells)
    )


def _moments(table: Table, place: int) -> Array:
    values = np.array([np.nan if (x := moment(cell)) is None else x for cell in table.column(place)])
    two = all(cell.count(":") == 1 and " " not in cell and "T" not in cell for cell in table.column(place) if cell)
    if two and np.nanmax(values) - np.nanmin(values) < number("series.shortest"):
        return values * 60.0  # hours and minutes, not minutes and seconds
    return values


def _seconds(table: Table, place: int, notes: list[str]) -> Array:
    """Seconds from a column of numbers or moments."""
    if _is_moment(table, place):
        return _moments(table, place)
    values = _figures(table, place)
    return values * _unit_of_time(table.names[place], values[np.isfinite(values)], notes)


def _unit_of_time(heading: str, good: Array, notes: list[str]) -> float:
    """Seconds in the unit of a column, by its heading, else by what the figures can be."""
    for pattern, factor in _PER_SECOND:
        if pattern.search(heading):
            return factor
    first, span = (abs(float(good[0])), float(np.ptp(good))) if len(good) else (0.0, 0.0)
    days = array("series.days")
    if first > 1e11:
        return 0.001  # milliseconds since 1970
    if days[0] < first < days[1] and span < 1.0:
        return _DAY_S  # days of a spreadsheet
    if 0.0 < span <= number("series.as_minutes") and len(good) >= 2 * span:
        notes.append("Times have no unit and were taken as minutes: seconds would be too short for a curve.")
        return 60.0
    return 1.0


def _temperatures(table: Table, name: str, asked: Columns, used: set[int]) -> tuple[int, int | None]:
    """Find the columns of sample and bath."""
    bath = None if asked.bath is None else _place(table, asked.bath, name)
    if asked.sample is not None:
        return _place(table, asked.sample, name), bath
    free = [i for i in range(len(table.names)) if i not in used and i != bath]
    numeric = [i for i in free if np.isfinite(_figures(table, i)).mean() > _NUMERIC]
    baths = [i for i in numeric if _BATH.search(table.names[i])]
    if bath is None and len(baths) == 1 and len(numeric) > 1:
        bath = baths[0]
    samples = [i for i in numeric if i != bath]
    named = [i for i in samples if _HEAT.search(table.names[i])]
    found = samples if len(samples) == 1 else named
    if not samples:
        raise InputError(name, Phrase("a file without a temperature column"), "a column of temperatures", _FOUND_BY)
    if len(found) != 1:
        names = ", ".join(table.names[i] or f"number {i + 1}" for i in samples)
        raise InputError(name, Phrase(f"{len(samples)} columns that could be the sample"), f"one of {names}", _FOUND_BY)
    return found[0], bath


def _forward(seconds: Array, lines: Array, name: str, notes: list[str]) -> Array:
    """Times that only go forward: over midnight, and evenly spread where several readings carry one time."""
    jumps = np.diff(seconds)
    seconds = seconds + np.concatenate([[0.0], np.cumsum(np.where(jumps < -0.5 * _DAY_S, _DAY_S, 0.0))])
    back = np.flatnonzero(np.diff(seconds) < 0.0)
    if len(back):
        raise InputError(name, Phrase(f"time that goes back in line {lines[back[0] + 1]}"), "times that go forward",
                         "cut the file to one sample, or sort it by time")  # fmt: skip
    if (np.diff(seconds) == 0.0).any():
        _, first, count = np.unique(seconds, return_index=True, return_counts=True)
        ends = np.append(seconds[first[1:]], seconds[-1] + float(np.median(np.diff(seconds[first]))) if len(first) > 1
                         else seconds[-1] + 1.0)  # fmt: skip
        share = np.concatenate([np.arange(n) / n for n in count])
        seconds = seconds + share * np.repeat(ends - seconds[first], count)
        notes.append("Several readings carry the same time; they were spread evenly up to the next one.")
    return seconds


def _in_celsius(values: Array, heading: str, name: str, stated: bool | None) -> Array:
    """Convert °F where it is stated, and refuse figures that look like °F where it is not."""
    fahrenheit = bool(_FAHRENHEIT.search(heading)) if stated is None else stated
    if fahrenheit:
        return (values - 32.0) / 1.8
    low, high = array("series.fahrenheit")
    early = float(np.nanmedian(values[: max(5, len(values) // 20)]))
    if stated is None and not _CELSIUS.search(heading) and low <= early <= high:
        remedy = "add --unit F if it is °F, or --unit C if the sample really was so hot"
        raise InputError(name, Phrase(f"temperatures from {early:.0f} that look like °F"), "°C, or °F that is stated",
                         remedy)  # fmt: skip
    return values


def _check(seconds: Array, celsius: Array, lines: Array, name: str) -> None:
    """Refuse what no curve can be read from."""
    span = float(seconds[-1] - seconds[0]) if len(seconds) else 0.0
    least, shortest = int(number("curve.least_readings")), number("series.shortest")
    if len(seconds) < least or span < shortest:
        raise InputError(name, Phrase(f"{len(seconds)} readings over {span / 60:.1f} min"),
                         f"at least {least} readings over {shortest / 60:g} min or more",
                         "log from before the cup goes into the bath until it is below 15 °C")  # fmt: skip
    if np.ptp(celsius) < number("series.least_range"):
        raise InputError(name, Phrase(f"a temperature that stays at {float(np.median(celsius)):.1f} °C"),
                         f"a fall of {number('series.least_range'):g} °C or more",
                         "check that the probe is in the sample and the right column is taken")  # fmt: skip
    gaps = np.diff(seconds)
    worst = int(np.argmax(gaps))
    if gaps[worst] > number("series.largest_gap") * span:
        raise InputError(name, Phrase(f"a gap of {gaps[worst] / 60:.1f} min before line {lines[worst + 1]}"),
                         f"gaps up to {100 * number('series.largest_gap'):.0f} % of the log",
                         "log without a break, or cut the file to the part after or before it")  # fmt: skip
    _check_ends(seconds, celsius, name)


def _check_ends(seconds: Array, celsius: Array, name: str) -> None:
    """Refuse a sensor at the end of its range: an extreme figure that stays for minutes, and was not crept up to."""
    for end, word, most in ((float(celsius.max()), "highest", 2.0), (float(celsius.min()), "lowest", 1.0)):
        at = np.concatenate([[False], celsius == end, [False]]).astype(int)
        starts, stops = np.flatnonzero(np.diff(at) == 1), np.flatnonzero(np.diff(at) == -1)
        held = seconds[stops - 1] - seconds[starts]
        k = int(np.argmax(held))
        if held[k] < most * number("series.saturated") or stops[k] - starts[k] < _SAME:
            continue
        before = (seconds >= seconds[starts[k]] - 60.0) & (seconds < seconds[starts[k]])
        if word == "lowest" and before.any() and float(celsius[before].max()) - end < number("series.creep"):
            continue  # it came to the bath by and by
        what = Phrase(f"a sensor that stays at its {word}, {end:g} °C, for {held[k] / 60:.1f} min")
        raise InputError(name, what, "readings inside the sensor's range", "take a probe that reads from 0 to 50 °C")
