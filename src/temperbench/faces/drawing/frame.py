"""A plotting frame: from minutes and degrees to the page, with few ticks, and the drawing it stands on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Generic, Protocol, TypeVar

from temperbench.faces.drawing.labels import Labels
from temperbench.faces.drawing.palette import Theme
from temperbench.faces.drawing.svg import Box, Point, area, polyline
from temperbench.faces.drawing.words import in_unit, unit_sign
from temperbench.foundation.units import Celsius, Pixel, Second

__all__ = [
    "Bounds", "Frame", "Limits", "Sheet", "band", "curve", "degree_axis", "degree_ticks", "minute_axis", "minute_step",
]  # fmt: skip

_MINUTE_STEPS = (0.5, 1, 2, 5, 10, 15, 20, 30, 60, 120, 240)
_DEGREE_STEPS = (0.5, 1, 2, 5, 10, 20, 50)


class Bounds(Protocol):
    """What every drawing of a bowl marks, whether the bowl is planned or running."""

    @property
    def limit_c(self) -> Celsius:
        """Where the stable crystals are lost. [°C]"""

    @property
    def work_from_c(self) -> Celsius:
        """Lower end of the working window. [°C]"""

    @property
    def work_to_c(self) -> Celsius:
        """Upper end of the working window. [°C]"""


class Limits(Bounds, Protocol):
    """What the drawing of a bowl in an oven marks besides."""

    @property
    def stop_c(self) -> Celsius:
        """Where the bowl is taken from the oven for good. [°C]"""


_Drawn_co = TypeVar("_Drawn_co", bound=Bounds, covariant=True)


@dataclass
class Sheet(Generic[_Drawn_co]):
    """The drawing being made: the plan or the running bowl, its look, its marks so far and its labels."""

    plan: _Drawn_co
    theme: Theme
    size: Pixel
    fahrenheit: bool
    labels: Labels = field(init=False)
    marks: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Start with no labels."""
        self.labels = Labels(self.size)

    @property
    def pen(self) -> Pixel:
        """Width of the main curve. [px]"""
        return self.theme.weight * self.size

    def hairline(self, a: Point, b: Point) -> None:
        """Draw a thin line of the second rank."""
        self.marks.append(polyline([a, b], self.theme.line, 0.06 * self.size))

    def level_line(self, box: Box, height: Pixel) -> None:
        """Draw a thin level line through a frame; labels move off it where there is room.

        Parameters
        ----------
        box : Box
            Of the frame. [-]
        height : Pixel
            Of the line, from the top of the page. [px]
        """
        self.hairline((box.left, height), (box.right, height))
        self.labels.keep_clear_of([(box.left + box.width * i / 24, height) for i in range(25)], sparse=True)


@dataclass(frozen=True)
class Frame:
    """Where a leg is drawn, and what its edges mean."""

    box: Box
    until_s: float
    low_c: float
    high_c: float
    from_s: float = 0.0

    def x(self, t: Second) -> Pixel:
        """Return the place across of a time.

        Parameters
        ----------
        t : Second
            Time on the leg's own clock. [s]

        Returns
        -------
        Pixel
            From the left of the page. [px]
        """
        return self.box.left + self.box.width * (t - self.from_s) / (self.until_s - self.from_s)

    def y(self, celsius: Celsius) -> Pixel:
        """Return the height on the page of a temperature.

        Parameters
        ----------
        celsius : Celsius
            Temperature. [°C]

        Returns
        -------
        Pixel
            From the top of the page. [px]
        """
        return self.box.bottom - self.box.height * (celsius - self.low_c) / (self.high_c - self.low_c)

    def path(self, times: Sequence[float], temperatures: Sequence[float]) -> list[Point]:
        """Return the points of a curve on the page."""
        return [(self.x(t), self.y(c)) for t, c in zip(times, temperatures, strict=True)]


def _step(steps: Sequence[float], span: float, room: float) -> float:
    """Return the smallest step that leaves at most ``room`` steps in a span, the largest one doubled as need be."""
    found = next((step for step in steps if span / step <= room), steps[-1])
    return found * 2.0 ** max(0, math.ceil(math.log2(max(1.0, span / found / room))))


