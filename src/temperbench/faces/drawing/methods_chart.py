"""The methods side by side as bars: time at the bowl within the time it takes, with bands and risks in words."""

from __future__ import annotations

import math

from temperbench.app.results import Band, Comparison, MethodRow
from temperbench.faces.drawing.labels import Labels
from temperbench.faces.drawing.palette import Theme, theme_of
from temperbench.faces.drawing.svg import Box, document, hatching, polyline, rectangle
from temperbench.foundation.errors import within
from temperbench.foundation.units import Minute, Pixel

__all__ = ["methods_caption", "methods_chart_svg", "methods_height", "minutes_told", "risk_told"]

_SIZE = 16.0
_LEAST_WIDTH = 700.0
_ROW = 54.0
_TOP, _FOOT = 12.0, 46.0
_NAMES, _RISKS = 190.0, 190.0
_LONG_MIN = 180.0  # what takes longer runs off the axis, with its figure beside it
_STEPS = (1, 2, 5, 10, 15, 20, 30, 60)


def minutes_told(band: Band) -> str:
    """Write a time as people say it: minutes, or hours where it takes a night.

    Parameters
    ----------
    band : Band
        5 % point, median and 95 % point. [min]

    Returns
    -------
    str
        Such as "12 min (9 to 15)" or "11 h (9 to 13)". [-]
    """
    if band.mid > _LONG_MIN:
        low, mid, high = (f"{value / 60.0:.0f}" for value in (band.low, band.mid, band.high))
        return f"{mid} h ({low} to {high})"
    return f"{band.mid:.0f} min ({band.low:.0f} to {band.high:.0f})"


def risk_told(share: float) -> str:
    """Write a risk as whole per cent.

    Parameters
    ----------
    share : float
        Between 0 and 1. [-]

    Returns
    -------
    str
        Such as "3 %" or "under 1 %". [-]
    """
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"


def _possible(found: Comparison) -> list[tuple[MethodRow, Band, Band]]:
    return [
        (row, row.total_min, row.hands_on_min)
        for row in found.rows
        if row.why_not is None and row.total_min is not None and row.hands_on_min is not None
    ]


def methods_height(found: Comparison) -> Pixel:
    """Return the height of the drawing; nothing when no method is possible.

    Parameters
    ----------
    found : Comparison
        The methods side by side. [-]

    Returns
    -------
    Pixel
        Height. [px]
    """
    rows = len(_possible(found))
    return _TOP + rows * _ROW + _FOOT if rows else 0.0


def methods_caption(found: Comparison) -> str:
    """Say in a sentence what the drawing shows.

    Parameters
    ----------
    found : Comparison
        The methods side by side. [-]

    Returns
    -------
    str
        The caption, which is also the drawing's description. [-]
    """
    rows = _possible(found)
    if not rows:
        return "No method is possible with what was told."
    told = "; ".join(f"{row.name} {minutes_told(total)}, at the bowl {hands.mid:.0f} min" for row, total, hands in rows)
    return f"Minutes until in temper, hatched the part at the bowl, the line where 9 of 10 bowls end: {told}."


def methods_chart_svg(found: Comparison, width: Pixel, theme: str) -> str:
    """Draw the possible methods as bars of time, the advised one first.

    Parameters
    ----------
    found : Comparison
        The methods side by side. [-]
    width : Pixel
        Width of the drawing, at least 700. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]

    Returns
    -------
    str
        One SVG element with title and description; empty when no method is possible. [-]
    """
    within("width", width, _LEAST_WIDTH, 1e5, "px", "give the drawing more room")
    rows, look, labels = _possible(found), theme_of(theme), Labels(_SIZE)
    if not rows:
        return ""
    height = methods_height(found)
    longest = max((t.high for _, t, _ in rows if t.high <= _LONG_MIN), default=_LONG_MIN)
    axis = _Axis(_NAMES, width - _RISKS - 150.0, longest)
    marks = [rectangle(Box(0.0, 0.0, width, height), look.ground)]
    foot = _TOP + len(rows) * _ROW
    for value in axis.ticks():
        marks.append(polyline([(axis.x(value), _TOP), (axis.x(value), foot)], look.line, 1.0))
        labels.put(f"{value:g}", (axis.x(value), foot + 14.0), look.quiet, align="middle")
    labels.put("minutes", (axis.right + 24.0, foot + 14.0), look.quiet)
    for i, (row, total, hands) in enumerate(rows):
        y = _TOP + _ROW * (i + 0.5)
        labels.put(row.name, (0.0, y), look.ink, bold=row.name == found.best)
        marks += _bar(axis, look, labels, y, total, hands)
        _risk(row, labels, look, (width - _RISKS, y))
    page = Box(0.0, 0.0, width, height)
    return document([*marks, *labels.marks], page, _SIZE, title=found.title, desc=methods_caption(found))


class _Axis:
    """Minutes from left to right, from zero."""

    def __init__(self, left: Pixel, right: Pixel, most_min: Minute) -> None:
        self.left, self.right, self.most_min = left, right, most_min

    def x(self, minutes: Minute) -> Pixel:
        return self.left + (self.right - self.left) * min(minutes / self.most_min, 1.0)

    def ticks(self) -> list[float]:
        step = next((s for s in _STEPS if self.most_min / s <= 6.0), _STEPS[-1])
        return [float(step * i) for i in range(math.floor(self.most_min / step) + 1)]


def _bar(axis: _Axis, look: Theme, labels: Labels, y: Pixel, total: Band, hands: Band) -> list[str]:
    """Draw the time of one method: the whole as a bar, its part at the bowl hatched, the band as a line on it."""
    broken = total.high > axis.most_min
    end = axis.right if broken else axis.x(total.mid)
    whole = Box(axis.left, y - 12.0, end, y + 12.0)
    at_bowl = Box(axis.left, y - 12.0, max(axis.left + 2.0, min(axis.x(hands.mid), end)), y + 12.0)
    marks = [rectangle(whole, look.band), hatching(at_bowl, look.curve, 2.4, 6.0)]
    marks.append(polyline([(at_bowl.right, at_bowl.top), (at_bowl.right, at_bowl.bottom)], look.curve, 2.4))
    if broken:
        for shift in (-14.0, -6.0):
            x = axis.right + shift
            marks.append(polyline([(x - 5.0, y + 17.0), (x + 5.0, y - 17.0)], look.ground, 4.0))
        reach = axis.right
    else:
        low, reach = axis.x(total.low), axis.x(total.high)
        marks.append(polyline([(low, y), (reach, y)], look.ground, 6.0))  # clear of the hatching
        marks.append(polyline([(low, y), (reach, y)], look.ink, 2.4))
        marks += [polyline([(x, y - 7.0), (x, y + 7.0)], look.ink, 2.4) for x in (low, reach)]
    labels.put(minutes_told(total), (reach + 10.0, y), look.ink)
    return marks


def _risk(row: MethodRow, labels: Labels, look: Theme, at: tuple[float, float]) -> None:
    colour = look.ink if row.keeps_risks else look.limit
    lost = f"lost {risk_told(row.risk_lost or 0.0)}"
    labels.put(
        lost if row.keeps_risks else f"{lost}: too much", (at[0], at[1] - 10.0), colour, bold=not row.keeps_risks
    )
    labels.put(f"scorched {risk_told(row.risk_scorch or 0.0)}", (at[0], at[1] + 10.0), look.quiet)
