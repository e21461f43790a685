"""The few SVG marks the drawings are made of, as strings. No ids: several drawings can share a page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from temperbench.faces.drawing.metrics import FAMILY
from temperbench.foundation.units import Pixel

__all__ = [
    "Box",
    "Point",
    "area",
    "clipped",
    "disc",
    "document",
    "hatching",
    "polyline",
    "rectangle",
    "words",
]

Point = tuple[float, float]


@dataclass(frozen=True)
class Box:
    """An upright rectangle on the page, y downwards. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> Pixel:
        """Right minus left. [px]"""
        return self.right - self.left

    @property
    def height(self) -> Pixel:
        """Bottom minus top. [px]"""
        return self.bottom - self.top

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come nearer to each other than ``gap``."""
        across = self.left < other.right + gap and other.left < self.right + gap
        return across and self.top < other.bottom + gap and other.top < self.bottom + gap

    def holds(self, other: Box) -> bool:
        """Whether ``other`` lies wholly inside."""
        across = self.left <= other.left and other.right <= self.right
        return across and self.top <= other.top and other.bottom <= self.bottom


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def polyline(points: Sequence[Point], colour: str, width: Pixel, dash: Sequence[float] = ()) -> str:
    """Draw an open line through points.

    Parameters
    ----------
    points : Sequence[Point]
        Corners of the line. [-]
    colour : str
        Of the stroke. [-]
    width : Pixel
        Of the stroke. [px]
    dash : Sequence[float]
        Lengths of strokes and gaps; none for a whole line. [-]

    Returns
    -------
    str
        The mark. [-]
    """
    dashed = f' stroke-dasharray="{" ".join(map(_n, dash))}"' if dash else ""
    return (
        f'<polyline points="{_points(points)}" fill="none" stroke="{colour}" stroke-width="{_n(width)}"'
        f' stroke-linejoin="round"{dashed}/>'
    )


def area(points: Sequence[Point], colour: str) -> str:
    """Fill the polygon through points."""
    return f'<polygon points="{_points(points)}" fill="{colour}"/>'


def rectangle(box: Box, colour: str) -> str:
    """Fill a box."""
    return (
        f'<rect x="{_n(box.left)}" y="{_n(box.top)}" width="{_n(box.width)}" height="{_n(box.height)}"'
        f' fill="{colour}"/>'
    )


def disc(at: Point, radius: Pixel, fill: str, edge: str, width: Pixel) -> str:
    """Draw a dot with an edge.

    Parameters
    ----------
    at : Point
        Its middle. [-]
    radius : Pixel
        Up to the middle of the edge. [px]
    fill : str
        Colour inside. [-]
    edge : str
        Colour of the edge. [-]
    width : Pixel
        Of the edge. [px]

    Returns
    -------
    str
        The mark. [-]
    """
    return (
        f'<circle cx="{_n(at[0])}" cy="{_n(at[1])}" r="{_n(radius)}" fill="{fill}" stroke="{edge}"'
        f' stroke-width="{_n(width)}"/>'
    )


def hatching(box: Box, colour: str, width: Pixel, gap: Pixel) -> str:
    """Fill a box with slanting lines, each cut at its edges.

    Parameters
    ----------
    box : Box
        What is filled. [-]
    colour : str
        Of the lines. [-]
    width : Pixel
        Of the lines. [px]
    gap : Pixel
        From line to line along the foot of the box. [px]

    Returns
    -------
    str
        The mark. [-]
    """
    pieces = []
    for i in range(math.ceil((box.width + box.height) / gap)):
        foot = box.left - box.height + i * gap + gap / 2
        x1, x2 = max(foot, box.left), min(foot + box.height, box.right)
        if x2 > x1:
            pieces.append(f"M{_n(x1)} {_n(box.bottom - (x1 - foot))}L{_n(x2)} {_n(box.bottom - (x2 - foot))}")
    return f'<path d="{"".join(pieces)}" stroke="{colour}" stroke-width="{_n(width)}"/>'


def clipped(marks: Iterable[str], box: Box) -> str:
    """Show of some marks only what lies inside a box."""
    frame = f"{_n(box.left)} {_n(box.top)} {_n(box.width)} {_n(box.height)}"
    return (
        f'<svg x="{_n(box.left)}" y="{_n(box.top)}" width="{_n(box.width)}" height="{_n(box.height)}"'
        f' viewBox="{frame}" overflow="hidden">{"".join(marks)}</svg>'
    )


def words(text: str, at: Point, colour: str, *, bold: bool = False) -> str:
    """Write one line of text, its baseline beginning at a point."""
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{_n(at[0])}" y="{_n(at[1])}" fill="{colour}"{weight}>{escape(text)}</text>'


def document(marks: Iterable[str], page: Box, size: Pixel, *, title: str, desc: str) -> str:
    """Return the whole drawing as one SVG element with its title and its description.

    Parameters
    ----------
    marks : Iterable[str]
        What is drawn, the last on top. [-]
    page : Box
        The drawing's size; its left top corner is the origin. [-]
    size : Pixel
        Font size. [px]
    title : str
        Name of the drawing. [-]
    desc : str
        What it shows, in a sentence. [-]

    Returns
    -------
    str
        The SVG element. [-]
    """
    wide, high = _n(page.width), _n(page.height)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}"'
        f' role="img" aria-label={quoteattr(desc)} font-family="\'{FAMILY}\', sans-serif" font-size="{_n(size)}">'
        f"<title>{escape(title)}</title><desc>{escape(desc)}</desc>{''.join(marks)}</svg>"
    )
