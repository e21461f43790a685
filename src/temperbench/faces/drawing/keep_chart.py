"""The chart of keeping a bowl: temperature and thickness over time, kept and left alone, between their limits."""

from __future__ import annotations

import math
from collections.abc import Sequence

from temperbench.app.keep_results import KeepPlan, Track
from temperbench.app.results import Leg
from temperbench.faces.drawing.canvas import blank_sheet, font_size
from temperbench.faces.drawing.frame import Frame, Sheet, band, curve, degree_axis, degree_ticks, minute_axis
from temperbench.faces.drawing.legs import edge_texts, limit_lines, name_edges
from temperbench.faces.drawing.svg import Box, Point, clipped, document, hatching, polyline
from temperbench.faces.drawing.words import degrees, minutes
from temperbench.foundation.evidence import number
from temperbench.foundation.units import Pixel

__all__ = ["keep_caption", "keep_chart_svg", "keep_height"]

_NARROW_EM = 46.0  # below this width the two frames stand one above the other
_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM = 19.0, 13.0
_GAP_EM, _TITLE_EM, _FOOT_EM = 3.4, 2.0, 1.6
_BESIDE_EM = 0.35  # a name keeps so far away from the side of its dashes
_LEAST_TOP = 3.0  # of the thickness frame
_HEAT, _THICK = "Temperature, stirred", "Thickness, times that without crystals"


def keep_height(width: Pixel, theme: str) -> Pixel:
    """Return the height at which a chart of keeping of this width looks right.

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


def keep_caption(plan: KeepPlan, *, fahrenheit: bool = False) -> str:
    """Say in one sentence what the chart shows; it is also its accessible description.

    Parameters
    ----------
    plan : KeepPlan
        The plan. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    return (
        f"Kept for {minutes(plan.minutes)}, looked at every {minutes(plan.every_min)}: it ends at "
        f"{degrees(plan.heat.mid_c[-1], fahrenheit)} and {plan.ratio.mid[-1]:.1f} times as thick as without crystals; "
        f"left alone it is too thick after {minutes(plan.left_alone.thick_min.mid)}."
    )


