"""The chart of any method: the whole temperature path with its band, its phases by name, and what goes in or out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from temperbench.app.results import MethodPlan
from temperbench.faces.drawing.canvas import blank_sheet, font_size
from temperbench.faces.drawing.frame import Frame, Sheet, band, curve, degree_ticks
from temperbench.faces.drawing.legs import bound_texts, limit_line, name_edges
from temperbench.faces.drawing.svg import Box, Point, clipped, disc, document, hatching, polyline
from temperbench.faces.drawing.time_axis import Stretch, draw_axis, place, stretches
from temperbench.faces.drawing.words import degrees, degrees_between, minutes_between, unit_sign
from temperbench.foundation.units import Pixel

__all__ = ["method_caption", "method_chart_svg", "method_height"]

_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM = 19.0, 12.0
_FOOT_EM = 1.6
_ROW_EM, _BRACKET_EM = 1.25, 0.5  # height of a row of names of phases, and of the brackets under them
_TOGETHER_EM = 2.6  # amounts nearer to each other share a label


def method_height(width: Pixel, theme: str) -> Pixel:
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
    return round(max(19 * em, min(0.45 * width, 26 * em)))


def method_caption(plan: MethodPlan, *, fahrenheit: bool = False) -> str:
    """Say in one sentence what the chart of a method shows; it is also the chart's accessible description.

    Parameters
    ----------
    plan : MethodPlan
        The plan. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    names = {
        "clear": ("cleared at", plan.clear_c), "draw down": ("drawn down to", plan.draw_down_c),
        "lift": ("lifted to", plan.lift_c),
    }  # fmt: skip
    told = [f"{word} {degrees(at, fahrenheit)}" for word, at in names.values() if at is not None]
    way = ", ".join(dict.fromkeys(phase.name for phase in plan.phases))
    time = minutes_between(plan.total_min.low, plan.total_min.mid, plan.total_min.high)
    aims = f": {', '.join(told)}" if told else ""
    return (
        f"The stirred bowl through {way}{aims}; after {time} it is in the working window, "
        f"{degrees_between(plan.work_from_c, plan.work_to_c, fahrenheit)}, under the limit of "
        f"{degrees(plan.limit_c, fahrenheit)}; the band holds nine of ten bowls."
    )


