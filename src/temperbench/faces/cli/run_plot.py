"""The path of a simulated run as a drawing: stirred temperature with its band, and the hottest part."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from temperbench.faces.drawing.palette import theme_of
from temperbench.faces.drawing.svg import Box, Point, area, document, polyline, rectangle, words

__all__ = ["run_svg"]

_PAGE = Box(0.0, 0.0, 900.0, 520.0)
_PLOT = Box(80.0, 40.0, 880.0, 450.0)
_SIZE = 16.0
_TICKS = 6


def run_svg(columns: Mapping[str, Sequence[float]]) -> str:
    """Draw a run.

    Parameters
    ----------
    columns : Mapping[str, Sequence[float]]
        Columns of `temperbench.app.run_json.path_columns`. [-]

    Returns
    -------
    str
        One SVG element. [-]
    """
    theme = theme_of("light")
    minutes = [t / 60.0 for t in columns["t_s"]]
    bottom = math.floor(min(columns["low_c"]))
    top = math.ceil(max(*columns["high_c"], *columns["hottest_high_c"], bottom + 1.0))
    last = max(minutes[-1], 1.0 / 60.0)

    def place(minute: float, celsius: float) -> Point:
        across = _PLOT.left + (_PLOT.right - _PLOT.left) * minute / last
        return across, _PLOT.bottom - (_PLOT.bottom - _PLOT.top) * (celsius - bottom) / (top - bottom)

    def path(name: str) -> list[Point]:
        return [place(minute, value) for minute, value in zip(minutes, columns[name], strict=True)]

    marks = [rectangle(_PAGE, theme.ground)]
    for step in range(_TICKS + 1):
        minute, celsius = last * step / _TICKS, bottom + (top - bottom) * step / _TICKS
        height = place(0.0, celsius)[1]
        marks.append(polyline([(_PLOT.left, height), (_PLOT.right, height)], theme.line, 1.0))
        marks.append(words(f"{celsius:.1f} °C", (8.0, height + 0.35 * _SIZE), theme.quiet))
        marks.append(
            words(f"{minute:.1f} min", (place(minute, bottom)[0] - 1.6 * _SIZE, _PLOT.bottom + 26.0), theme.quiet)
        )
    marks += [
        area([*path("high_c"), *reversed(path("low_c"))], theme.band),
        polyline(path("hottest_high_c"), theme.limit, 2.0, (6.0, 5.0)),
        polyline(path("mid_c"), theme.curve, 3.0),
        words("stirred temperature: median, and 90 of 100 bowls in the band", (_PLOT.left, 26.0), theme.curve),
        words("dashed: hottest part, 95 of 100 bowls stay below", (_PLOT.left, _PAGE.bottom - 14.0), theme.limit),
    ]
    caption = f"Stirred temperature over {last:.1f} minutes, ending at {columns['mid_c'][-1]:.1f} °C in the median."
    return document(marks, _PAGE, _SIZE, title="A simulated run", desc=caption)
