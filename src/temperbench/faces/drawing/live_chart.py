"""The chart of a running bowl: the whole path so far, and the last degrees drawn large with what comes next."""

from __future__ import annotations

import math

from temperbench.app.results import Leg, LiveView
from temperbench.faces.drawing.canvas import blank_sheet, font_size
from temperbench.faces.drawing.frame import Frame, Sheet, band, curve, degree_axis, degree_ticks, minute_step
from temperbench.faces.drawing.legs import bound_texts, edge_texts, limit_line, limit_lines, name_edges
from temperbench.faces.drawing.svg import Box, clipped, disc, document, hatching, polyline
from temperbench.faces.drawing.words import degrees, degrees_between, forecast
from temperbench.foundation.units import Pixel

__all__ = ["live_caption", "live_chart_svg", "live_height"]

_NARROW_EM = 34.0  # below this width the two frames stand one above the other
_LEAST_WIDTH_EM = 17.0
_LEAST_HEIGHT_EM = 11.0
_GAP_EM = 3.4
_TITLE_EM = 2.0
_FOOT_EM = 1.6
_LARGE_SIZE = 17.0
_RECENT_S, _RECENT_ENDED_S = 240.0, 1200.0  # of the path that the large frame repeats
_NEAR_C = 4.0  # a bowl further than this from the window stays outside the large frame
_SO_FAR = "So far"
_LARGE, _LARGE_ENDED, _ENDED = "The last degrees, if stirred", "The last degrees", "finished"


def live_height(width: Pixel, theme: str) -> Pixel:
    """Return the height at which the chart of a running bowl of this width looks right.

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
    em = font_size(width, theme, _LARGE_SIZE)
    return round(em * 30) if width / em < _NARROW_EM else round(max(15 * em, min(0.62 * width, 24 * em)))


def live_caption(view: LiveView, *, fahrenheit: bool = False) -> str:
    """Say in one sentence what the chart of a running bowl shows; it is also its accessible description.

    Parameters
    ----------
    view : LiveView
        The bowl. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    count = len(view.readings)
    read = "no reading yet" if count == 0 else f"{count} reading" + ("s" if count > 1 else "")
    stop = f"stop at {degrees(view.stop_c, fahrenheit)}, " if view.stops else ""
    return (
        f"The bowl is at {forecast(view.now_c, fahrenheit)}, {read}; {stop}"
        f"limit at {degrees(view.limit_c, fahrenheit)}, working window "
        f"{degrees_between(view.work_from_c, view.work_to_c, fahrenheit)}."
    )


