"""The policy "it reads X, then Y seconds" as a table: one row for a range of readings, one column for some stages."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from temperbench.app.results import BurstPlan, ReadsThen
from temperbench.faces.drawing.words import degrees, in_unit, unit_sign

__all__ = ["PolicyRow", "PolicyTable", "policy_table"]

_LAST_DIGIT = 0.1  # of the thermometers: 32.0 to 32.5 is written 32.0 to 32.4


@dataclass(frozen=True)
class PolicyRow:
    """A range of readings (or a look of the bowl) and the seconds it means after each burst; None: not foreseen."""

    label: str
    looks: str
    cells: tuple[int | None, ...]


@dataclass(frozen=True)
class PolicyTable:
    """The whole table: a column for each run of stages with one advice, such as "1, 2" or "7 and later"."""

    columns: tuple[str, ...]
    rows: tuple[PolicyRow, ...]
    by_eye: bool
    joined: bool  # whether lines were joined to fit, each cell keeping the shortest burst


@dataclass(frozen=True)
class _Range:
    low: float
    high: float
    looks: str
    cells: tuple[int | None, ...]


_Stages = tuple[int, int | None]  # from the one up to the other; None: and all later ones


def policy_table(
    plan: BurstPlan, most_rows: int, most_columns: int, *, fahrenheit: bool = False, units: bool = True
) -> PolicyTable:
    """Lay out the policy of a plan.

    Neighbouring rows with equal seconds become one; by eye a line is a look. When there are still too many rows or
    columns, the most alike neighbours are joined and keep the shorter burst, which is the safe one;
    `PolicyTable.joined` says so.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    most_rows : int
        Rows there is room for. [-]
    most_columns : int
        Columns there is room for. [-]
    fahrenheit : bool
        Whether readings are written in degrees Fahrenheit. [-]
    units : bool
        Whether each reading has its unit; without, the heading must give it. [-]

    Returns
    -------
    PolicyTable
        The table. [-]
    """
    policy = plan.reads_then
    stages = sorted({row.stage for row in policy})
    by_eye = bool(policy) and all(row.reads_from_c is None and row.reads_to_c is None for row in policy)
    ranges = _looks(policy, stages) if by_eye else _merged(_ranges(policy, stages))
    columns: list[_Stages] = [(a, b - 1) for a, b in pairwise(stages)] + [(a, None) for a in stages[-1:]]
    joined = len(columns) > most_columns or (len(ranges) > most_rows and not by_eye)
    while len(columns) > most_columns:
        columns, ranges = _join_columns(columns, ranges)
    while len(ranges) > most_rows and not by_eye:
        ranges = _join_rows(ranges)
    rows = tuple(
        PolicyRow(r.looks, "", r.cells) if by_eye else PolicyRow(_label(r, fahrenheit, units), r.looks, r.cells)
        for r in ranges
    )
    return PolicyTable(tuple(_name(c) for c in columns), rows, by_eye, joined)


def _name(stages: _Stages) -> str:
    """Name the bursts after which a column holds."""
    first, last = stages
    if last is None:
        return f"{first} and later"
    if last == first:
        return f"{first}"
    return f"{first}, {last}" if last == first + 1 else f"{first} to {last}"


def _looks(rows: Sequence[ReadsThen], stages: Sequence[int]) -> list[_Range]:
    """Return one line for each look; the plan has one time for a look at a stage."""
    cells = {(row.looks, row.stage): row.seconds for row in rows}
    looks = dict.fromkeys(row.looks for row in rows)
    return [_Range(math.nan, math.nan, look, tuple(cells.get((look, s)) for s in stages)) for look in looks]


def _ends(rows: Sequence[ReadsThen]) -> list[tuple[float, float, ReadsThen]]:
    """Return the rows of one stage upwards, as half-open ranges without the gap of a last digit between them."""
    found = sorted(
        (
            -math.inf if row.reads_from_c is None else row.reads_from_c,
            math.inf if row.reads_to_c is None else row.reads_to_c,
            i,
        )
        for i, row in enumerate(rows)
    )
    ends = []
    for at, (low, high, i) in enumerate(found):
        above = found[at + 1][0] if at + 1 < len(found) else math.inf
        ends.append((low, above if 0 < above - high < 1.5 * _LAST_DIGIT else high, rows[i]))
    return ends


def _ranges(rows: Sequence[ReadsThen], stages: Sequence[int]) -> list[_Range]:
    by_stage = [_ends([row for row in rows if row.stage == stage]) for stage in stages]
    edges = sorted({edge for ends in by_stage for low, high, _ in ends for edge in (low, high)})
    found = []
    for low, high in pairwise(edges):
        hits = [next((row for a, b, row in ends if a <= low and high <= b), None) for ends in by_stage]
        looks = {row.looks for row in hits if row is not None}
        cells = tuple(None if row is None else row.seconds for row in hits)
        found.append(_Range(low, high, looks.pop() if len(looks) == 1 else "", cells))
    return [r for r in found if any(cell is not None for cell in r.cells)]


def _merged(ranges: Sequence[_Range]) -> list[_Range]:
    found: list[_Range] = []
    for r in ranges:
        last = found[-1] if found else None
        if last is not None and last.high == r.low and (last.cells, last.looks) == (r.cells, r.looks):
            found[-1] = _Range(last.low, r.high, r.looks, r.cells)
        else:
            found.append(r)
    return found


def _change(pairs: Iterable[tuple[int | None, int | None]]) -> float:
    """Return how much seconds differ; endless where only one of a pair gives advice."""
    return sum(abs((a or 0) - (b or 0)) if (a is None) == (b is None) else math.inf for a, b in pairs)


def _join_rows(ranges: Sequence[_Range]) -> list[_Range]:
    """Join the two neighbouring rows whose seconds differ least; rows with a gap between them come last."""

    def change(i: int) -> float:
        touching = ranges[i].high == ranges[i + 1].low
        return _change(zip(ranges[i].cells, ranges[i + 1].cells, strict=True)) if touching else math.inf

    at = min(range(len(ranges) - 1), key=change)
    one, two = ranges[at], ranges[at + 1]
    cells = tuple(_shorter(a, b) for a, b in zip(one.cells, two.cells, strict=True))
    looks = one.looks if one.looks == two.looks else ""
    return [*ranges[:at], _Range(one.low, two.high, looks, cells), *ranges[at + 2 :]]


def _join_columns(columns: Sequence[_Stages], ranges: Sequence[_Range]) -> tuple[list[_Stages], list[_Range]]:
    """Join the two neighbouring columns whose seconds differ least."""
    at = min(range(len(columns) - 1), key=lambda i: _change((r.cells[i], r.cells[i + 1]) for r in ranges))
    joined = [
        replace(r, cells=(*r.cells[:at], _shorter(r.cells[at], r.cells[at + 1]), *r.cells[at + 2 :])) for r in ranges
    ]
    return [*columns[:at], (columns[at][0], columns[at + 1][1]), *columns[at + 2 :]], joined


def _shorter(a: int | None, b: int | None) -> int | None:
    return min(a, b) if a is not None and b is not None else None


def _label(r: _Range, fahrenheit: bool, units: bool) -> str:
    sign = f" {unit_sign(fahrenheit)}" if units else ""

    def figure(celsius: float) -> str:
        return degrees(celsius, fahrenheit, unit=False)

    if math.isinf(r.low) and math.isinf(r.high):
        return "any reading"
    if math.isinf(r.low):
        return f"below {figure(r.high)}{sign}"
    if math.isinf(r.high):
        return f"{figure(r.low)}{sign} and up"
    last = r.high - _LAST_DIGIT / (in_unit(1.0, fahrenheit) - in_unit(0.0, fahrenheit))
    return f"{figure(r.low)} to {figure(last)}{sign}" if last - r.low > 0.01 else f"{figure(r.low)}{sign}"
