"""The chart of a plan: one function for tablet, phone and paper. The last degrees are drawn large."""

from __future__ import annotations

from temperbench.app.results import BurstPlan
from temperbench.faces.drawing import legs
from temperbench.faces.drawing.canvas import blank_sheet, font_size
from temperbench.faces.drawing.frame import Sheet, degree_ticks
from temperbench.faces.drawing.svg import Box, document
from temperbench.faces.drawing.words import caption
from temperbench.foundation.units import Pixel

__all__ = ["chart_svg", "fitting_height"]

_NARROW_EM = 46.0  # below this width the legs stand one above the other
_LEAST_WIDTH_EM = 19.0
_LEAST_HEIGHT_EM = 13.0  # of one row of frames
_FAN_EM = 3.2
_TITLE_EM = 2.0
_FOOT_EM = 1.6
_UP_TITLE = "Up: burst, stir, read"
_DOWN_TITLE = "Down from the stop, stirred"


def fitting_height(width: Pixel, theme: str) -> Pixel:
    """Return the height at which a chart of this width looks right.

    Parameters
    ----------
    width : Pixel
        Width of the chart. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]

    Returns
    -------
    Pixel
        Height. [px]
    """
    em = font_size(width, theme)
    return round(em * 36) if width / em < _NARROW_EM else round(max(18 * em, min(0.36 * width, 26 * em)))


def chart_svg(plan: BurstPlan, width: Pixel, height: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw both legs of a plan's temperature path.

    From 46 em of width the legs stand side by side, below it one above the other. For the theme "print" the
    sizes are points.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    width : Pixel
        Width of the drawing, at least 19 em: 304 on a screen. [px]
    height : Pixel
        Height of the drawing, at least 13 em, or 26 em where the legs stand one above the other. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        One SVG element with title and description. [-]
    """
    em = font_size(width, theme)
    narrow = width / em < _NARROW_EM
    least = (_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM * (2 if narrow else 1))
    sheet, whole = blank_sheet(plan, (width, height), em, theme, least, fahrenheit=fahrenheit)
    if narrow:
        _one_above_the_other(sheet, whole)
    else:
        _side_by_side(sheet, whole)
    said = caption(plan, fahrenheit=fahrenheit)
    marks = [*sheet.marks, *sheet.labels.marks]
    return document(marks, whole, em, title=f"Temperature path: {plan.title}", desc=said)


def _margins(sheet: Sheet[BurstPlan]) -> tuple[Pixel, Pixel]:
    """Return the room that tick labels need at the left and names at the right."""
    em = sheet.size
    trial = legs.frame_up(sheet.plan, Box(0, 0, 20 * em, 12 * em), em)
    ticks = [text for _, text in degree_ticks(trial, em, sheet.fahrenheit)]
    names = [text for _, text, _ in legs.edge_texts(sheet)]
    return sheet.labels.width(ticks) + 0.6 * em, sheet.labels.width(names, bold=True) + 0.8 * em


def _title(sheet: Sheet[BurstPlan], text: str, box: Box) -> None:
    at = (box.left, box.top - 1.3 * sheet.size)
    sheet.labels.put(text, at, sheet.theme.ink, bold=True)


def _side_by_side(sheet: Sheet[BurstPlan], whole: Box) -> None:
    em = sheet.size
    left, right = _margins(sheet)
    top, foot = _TITLE_EM * em, whole.height - _FOOT_EM * em
    room = whole.width - left - right - _FAN_EM * em
    first = Box(left, top, left + 0.52 * room, foot)
    second = Box(first.right + _FAN_EM * em, top, whole.width - right, foot)
    _title(sheet, _UP_TITLE, first)
    _title(sheet, _DOWN_TITLE, second)
    up, down = legs.draw_up_leg(sheet, first), legs.draw_down_leg(sheet, second)
    legs.draw_fan(sheet, up, down)
    legs.name_edges(sheet, down, legs.edge_texts(sheet))
    legs.name_up_leg(sheet, up)
    legs.name_down_leg(sheet, down)


def _one_above_the_other(sheet: Sheet[BurstPlan], whole: Box) -> None:
    em = sheet.size
    left, right = _margins(sheet)
    half = whole.height / 2
    first = Box(left, _TITLE_EM * em, whole.width - right, half - _FOOT_EM * em)
    second = Box(left, half + (_TITLE_EM + 0.5) * em, whole.width - right, whole.height - _FOOT_EM * em)
    _title(sheet, _UP_TITLE, first)
    _title(sheet, _DOWN_TITLE, second)
    up, down = legs.draw_up_leg(sheet, first), legs.draw_down_leg(sheet, second)
    names = legs.edge_texts(sheet)
    legs.name_edges(sheet, up, names[3:])
    legs.name_edges(sheet, down, names)
    legs.name_up_leg(sheet, up)
    legs.name_down_leg(sheet, down)
