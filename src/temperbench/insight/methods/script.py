"""A method as a policy that each simulated bowl goes through by its own thermometer: acts, looks, a clock, a record.

`Run` carries an ensemble through acts; members go at their own pace, each on its own clock. A method is a function
that plays such a run from a few decision figures; `safest` finds the least careful figures that keep both risks and
measures them on fresh bowls; `plan_of` condenses the measured run into the frozen plan.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.plan import Leg
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.seeds import Seed

__all__ = ["Record", "Run", "Safe", "safest"]

_LOW, _HIGH = 0.05, 0.95
_IN_STEP = 6  # points of a step on the path, however short it is
_F = TypeVar("_F")


@dataclass
class Record:
    """What every member did in one step, on its own clock."""

    phase: str
    name: str  # short imperative
    hands_on: bool
    started_s: Array
    before_c: Array
    detail: str = ""  # how, and what to watch
    until: str = ""  # "falls to", "rises to", or "" when the step ends by the clock or by the look
    until_c: float | None = None
    ended_s: Array = field(default_factory=lambda: np.empty(0))
    after_c: Array = field(default_factory=lambda: np.empty(0))
    crystals: Array = field(default_factory=lambda: np.empty(0))  # stable, kg/kg fat
    reading_c: Array = field(default_factory=lambda: np.empty(0))  # the last look of the step, if any
    active: NDArray[np.bool_] = field(default_factory=lambda: np.empty(0, dtype=np.bool_))  # who took part at all
    grams: Array = field(default_factory=lambda: np.empty(0))  # what went in or out

    @property
    def seconds(self) -> Array:
        """How long the step took each member. [s]"""
        return self.ended_s - self.started_s


class Run:
    """An ensemble going through a method: every act advances all members, each by its own seconds."""

    def __init__(self, bowls: Bowls, rng: np.random.Generator) -> None:
        """Start all clocks at nought."""
        m = len(bowls.members)
        self.bowls, self.rng = bowls, rng
        self.clock, self.hands = np.zeros(m), np.zeros(m)
        self.peak_c = np.full(m, -100.0)
        self.records: list[Record] = []
        self._times: list[Array] = []
        self._heats: list[Array] = []
        self._hottest: list[Array] = []
        self.note()

    def __len__(self) -> int:
        """Return the number of members."""
        return len(self.clock)

    def temperature(self) -> Array:
        """Return what the path shows: the mean over each bowl, or over what is worked apart from it. [°C]"""
        return self.bowls.temperature()

    def stable(self) -> Array:
        """Return the stable crystals of what the path shows, per kg of fat. [1]"""
        return self.bowls.stable()

    def note(self) -> None:
        """Put the present temperature of every member on its path."""
        self._times.append(self.clock.copy())
        self._heats.append(self.temperature())
        self._hottest.append(self.bowls.zone(5).max(axis=1))
        self.peak_c = np.maximum(self.peak_c, self.bowls.hottest())

    def begin(
        self, phase: str, name: str, *, hands_on: bool = True, detail: str = "", until: str = "",
        until_c: float | None = None,
    ) -> Record:  # fmt: skip
        """Open a step, told in words; it ends with the next `begin` or `finish`."""
        self.finish()
        start = self.clock.copy(), self.temperature()
        record = Record(phase, name, hands_on, *start, detail=detail, until=until, until_c=until_c)
        record.reading_c, record.grams = np.full(len(self), np.nan), np.zeros(len(self))
        record.active = np.zeros(len(self), dtype=np.bool_)
        self.records.append(record)
        return record

    def finish(self) -> None:
        """Close the step that is open, if any."""
        if not self.records or len(self.records[-1].ended_s):
            return
        last = self.records[-1]
        last.ended_s, last.after_c = self.clock.copy(), self.temperature()
        last.crystals = self.stable()
        last.active |= last.ended_s > last.started_s
        if last.hands_on:
            self.hands += last.seconds

    def passes(self, seconds: Array | float, act: Callable[[Bowls, Array], None]) -> None:
        """Let an act of so many seconds per member happen to the bowls, and note where it leads."""
        took = np.broadcast_to(np.asarray(seconds, dtype=np.float64), (len(self),)).copy()
        act(self.bowls, took)
        self.clock += took
        self.note()

    def waits(self, seconds: Array | float) -> None:
        """Let time pass in which the bowls stay as they are, kept by what they stand in."""
        self.clock = self.clock + seconds
        self.note()

    def put(self, kilograms: Array | float, celsius: Array | float, seed: Seed | None = None) -> None:
        """Put something in; each member may get its own amount, or none."""
        kg = np.broadcast_to(np.asarray(kilograms, dtype=np.float64), (len(self),))
        self.bowls.add(kg, celsius, seed)
        if self.records:
            self.records[-1].grams = self.records[-1].grams + 1000.0 * kg
            self.records[-1].active |= kg > 0.0
        self.note()

    def stir(self, seconds: Array | float) -> None:
        """Stir by hand."""
        self.passes(seconds, lambda bowls, took: bowls.stir(took))

    def stand(self, seconds: Array | float) -> None:
        """Leave the bowl alone."""
        self.passes(seconds, lambda bowls, took: bowls.stand(took))

    def look(self) -> Array:
        """Read every bowl with its own thermometer. [°C]"""
        reading = self.bowls.read_thermometer(self.rng)
        if self.records:
            self.records[-1].reading_c = reading
        return reading

    def came_from(self, celsius: Array, seconds: Array, phase: str, name: str, **told: Any) -> None:
        """Put a step before the first one: the bowls came from other temperatures in so many seconds each."""
        if self.records or self.clock.any():
            raise ValueError("a step can be put before the first one only")
        hands_on = bool(told.pop("hands_on", True))
        record = Record(phase, name, hands_on, np.zeros(len(self)), celsius.copy(), **told)
        record.reading_c, record.grams = np.full(len(self), np.nan), np.zeros(len(self))
        record.active = np.ones(len(self), dtype=np.bool_)
        self.records.append(record)
        self._times.insert(0, np.zeros(len(self)))
        self._heats.insert(0, celsius.copy())
        self._hottest.insert(0, celsius.copy())
        self.clock = seconds.astype(np.float64)
        self._times[1] = self.clock.copy()
        self.finish()

    def until(
        self, done: Callable[[Array], NDArray[np.bool_]], every_s: float, longest_s: float,
        act: Callable[[Bowls, Array], None] | None = None, only: NDArray[np.bool_] | None = None,
    ) -> NDArray[np.bool_]:  # fmt: skip
        """Go on, stirring or by ``act``, and look every so many seconds, until a member's own reading is ``done``.

        Returns who never got there in ``longest_s``. ``only``: whom it concerns at all.
        """
        going = np.ones(len(self), dtype=np.bool_) if only is None else only.copy()
        does = act or (lambda bowls, took: bowls.stir(took))
        last = np.full(len(self), np.nan)
        passed = 0.0
        while True:
            reading = self.look()
            last = np.where(going, reading, last)
            going &= ~done(reading)
            if passed >= longest_s or not going.any():
                break
            self.passes(np.where(going, every_s, 0.0), does)
            passed += every_s
        self.records[-1].reading_c = last
        return going

    def lumpy(self) -> NDArray[np.bool_]:
        """Tell in which bowls a cook still sees lumps."""
        return np.asarray(self.bowls.lumpiest() >= number("bowl.gone"))

    def path(self, points: int = 60) -> Leg:
        """Return the temperature path of all members on a common clock: bands of the stirred mean, and the hottest."""
        times, heats, hottest = (np.array(column) for column in (self._times, self._heats, self._hottest))
        ends = [(float(np.median(r.started_s)), float(np.median(r.ended_s))) for r in self.records if len(r.ended_s)]
        end = float(np.median(self.clock))
        within = [np.linspace(a, min(b, end), _IN_STEP) for a, b in ends if a < end]
        grid = np.unique(np.round(np.concatenate([np.linspace(0.0, end, points), *within]), 1))
        own = np.array([np.interp(grid, times[:, m], heats[:, m]) for m in range(len(self))])
        hot = np.array([np.interp(grid, times[:, m], hottest[:, m]) for m in range(len(self))])
        low, mid, high = np.quantile(own, [_LOW, 0.5, _HIGH], axis=0)
        top = np.quantile(hot, _HIGH, axis=0)
        return Leg(*(tuple(round(float(v), 3) for v in column) for column in (grid, low, mid, high, top)))

    def lost(self) -> NDArray[np.bool_]:
        """Tell which bowls have too few stable crystals now; what could not be computed counts as lost."""
        return np.asarray((self.bowls.stable() < number("bowl.lost")) | (self.bowls.bad > 0))

    def scorched(self, scorch_c: float) -> NDArray[np.bool_]:
        """Tell in which bowls some part has been too hot at some time."""
        self.peak_c = np.maximum(self.peak_c, self.bowls.hottest())
        return np.asarray(self.peak_c > scorch_c)


@dataclass(frozen=True)
class Safe(Generic[_F]):
    """The figures a method settled on, the run of fresh bowls they were measured on, and the risks found."""

    figures: _F
    run: Run
    risk_lost: float
    risk_scorch: float
    kept: bool = False  # whether both risks were kept


def safest(
    known: Known, at: Temperatures, candidates: Iterable[_F], play: Callable[[_F, int, list[int]], Run], members: int,
    seed: int,
) -> Safe[_F]:  # fmt: skip
    """Return the first of the candidates, ordered from bold to careful, that keeps both risks on fresh bowls.

    ``play(figures, members, entropy)`` carries that many newly drawn bowls through the method. Each candidate is tried
    on a few bowls first, and measured on ``members`` others only when it may do. When none keeps the risks, the best
    of the measured ones is returned, or the most careful one when none was worth measuring; the plan says so.
    """
    job = known.job
    asked = job.risk, job.risk if job.risk_scorch is None else job.risk_scorch
    few = min(members, int(number("method.few")))
    best: Safe[_F] | None = None
    last: tuple[_F, int] | None = None
    for k, figures in enumerate(candidates):
        last = figures, k
        if few < members:
            tried = _measured(figures, play(figures, few, [seed, k, 0]), at)
            if not _within(tried, asked, few, -1.0):
                continue
        found = _measured(figures, play(figures, members, [seed, k, 1]), at)
        if _within(found, asked, members, 1.0):
            return replace(found, kept=True)
        if best is None or _excess(found, asked) < _excess(best, asked):
            best = found
    if best is not None:
        return best
    if last is None:
        raise ValueError("a method needs figures to choose from")
    figures, k = last
    return _measured(figures, play(figures, members, [seed, k, 1]), at)


def _measured(figures: _F, run: Run, at: Temperatures) -> Safe[_F]:
    run.finish()
    return Safe(figures, run, float(run.lost().mean()), float(run.scorched(at.scorch_c).mean()))


def _within(found: Safe[_F], asked: tuple[float, float], members: int, errors: float) -> bool:
    """Tell whether both risks are kept, by so many standard errors of what that many bowls can show."""
    return all(
        risk <= most - errors * math.sqrt(most * (1.0 - most) / members)
        for risk, most in zip((found.risk_lost, found.risk_scorch), asked, strict=True)
    )


def _excess(found: Safe[_F], asked: tuple[float, float]) -> float:
    return max(found.risk_lost / asked[0], found.risk_scorch / asked[1])