def degree_ticks(frame: Frame, size: Pixel, fahrenheit: bool) -> list[tuple[float, str]]:
    """Return height on the page and text of each tick, without the unit.

    Parameters
    ----------
    frame : Frame
        The plotting frame. [-]
    size : Pixel
        Font size. [px]
    fahrenheit : bool
        Whether the scale is Fahrenheit's. [-]

    Returns
    -------
    list[tuple[float, str]]
        Heights and texts, upwards. [-]
    """
    low, high = in_unit(frame.low_c, fahrenheit), in_unit(frame.high_c, fahrenheit)
    step = _step(_DEGREE_STEPS, high - low, min(5.0, frame.box.height / (2.2 * size)))
    values = [step * i for i in range(math.ceil(low / step), math.floor(high / step) + 1)]
    ticks = []
    for value in values:
        height = frame.box.bottom - frame.box.height * (value - low) / (high - low)
        ticks.append((height, f"{value:g}".replace("-", "−")))
    return ticks


def minute_step(minutes: float, room: float) -> float:
    """Return the step of a time axis, in minutes, that leaves at most ``room`` steps in a span of minutes."""
    return _step(_MINUTE_STEPS, minutes, room)


def degree_axis(sheet: Sheet[Bounds], frame: Frame, top_c: Celsius = math.inf) -> None:
    """Draw level hairlines with their temperatures to the left of a frame and the unit above them.

    Parameters
    ----------
    sheet : Sheet
        The drawing. [-]
    frame : Frame
        Whose axis it is. [-]
    top_c : Celsius
        Above this no line is drawn: that room is for words. [°C]
    """
    edge = frame.box.left - 0.4 * sheet.size
    above = (edge, frame.box.top - 0.3 * sheet.size)
    sheet.labels.put(unit_sign(sheet.fahrenheit), above, sheet.theme.quiet, align="right")
    ticks = degree_ticks(frame, sheet.size, sheet.fahrenheit)
    for height, text in (tick for tick in ticks if tick[0] >= frame.y(top_c) - 1.0):
        sheet.level_line(frame.box, height)
        if height > above[1] + 1.1 * sheet.size:
            sheet.labels.put(text, (edge, height), sheet.theme.quiet, align="right")


def minute_axis(sheet: Sheet[Bounds], frame: Frame, foot: Pixel, unit: str) -> None:
    """Draw the time axis with its minutes below it; the last tick carries the unit in words.

    Parameters
    ----------
    sheet : Sheet
        The drawing. [-]
    frame : Frame
        Whose axis it is. [-]
    foot : Pixel
        Height of the axis, from the top of the page. [px]
    unit : str
        Written after the last number. [-]
    """
    box, size = frame.box, sheet.size
    sheet.marks.append(polyline([(box.left, foot), (box.right, foot)], sheet.theme.quiet, 0.08 * size))
    until = frame.until_s / 60
    step = _step(_MINUTE_STEPS, until, max(1.0, min(6.0, box.width / (3.0 * size))))
    count = math.floor(until / step + 1e-9)
    for i in range(count + 1):
        x = frame.x(60 * step * i)
        sheet.marks.append(polyline([(x, foot), (x, foot + 0.3 * size)], sheet.theme.quiet, 0.08 * size))
        number = f"{step * i:g}"
        at = (x, foot + 0.95 * size)
        if i < count:
            sheet.labels.put(number, at, sheet.theme.quiet, align="middle")
            continue
        beside = (x - sheet.labels.width([number]) / 2, at[1])
        sheet.labels.put(f"{number} {unit}", beside, sheet.theme.quiet)


def band(
    sheet: Sheet[Bounds], frame: Frame, times: Sequence[float], low: Sequence[float], high: Sequence[float]
) -> str:
    """Return the filled band between two curves."""
    upper, lower = frame.path(times, high), frame.path(times, low)
    return area([*upper, *reversed(lower)], sheet.theme.band)


def curve(sheet: Sheet[Bounds], frame: Frame, times: Sequence[float], temperatures: Sequence[float]) -> str:
    """Return the main curve, and keep labels clear of it."""
    points = frame.path(times, temperatures)
    inside = [p for p in points if frame.box.top <= p[1] <= frame.box.bottom]
    sheet.labels.keep_clear_of(inside)
    return polyline(points, sheet.theme.curve, sheet.pen)
