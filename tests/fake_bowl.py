"""The bowl of the fake kitchen: warms by a table, cools by a law, and always has a next move."""

from __future__ import annotations

import math
from bisect import bisect_right

from temperbench.app.results import (
    Band,
    Countdown,
    Doubt,
    Happening,
    Leg,
    LiveView,
    Move,
    ReadingShown,
    RescueRow,
    WhatIf,
)

__all__ = ["FakeBowl", "seconds_after"]

STOP_C, LIMIT_C, FROM_C, TO_C, SCORCH_C, ROOM_C = 34.0, 34.5, 31.0, 32.0, 55.0, 20.0
_COOLING_S = 2880.0
_SOLID = ((20.0, 62.0), (30.6, 36.0), (31.8, 24.0), (32.6, 16.0), (33.7, 7.0), (34.0, 5.0), (34.6, 1.5), (36.0, 0.0))
_PASS_MIN = {"paper": 2.4, "knife": 7.0}
_NEXT = ((22.0, 60), (31.0, 20), (32.0, 14), (32.5, 16), (33.0, 12), (33.3, 8), (33.6, 4), (99.0, 3))


def seconds_after(step: dict[str, object]) -> float:
    """Return how long after the thing before a thing is pressed."""
    given = step.get("seconds")
    return (float(given) if isinstance(given, int | float) else 6.0) + 4.0


def _band(mid: float, half: float) -> Band:
    return Band(round(mid - half, 2), round(mid, 2), round(mid + half, 2))


def _solid(celsius: float) -> float:
    """Return the share of fat still solid, by straight lines between the rows of the table."""
    at = [c for c, _ in _SOLID]
    i = min(len(at) - 1, max(1, bisect_right(at, celsius)))
    (c0, s0), (c1, s1) = _SOLID[i - 1], _SOLID[i]
    return max(0.0, s0 + (s1 - s0) * (celsius - c0) / (c1 - c0))


def _warmer(celsius: float, seconds: float) -> float:
    """Return the temperature after a burst: quick while solid, slow while the crystals melt."""
    quick = min(seconds, max(0.0, 30.0 - celsius) / 0.173)
    return celsius + 0.173 * quick + 0.085 * (seconds - quick)


def _cooler(celsius: float, seconds: float) -> float:
    return ROOM_C + (celsius - ROOM_C) * math.exp(-seconds / _COOLING_S) if celsius > ROOM_C else celsius


