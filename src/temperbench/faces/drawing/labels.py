"""Labels on a drawing: measured, inside their room, clear of each other and, where it can be, of the lines."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.svg import Box, Point, polyline, words
from temperbench.foundation.units import Pixel

__all__ = ["Labels", "spread_apart"]

_RISE = 0.76  # of the font size, above the baseline
_FALL = 0.24  # below it
_LEADING = 1.2  # from line to line
_ROOMY = 1.02  # what kerning and rounding may add to a measured width
_RINGS = (0.5, 0.9, 1.4, 2.0, 2.8, 3.8, 5.0, 6.5, 8.5)  # distances tried round an anchor, in em
_TURNS = 24
_NEAR = 1.4  # em; a label further off is tied to its anchor
_CROSSING = 6.0  # what a point of a line under a label costs, in em of distance


class Labels:
    """The text of one drawing. Each label takes its place; the next ones keep clear of it."""

    def __init__(self, size: Pixel) -> None:
        """Begin without any text.

        Parameters
        ----------
        size : Pixel
            Font size. [px]
        """
        self.size = size
        self.boxes: list[Box] = []
        self.marks: list[str] = []
        self._ink: list[Point] = []

    def keep_clear_of(self, points: Sequence[Point], *, sparse: bool = False) -> None:
        """Remember a line that labels should not cover; of a sparse one, a hairline, only its points count."""
        if sparse:
            self._ink += points
            return
        self._ink += points[:1]
        for (x1, y1), (x2, y2) in pairwise(points):
            count = max(1, math.ceil(math.hypot(x2 - x1, y2 - y1) / (0.4 * self.size)))
            self._ink += [(x1 + (x2 - x1) * i / count, y1 + (y2 - y1) * i / count) for i in range(1, count + 1)]

    def width(self, lines: Iterable[str], *, bold: bool = False) -> Pixel:
        """Return the width of the widest line.

        Parameters
        ----------
        lines : Iterable[str]
            The lines. [-]
        bold : bool
            Whether they are set in the bold weight. [-]

        Returns
        -------
        Pixel
            Width, with what kerning may add. [px]
        """
        return _ROOMY * max(text_width(line, self.size, bold=bold) for line in lines)

    def put(self, text: str, at: Point, colour: str, *, align: str = "left", bold: bool = False) -> Box:
        """Write one line at a fixed place: ``at`` is on its middle height, at its left, middle or right."""
        wide = self.width([text], bold=bold)
        left = at[0] - wide * {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        top = at[1] - self.size / 2
        return self._write([text], left, top, colour, bold)

    def fits(self, text: str, at: Point, room: Box) -> bool:
        """Whether a line centred at a point stays in its room and clear of all labels."""
        wide = self.width([text])
        box = Box(at[0] - wide / 2, at[1] - self.size / 2, at[0] + wide / 2, at[1] + self.size / 2)
        return room.holds(box) and not any(box.meets(other, 0.2 * self.size) for other in self.boxes)

    def put_near(self, wordings: Sequence[Sequence[str]], at: Point, room: Box, colour: str, leader: str) -> bool:
        """Write the best of some wordings at the best free place round an anchor; say whether there was one.

        A label that ends up away from its anchor gets a thin line to it in the colour ``leader``.
        """
        ink = [p for p in self._ink if room.left <= p[0] <= room.right and room.top <= p[1] <= room.bottom]
        best: tuple[float, Box, Sequence[str]] | None = None
        for lines in wordings:
            wide, high = self.width(lines), self.size * (1 + _LEADING * (len(lines) - 1))
            for box in self._tries(at, wide, high):
                if not room.holds(box) or any(box.meets(other, 0.35 * self.size) for other in self.boxes):
                    continue
                gap = math.dist(at, _nearest(box, at)) / self.size
                if best is None or gap < best[0]:
                    cost = gap + _CROSSING * self._covered(box, ink)
                    if best is None or cost < best[0]:
                        best = (cost, box, lines)
        if best is None:
            return False
        _, box, lines = best
        end = _nearest(box, at)
        if math.dist(at, end) > _NEAR * self.size:
            self.marks.append(polyline([at, end], leader, 0.06 * self.size))
        self._write(lines, box.left, box.top, colour, False)
        return True

    def _covered(self, box: Box, ink: Sequence[Point]) -> int:
        """Return how many points of lines lie under a box or at its very edge."""
        pad = 0.15 * self.size
        across, along = (box.left - pad, box.right + pad), (box.top - pad, box.bottom + pad)
        return sum(across[0] < x < across[1] and along[0] < y < along[1] for x, y in ink)

    def _tries(self, at: Point, wide: float, high: float) -> Iterable[Box]:
        for ring in _RINGS:
            for turn in range(_TURNS):
                angle = 2 * math.pi * turn / _TURNS
                x = at[0] + math.cos(angle) * ring * self.size + wide / 2 * (math.cos(angle) - 1)
                y = at[1] - math.sin(angle) * ring * self.size - high / 2 * (math.sin(angle) + 1)
                yield Box(x, y, x + wide, y + high)

    def _write(self, lines: Sequence[str], left: float, top: float, colour: str, bold: bool) -> Box:
        size = self.size
        for i, line in enumerate(lines):
            baseline = top + size * (_RISE + _LEADING * i)
            self.marks.append(words(line, (left, baseline), colour, bold=bold))
            self.boxes.append(
                Box(
                    left,
                    baseline - _RISE * size,
                    left + self.width([line], bold=bold),
                    baseline + _FALL * size,
                )
            )
        return Box(left, top, left + self.width(lines, bold=bold), baseline + _FALL * size)


def _nearest(box: Box, at: Point) -> Point:
    return min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom)


def spread_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move heights as little as needed so that neighbours keep a gap and all stay between two ends.

    Parameters
    ----------
    wanted : Sequence[float]
        Heights, in rising order. [-]
    gap : float
        Least distance between neighbours, in the unit of the heights. [-]
    low : float
        Lower end. [-]
    high : float
        Upper end. [-]

    Returns
    -------
    list[float]
        New heights in the same order. [-]
    """
    placed: list[float] = []
    for height in wanted:
        placed.append(max(height, low if not placed else placed[-1] + gap))
    ceiling = high
    for i in reversed(range(len(placed))):
        placed[i] = min(placed[i], ceiling)
        ceiling = placed[i] - gap
    return placed