def keep_chart_svg(plan: KeepPlan, width: Pixel, height: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw how a kept bowl goes: bands of nine of ten bowls, and in dashes the bowl that is left alone.

    From 46 em of width the two frames stand side by side, below it one above the other. For the theme "print" the
    sizes are points.

    Parameters
    ----------
    plan : KeepPlan
        The plan. [-]
    width : Pixel
        Width of the drawing, at least 19 em: 304 on a screen. [px]
    height : Pixel
        Height of the drawing, at least 13 em, or 26 em where the frames stand one above the other. [px]
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
    first, second = _boxes(sheet, whole, narrow)
    _temperature(sheet, first)
    _thickness(sheet, second)
    said = keep_caption(plan, fahrenheit=fahrenheit)
    return document([*sheet.marks, *sheet.labels.marks], whole, em, title=plan.title, desc=said)


def _boxes(sheet: Sheet[KeepPlan], whole: Box, narrow: bool) -> tuple[Box, Box]:
    """Return where the two frames stand, with room for tick labels and names."""
    em = sheet.size
    trial = Box(0.0, 0.0, 20 * em, 12 * em)
    ticks = [text for _, text in degree_ticks(_heat_frame(sheet.plan, trial), em, sheet.fahrenheit)]
    left = sheet.labels.width([*ticks, "°F"]) + 0.6 * em
    names = sheet.labels.width([text for _, text, _ in edge_texts(sheet)], bold=True) + 0.8 * em
    room = sheet.labels.width(["too thick"], bold=True) + 0.8 * em
    top, foot = _TITLE_EM * em, whole.height - _FOOT_EM * em
    if narrow:
        middle = 0.5 * whole.height
        right = whole.width - max(names, room)
        return Box(left, top, right, middle - _FOOT_EM * em), Box(left, middle + top, right, foot)
    each = 0.5 * (whole.width - 2 * left - names - room - _GAP_EM * em)
    second = left + each + names + _GAP_EM * em + left
    return Box(left, top, left + each, foot), Box(second, top, second + each, foot)


def _until(plan: KeepPlan) -> float:
    return max(60.0 * plan.minutes, plan.heat.t_s[-1])


def _heat_frame(plan: KeepPlan, box: Box) -> Frame:
    low = min(plan.work_from_c, *plan.heat.low_c)
    high = max(plan.limit_c, *plan.heat.high_c)
    margin = 0.14 * (high - low)
    return Frame(box, _until(plan), low - margin, high + margin)


def _title(sheet: Sheet[KeepPlan], text: str, box: Box) -> None:
    sheet.labels.put(text, (box.left, box.top - 1.3 * sheet.size), sheet.theme.ink, bold=True)


def _temperature(sheet: Sheet[KeepPlan], box: Box) -> None:
    plan, em = sheet.plan, sheet.size
    frame = _heat_frame(plan, box)
    _title(sheet, _HEAT, box)
    degree_axis(sheet, frame)
    minute_axis(sheet, frame, box.bottom, "min")
    window = Box(box.left, frame.y(plan.work_to_c), box.right, frame.y(plan.work_from_c))
    gap = 0.65 * em if window.height > 1.5 * em else 0.4 * em
    marks = [
        hatching(window, sheet.theme.window, 0.06 * em, gap),
        *limit_lines(sheet, frame, box.left, box.right),
        band(sheet, frame, plan.heat.t_s, plan.heat.low_c, plan.heat.high_c),
        _alone(sheet, frame, plan.left_alone.heat),
        curve(sheet, frame, plan.heat.t_s, plan.heat.mid_c),
    ]
    sheet.marks.append(clipped(marks, box))
    name_edges(sheet, frame, edge_texts(sheet))


def _alone(sheet: Sheet[KeepPlan], frame: Frame, leg: Leg) -> str:
    """Return the bowl left alone, in long dashes."""
    points = frame.path(leg.t_s, leg.mid_c)
    return polyline(points, sheet.theme.quiet, 0.7 * sheet.pen, (0.9 * sheet.size, 0.3 * sheet.size))


def _as_leg(track: Track) -> Leg:
    return Leg(track.t_s, track.low, track.mid, track.high)


def _thickness(sheet: Sheet[KeepPlan], box: Box) -> None:
    plan, em = sheet.plan, sheet.size
    top = max(_LEAST_TOP, max(plan.ratio.high) + 0.2)
    frame = Frame(box, _until(plan), 0.9, top)
    _title(sheet, _THICK, box)
    minute_axis(sheet, frame, box.bottom, "min")
    step = 0.5 if top < 4.0 else 1.0
    for i in range(math.ceil(1.0 / step), math.floor(top / step) + 1):
        y = frame.y(step * i)
        sheet.level_line(box, y)
        sheet.labels.put(f"{step * i:g}", (box.left - 0.4 * em, y), sheet.theme.quiet, align="right")
    too_thick = frame.y(number("bowl.thick_ratio"))
    line = [(box.left, too_thick), (box.right, too_thick)]
    ratio = _as_leg(plan.ratio)
    marks = [
        band(sheet, frame, ratio.t_s, ratio.low_c, ratio.high_c),
        polyline(line, sheet.theme.limit, 0.12 * em, (0.6 * em, 0.35 * em)),
        _alone(sheet, frame, _as_leg(plan.left_alone.ratio)),
        curve(sheet, frame, ratio.t_s, ratio.mid_c),
    ]
    sheet.marks.append(clipped(marks, box))
    sheet.labels.put("too thick", (box.right + 0.4 * em, too_thick), sheet.theme.limit, bold=True)
    sheet.labels.keep_clear_of(line)
    _name_alone(sheet, box, frame.path(plan.left_alone.ratio.t_s, plan.left_alone.ratio.mid))


def _name_alone(sheet: Sheet[KeepPlan], box: Box, dashes: Sequence[Point]) -> None:
    """Name the dashed line beside the middle of what is seen of it."""
    for side in (-_BESIDE_EM, 0.0, _BESIDE_EM):
        sheet.labels.keep_clear_of([(x + side * sheet.size, y) for x, y in dashes])
    seen = [(x, y) for x, y in dashes if x < box.right and box.top < y < box.bottom]
    if seen:
        sheet.labels.put_near([["left alone"]], seen[len(seen) // 2], box, sheet.theme.quiet, sheet.theme.quiet)
