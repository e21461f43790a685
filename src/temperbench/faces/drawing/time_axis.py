"""The time axis of a whole method: minutes, and where a quiet night would crush the rest, hours on their own scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from temperbench.app.results import MethodPlan, PathPhase
from temperbench.faces.drawing.frame import Bounds, Frame, Sheet, minute_step
from temperbench.faces.drawing.svg import Box, polyline
from temperbench.foundation.units import Pixel

__all__ = ["Stretch", "draw_axis", "place", "stretches"]

_SLOW_S = 3600.0  # a phase at least this long may be drawn on a scale of its own
_SLOW_TIMES = 2.0  # and this many times as long as all the rest
_SLOW_SHARE = 0.3  # of the width goes to slow stretches
_KEEP_SHARE = 0.5  # of the time before it is drawn of the keeping
_KEEP_LEAST_S = 600.0
_BREAK_EM = 1.4  # between two scales
_HOUR_STEPS = (0.5, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0)


@dataclass(frozen=True)
class Stretch:
    """A stretch of the path with one scale, its own frame, and whether it counts in hours."""

    frame: Frame
    slow: bool


def _drawn_until(plan: MethodPlan, quick: float) -> float:
    """Return where the drawing ends: the keeping goes on, but need not take most of the width. [s]"""
    keep = next((p for p in reversed(plan.phases) if p.name == "keep"), None)
    if keep is None:
        return plan.path.t_s[-1]
    return min(plan.path.t_s[-1], keep.from_s + max(_KEEP_LEAST_S, _KEEP_SHARE * quick))


def _slow(phases: Sequence[PathPhase]) -> list[PathPhase]:
    """Return the phases so long that the others would vanish beside them."""
    lengths = [p.to_s - p.from_s for p in phases]
    return [
        phase
        for phase, length in zip(phases, lengths, strict=True)
        if length >= _SLOW_S and length >= _SLOW_TIMES * (sum(lengths) - length)
    ]


def stretches(plan: MethodPlan, room: Frame, em: Pixel) -> tuple[Stretch, ...]:
    """Return the stretches of a plan's path from left to right, with the box of each.

    Parameters
    ----------
    plan : MethodPlan
        A plan. [-]
    room : Frame
        The whole frame; its times are not read. [-]
    em : Pixel
        Font size. [px]

    Returns
    -------
    tuple[Stretch, ...]
        One without a break; up to three when a slow phase lies between quick ones. [-]
    """
    phases = [p for p in plan.phases if p.name != "keep"]
    slow = _slow(phases)
    quick = sum(p.to_s - p.from_s for p in phases if p not in slow)
    until = _drawn_until(plan, quick)
    edges = sorted({0.0, until, *(t for p in slow for t in (p.from_s, p.to_s) if 0.0 < t < until)})
    parts = [(a, b, any(p.from_s <= a and b <= p.to_s for p in slow)) for a, b in pairwise(edges)]
    gap = _BREAK_EM * em
    width = room.box.width - gap * (len(parts) - 1)
    kinds = {kind for _, _, kind in parts}
    share = {True: _SLOW_SHARE, False: 1.0 - _SLOW_SHARE} if len(kinds) == 2 else dict.fromkeys(kinds, 1.0)
    total = {kind: sum(b - a for a, b, k in parts if k is kind) for kind in kinds}
    found, left = [], room.box.left
    for a, b, kind in parts:
        right = left + width * share[kind] * (b - a) / total[kind]
        box = Box(left, room.box.top, right, room.box.bottom)
        found.append(Stretch(replace(room, box=box, from_s=a, until_s=b), kind))
        left = right + gap
    return tuple(found)


def place(parts: Sequence[Stretch], t: float) -> Pixel | None:
    """Return the place across of a time, or None where the drawing has ended before it.

    Parameters
    ----------
    parts : Sequence[Stretch]
        The stretches. [-]
    t : float
        On the path's clock, in seconds. [-]

    Returns
    -------
    Pixel | None
        From the left of the page. [px]
    """
    for part in parts:
        if t <= part.frame.until_s:
            return part.frame.x(max(t, part.frame.from_s))
    return None


def draw_axis(sheet: Sheet[Bounds], parts: Sequence[Stretch], foot: Pixel) -> None:
    """Draw the time axis of every stretch, and two strokes where the scale changes.

    Parameters
    ----------
    sheet : Sheet
        The drawing. [-]
    parts : Sequence[Stretch]
        The stretches. [-]
    foot : Pixel
        Height of the axis, from the top of the page. [px]
    """
    em, quiet = sheet.size, sheet.theme.quiet
    for i, part in enumerate(parts):
        box = part.frame.box
        sheet.marks.append(polyline([(box.left, foot), (box.right, foot)], quiet, 0.08 * em))
        _ticks(sheet, part, foot, later=i > 0)
        if i > 0:
            for end in (parts[i - 1].frame.box.right, box.left):
                stroke = [(end - 0.25 * em, foot + 0.5 * em), (end + 0.25 * em, foot - 0.5 * em)]
                sheet.marks.append(polyline(stroke, quiet, 0.12 * em))


def _ticks(sheet: Sheet[Bounds], part: Stretch, foot: Pixel, *, later: bool) -> None:
    frame, em = part.frame, sheet.size
    one = 3600.0 if part.slow else 60.0
    unit = ("h" if part.slow else "min") + (" later" if later else "")
    span = (frame.until_s - frame.from_s) / one
    room = max(2.0, min(6.0, frame.box.width / (2.6 * em)))
    step = _hours(span, room) if part.slow else minute_step(span, room)
    count = math.floor(span / step + 1e-9)
    for i in range(count + 1):
        x = frame.x(frame.from_s + one * step * i)
        sheet.marks.append(polyline([(x, foot), (x, foot + 0.3 * em)], sheet.theme.quiet, 0.08 * em))
        number, at = f"{step * i:g}", (x, foot + 0.95 * em)
        if i < count:
            sheet.labels.put(number, at, sheet.theme.quiet, align="middle")
            continue
        text, half = f"{number} {unit}", sheet.labels.width([number]) / 2
        over = x - half + sheet.labels.width([text]) - frame.box.right + 0.5 * em
        free = part.slow and over > 0.0
        sheet.labels.put(text, (frame.box.right - 0.5 * em if free else x - half, at[1]), sheet.theme.quiet,
                         align="right" if free else "left")  # fmt: skip


def _hours(span: float, room: float) -> float:
    return next((step for step in _HOUR_STEPS if span / step <= room), 24.0 * math.ceil(span / 24.0 / room))
