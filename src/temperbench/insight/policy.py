"""A burst policy: seconds for the first burst, then seconds for each reading after each stir.

`make_policy` finds it by stepping an ensemble through the run: at every stage all members are carried through a burst
with marks, and for each row of the reading table the longest burst is kept that respects both risks and does not
carry the middle member past the stop. `follow` carries an ensemble through a policy.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_cycle import cycled_on_seconds
from temperbench.kitchen.bowl_layout import CYCLE, DELAY, GONE_AT, MASS, POWER, WALL_SHARE
from temperbench.kitchen.bowls import Bowls, Marks
from temperbench.kitchen.members import settled_solids
from temperbench.kitchen.settle import settle_states
from temperbench.matter.crystals import CP, FAT, H_5, PARCEL, TEMP, X5
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["Aims", "Look", "Outcome", "Policy", "Stage", "follow", "longest_allowed", "look_ahead", "make_policy"]

_LEAST_WEIGHT = 6.0  # effective members a row needs before its own figures count
_FEW = 0.02  # share of members still at it below which planning stops
_EVEN_MEMBERS = 64  # enough for heat balances
_NARROWEST = 0.15  # K, half width of the neighbourhood a row learns from


@dataclass(frozen=True)
class Aims:
    """What a run is steered to and what it may risk."""

    stop_c: float
    scorch_c: float
    lost: float  # stable crystals per fat below which the bowl is lost
    risk_lost: float
    risk_scorch: float
    by_eye: bool = False
    read_s: float = 0.0  # how long the thermometer takes to stand still

    def edges(self) -> Array:
        """Upper ends of the reading rows but the last, ascending. [°C]"""
        below = array("plan.rows.by_eye" if self.by_eye else "plan.rows.below_stop")
        return self.stop_c - np.array(below)


@dataclass(frozen=True)
class Policy:
    """First burst and, per stage (bursts already done), seconds for each reading row; 0 means stir only."""

    first_s: int
    edges_c: tuple[float, ...]
    table: tuple[tuple[int, ...], ...]
    stirs_s: tuple[int, ...]  # stir after a burst chosen in that row; the last row is the last stir
    first_stir_s: int
    handling_s: float  # taking the bowl out and putting it back
    read_s: float  # the thermometer stands still this long after it was put in, which is when stirring begins

    def rests(self, stirs: Array) -> Array:
        """Return how long the bowl is not stirred in each step: handling, and waiting for the thermometer. [s]"""
        return np.maximum(self.handling_s, self.read_s - stirs)

    def rows(self, reading: Array) -> NDArray[np.intp]:
        """Return the row of each reading."""
        return np.searchsorted(np.array(self.edges_c), reading, side="right")

    def seconds(self, stage: int, rows: NDArray[np.intp]) -> Array:
        """Return the seconds of each row at a stage; later stages than planned use the last."""
        return np.array(self.table[min(stage, len(self.table)) - 1], dtype=np.float64)[rows]


@dataclass
class Stage:
    """What an ensemble did in one step: who took part, bursts, stirs, and the bowl after it."""

    active: NDArray[np.bool_]
    burst_s: Array
    stir_s: Array
    before_c: Array
    burst_c: Array
    after_c: Array
    reading_c: Array
    solid: Array
    hottest_c: Array


@dataclass
class Outcome:
    """End of a policy on an ensemble: the bowls, and how each member fared."""

    bowls: Bowls
    lost: NDArray[np.bool_]
    scorched: NDArray[np.bool_]
    seconds: Array
    stages: list[Stage] = field(default_factory=list)


def _grid(longest: float) -> Array:
    """Bursts to choose from, with none at all in front."""
    marks = np.array(array("plan.bursts"))
    return np.concatenate([[0.0], marks[marks <= max(longest, marks[0])]])


def longest_allowed(good: Array, grid: Array) -> int:
    """Longest burst of a prefix of allowed marks; 0 when none is allowed."""
    n = int(np.argmin(good)) if not good.all() else len(good)
    return 0 if n == 0 else int(grid[n - 1])


@dataclass
class Look:
    """What each burst of the grid would do to each member: settled temperature and solids, peaks."""

    grid: Array
    settled_c: Array
    lost: Array
    scorched: Array
    marks: Marks | None = None
    solid: Array = field(default_factory=lambda: np.empty((0, 0)))

    def allowed(self, weights: Array, aims: Aims, scorch_share: float) -> Array:
        """Return which bursts of the grid keep both risks of the weighted members and do not pass the stop."""
        w = weights / weights.sum()
        p_lost = w @ self.lost
        p_scorch = w @ self.scorched
        order = np.argsort(self.settled_c, axis=0)
        cumulative = np.cumsum(w[order], axis=0)
        middle = np.take_along_axis(
            self.settled_c, np.take_along_axis(order, (cumulative >= 0.5).argmax(axis=0)[None], axis=0), axis=0
        )[0]
        return np.asarray(
            (p_lost - p_lost[0] <= number("plan.share.lost") * aims.risk_lost)
            & (p_scorch - p_scorch[0] <= scorch_share * aims.risk_scorch)
            & (middle <= aims.stop_c)
        )


def look_ahead(bowls: Bowls, aims: Aims, longest: float, level: float, grid: Array | None = None) -> Look:
    """Return what bursts of the usual seconds up to ``longest``, or of a given grid, would do to every bowl."""
    grid = _grid(longest) if grid is None else grid
    marks = bowls.burst_marks(grid, level)
    p = bowls.members
    out = settle_states(marks.states, bowls.zones, p.rows, p.curves, p.air_c, number("plan.stir.last"))
    scorched = marks.peaks.max(axis=2) > aims.scorch_c
    lost = out[:, :, 1] < aims.lost
    return Look(grid, out[:, :, 0], lost.astype(float), scorched.astype(float), marks, out[:, :, 1])


def make_policy(bowls: Bowls, aims: Aims, rng: np.random.Generator, level: float = 1.0) -> Policy:
    """Find the policy for an ensemble at its start; the ensemble is used up."""
    edges = aims.edges()
    near = aims.stop_c - number("plan.near_stop")
    lumpy, close, last = (int(number(f"plan.stir.{k}")) for k in ("lumpy", "near", "last"))
    stirs = tuple([lumpy if e <= near else close for e in edges] + [last])
    m = len(bowls.members)
    look = look_ahead(bowls, aims, _longest_first(bowls, aims, level), level)
    first = longest_allowed(look.allowed(np.ones(m), aims, number("plan.share.scorch")), look.grid)
    first = max(first, int(look.grid[1]))
    handling = number("bowl.rest.handling")
    policy = Policy(first, tuple(edges.tolist()), (), stirs, lumpy, handling, aims.read_s)
    even = _even_table(bowls.only(np.arange(min(m, _EVEN_MEMBERS))), aims, edges, level)
    _take(bowls, look, np.full(m, float(first)), np.full(m, float(lumpy)), policy)
    ceiling = np.full(len(edges) + 1, float(first))
    tables: list[tuple[int, ...]] = []
    last_stir, before = np.zeros(m, dtype=bool), np.full(m, float(first))
    for _ in range(int(number("plan.most_bursts")) - 1):
        going = np.flatnonzero(~_done(bowls, last_stir, rng))
        if len(going) < _FEW * m:
            break
        bowls = bowls.only(going)
        reading = bowls.read_thermometer(rng)
        look = look_ahead(bowls, aims, float(ceiling.max()), level)
        ceiling = _stage_table(look, aims, reading, edges, ceiling, even)
        tables.append(tuple(int(s) for s in ceiling))
        rows = policy.rows(reading)
        before = np.minimum(ceiling[rows], before[going])
        last_stir = ceiling[rows] == 0.0
        _take(bowls, look, before, np.array(stirs, dtype=np.float64)[rows], policy)
    return replace(policy, table=tuple(tables))


def _longest_first(bowls: Bowls, aims: Aims, level: float) -> float:
    """Seconds that would carry the weakest oven's bowl past the stop: no first burst is longer."""
    p = bowls.members
    heat = p.rows[:, MASS] * (p.rows[:, CP] * (aims.stop_c - p.start[:, TEMP]) + p.rows[:, FAT] * p.rows[:, H_5])
    return float(np.quantile(heat / p.rows[:, POWER], 0.5)) / level + 5.0


