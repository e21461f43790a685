"""Degrees Fahrenheit beside the degrees Celsius of a card, for whoever's thermometer shows them."""

from __future__ import annotations

from collections.abc import Sequence

from temperbench.app.results import ReadsDo
from temperbench.faces.drawing.words import degrees, degrees_between

__all__ = ["aims_in_f", "range_in_f"]


def range_in_f(row: ReadsDo) -> str:
    """Return the readings of a row of a policy in degrees Fahrenheit; nothing for a row judged by eye."""
    low, high = row.reads_from_c, row.reads_to_c
    if low is not None and high is not None:
        return degrees_between(low, high, True)
    if high is not None:
        return f"below {degrees(high, True)}"
    return "" if low is None else f"{degrees(low, True)} and above"


def aims_in_f(aims: Sequence[tuple[str, float | None, float | None]]) -> str:
    """Say the temperatures a cook steers by in degrees Fahrenheit.

    Parameters
    ----------
    aims : Sequence[tuple[str, float | None, float | None]]
        Name, temperature, and the upper end of those that are a range; None for what a plan does not have. [-]

    Returns
    -------
    str
        For example "In °F: limit 94.1, work 87.8 to 89.6." [-]
    """
    told = []
    for name, low, high in aims:
        if low is not None:
            end = "" if high is None else f" to {degrees(high, True, unit=False)}"
            told.append(f"{name} {degrees(low, True, unit=False)}{end}")
    return f"In °F: {', '.join(told)}."
