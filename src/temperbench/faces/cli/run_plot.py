"""The path of a simulated run as a drawing: stirred temperature with its band, hottest part, stop and limit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from temperbench.faces.drawing.palette import Theme, theme_of
from temperbench.faces.drawing.svg import Box, Point, area, document, polyline, rectangle, words

__all__ = ["run_svg"]

_PAGE = Box(0.0, 0.0, 960.0, 540.0)
_PLOT = Box(64.0, 44.0, 816.0, 462.0)  # room at the right for names
_SIZE = 16.0
_MOST_TICKS = 8
_STEPS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 60.0)


@dataclass(frozen=True)
class _Frame:
    last_min: float
    bottom_c: float
    top_c: float

    def at(self, minute: float, celsius: float) -> Point:
        """Return the place on the page of a time and a temperature."""
        across = _PLOT.left + (_PLOT.right - _PLOT.left) * minute / self.last_min
        return across, _PLOT.bottom - (_PLOT.bottom - _PLOT.top) * (celsius - self.bottom_c) / (
            self.top_c - self.bottom_c
        )


def run_svg(columns: Mapping[str, Sequence[float]], stop_c: float, limit_c: float) -> str:
    """Draw a run.

    Parameters
    ----------
    columns : Mapping[str, Sequence[float]]
        Columns of `temperbench.app.run_json.path_columns`. [-]
    stop_c : float
        Where melting should stop, in °C. [-]
    limit_c : float
        Where the stable crystals go, in °C. [-]

    Returns
    -------
    str
        One SVG element. [-]
    """
    theme = theme_of("light")
    minutes = [t / 60.0 for t in columns["t_s"]]
    top = max(*columns["high_c"], *columns["hottest_high_c"], limit_c)
    frame = _Frame(max(minutes[-1], 1.0 / 60.0), math.floor(min(columns["low_c"])), math.ceil(top + 0.5))

    def path(name: str) -> list[Point]:
        return [frame.at(minute, value) for minute, value in zip(minutes, columns[name], strict=True)]

    marks = [
        rectangle(_PAGE, theme.ground),
        *_axes(frame, theme),
        area([*path("high_c"), *reversed(path("low_c"))], theme.band),
        *_level(frame, stop_c, f"stop {stop_c:.1f} °C", theme.ink, 1.1),
        *_level(frame, limit_c, f"limit {limit_c:.1f} °C", theme.limit, -0.4),
        polyline(path("hottest_high_c"), theme.curve, 1.5, (5.0, 4.0)),
        polyline(path("mid_c"), theme.curve, 3.0),
        words("line: stirred bowl, median", (_PLOT.left, 26.0), theme.curve, bold=True),
        words("band: 9 of 10 bowls", (_PLOT.left + 250.0, 26.0), theme.curve),
        words("dashes: hottest part, 19 of 20 bowls stay below", (_PLOT.left + 430.0, 26.0), theme.curve),
    ]
    caption = (
        f"Stirred temperature over {frame.last_min:.1f} minutes, ending at {columns['mid_c'][-1]:.1f} °C in the median."
    )
    return document(marks, _PAGE, _SIZE, title="A run of given bursts", desc=caption)


def _level(frame: _Frame, celsius: float, name: str, colour: str, drop: float) -> list[str]:
    """Draw a level across with its name at the right, set off by ``drop`` of a line so that two do not touch."""
    left, right = frame.at(0.0, celsius), frame.at(frame.last_min, celsius)
    return [
        polyline([left, right], colour, 1.5, (9.0, 5.0) if "limit" in name else ()),
        words(name, (right[0] + 0.5 * _SIZE, right[1] + drop * _SIZE), colour, bold=True),
    ]


def _ticks(low: float, high: float) -> list[float]:
    """Return round figures from low to high, not more than a few."""
    step = next((s for s in _STEPS if (high - low) / s <= _MOST_TICKS), _STEPS[-1])
    return [step * i for i in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _axes(frame: _Frame, theme: Theme) -> list[str]:
    marks = [words("°C", (12.0, _PLOT.top - 0.6 * _SIZE), theme.quiet)]
    for celsius in _ticks(frame.bottom_c, frame.top_c):
        left, right = frame.at(0.0, celsius), frame.at(frame.last_min, celsius)
        marks.append(polyline([left, right], theme.line, 1.0))
        marks.append(words(f"{celsius:g}", (left[0] - 2.2 * _SIZE, left[1] + 0.35 * _SIZE), theme.quiet))
    for minute in _ticks(0.0, frame.last_min):
        x, y = frame.at(minute, frame.bottom_c)
        marks.append(polyline([(x, y), (x, y + 6.0)], theme.quiet, 1.0))
        marks.append(words(f"{minute:g} min", (x - 1.2 * _SIZE, y + 1.6 * _SIZE), theme.quiet))
    return marks
