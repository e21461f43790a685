"""Tables for someone without a thermometer: keyed by what is seen and felt, each look once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TypeVar

from temperbench.insight.methods.method_plan import ReadsDo

__all__ = ["least_of_each_look", "rows_by_eye"]

_Row = TypeVar("_Row")


def least_of_each_look(
    rows: Sequence[_Row], look: Callable[[_Row], Hashable], size: Callable[[_Row], float]
) -> tuple[_Row, ...]:
    """Join rows that an eye cannot tell apart: where they stood first, the one that does least.

    Parameters
    ----------
    rows : Sequence[_Row]
        Rows of a policy judged by eye. [-]
    look : Callable[[_Row], Hashable]
        Point of the method and look of a row. [-]
    size : Callable[[_Row], float]
        How much a row does, such as its seconds. [-]

    Returns
    -------
    tuple[_Row, ...]
        One row for each look. [-]
    """
    found: dict[Hashable, _Row] = {}
    for row in rows:
        known = found.get(look(row))
        found[look(row)] = row if known is None else min(known, row, key=size)
    return tuple(found.values())


def rows_by_eye(rows: Sequence[ReadsDo]) -> tuple[ReadsDo, ...]:
    """Return the table of a method keyed by looks.

    Parameters
    ----------
    rows : Sequence[ReadsDo]
        Rows keyed by readings, each with its look. [-]

    Returns
    -------
    tuple[ReadsDo, ...]
        One row for each look of a point of the method, without readings. [-]
    """
    joined = least_of_each_look(rows, lambda r: (r.when, r.looks), lambda r: r.amount_g or r.seconds or 0)
    return tuple(replace(row, reads_from_c=None, reads_to_c=None) for row in joined)
