"""The degree rule: one running bowl as a mark on a ruled edge, with window, stop and limit."""

from __future__ import annotations

import math

from temperbench.app.results import LiveView
from temperbench.faces.drawing.labels import Labels, spread_apart
from temperbench.faces.drawing.palette import theme_of
from temperbench.faces.drawing.svg import Box, disc, document, hatching, polyline, rectangle
from temperbench.faces.drawing.words import degrees, in_unit, unit_sign
from temperbench.foundation.errors import within
from temperbench.foundation.units import Pixel

__all__ = ["RULE_HEIGHT", "rule_svg"]

RULE_HEIGHT: Pixel = 104.0
_SIZE = 16.0
_LEAST_WIDTH = 280.0
_BELOW_C = 2.0
_ABOVE_C = 0.7


class _Rule:
    """Places along the edge: temperatures run left to right."""

    def __init__(self, view: LiveView, width: Pixel) -> None:
        self.low = min(view.work_from_c - _BELOW_C, max(view.now_c.low - 1.0, view.work_from_c - 14.0))
        self.high = max(view.limit_c + _ABOVE_C, min(view.now_c.high + 0.5, view.limit_c + 8.0))
        self.left, self.right = 10.0, width - 10.0

    def x(self, celsius: float) -> float:
        share = (celsius - self.low) / (self.high - self.low)
        return self.left + (self.right - self.left) * min(1.0, max(0.0, share))


def rule_svg(view: LiveView, width: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw a running bowl on a ruled edge: where it is, with its band, and where window, stop and limit are.

    Parameters
    ----------
    view : LiveView
        The bowl. [-]
    width : Pixel
        Width of the drawing, at least 280. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        One SVG element with title and description. [-]
    """
    within("rule width", width, _LEAST_WIDTH, 1e5, "px", "give the rule more room")
    look = theme_of(theme)
    rule, labels = _Rule(view, width), Labels(_SIZE)
    edge = 62.0
    window = Box(rule.x(view.work_from_c), edge - 20.0, rule.x(view.work_to_c), edge)
    marks = [
        rectangle(Box(0.0, 0.0, width, RULE_HEIGHT), look.ground),
        hatching(window, look.window, 1.4, 8.0),
        *(polyline([(x, window.top), (x, edge)], look.window, 2.0) for x in (window.left, window.right)),
        polyline([(rule.left, edge), (rule.right, edge)], look.ink, 2.0),
    ]
    marks += _scale(rule, labels, edge, look.ink, look.quiet, fahrenheit)
    limit = rule.x(view.limit_c)
    names = [((window.left + window.right) / 2, "work", look.window), (limit, "limit", look.limit)]
    if view.stops:
        stop = rule.x(view.stop_c)
        marks.append(polyline([(stop, edge - 26.0), (stop, edge)], look.ink, 2.0))
        names.insert(1, (stop, "stop", look.ink))
    marks.append(polyline([(limit, edge - 26.0), (limit, edge)], look.limit, 3.0, (6.0, 3.5)))
    _names(labels, width, *names)
    low, mid, high = (rule.x(c) for c in (view.now_c.low, view.now_c.mid, view.now_c.high))
    marks.append(rectangle(Box(low, edge - 12.0, max(high, low + 2.0), edge - 4.0), look.curve))
    marks.append(disc((mid, edge - 8.0), 8.0, look.ground, look.curve, 4.0))
    now = degrees(view.now_c.mid, fahrenheit)
    told = f"stop {degrees(view.stop_c, fahrenheit)}, " if view.stops else ""
    said = f"The bowl is at {now}; {told}limit {degrees(view.limit_c, fahrenheit)}."
    page = Box(0.0, 0.0, width, RULE_HEIGHT)
    return document([*marks, *labels.marks], page, _SIZE, title=f"Where the bowl is: {view.title}", desc=said)


def _scale(rule: _Rule, labels: Labels, edge: Pixel, ink: str, quiet: str, fahrenheit: bool) -> list[str]:
    """Return the ruled marks under the edge: half degrees short, degrees longer, every second or fifth named."""
    low, high = in_unit(rule.low, fahrenheit), in_unit(rule.high, fahrenheit)
    across = rule.right - rule.left
    every = next(n for n in (1, 2, 5, 10) if across * n / (high - low) > 44.0)
    marks = []
    for half in range(math.ceil(2 * low), math.floor(2 * high) + 1):
        value = half / 2
        x = rule.left + across * (value - low) / (high - low)
        named, whole = half % (2 * every) == 0, half % 2 == 0
        marks.append(polyline([(x, edge), (x, edge + (12 if named else 8 if whole else 4))], ink, 1.2))
        if named and rule.left + 12.0 < x < rule.right - 40.0:
            labels.put(f"{value:g}", (x, edge + 24.0), quiet, align="middle")
    labels.put(unit_sign(fahrenheit), (rule.right, edge + 24.0), quiet, align="right")
    return marks


def _names(labels: Labels, width: Pixel, *names: tuple[float, str, str]) -> None:
    """Write the names above their marks, moved apart where they would touch."""
    wide = max(labels.width([text], bold=True) for _, text, _ in names) + 8.0
    places = spread_apart([x for x, _, _ in names], wide, wide / 2, width - wide / 2)
    for (_, text, colour), x in zip(names, places, strict=True):
        labels.put(text, (x, 22.0), colour, align="middle", bold=True)
