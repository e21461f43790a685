"""The sheet a chart begins on: its font size for a width and a theme, room for it, and its ground."""

from __future__ import annotations

from typing import TypeVar

from temperbench.faces.drawing.frame import Bounds, Sheet
from temperbench.faces.drawing.palette import theme_of
from temperbench.faces.drawing.svg import Box, rectangle
from temperbench.foundation.errors import within
from temperbench.foundation.units import Pixel

__all__ = ["blank_sheet", "font_size"]

_PAPER_SIZE = 9.5  # points; a drawing for paper counts in points
_WIDE = 900.0
_LARGE, _SMALL = 18.0, 16.0
_MOST = 1e5
_Drawn = TypeVar("_Drawn", bound=Bounds)


def font_size(width: Pixel, theme: str, large: Pixel = _LARGE) -> Pixel:
    """Return the font size of a drawing of this width.

    Parameters
    ----------
    width : Pixel
        Width of the drawing. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    large : Pixel
        Size on a wide screen. [px]

    Returns
    -------
    Pixel
        Font size; points for the theme "print". [px]
    """
    if theme == "print":
        return _PAPER_SIZE
    return large if width >= _WIDE else _SMALL


def blank_sheet(
    drawn: _Drawn, size: tuple[Pixel, Pixel], em: Pixel, theme: str, least_em: tuple[float, float], *, fahrenheit: bool
) -> tuple[Sheet[_Drawn], Box]:
    """Return an empty sheet with its ground, and its box; raise `InputError` where there is too little room.

    Parameters
    ----------
    drawn : Bounds
        The plan or bowl to be drawn. [-]
    size : tuple[Pixel, Pixel]
        Width and height. [px]
    em : Pixel
        Font size. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    least_em : tuple[float, float]
        Least width and height, in font sizes. [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    tuple[Sheet, Box]
        The sheet and the whole of it. [-]
    """
    for name, room, least in zip(("width", "height"), size, least_em, strict=True):
        within(f"chart {name}", room, least * em, _MOST, "px", "give the chart more room")
    sheet = Sheet(drawn, theme_of(theme), em, fahrenheit)
    whole = Box(0.0, 0.0, *size)
    sheet.marks.append(rectangle(whole, sheet.theme.ground))
    return sheet, whole
