"""One live bowl as a fold over its happenings: filter, clock, path, progress and the view of it all."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.insight.advice import Progress, advise, pass_minutes, progress_of, try_burst
from temperbench.insight.burst_plan import aims_of
from temperbench.insight.doubt import doubt_about
from temperbench.insight.estimation import ACTS, TELLS, BowlFilter
from temperbench.insight.job import PART_MELTS, BowlJob
from temperbench.insight.keeping.forecast import Ahead, look_on
from temperbench.insight.keeping.live_keep import asks_now, keeping_now
from temperbench.insight.keeping.result import LiveKeeping
from temperbench.insight.learning import learnt_from
from temperbench.insight.live import FILMS, Countdown, Doubt, Happening, LiveView, Move, ReadingShown, WhatIf
from temperbench.insight.methods.live_steps import advise_method
from temperbench.insight.over_bath import what_if_around
from temperbench.insight.particles import effective
from temperbench.insight.plan import Band, Leg, RescueRow
from temperbench.insight.rescue import rescue_row
from temperbench.insight.settled import Memory, RememberingFilter
from temperbench.insight.setup_job import Known, know, thermometer_figures
from temperbench.insight.temperatures import temperatures
from temperbench.insight.wording import title
from temperbench.kitchen.bowl_layout import GONE_AT
from temperbench.kitchen.bowls import Bowls
from temperbench.matter.crystals import TEMP

__all__ = ["LOOK_AGAIN", "Kept", "LiveRun", "counting"]


@dataclass(frozen=True)
class _Mark:
    """Where a run was after one of its happenings, to go back to."""

    filter: BowlFilter
    clock_ms: int | None
    path: int  # how many points long
    doubt: Doubt | None


@dataclass(frozen=True)
class Kept:
    """A whole run at one moment."""

    mark: _Mark
    ids: set[str]
    all: list[Happening]
    folded: list[Happening]
    path: list[tuple[float, float, float, float, float]]
    marks: list[_Mark]


_LONGEST_GAP_S = 3.0 * 3600.0
_AHEAD_MIN, _AHEAD_STEP_MIN, _SHOWN = 60.0, 3.0, 6
_KEPT = ("draw down", "test", "ready", "warm", "thin", "wait")  # moves of a bowl that can be kept
LOOK_AGAIN = "Look at the bowl again"
_LASTING = ("burst", "stir", "stand", "bath", "cabinet", "kettle", "tabled")  # pressed when they end


def counting(happenings: list[Happening]) -> list[Happening]:
    """Return the happenings that count: undone ones left out, corrected ones replaced."""
    undone = {h.of for h in happenings if h.kind == "undo"}
    corrected = {h.of: h for h in happenings if h.kind == "corrected" and h.id not in undone}
    found = []
    for one in happenings:
        h = one
        if h.kind in ("undo", "corrected") or h.id in undone:
            continue
        new = corrected.get(h.id)
        if new is not None:
            given = {
                k: v for k, v in dataclasses.asdict(new).items() if v is not None and k not in ("id", "kind", "of")
            }
            h = dataclasses.replace(h, **{**given, "pressed_ms": h.pressed_ms})
        found.append(h)
    return found


class LiveRun:
    """A bowl in the making. `fold` takes happenings in order; the same happenings give the same views."""

    def __init__(
        self, run_id: str, job: BowlJob, started_ms: int, known: Known | None = None, seed: int = 1,
        particles: int | None = None, memory: Memory | None = None,
    ) -> None:  # fmt: skip
        """Start from the job, or from what is known of its things by now."""
        self.run_id, self.job, self.started_ms = run_id, job, started_ms
        self.known = know(job) if known is None else known
        self.at = temperatures(self.known)
        self.aims = aims_of(self.known, self.at)
        self.all: list[Happening] = []
        self.filter: BowlFilter = RememberingFilter(self.known, particles, seed, memory)
        self.folded: list[Happening] = []
        self.clock_ms: int | None = None  # where the bowls stand; None until the first act
        self.path: list[tuple[float, float, float, float, float]] = []
        self.doubt: Doubt | None = None
        self.pass_min = {film: pass_minutes(self.filter, self.at, film) for film in FILMS}
        self._ids: set[str] = set()
        self._note(self.started_ms)
        self._marks = [self._mark()]

    def _mark(self) -> _Mark:
        return _Mark(self.filter.branch(), self.clock_ms, len(self.path), self.doubt)

    def _back_to(self, happenings: int) -> None:
        """Go back to where the run was after its first so many happenings that counted."""
        mark = self._marks[happenings]
        del self._marks[happenings + 1 :], self.folded[happenings:], self.path[mark.path :]
        self.filter, self.clock_ms, self.doubt = mark.filter.branch(), mark.clock_ms, mark.doubt

    def fold(self, happening: Happening) -> None:
        """Take one happening; a repeated id is ignored. Undoing and correcting fold anew from where they bear on.

        When it raises, the run is as it was before.
        """
        if happening.id in self._ids:
            return
        before = self.kept()
        try:
            self._fold(happening)
        except BaseException:
            self.back_to(before)
            raise

    def has(self, id: str) -> bool:
        """Tell whether a happening of this id was folded."""
        return id in self._ids

    def kept(self) -> Kept:
        """Return where the run is, to come back to if what follows cannot be."""
        return Kept(self._mark(), set(self._ids), [*self.all], [*self.folded], [*self.path], [*self._marks])

    def back_to(self, kept: Kept) -> None:
        """Be where the run was; each such place is good for one return."""
        self._ids, self.all, self.folded = kept.ids, kept.all, kept.folded
        self.path, self._marks = kept.path, kept.marks
        self.filter, self.clock_ms, self.doubt = kept.mark.filter, kept.mark.clock_ms, kept.mark.doubt

    def _fold(self, happening: Happening) -> None:
        self._ids.add(happening.id)
        self.all.append(happening)
        if happening.kind not in ("undo", "corrected"):
            self._take(happening)
            return
        wanted = counting(self.all)
        same = 0
        while same < min(len(wanted), len(self.folded)) and wanted[same] == self.folded[same]:
            same += 1
        self._back_to(same)
        for h in wanted[same:]:
            self._take(h)

    def _timed(self, h: Happening) -> Happening:
        """Return tabling with its times: what was not told is what passed since the bowl was last touched.

        Where hardly anything passed, the taps came late, all at once: then it took what it usually takes. A smear that
        did not set, with no time told, was watched until the pass time of its film.
        """
        if h.kind == "test" and h.minutes is None and h.seconds is None:
            return dataclasses.replace(h, seconds=60.0 * self.pass_min[h.film or FILMS[0]])
        if h.kind != "tabled" or h.seconds is not None:
            return h
        since = self.started_ms if self.clock_ms is None else self.clock_ms
        passed = min(max(0.0, (h.pressed_ms - since) / 1000.0), 60.0 * number("tabling.longest"))
        if passed < 60.0 * number("live.tabled_least"):
            moved = number("tabling.keep_usual") if h.minutes is None else h.minutes
            return dataclasses.replace(h, seconds=60.0 * number("live.tabled_spread"), minutes=moved)
        kept = min(60.0 * (number("tabling.keep_usual") if h.minutes is None else h.minutes), 0.5 * passed)
        return dataclasses.replace(h, seconds=passed - kept, minutes=kept / 60.0)

    def _take(self, told: Happening) -> None:
        h = self._timed(told)
        lasted = 1000.0 * ((h.seconds or 0.0) + 60.0 * (h.minutes or 0.0)) if h.kind in _LASTING else 0.0
        stand = 0.0
        if self.clock_ms is not None:
            stand = min(max(0.0, (h.pressed_ms - lasted - self.clock_ms) / 1000.0), _LONGEST_GAP_S)
        if h.kind in ACTS or h.kind in TELLS:
            self.filter.fold(h, stand)
            if h.kind in ACTS or self.clock_ms is not None:
                self.clock_ms = max(h.pressed_ms, self.clock_ms or 0)
            if h.kind in ("reading", "test"):
                self.doubt = doubt_about(self.filter)
        self.folded.append(told)
        self._note(h.pressed_ms)
        self._marks.append(self._mark())

    def _note(self, now_ms: int) -> None:
        f = self.filter
        t = max((now_ms - self.started_ms) / 1000.0, self.path[-1][0] if self.path else 0.0)
        low, mid, high = f.quantiles(f.bowls.temperature())
        (hottest,) = f.quantiles(f.bowls.zone(TEMP).max(axis=1), (0.95,))
        self.path.append((t, low, mid, high, hottest))

    def settle(self) -> None:
        """Let the particles move now, while the oven runs, instead of before the next happening."""
        self.filter.settle()

    def what_if(self, seconds: int) -> WhatIf:
        """Return what a burst of so many seconds would do; over a bath or in a cabinet, so many seconds there."""
        method = self.job.method
        if method == "microwave":
            return try_burst(self.filter, self.aims, seconds)
        if method not in PART_MELTS:
            allowed = "a bowl that is part-melted in an oven, over a bath or in a cabinet"
            raise InputError("seconds", seconds, allowed, "follow the advice, which is worked out anew at every step")
        told = self.job.cabinet_c if method == "cabinet" else self.job.bath_c
        warm = number(f"live.{method}_usual") if told is None else told
        return what_if_around(self.filter, self.aims, method, warm, seconds)

    def view(self) -> LiveView:
        """Return everything a page shows."""
        f, at = self.filter, self.at
        progress = progress_of(self.folded)
        move = self.move()

        crystals = _percent(f.quantiles(f.bowls.solid()))
        heat = f.quantiles(f.bowls.temperature())
        (hottest,) = f.quantiles(f.bowls.zone(TEMP).max(axis=1), (0.95,))
        bowls = f.advisers()
        found, ahead, workable = self._ahead(bowls)
        keeping = self._keeping(bowls, found, move, progress)

        return LiveView(
            run_id=self.run_id, title=title(self.job, self.known), happenings=len(self.all),
            started_ms=self.started_ms, state=_state(move, progress), move=move, now_c=_tenths(heat),
            hottest_c=round(hottest, 1), solid_pct_of_fat=crystals, stop_c=at.stop_c, limit_c=at.limit_c,
            work_from_c=at.work_from_c, work_to_c=at.work_to_c, scorch_c=at.scorch_c, path=self._leg(), ahead=ahead,
            readings=self._readings(), countdown=self._countdown(move, keeping), doubt=self.doubt,
            test_pass_min=self.pass_min, workable_min=workable, rescue=self._rescue(move, heat[1]),
            learnt=learnt_from(f) if progress.finished or len(self.folded) > 3 else (),
            effective=round(effective(f.weights)), keeping=keeping, stops=self.job.method in PART_MELTS,
        )  # fmt: skip

    def move(self) -> Move:
        """Return the next move, by the method of the job."""
        progress = progress_of(self.folded)
        if self.job.method == "microwave":
            return advise(self.filter, self.at, self.aims, progress)
        return advise_method(self.filter, self.at, self.aims, progress, self.folded)

    def _leg(self) -> Leg:
        t, low, mid, high, hottest = (tuple(round(v, 2) for v in c) for c in zip(*self.path, strict=True))
        return Leg(t, low, mid, high, hottest)

    def _readings(self) -> tuple[ReadingShown, ...]:
        found = []
        for h in self.folded:
            if h.kind == "reading" and h.celsius is not None:
                kind = h.thermometer or self.known.thermometer.kind
                figures = thermometer_figures(kind)
                error = max(abs(figures.bias.low), abs(figures.bias.high)) + 2.0 * figures.noise
                found.append(ReadingShown((h.pressed_ms - self.started_ms) / 1000.0, h.celsius, round(error, 2), kind))
        return tuple(found)

    def _countdown(self, move: Move, keeping: LiveKeeping | None) -> Countdown | None:
        last = self.folded[-1] if self.folded else None
        if last is not None and move.kind == "ready" and keeping is not None and not keeping.due:
            return Countdown(LOOK_AGAIN, last.pressed_ms, last.pressed_ms + round(60_000 * keeping.look_min))
        by_oven = move.kind == "burst" or (move.kind == "warm" and move.celsius is None)  # it has a timer of its own
        if move.seconds is None or by_oven:
            return None
        begin = self.started_ms if last is None else last.pressed_ms
        return Countdown(move.headline, begin, begin + 1000 * move.seconds)

    def _rescue(self, move: Move, heat: float) -> RescueRow | None:
        if move.kind not in ("rescue", "full melt") or heat < self.at.limit_c:
            return None
        return rescue_row(self.known, self.at, round(heat, 1))

    def _ahead(self, bowls: Bowls) -> tuple[Ahead, Leg, Band]:
        """The next hour stirred and left, its first quarter for the chart, and how long it stays workable."""
        found = look_on(bowls, self.known.chocolate.kind, _AHEAD_MIN, _AHEAD_STEP_MIN)
        ends = np.minimum(np.minimum(found.thick_s, found.cold_s), found.seconds[-1]) / 60.0
        low, mid, high = np.quantile(found.heat[:, :_SHOWN], [0.05, 0.5, 0.95], axis=0).round(2)
        times = tuple(found.seconds[:_SHOWN].tolist())
        shown = Leg(times, tuple(low.tolist()), tuple(mid.tolist()), tuple(high.tolist()))
        return found, shown, Band(*(round(float(v), 1) for v in np.quantile(ends, [0.05, 0.5, 0.95])))

    def _keeping(self, bowls: Bowls, ahead: Ahead, move: Move, progress: Progress) -> LiveKeeping | None:
        """How it is kept, once it is smooth and near its window; nothing while it is heated, lost or finished."""
        smooth = float((bowls.lumpiest() < bowls.members.rows[:, GONE_AT]).mean()) > 0.5
        if not smooth or move.kind not in _KEPT or np.median(bowls.temperature()) > self.at.stop_c:
            return None
        return keeping_now(bowls, self.at, asks_now(self.job, bowls, self.at, self.aims, progress.flow), ahead)


def _tenths(values: tuple[float, ...]) -> Band:
    low, mid, high = (round(v, 1) for v in values)
    return Band(low, mid, high)


def _percent(values: tuple[float, ...]) -> Band:
    low, mid, high = (round(100.0 * v, 1) for v in values)
    return Band(low, mid, high)


def _state(move: Move, progress: Progress) -> str:
    if progress.finished:
        return "finished"
    if move.kind in ("rescue", "full melt") and (progress.tested is None or move.risk_lost > 0.5):
        return "lost"
    if move.kind == "ready":
        return "in temper"
    if move.kind in ("warm", "thin") and progress.proven is not None:
        return "in temper"
    if move.kind in ("seed", "block out", "table", "chill"):
        return "seeding"
    return "drawing down" if move.kind in ("draw down", "test", "wait", "warm", "thin", "lift") else "heating"
