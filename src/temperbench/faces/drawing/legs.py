"""The two legs of the temperature path: up in bursts to the stop, stirred down into the working window."""

from __future__ import annotations

from itertools import pairwise

from temperbench.app.results import BurstPlan
from temperbench.faces.drawing.frame import Bounds, Frame, Limits, Sheet, band, curve, degree_axis, minute_axis
from temperbench.faces.drawing.labels import spread_apart
from temperbench.faces.drawing.svg import Box, Point, clipped, disc, hatching, polyline, rectangle
from temperbench.faces.drawing.words import degrees, minutes_between
from temperbench.foundation.units import Pixel

__all__ = [
    "bound_texts",
    "draw_down_leg",
    "draw_fan",
    "draw_up_leg",
    "edge_texts",
    "frame_down",
    "frame_up",
    "limit_line",
    "limit_lines",
    "name_down_leg",
    "name_edges",
    "name_up_leg",
]

_STRIP = 2.0  # height of the row of bursts under the up leg, in em
_HEADROOM_EM, _FOOTROOM_EM = 1.5, 0.3  # above the scorch alarm, for its name, and below the curve
_PAST_ARRIVAL = 1.15  # of the time after which nearly every bowl is in the window


def frame_up(plan: BurstPlan, box: Box, em: Pixel) -> Frame:
    """Return the frame of the way up: to above the scorch alarm and the hottest spot, with a line of room for words.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    box : Box
        Room for the frame. [-]
    em : Pixel
        Font size. [px]

    Returns
    -------
    Frame
        The frame. [-]
    """
    top = max(plan.scorch_c, *plan.up.high_c, *plan.up.hottest_c)
    low = min(plan.up.low_c)
    span = (top - low) / (1.0 - (_HEADROOM_EM + _FOOTROOM_EM) * em / box.height)
    room = span * em / box.height
    return Frame(box, plan.up.t_s[-1], low - _FOOTROOM_EM * room, top + _HEADROOM_EM * room)


def frame_down(plan: BurstPlan, box: Box) -> Frame:
    """Return the frame of the way down: the degrees between limit and working window, until nearly all are in it."""
    leg = plan.down
    top = max(plan.limit_c, leg.high_c[0])
    margin = 0.14 * (top - plan.work_from_c)
    through = next((t for t, mid in zip(leg.t_s, leg.mid_c, strict=True) if mid < plan.work_from_c), leg.t_s[-1])
    until = max(through, _PAST_ARRIVAL * 60.0 * plan.draw_down_min.high)
    return Frame(box, min(until, leg.t_s[-1]), plan.work_from_c - margin, top + margin)


def bound_texts(sheet: Sheet[Bounds]) -> tuple[tuple[float, str, str], ...]:
    """Return temperature, text and colour of window and limit, upwards. [°C]"""
    plan, theme, f = sheet.plan, sheet.theme, sheet.fahrenheit
    return (
        (plan.work_from_c, f"from {degrees(plan.work_from_c, f)}", theme.window),
        ((plan.work_from_c + plan.work_to_c) / 2, "work", theme.window),
        (plan.work_to_c, f"to {degrees(plan.work_to_c, f)}", theme.window),
        (plan.limit_c, f"limit {degrees(plan.limit_c, f)}", theme.limit),
    )


def edge_texts(sheet: Sheet[Limits]) -> tuple[tuple[float, str, str], ...]:
    """Return temperature, text and colour of what is named at the right edge, upwards. [°C]"""
    stop = sheet.plan.stop_c
    *window, limit = bound_texts(sheet)
    return (*window, (stop, f"stop {degrees(stop, sheet.fahrenheit)}", sheet.theme.ink), limit)


def name_edges(sheet: Sheet[Bounds], frame: Frame, names: tuple[tuple[float, str, str], ...]) -> None:
    """Write names to the right of a frame at their temperatures, moved apart where they would touch."""
    size = sheet.size
    downwards = sorted(names, reverse=True)
    wanted = [frame.y(celsius) for celsius, _, _ in downwards]
    heights = spread_apart(wanted, 1.15 * size, frame.box.top + 0.5 * size, frame.box.bottom - 0.5 * size)
    for (_, text, colour), height, aim in zip(downwards, heights, wanted, strict=True):
        x = frame.box.right
        tick = polyline([(x, aim), (x + 0.45 * size, height)], colour, 0.08 * size)
        sheet.marks.append(tick)
        sheet.labels.put(text, (x + 0.6 * size, height), colour, bold=True)