def live_chart_svg(view: LiveView, width: Pixel, height: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw a running bowl: band, readings with their errors, now, and the way ahead between the limits.

    From 34 em of width the two frames stand side by side, below it one above the other. For the theme "print"
    the sizes are points.

    Parameters
    ----------
    view : LiveView
        The bowl. [-]
    width : Pixel
        Width of the drawing, at least 17 em: 272 on a screen. [px]
    height : Pixel
        Height of the drawing, at least 11 em, or 22 em where the frames stand one above the other. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        One SVG element with title and description. [-]
    """
    em = font_size(width, theme, _LARGE_SIZE)
    narrow = width / em < _NARROW_EM
    least = (_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM * (2 if narrow else 1))
    sheet, whole = blank_sheet(view, (width, height), em, theme, least, fahrenheit=fahrenheit)
    first, second = _boxes(sheet, whole, narrow)
    _so_far(sheet, first)
    if narrow:
        name_edges(sheet, _frame_so_far(view, first), _edge_names(sheet)[3:])
    _large(sheet, second)
    said = live_caption(view, fahrenheit=fahrenheit)
    return document([*sheet.marks, *sheet.labels.marks], whole, em, title=f"Temperature path: {view.title}", desc=said)


def _boxes(sheet: Sheet[LiveView], whole: Box, narrow: bool) -> tuple[Box, Box]:
    """Return where the two frames stand, with room for tick labels and names."""
    em = sheet.size
    trial = Box(0, 0, 20 * em, 12 * em)
    frames = (_frame_so_far(sheet.plan, trial), _frame_large(sheet.plan, trial))
    ticks = [text for frame in frames for _, text in degree_ticks(frame, em, sheet.fahrenheit)]
    left = sheet.labels.width([*ticks, "°F"]) + 0.6 * em
    right = sheet.labels.width([text for _, text, _ in _edge_names(sheet)], bold=True) + 0.8 * em
    top, foot = _TITLE_EM * em, whole.height - _FOOT_EM * em
    if narrow:
        split = 0.4 * whole.height
        lower = Box(left, split + top + 0.4 * em, whole.width - right, foot)
        return Box(left, top, whole.width - right, split - _FOOT_EM * em), lower
    middle = left + 0.42 * (whole.width - left - right - _GAP_EM * em)
    return Box(left, top, middle, foot), Box(middle + _GAP_EM * em, top, whole.width - right, foot)


def _edge_names(sheet: Sheet[LiveView]) -> tuple[tuple[float, str, str], ...]:
    """Return what is named at the right edge: window and limit, and the stop where heating ends at it."""
    return edge_texts(sheet) if sheet.plan.stops else bound_texts(sheet)


def _level_lines(sheet: Sheet[LiveView], frame: Frame) -> list[str]:
    """Return the lines across a frame that `_edge_names` names."""
    ends = (frame.box.left, frame.box.right)
    return limit_lines(sheet, frame, *ends) if sheet.plan.stops else [limit_line(sheet, frame, *ends)]


def _now_s(view: LiveView) -> float:
    return view.path.t_s[-1] if view.path.t_s else 0.0


def _frame_so_far(view: LiveView, box: Box) -> Frame:
    """Return the frame of the whole path: from the cold bowl to above the limit."""
    top = max(view.limit_c + 0.5, *view.path.high_c, *(r.celsius for r in view.readings), view.now_c.high)
    low = min(view.work_from_c, *view.path.low_c, view.now_c.low)
    span = top - low
    return Frame(box, max(120.0, _now_s(view)), low - 0.05 * span, top + 0.05 * span)


def _frame_large(view: LiveView, box: Box) -> Frame:
    """Return the frame of the last degrees: window to limit, the bowl's own band where it is near."""
    low, high = view.work_from_c, view.limit_c
    if view.now_c.low > low - _NEAR_C:
        low = min(low, view.now_c.low)
    if view.now_c.high < high + _NEAR_C:
        high = max(high, view.now_c.high)
    margin = 0.14 * (high - low)
    now = _now_s(view)
    ahead = 0.0 if view.state == _ENDED else view.ahead.t_s[-1] if view.ahead.t_s else 900.0
    from_s = max(0.0, now - (_RECENT_ENDED_S if view.state == _ENDED else _RECENT_S))
    return Frame(box, max(now + ahead, from_s + 60.0), low - margin, high + margin, from_s)


def _title(sheet: Sheet[LiveView], text: str, box: Box) -> None:
    sheet.labels.put(text, (box.left, box.top - 1.3 * sheet.size), sheet.theme.ink, bold=True)


def _minutes(sheet: Sheet[LiveView], frame: Frame) -> None:
    """Draw the time axis with minutes since the start; the last tick carries the unit."""
    box, size, foot = frame.box, sheet.size, frame.box.bottom
    sheet.marks.append(polyline([(box.left, foot), (box.right, foot)], sheet.theme.quiet, 0.08 * size))
    span = (frame.until_s - frame.from_s) / 60
    step = minute_step(span, max(1.0, min(5.0, box.width / (3.4 * size))))
    first, last = math.ceil(frame.from_s / 60 / step - 1e-9), math.floor(frame.until_s / 60 / step + 1e-9)
    for i in range(first, last + 1):
        x = frame.x(60 * step * i)
        sheet.marks.append(polyline([(x, foot), (x, foot + 0.3 * size)], sheet.theme.quiet, 0.08 * size))
        number, at = f"{step * i:g}", (x, foot + 0.95 * size)
        if i < last:
            sheet.labels.put(number, at, sheet.theme.quiet, align="middle")
        else:
            beside = (x - sheet.labels.width([number]) / 2, at[1])
            sheet.labels.put(f"{number} min", beside, sheet.theme.quiet)


def _window(sheet: Sheet[LiveView], frame: Frame) -> list[str]:
    """Return the hatched working window with its two edges."""
    em, view, box = sheet.size, sheet.plan, frame.box
    window = Box(box.left, frame.y(view.work_to_c), box.right, frame.y(view.work_from_c))
    edges = [[(box.left, y), (box.right, y)] for y in (window.top, window.bottom)]
    for edge in edges:
        sheet.labels.keep_clear_of(edge)
    grid = [(box.left + box.width * i / 40, window.top + window.height * j / 4) for i in range(41) for j in range(5)]
    sheet.labels.keep_clear_of(grid, sparse=True)
    gap = 0.65 * em if window.height > 1.5 * em else 0.4 * em
    return [
        hatching(window, sheet.theme.window, 0.06 * em, gap),
        *(polyline(edge, sheet.theme.window, 0.09 * em) for edge in edges),
    ]


def _readings(sheet: Sheet[LiveView], frame: Frame) -> list[str]:
    """Return each reading as a dot with its error bar."""
    em, marks = sheet.size, []
    for reading in sheet.plan.readings:
        x, y = frame.x(reading.t_s), frame.y(reading.celsius)
        low, high = frame.y(reading.celsius - reading.error_c), frame.y(reading.celsius + reading.error_c)
        marks.append(polyline([(x, low), (x, high)], sheet.theme.ink, 0.11 * em))
        caps = 0.22 * em
        marks += [polyline([(x - caps, end), (x + caps, end)], sheet.theme.ink, 0.11 * em) for end in (low, high)]
        marks.append(disc((x, y), 0.24 * em, sheet.theme.ink, sheet.theme.ground, 0.07 * em))
        sheet.labels.keep_clear_of([(x, low), (x, high)])
    return marks


def _so_far(sheet: Sheet[LiveView], box: Box) -> None:
    """Draw the whole path so far."""
    view, em = sheet.plan, sheet.size
    frame = _frame_so_far(view, box)
    _title(sheet, _SO_FAR, box)
    degree_axis(sheet, frame)
    _minutes(sheet, frame)
    marks = [*_window(sheet, frame), *_level_lines(sheet, frame)]
    marks += _path(sheet, frame, view.path)
    marks += _readings(sheet, frame)
    sheet.marks.append(clipped(marks, box))
    end = (frame.x(_now_s(view)), frame.y(view.now_c.mid))
    sheet.marks.append(disc(end, 0.3 * em, sheet.theme.ground, sheet.theme.curve, 0.6 * sheet.pen))


def _path(sheet: Sheet[LiveView], frame: Frame, leg: Leg) -> list[str]:
    if len(leg.t_s) < 2:
        return []
    return [band(sheet, frame, leg.t_s, leg.low_c, leg.high_c), curve(sheet, frame, leg.t_s, leg.mid_c)]


def _ahead(sheet: Sheet[LiveView], frame: Frame) -> list[str]:
    """Return the forecast: its band, and its middle in long dashes."""
    leg, now, em = sheet.plan.ahead, _now_s(sheet.plan), sheet.size
    if len(leg.t_s) < 2 or sheet.plan.state == _ENDED:
        return []
    times = [now + t for t in leg.t_s]
    points = frame.path(times, leg.mid_c)
    sheet.labels.keep_clear_of([p for p in points if frame.box.top <= p[1] <= frame.box.bottom])
    return [
        band(sheet, frame, times, leg.low_c, leg.high_c),
        polyline(points, sheet.theme.curve, 0.7 * sheet.pen, (0.9 * em, 0.3 * em)),
    ]


def _large(sheet: Sheet[LiveView], box: Box) -> None:
    """Draw the last degrees large: recent path, readings, now, and the way ahead."""
    view, em, theme = sheet.plan, sheet.size, sheet.theme
    frame = _frame_large(view, box)
    _title(sheet, _LARGE_ENDED if view.state == _ENDED else _LARGE, box)
    degree_axis(sheet, frame)
    _minutes(sheet, frame)
    x = frame.x(_now_s(view))
    now = [(x, box.top), (x, box.bottom)]
    sheet.labels.keep_clear_of(now)
    under = [*_ahead(sheet, frame), *_window(sheet, frame), *_level_lines(sheet, frame)]
    over = [polyline(now, theme.ink, 0.11 * em, (0.12 * em, 0.24 * em)), *_readings(sheet, frame)]
    sheet.marks.append(clipped([*under, *_path(sheet, frame, view.path), *over], box))
    inside = frame.low_c < view.now_c.mid < frame.high_c
    if inside:
        at = (x, frame.y(view.now_c.mid))
        sheet.marks.append(disc(at, 0.3 * em, theme.ground, theme.curve, 0.6 * sheet.pen))
    name_edges(sheet, frame, _edge_names(sheet))
    said = degrees(view.now_c.mid, sheet.fahrenheit)
    where = "" if inside else ", below this frame" if view.now_c.mid < frame.low_c else ", above this frame"
    anchor = (x, frame.y(view.now_c.mid) if inside else box.bottom if "below" in where else box.top)
    sheet.labels.put_near([[f"now {said}{where}"], [f"now {said}{where[:7]}"]], anchor, box, theme.ink, theme.quiet)
