"""A temperature path as a small chart of plain characters, for a terminal of 80 columns."""

from __future__ import annotations

import math

from temperbench.app.results import Leg

__all__ = ["marks_told", "path_chart"]

_COLUMNS = 64
_MOST_ROWS = 22
_AXIS_WIDTH = 10
_TICKS = 5


def path_chart(legs: tuple[Leg, ...], lines: dict[str, tuple[float, ...]]) -> list[str]:
    """Draw legs one after the other: the median as ``*``, its band as ``.``, and named levels behind them.

    Parameters
    ----------
    legs : tuple[Leg, ...]
        Legs in the order of time; each starts where the one before it ends. [-]
    lines : dict[str, tuple[float, ...]]
        Levels in °C by the character they are drawn with, such as ``-`` for the limit. [-]

    Returns
    -------
    list[str]
        Lines of at most 76 characters. [-]
    """
    times, lows, mids, highs = _joined(legs)
    levels = [level for found in lines.values() for level in found]
    top, bottom = math.ceil(max(*highs, *levels)), math.floor(min(*lows, *levels))
    step = max(1, math.ceil((top - bottom) / (_MOST_ROWS - 1)))  # whole degrees a row
    rows = math.ceil((top - bottom) / step) + 1
    grid = [[" "] * _COLUMNS for _ in range(rows)]
    for mark, found in lines.items():
        for level in found:
            grid[_row(top, level, step)] = [mark] * _COLUMNS
    for column in range(_COLUMNS):
        at = times[-1] * column / (_COLUMNS - 1)
        low, mid, high = (_value(at, times, curve) for curve in (lows, mids, highs))
        for row in range(_row(top, high, step), _row(top, low, step) + 1):
            grid[row][column] = "."
        grid[_row(top, mid, step)][column] = "*"
    labels = [f"{top - row * step:5d} °C |" if row % 2 == 0 else " " * 9 + "|" for row in range(rows)]
    drawn = [label + "".join(cells).rstrip() for label, cells in zip(labels, grid, strict=True)]
    return [*drawn, *_foot(times[-1])]


def _row(top: int, celsius: float, step: int) -> int:
    """Return the row of a temperature; half way between two rows it is the upper one, everywhere alike."""
    return math.ceil((top - celsius) / step - 0.5)


def marks_told(named: dict[str, str]) -> str:
    """Say what the marks of a chart mean.

    Parameters
    ----------
    named : dict[str, str]
        Meaning of each level by its mark. [-]

    Returns
    -------
    str
        One line, each mark bound to its meaning by a blank that does not break. [-]
    """
    every = {"*": "stirred temperature, median", ".": "its band, 90 of 100 bowls", **named}
    return "; ".join(f"{mark}\N{NO-BREAK SPACE}{meaning}" for mark, meaning in every.items())


def _joined(legs: tuple[Leg, ...]) -> tuple[list[float], list[float], list[float], list[float]]:
    """Return time in seconds from the start of the first leg, and the three curves over it."""
    times: list[float] = []
    lows: list[float] = []
    mids: list[float] = []
    highs: list[float] = []
    for leg in legs:
        start = times[-1] if times else 0.0
        times += [start + t - leg.t_s[0] for t in leg.t_s]
        lows += leg.low_c
        mids += leg.mid_c
        highs += leg.high_c
    return times, lows, mids, highs


def _value(at: float, times: list[float], curve: list[float]) -> float:
    """Return a curve at a time, straight between its points."""
    for i in range(1, len(times)):
        if at <= times[i]:
            gap = times[i] - times[i - 1]
            share = (at - times[i - 1]) / gap if gap > 0.0 else 1.0
            return curve[i - 1] + (curve[i] - curve[i - 1]) * share
    return curve[-1]


def _foot(end_s: float) -> list[str]:
    """Return the time axis and its labels in minutes."""
    places = [round(tick * (_COLUMNS - 1) / (_TICKS - 1)) for tick in range(_TICKS)]
    axis = "".join("+" if column in places else "-" for column in range(_COLUMNS))
    labels = ""
    for tick, place in enumerate(places):
        word = f"{end_s / 60.0 * tick / (_TICKS - 1):.1f} min"
        labels = labels.ljust(_AXIS_WIDTH + place - len(word) // 2) + word
    return [" " * (_AXIS_WIDTH - 1) + "+" + axis[1:], labels]