def limit_line(sheet: Sheet[Bounds], frame: Frame, left: Pixel, right: Pixel) -> str:
    """Return the limit, dashed and heavy.

    Parameters
    ----------
    sheet : Sheet
        The drawing. [-]
    frame : Frame
        Whose temperatures it stands at. [-]
    left : Pixel
        Where it begins. [px]
    right : Pixel
        Where it ends. [px]

    Returns
    -------
    str
        The mark. [-]
    """
    em, height = sheet.size, frame.y(sheet.plan.limit_c)
    sheet.labels.keep_clear_of([(left, height), (right, height)])
    return polyline([(left, height), (right, height)], sheet.theme.limit, 0.13 * em, (0.6 * em, 0.35 * em))


def limit_lines(sheet: Sheet[Limits], frame: Frame, left: Pixel, right: Pixel) -> list[str]:
    """Return the stop line, thin and whole, and the limit, dashed and heavy.

    Parameters
    ----------
    sheet : Sheet
        The drawing. [-]
    frame : Frame
        Whose temperatures they stand at. [-]
    left : Pixel
        Where they begin. [px]
    right : Pixel
        Where they end. [px]

    Returns
    -------
    list[str]
        The two marks. [-]
    """
    stop = frame.y(sheet.plan.stop_c)
    sheet.labels.keep_clear_of([(left, stop), (right, stop)])
    return [
        polyline([(left, stop), (right, stop)], sheet.theme.ink, 0.07 * sheet.size),
        limit_line(sheet, frame, left, right),
    ]


def draw_up_leg(sheet: Sheet[BurstPlan], whole: Box) -> Frame:
    """Draw the way up: bursts, band, steps, hottest spot, stop, limit, scorch alarm; return its frame."""
    em, theme, plan = sheet.size, sheet.theme, sheet.plan
    box = Box(whole.left, whole.top, whole.right, whole.bottom - _STRIP * em)
    frame = frame_up(plan, box, em)
    leg = plan.up
    degree_axis(sheet, frame, max(plan.scorch_c, *leg.hottest_c, *leg.high_c))
    minute_axis(sheet, frame, whole.bottom, "min")
    _bursts(sheet, frame, whole.bottom)
    scorch = frame.y(plan.scorch_c)
    hottest = frame.path(leg.t_s, leg.hottest_c) if leg.hottest_c else []
    marks = [band(sheet, frame, leg.t_s, leg.low_c, leg.high_c), *limit_lines(sheet, frame, box.left, box.right)]
    marks.append(polyline([(box.left, scorch), (box.right, scorch)], theme.limit, 0.07 * em, (0.1 * em, 0.3 * em)))
    if hottest:
        marks.append(polyline(hottest, theme.curve, 0.09 * em, (0.25 * em, 0.18 * em)))
        sheet.labels.keep_clear_of(hottest)
    marks.append(curve(sheet, frame, leg.t_s, leg.mid_c))
    sheet.marks.append(clipped(marks, box))
    end = (frame.x(leg.t_s[-1]), frame.y(leg.mid_c[-1]))
    sheet.marks.append(disc(end, 0.3 * em, theme.ground, theme.curve, 0.6 * sheet.pen))
    sheet.labels.keep_clear_of([(box.left, scorch), (box.right, scorch)])
    return frame


def name_up_leg(sheet: Sheet[BurstPlan], frame: Frame) -> None:
    """Write the names of the lines of the way up beside them."""
    plan, em, theme = sheet.plan, sheet.size, sheet.theme
    box, leg = frame.box, plan.up
    middle = len(leg.t_s) * 5 // 8
    at = (frame.x(leg.t_s[middle]), frame.y(leg.low_c[middle]))
    wordings = [["stirred bowl,", "9 of 10 in the band"], ["stirred bowl, 9 of 10 in the band"]]
    limit = frame.y(plan.limit_c)
    below, above = Box(box.left, limit, box.right, box.bottom), Box(box.left, box.top, box.right, limit)
    sheet.labels.put_near(wordings, at, below, theme.curve, theme.quiet)
    scorch = f"scorch {degrees(plan.scorch_c, sheet.fahrenheit)}"
    sheet.labels.put(scorch, (box.right, frame.y(plan.scorch_c) - 0.75 * em), theme.limit, align="right")
    if leg.hottest_c:
        hottest, t = max(zip(leg.hottest_c, leg.t_s, strict=True))
        at = (frame.x(t) + 0.2 * em, frame.y(hottest) - 0.3 * em)
        wordings = [["hottest spot, 19 of 20 below"], ["hottest spot,", "19 of 20 below"]]
        sheet.labels.put_near(wordings, at, above, theme.curve, theme.quiet)