def _stage_table(look: Look, aims: Aims, reading: Array, edges: Array, ceiling: Array, even: Array) -> Array:
    """Seconds for each row after the present stir, never longer than ``ceiling`` (the stage before)."""
    n = len(edges) + 1
    seconds = np.zeros(n)
    ends = np.concatenate([[edges[0] - 2.0], edges, [edges[-1] + 1.0]])
    share = (1.0 - number("plan.share.scorch")) / 2.0
    known = np.zeros(n, dtype=bool)
    for r in range(n - 1):
        middle, width = 0.5 * (ends[r] + ends[r + 1]), max(_NARROWEST, 0.5 * (ends[r + 1] - ends[r]))
        near = np.abs(reading - middle) <= 2.0 * width
        w = np.exp(-0.5 * ((reading - middle) / width) ** 2) * near
        if w.sum() < _LEAST_WEIGHT:
            continue
        known[r] = True
        seconds[r] = longest_allowed(look.allowed(w, aims, share), look.grid)
    seconds = np.where(known, seconds, even)  # rows hardly anybody reached
    seconds = np.minimum(seconds, ceiling)
    seconds[:-1] = np.minimum.accumulate(seconds[:-1])
    seconds[-1] = 0.0
    return seconds


def _even_table(bowls: Bowls, aims: Aims, edges: Array, level: float) -> Array:
    """Seconds for each row of a bowl that is even and in equilibrium at the row's middle: heat balance alone."""
    p = bowls.members
    grid = _grid(_longest_first(bowls, aims, level))
    ends = np.concatenate([[edges[0] - 2.0], edges])
    seconds = np.zeros(len(edges) + 1)
    states = np.zeros((len(p), len(grid), p.start.shape[1]))
    watts = (1.0 - p.rows[:, WALL_SHARE]) * p.rows[:, POWER] / p.rows[:, MASS] / p.rows[:, CP]
    rise = cycled_on_seconds(grid, level, p.rows[:, CYCLE], p.rows[:, DELAY]) * watts[:, None]
    for r in range(len(edges)):
        middle = 0.5 * (ends[r] + ends[r + 1])
        solid = settled_solids(p.rows, p.curves, np.full(len(p), middle))
        for o in range(0, bowls.zones * PARCEL, PARCEL):
            states[:, :, o + TEMP] = middle + rise
            states[:, :, o + X5] = solid[:, None]
        states[:, :, -1] = middle
        out = settle_states(states, bowls.zones, p.rows, p.curves, p.air_c, 0.0)
        look = Look(grid, out[:, :, 0], (out[:, :, 1] < aims.lost).astype(float), np.zeros(out.shape[:2]))
        seconds[r] = longest_allowed(look.allowed(np.ones(len(p)), aims, 1.0), grid)
    return seconds