def method_chart_svg(plan: MethodPlan, width: Pixel, height: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw the whole temperature path of a method. For the theme "print" the sizes are points.

    Parameters
    ----------
    plan : MethodPlan
        The plan. [-]
    width : Pixel
        Width of the drawing, at least 19 em: 304 on a screen. [px]
    height : Pixel
        Height of the drawing, at least 12 em. [px]
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
    least = (_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM)
    sheet, whole = blank_sheet(plan, (width, height), em, theme, least, fahrenheit=fahrenheit)
    trial = _frame(plan, Box(0.0, 0.0, 20 * em, 12 * em))
    left = sheet.labels.width([*(text for _, text in degree_ticks(trial, em, fahrenheit)), "°F"]) + 0.6 * em
    right = sheet.labels.width([text for _, text, _ in bound_texts(sheet)], bold=True) + 0.8 * em
    across = Box(left, 0.0, width - right, height - _FOOT_EM * em)
    names = _phases(sheet, stretches(plan, _frame(plan, across), em), across)
    top = (_ROW_EM * (1 + max(name.row for name in names)) if names else 0.0) + _BRACKET_EM + 0.5
    room = _frame(plan, Box(across.left, top * em, across.right, across.bottom))
    parts = stretches(plan, room, em)
    _degrees(sheet, room, parts)
    draw_axis(sheet, parts, room.box.bottom)
    for part in parts:
        _draw(sheet, part)
    _name_phases(sheet, parts, names)
    name_edges(sheet, parts[-1].frame, bound_texts(sheet))
    _name_aims(sheet, parts)
    _name_amounts(sheet, parts)
    said = method_caption(plan, fahrenheit=fahrenheit)
    return document([*sheet.marks, *sheet.labels.marks], whole, em, title=f"Temperature path: {plan.title}", desc=said)


def _frame(plan: MethodPlan, box: Box) -> Frame:
    low = min(plan.work_from_c, *plan.path.low_c)
    high = max(plan.limit_c, plan.clear_c or plan.limit_c, *plan.path.high_c)
    margin = 0.05 * (high - low)
    return Frame(box, plan.path.t_s[-1], low - margin, high + margin)


def _degrees(sheet: Sheet[MethodPlan], room: Frame, parts: Sequence[Stretch]) -> None:
    """Draw the degrees left of the first stretch and their hairlines through all."""
    em, edge = sheet.size, room.box.left - 0.4 * sheet.size
    sheet.labels.put(unit_sign(sheet.fahrenheit), (edge, room.box.top - 0.2 * em), sheet.theme.quiet, align="right")
    for height, text in degree_ticks(room, em, sheet.fahrenheit):
        for part in parts:
            box = part.frame.box
            sheet.hairline((box.left, height), (box.right, height))
        count = max(2, round(room.box.width / em))
        spots = [(room.box.left + room.box.width * i / count, height) for i in range(count + 1)]
        sheet.labels.keep_clear_of(spots, sparse=True)
        if height > room.box.top + 0.9 * em:
            sheet.labels.put(text, (edge, height), sheet.theme.quiet, align="right")


def _draw(sheet: Sheet[MethodPlan], part: Stretch) -> None:
    """Draw what one stretch shows: window, limit, phases, band and curve."""
    plan, em, frame = sheet.plan, sheet.size, part.frame
    box, leg, theme = frame.box, plan.path, sheet.theme
    window = Box(box.left, frame.y(plan.work_to_c), box.right, frame.y(plan.work_from_c))
    ends = [
        polyline([(frame.x(p.to_s), box.top), (frame.x(p.to_s), box.bottom)], theme.line, 0.06 * em)
        for p in plan.phases
        if frame.from_s < p.to_s < frame.until_s
    ]
    marks = [
        *ends,
        band(sheet, frame, leg.t_s, leg.low_c, leg.high_c),
        hatching(window, theme.window, 0.07 * em, 0.5 * em),
        *(polyline([(box.left, y), (box.right, y)], theme.window, 0.09 * em) for y in (window.top, window.bottom)),
        limit_line(sheet, frame, box.left, box.right),
        polyline(frame.path(leg.t_s, leg.mid_c), theme.curve, sheet.pen),
    ]
    inside = [(t, c) for t, c in zip(leg.t_s, leg.mid_c, strict=True) if frame.from_s <= t <= frame.until_s]
    if len(inside) > 1:
        curve(sheet, frame, [t for t, _ in inside], [c for _, c in inside])
    for y in (window.top, window.bottom):
        sheet.labels.keep_clear_of([(box.left, y), (box.right, y)])
    sheet.marks.append(clipped(marks, box))


@dataclass(frozen=True)
class _Name:
    """The name of a phase: its bracket, the middle of its text and its row, 0 the lowest."""

    text: str
    left: Pixel
    right: Pixel
    at: Pixel
    row: int


def _spans(plan: MethodPlan, parts: Sequence[Stretch]) -> list[tuple[str, float, float]]:
    """Return the name of each phase that is drawn, with its left and right end on the page."""
    spans = []
    for phase in plan.phases:
        left = place(parts, phase.from_s + 1e-3)
        right = place(parts, min(phase.to_s, parts[-1].frame.until_s))
        if left is not None and right is not None and right > left:
            spans.append((phase.name, left, right))
    return spans


def _phases(sheet: Sheet[MethodPlan], parts: Sequence[Stretch], room: Box) -> list[_Name]:
    """Return where names of phases stand: in one row, or those too short for their names joined in a row above."""
    em, spans = sheet.size, _spans(sheet.plan, parts)
    if not spans:
        return []
    widths = [sheet.labels.width([name], bold=True) for name, _, _ in spans]
    ends = (0.0, room.right + 3 * em)
    middles = _apart([(a + b) / 2 for _, a, b in spans], widths, 0.7 * em, *ends)
    if all(a - 0.8 * em < x < b + 0.8 * em for (_, a, b), x in zip(spans, middles, strict=True)):
        return [_Name(n, a, b, x, 0) for (n, a, b), x in zip(spans, middles, strict=True)]
    own = [b - a > wide for (_, a, b), wide in zip(spans, widths, strict=True)]
    low = [_Name(n, a, b, (a + b) / 2, 0) for (n, a, b), fits in zip(spans, own, strict=True) if fits]
    tight = [list(run) for fits, run in groupby(range(len(spans)), key=own.__getitem__) if not fits]
    texts = [", ".join(spans[i][0] for i in run) for run in tight]
    brackets = [(spans[run[0]][1], spans[run[-1]][2]) for run in tight]
    wide = [sheet.labels.width([text], bold=True) for text in texts]
    above = _apart([(a + b) / 2 for a, b in brackets], wide, 0.7 * em, *ends)
    high = [_Name(text, a, b, x, 1) for text, (a, b), x in zip(texts, brackets, above, strict=True)]
    return [*low, *high]


def _apart(wanted: Sequence[float], widths: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move middles of texts as little as needed so that they keep a gap and stay between two ends."""
    placed: list[float] = []
    for middle, wide in zip(wanted, widths, strict=True):
        least = low + wide / 2 if not placed else placed[-1] + (widths[len(placed) - 1] + wide) / 2 + gap
        placed.append(max(middle, least))
    ceiling = high - widths[-1] / 2
    for i in reversed(range(len(placed))):
        placed[i] = min(placed[i], ceiling)
        ceiling = placed[i] - (widths[i] + widths[i - 1]) / 2 - gap
    return placed


def _name_phases(sheet: Sheet[MethodPlan], parts: Sequence[Stretch], names: Sequence[_Name]) -> None:
    """Draw a bracket over each phase, its name above it, tied to it where it stands aside or a row higher."""
    em, theme, box = sheet.size, sheet.theme, parts[0].frame.box
    bar = box.top - 0.3 * em
    for _, left, right in _spans(sheet.plan, parts):
        inset = min(0.12 * em, 0.2 * (right - left))
        sheet.marks.append(polyline([(left + inset, bar), (right - inset, bar)], theme.ink, 0.16 * em))
    for name in names:
        height = box.top - (_BRACKET_EM + _ROW_EM * (name.row + 0.5)) * em
        if name.row or not name.left < name.at < name.right:
            middle = (name.left + name.right) / 2
            sheet.marks.append(polyline([(middle, bar), (name.at, height + 0.5 * em)], theme.quiet, 0.06 * em))
        sheet.labels.put(name.text, (name.at, height), theme.ink, align="middle", bold=True)


def _value(plan: MethodPlan, t: float) -> float:
    """Return the median of the path at a time. [°C]"""
    leg = plan.path
    for (t1, c1), (t2, c2) in pairwise(zip(leg.t_s, leg.mid_c, strict=True)):
        if t1 <= t <= t2 and t2 > t1:
            return c1 + (c2 - c1) * (t - t1) / (t2 - t1)
    return leg.mid_c[-1]


def _spot(plan: MethodPlan, parts: Sequence[Stretch], t: float) -> Point | None:
    x = place(parts, t)
    return None if x is None else (x, parts[0].frame.y(_value(plan, t)))


def _room(parts: Sequence[Stretch], at: Point) -> Box:
    """Return the box of the stretch a point lies in: no label crosses a break of the scale."""
    return next((p.frame.box for p in parts if at[0] <= p.frame.box.right), parts[-1].frame.box)


def _name_aims(sheet: Sheet[MethodPlan], parts: Sequence[Stretch]) -> None:
    """Write the readings that end phases beside the curve where they are reached."""
    plan = sheet.plan
    aims = (("clear", plan.clear_c), ("draw down", plan.draw_down_c), ("lift", plan.lift_c))
    for name, celsius in aims:
        phase = next((p for p in plan.phases if p.name == name), None)
        if phase is None and celsius is not None:  # tabled or chilled instead
            phase = next((p for p in plan.phases if p.name in ("table", "chill")), None)
        if phase is None or celsius is None:
            continue
        inside = [t for t in (*plan.path.t_s, phase.to_s) if phase.from_s <= t <= phase.to_s]
        reached = min(inside, key=lambda t: (round(abs(_value(plan, t) - celsius), 1), t))
        at = _spot(plan, parts, reached)
        if at is not None:
            text = [f"{name} {degrees(celsius, sheet.fahrenheit)}"]
            sheet.labels.put_near([text], at, _room(parts, at), sheet.theme.curve, sheet.theme.quiet)


def _name_amounts(sheet: Sheet[MethodPlan], parts: Sequence[Stretch]) -> None:
    """Mark what goes in or out with the number of its step; those close together share their words."""
    em, theme = sheet.size, sheet.theme
    groups: list[list[tuple[int, int, Point]]] = []
    clock = 0.0
    for number, step in enumerate(sheet.plan.steps, 1):
        at = _spot(sheet.plan, parts, clock)
        clock += step.seconds.mid
        if step.amount_g is None or at is None:
            continue
        sheet.marks.append(disc(at, 0.34 * em, theme.ground, theme.burst, 0.14 * em))
        if groups and at[0] - groups[-1][-1][2][0] < _TOGETHER_EM * em:
            groups[-1].append((number, step.amount_g, at))
        else:
            groups.append([(number, step.amount_g, at)])
    for group in groups:
        grams = " + ".join(str(g) for _, g, _ in group) + " g"
        steps = f"step {group[0][0]}" if len(group) == 1 else f"steps {group[0][0]} to {group[-1][0]}"
        at = group[len(group) // 2][2]
        sheet.labels.put_near(
            [[f"{steps}: {grams}"], [f"{steps}:", grams]], at, _room(parts, at), theme.burst, theme.quiet
        )