def _bursts(sheet: Sheet[BurstPlan], frame: Frame, foot: Pixel) -> None:
    """Draw the row of bursts: a bar while the oven is on, with its seconds above.

    Steps follow one another; time of the leg that no step accounts for (door, lifting) is shared among them.
    """
    em, steps = sheet.size, sheet.plan.bursts
    busy = sum(step.seconds + step.rest_s + step.stir_s for step in steps)
    spare = (sheet.plan.up.t_s[-1] - busy) / max(1, len(steps))
    begin = 0.0
    room = Box(frame.box.left - em, foot - _STRIP * em, frame.box.right + em, foot)
    bars: list[tuple[int, float, float]] = []
    for step in steps:
        if step.seconds:
            bars.append((step.seconds, frame.x(begin), frame.x(begin + step.seconds)))
        begin += step.seconds + step.rest_s + step.stir_s + spare
    units = len(bars) < 2 or min(b[1] - a[2] for a, b in pairwise(bars)) > 1.6 * em
    for i, (seconds, left, right) in enumerate(bars):
        sheet.marks.append(rectangle(Box(left, foot - 0.55 * em, right, foot), sheet.theme.burst))
        text = f"{seconds} s" if units or i == 0 else f"{seconds}"
        at = ((left + right) / 2, foot - 1.2 * em)
        if sheet.labels.fits(text, at, room):
            sheet.labels.put(text, at, sheet.theme.burst, align="middle")


def draw_down_leg(sheet: Sheet[BurstPlan], whole: Box) -> Frame:
    """Draw the way down: hatched window, band, curve, and when it arrives; return its frame."""
    em, theme, plan = sheet.size, sheet.theme, sheet.plan
    frame = frame_down(plan, whole)
    leg = plan.down
    minute_axis(sheet, frame, whole.bottom, "min")
    top, foot = frame.y(plan.work_to_c), frame.y(plan.work_from_c)
    window = Box(whole.left, top, whole.right, foot)
    marks = [band(sheet, frame, leg.t_s, leg.low_c, leg.high_c)]
    marks.append(hatching(window, theme.window, 0.07 * em, 0.65 * em))
    marks += [polyline([(window.left, y), (window.right, y)], theme.window, 0.11 * em) for y in (top, foot)]
    marks += limit_lines(sheet, frame, whole.left, whole.right)
    marks.append(curve(sheet, frame, leg.t_s, leg.mid_c))
    sheet.marks.append(clipped(marks, whole))
    for y in (top, foot):
        sheet.labels.keep_clear_of([(window.left, y), (window.right, y)])
    sheet.marks.append(disc((frame.x(0), frame.y(leg.mid_c[0])), 0.3 * em, theme.ground, theme.curve, 0.6 * sheet.pen))
    return frame


def name_down_leg(sheet: Sheet[BurstPlan], frame: Frame) -> None:
    """Mark when the bowl reaches the window: median as a dot, band as a bar, and the time in words."""
    em, theme, plan = sheet.size, sheet.theme, sheet.plan
    down = plan.draw_down_min
    height = frame.y(plan.work_to_c)
    low, mid, high = (frame.x(60 * t) for t in (down.low, down.mid, down.high))
    bar = [(low, height), (min(high, frame.box.right), height)]
    sheet.marks.append(polyline(bar, theme.ink, 0.3 * em))
    sheet.marks.append(disc((mid, height), 0.36 * em, theme.ground, theme.ink, 0.13 * em))
    sheet.labels.keep_clear_of(bar)
    room = Box(frame.box.left, frame.box.top, frame.box.right, height)
    lines = ["in the window after", minutes_between(down.low, down.mid, down.high)]
    sheet.labels.put_near([lines], (mid, height - 0.6 * em), room, theme.ink, theme.quiet)


def draw_fan(sheet: Sheet[BurstPlan], up: Frame, down: Frame) -> None:
    """Join the four temperatures of the up frame to the same ones, drawn larger, of the down frame."""
    em, theme, plan = sheet.size, sheet.theme, sheet.plan
    pens: tuple[tuple[float, str, Pixel, tuple[float, ...]], ...] = (
        (plan.limit_c, theme.limit, 0.09 * em, (0.45 * em, 0.3 * em)),
        (plan.stop_c, theme.ink, 0.06 * em, ()),
        (plan.work_to_c, theme.window, 0.06 * em, ()),
        (plan.work_from_c, theme.window, 0.06 * em, ()),
    )
    for celsius, colour, width, dash in pens:
        ends: list[Point] = [(up.box.right, up.y(celsius)), (down.box.left, down.y(celsius))]
        sheet.marks.append(polyline(ends, colour, width, dash))
    edge = up.box.right
    window = Box(edge - 0.15 * em, up.y(plan.work_to_c), edge + 0.15 * em, up.y(plan.work_from_c))
    sheet.marks.append(rectangle(window, theme.window))