class FakeBowl:
    """A bowl folded from what happened to it."""

    def __init__(self, run_id: str, title: str, grams: float, started_ms: int, count: int) -> None:
        """Begin with a cold bowl."""
        self.run_id, self.title, self.grams, self.started_ms, self.count = run_id, title, grams, started_ms, count
        self.celsius, self.error, self.t_ms = 20.0, 0.3, started_ms
        self.path: list[tuple[float, float, float]] = [(0.0, 20.0, 0.3)]
        self.readings: list[ReadingShown] = []
        self.last: Happening | None = None
        self.melted = self.tested = self.finished = False
        self.test_failed: str | None = None
        self.lost_at: float | None = None
        self.doubt: Doubt | None = None

    def take(self, what: Happening) -> None:
        """Let one thing happen."""
        self.doubt = None
        getattr(self, f"_take_{what.kind}", lambda _: None)(what)
        self.last, self.t_ms = what, max(self.t_ms, what.pressed_ms)
        if self.celsius > LIMIT_C and what.kind in ("burst", "reading"):
            self.lost_at = self.celsius
        elif self.celsius >= STOP_C - 0.25:
            self.melted = True
        self._mark()

    def _mark(self) -> None:
        t = max(self.path[-1][0], (self.t_ms - self.started_ms) / 1000)
        self.path.append((t, self.celsius, self.error))

    def _take_burst(self, what: Happening) -> None:
        seconds = what.seconds or 0.0
        begin = (what.pressed_ms - self.started_ms) / 1000 - seconds
        self.path.append((max(self.path[-1][0], begin), self.celsius, self.error))
        self.celsius = _warmer(self.celsius, seconds)
        self.error = min(0.9, self.error + 0.012 * seconds)

    def _take_stir(self, what: Happening) -> None:
        self.celsius = _cooler(self.celsius, what.seconds or 0.0)

    _take_stand = _take_stir

    def _take_reading(self, what: Happening) -> None:
        read = what.celsius or 0.0
        if abs(read - self.celsius) > 3.0:
            text = f"{read:.1f} °C does not fit: {self.celsius:.1f} °C was expected."
            self.doubt = Doubt(text, ("The reading is wrong.", "More chocolate than entered.", "A weaker oven."))
        self.celsius, self.error = read, 0.35
        t = (what.pressed_ms - self.started_ms) / 1000
        self.readings.append(ReadingShown(t, read, 0.3, what.thermometer or "probe"))

    def _take_added(self, what: Happening) -> None:
        share = (what.grams or 0.0) / (self.grams + (what.grams or 0.0))
        self.celsius = min(self.celsius - 22.0 * share, 34.1) if self.lost_at else self.celsius - 22.0 * share
        self.grams += what.grams or 0.0
        self.lost_at, self.melted, self.test_failed = None, True, None

    def _take_test(self, what: Happening) -> None:
        self.tested = what.minutes is not None and what.minutes < 4.0 and what.look == "sheen"
        self.test_failed = None if self.tested else "lines" if what.minutes is not None else "not set"

    def _take_finished(self, _: Happening) -> None:
        self.finished = True

    def _state(self) -> str:
        if self.finished:
            return "finished"
        if self.lost_at:
            return "lost"
        if self.tested:
            return "in temper"
        return "drawing down" if self.melted else "heating"

    def move(self) -> Move:
        """Return the next move."""
        if self.finished:
            return Move("finished", "Finished", "The bowl is used up and written in the book.", "")
        if self.lost_at:
            grams = 10 * round(self.grams * (self.lost_at - LIMIT_C + 0.8) / 220)
            thirds = (grams // 3, grams // 3, grams - 2 * (grams // 3))
            why = f"At {self.lost_at:.1f} °C the crystals that keep it in temper are gone; buttons bring them back."
            return Move("rescue", f"Stir in {grams} g", why, "A cooler reading after a long stir.", None, grams, thirds)
        if self.tested:
            return Move("ready", "Use it", "The smear set in time with a sheen.", "A dull or slow smear later.")
        if self.test_failed == "not set":
            why = "The smear did not set: too few crystals."
            return Move("rescue", "Stir in 20 g", why, "A smear that sets in time.", None, 20, (20,))
        if self.test_failed:
            return Move("wait", "Stir 180 s", "Lines in the smear: slightly too warm.", "A smear with sheen.", 180)
        return self._down() if self.melted else self._up()

    def _down(self) -> Move:
        if self.celsius <= TO_C + 0.05:
            why = f"It is in the working window at {self.celsius:.1f} °C: a smear shows whether it sets."
            return Move("test", "Test now", why, "A reading outside the window.")
        seconds = 30 * round(self._seconds_to(TO_C) / 30) or 30
        why = f"Stir until it reads {TO_C:.1f} °C; the crystals that are left seed the rest as it cools."
        return Move("draw down", "Draw down", why, "A reading below the window.", seconds)

    def _seconds_to(self, celsius: float) -> float:
        return _COOLING_S * math.log((self.celsius - ROOM_C) / (celsius - ROOM_C)) if self.celsius > celsius else 0.0

    def _up(self) -> Move:
        if self.last is not None and self.last.kind == "burst":
            seconds = 30 if self.celsius < 33.0 else 60
            why = "The outside is ahead of the middle; a reading before stirring would be wrong."
            return Move("stir", f"Stir {seconds} s", why, "Nothing until it is stirred.", seconds)
        seconds = next(s for c, s in _NEXT if self.celsius < c)
        ends = _warmer(self.celsius, seconds)
        why = f"It should then read {ends:.1f} °C ({ends - 0.4:.1f} to {ends + 0.4:.1f}), under the stop at 34.0 °C."
        mind = "Fewer lumps than expected, or a warmer reading."
        return Move("burst", f"Burst {seconds} s", why, mind, seconds, None, (), 0.02, 0.01)

    def _countdown(self, move: Move) -> Countdown | None:
        if move.kind not in ("stir", "wait", "draw down") or self.last is None or move.seconds is None:
            return None
        label = "Draw down" if move.kind == "draw down" else "Stir"
        return Countdown(label, self.last.pressed_ms, self.last.pressed_ms + 1000 * move.seconds)

    def what_if(self, seconds: int) -> WhatIf:
        """Return what a burst would do."""
        ends = _warmer(self.celsius, seconds)
        risk = 1.0 / (1.0 + math.exp((LIMIT_C - ends) / 0.2))
        return WhatIf(seconds, _band(ends, 0.5), _band(_solid(ends), 0.3 * _solid(ends)), round(risk, 3), 0.01)

    def view(self) -> LiveView:
        """Return everything a page shows."""
        move, solid = self.move(), _solid(self.celsius)
        t, mid, half = (tuple(column) for column in zip(*self.path, strict=True))
        ahead = tuple(30.0 * i for i in range(31))
        down = tuple(_cooler(self.celsius, s) for s in ahead)
        spread = tuple(self.error + 0.0006 * s for s in ahead)
        learnt = ("This oven gives about 610 W to this bowl; the label says 1000 W.",) if len(self.readings) > 1 else ()
        return LiveView(
            self.run_id, self.title, self.count, self.started_ms, self._state(), move, _band(self.celsius, self.error),
            self.celsius + 6.0, _band(solid, 0.25 * solid), STOP_C, LIMIT_C, FROM_C, TO_C, SCORCH_C,
            Leg(t, tuple(m - h for m, h in zip(mid, half, strict=True)), mid,
                tuple(m + h for m, h in zip(mid, half, strict=True))),
            Leg(ahead, tuple(m - h for m, h in zip(down, spread, strict=True)), down,
                tuple(m + h for m, h in zip(down, spread, strict=True))),
            tuple(self.readings), self._countdown(move), self.doubt, dict(_PASS_MIN), Band(15.0, 23.0, 29.0),
            RescueRow(self.lost_at, move.grams, 34.1, 3.2, "In thirds.", move.portions_g) if self.lost_at else None,
            learnt, 640,
        )  # fmt: skip
