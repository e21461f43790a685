"""What a recorded run tells of its trouble: readings, times, the setting test, and the looks the cook tapped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from temperbench.foundation.evidence import number
from temperbench.insight.job import PART_MELTS
from temperbench.insight.live import Happening

__all__ = ["RunTold", "told_by_run"]

_MINUTE_MS = 60_000.0
_LOOKS = {"dull": "dull", "lines": "streaks", "soft": "will-not-set"}
_MELTS = ("burst", "warmed")  # what makes earlier tests, lumps and flow things of the past


@dataclass(frozen=True)
class RunTold:
    """Figures and signs of a run; None is not known."""

    hottest_c: float | None
    reads_c: float | None
    minutes: float | None  # from the hottest reading to now
    set_min: float | None
    not_set_min: float | None
    film: str | None
    signs: tuple[str, ...]


def told_by_run(happenings: Sequence[Happening], now_ms: int, method: str) -> RunTold:
    """Return what the happenings of a run tell; those taken back must be left out already.

    The hottest reading is that of all in a part-melt, and in the other methods that since the first seed went in:
    before that there was nothing to lose. What the bowl reads now is its last reading, while that is fresh.
    """
    start = 0
    if method not in PART_MELTS:
        start = next((i for i, h in enumerate(happenings) if h.kind in ("added", "seeded")), len(happenings))
    readings = [h for h in happenings[start:] if h.kind == "reading" and h.celsius is not None]
    fresh_ms = now_ms - number("trouble.present") * _MINUTE_MS
    last = next((h for h in reversed(happenings) if h.kind == "reading" and h.pressed_ms >= fresh_ms), None)
    top = max(readings, key=lambda h: h.celsius or 0.0) if readings else None
    minutes = None if top is None else max(0.0, (now_ms - top.pressed_ms) / _MINUTE_MS)
    test = _standing(happenings, "test")
    set_min = not_set = None
    if test is not None and test.minutes is None and test.seconds is not None:
        not_set = test.seconds / 60.0
    elif test is not None and test.minutes is not None:
        if test.look == "soft":
            not_set = test.minutes
        else:
            set_min = test.minutes
    return RunTold(
        None if top is None else top.celsius, None if last is None else last.celsius, minutes, set_min, not_set,
        None if test is None else test.film, _signs(happenings, test),
    )  # fmt: skip


def _standing(happenings: Sequence[Happening], kind: str) -> Happening | None:
    """Return the last happening of a kind that nothing has made a thing of the past."""
    for h in reversed(happenings):
        if h.kind in _MELTS:
            return None
        if h.kind == kind:
            return h
    return None


def _signs(happenings: Sequence[Happening], test: Happening | None) -> tuple[str, ...]:
    found = []
    flow, lumps = _standing(happenings, "flow"), _standing(happenings, "lumps")
    if flow is not None and flow.level in ("thick", "hardly"):
        found.append("thick")
    if lumps is not None and lumps.level in ("many", "some", "few"):
        found.append("lumpy")
    if test is not None and (test.minutes is None or test.look in _LOOKS):
        found.append(_LOOKS.get(test.look or "soft", "will-not-set"))
    return tuple(found)