def _done(bowls: Bowls, last_stir: NDArray[np.bool_], rng: np.random.Generator) -> NDArray[np.bool_]:
    """Bowls that are finished, whatever they read: no lump left, and flowing with ease or stirred for the last time.

    Flow is judged by eye, with an error in the crystals that the cook takes for enough.
    """
    p = bowls.members
    smooth = bowls.lumpiest() < p.rows[:, GONE_AT]
    easy = crystals_at_ratio(number("plan.flows_ratio"), p.rows[:, FAT], p.kappa)
    judged = bowls.solid() * np.exp(p.eye * rng.standard_normal(len(p)))
    return np.asarray(smooth & (last_stir | (judged < easy)))


def _take(bowls: Bowls, look: Look, seconds: Array, stirs: Array, policy: Policy) -> None:
    """Let each member have its burst of the look, then stand and stir."""
    if look.marks is None:
        raise ValueError("this look was not made from bursts")
    bowls.take_marks(look.marks, np.searchsorted(look.grid, seconds))
    bowls.stand(np.where(seconds > 0.0, policy.handling_s / 2, 0.0))
    bowls.stir(stirs)
    bowls.stand(policy.rests(stirs) - policy.handling_s / 2)


def follow(
    policy: Policy, bowls: Bowls, aims: Aims, rng: np.random.Generator, level: float = 1.0, keep: bool = False
) -> Outcome:
    """Carry an ensemble through a policy, each member by its own readings; ``keep`` records every stage.

    A bowl found finished after a short stir gets the last stir all the same, for the lumps nobody saw.
    """
    m = len(bowls.members)
    stirred, enough, last = np.zeros(m), number("plan.stir.near"), number("plan.stir.last")
    active, last_stir = np.ones(m, dtype=bool), np.zeros(m, dtype=bool)
    total, stages = np.zeros(m), []
    longest = np.full(m, float(policy.first_s))
    stirs = np.array(policy.stirs_s, dtype=np.float64)
    for stage in range(int(number("plan.most_bursts"))):
        if stage == 0:
            seconds, stir = np.full(m, float(policy.first_s)), np.full(m, float(policy.first_stir_s))
            reading = np.full(m, np.nan)
        else:
            reading = bowls.read_thermometer(rng)
            done = active & _done(bowls, last_stir, rng)
            closing = done & (stirred < enough)
            active &= ~done | closing
            if not active.any():
                break
            rows = policy.rows(reading)
            told = np.minimum(policy.seconds(stage, rows), longest)
            seconds, stir = np.where(active & ~closing, told, 0.0), np.where(closing, last, stirs[rows])
        last_stir = seconds == 0.0
        longest = np.where(seconds > 0.0, seconds, longest)
        before = bowls.temperature() if keep else reading
        peak = bowls.peak.copy() if keep else bowls.peak
        if keep:
            bowls.peak[:] = -100.0
        bowls.burst(np.where(active, seconds, 0.0), level)
        burst_c = bowls.temperature() if keep else reading
        bowls.stand(np.where(active & (seconds > 0.0), policy.handling_s / 2, 0.0))
        bowls.stir(np.where(active, stir, 0.0))
        bowls.stand(np.where(active, policy.rests(stir) - policy.handling_s / 2, 0.0))
        total += np.where(active, seconds + stir + policy.rests(stir), 0.0)
        stirred = np.where(active, stir, stirred)
        if keep:
            hottest = bowls.peak.max(axis=1)
            bowls.peak = np.maximum(bowls.peak, peak)
            stages.append(Stage(active.copy(), seconds, stir, before, burst_c, bowls.reading(), reading, bowls.solid(),
                                hottest))  # fmt: skip
    lost = (bowls.stable() < aims.lost) | (bowls.bad > 0)  # what could not be computed counts as lost
    scorched = bowls.peak.max(axis=1) > aims.scorch_c
    return Outcome(bowls, lost, scorched, total, stages)
