"""Bowls with a history: for each way in which a run can go, an ensemble of bowls that went it, with what was told.

A path is three figures: the hottest stirred bowl while it had crystals to keep, the bowl now, and the time beyond what
it takes to cool. Told figures are drawn around what was told, by the thermometer's own error, and weigh by how well
they fit the path; what was not told is drawn from the path's range. In between the bowl cools as it would by itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.after_stop import HELD_STILL, even_rows, film_times
from temperbench.insight.job import PART_MELTS
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures, temperature_at_solid
from temperbench.insight.trouble.ask import TroubleAsk
from temperbench.kitchen.members import Members, draw, settled_solids, triangular
from temperbench.kitchen.parcel import parcel_states, run_parcels
from temperbench.matter.crystals import CP, FAT, TEMP, X5, X6, XU
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["History", "Ways", "group_of", "normal_cdf"]

_COOLING_MARKS = 30.0 * np.arange(0.0, 121.0)  # an hour, by the half minute [s]
_HOLDING_MARKS = 60.0 * np.arange(0.0, 241.0, 4.0)  # four hours [s]
_LEAST = 1e-7  # crystals that count as none
_SOONEST = 0.05  # min: a smear that is set at once


@dataclass(frozen=True)
class History:
    """An ensemble that went one way. All arrays (m,)."""

    log_weight: Array  # how well each member fits what was told
    hot_c: Array
    now_c: Array
    minutes: Array
    stable: Array  # kg/kg fat
    solid: Array
    unstable: Array
    lump_solid: Array  # solid share of the fat in what is not yet dispersed
    set_min: Array  # of a smear; infinity when not within half an hour
    members: Members


def normal_cdf(z: Array) -> Array:
    """Return the normal distribution function."""
    return np.asarray(0.5 * (1.0 + np.vectorize(math.erf, otypes=[np.float64])(z / math.sqrt(2.0))))


@dataclass(frozen=True)
class _Range:
    """Lowest, likeliest and highest figure of each member."""

    low: Array
    mode: Array
    high: Array

    def drawn(self, u: Array) -> Array:
        span = np.maximum(self.high - self.low, 1e-12)
        cut = (self.mode - self.low) / span
        up = self.low + np.sqrt(u * span * (self.mode - self.low))
        down = self.high - np.sqrt((1.0 - u) * span * (self.high - self.mode))
        return np.asarray(np.where(u < cut, up, down))

    def log_density(self, x: Array) -> Array:
        """Log density at ``x``, with the weight of a slip spread wide around it."""
        span = np.maximum(self.high - self.low, 1e-12)
        left = np.where(self.mode > self.low, (x - self.low) / np.maximum(self.mode - self.low, 1e-12), 1.0)
        right = np.where(self.high > self.mode, (self.high - x) / np.maximum(self.high - self.mode, 1e-12), 1.0)
        inside = np.clip(np.minimum(left, right), 0.0, 1.0) * 2.0 / span
        slip = number("trouble.path.slip")
        return np.log((1.0 - slip) * inside + slip / number("trouble.path.slip_width"))


class Ways:
    """Draws the ensembles of a question, the same kitchens for every way."""

    def __init__(self, ask: TroubleAsk, known: Known, aims: Temperatures, members: int, seed: int) -> None:
        """Draw the kitchens."""
        self.ask, self.known, self.aims = ask, known, aims
        self.rng = np.random.default_rng([seed, 7])
        self.members = draw(known.setup, members, np.random.default_rng([seed, 6]))
        self.m = members
        self.stop = temperature_at_solid(self.members, number("bowl.stop.left"))
        self.limit = temperature_at_solid(self.members, number("bowl.limit.left"))
        self.cold = number(f"bowl.cold.{known.chocolate.kind}")
        self.sites = triangular(self._u(), spread_of("crystals.sites_of_melted_down"), log=True)
        self.kept = self._seeded()

    def _u(self) -> Array:
        return np.asarray((self.rng.permutation(self.m) + self.rng.random(self.m)) / self.m)

    def _seeded(self) -> NDArray[np.bool_]:
        """Members that were melted fully and given their crystals afterwards."""
        if self.ask.method is None:
            return np.asarray(self._u() < number("trouble.prior.seeded"))
        return np.full(self.m, group_of(self.ask.method) == "seeded")

    def _around(self, row: str, base: Array | float = 0.0, sign: float = 1.0) -> _Range:
        low, mode, high = sorted(sign * x for x in array(f"trouble.path.{row}"))
        return _Range(base + np.full(self.m, low), base + np.full(self.m, mode), base + np.full(self.m, high))

    def _figure(self, of: _Range, told: float | None, error: Array | float, bias: Array) -> tuple[Array, Array]:
        """Draw a figure of a path and its log weight: around what was told, or from the path's range."""
        if told is None:
            return of.drawn(self._u()), np.zeros(self.m)
        value = told - bias - error * self.rng.standard_normal(self.m)
        return value, of.log_density(value)

    def history(self, way: str) -> History:
        """Return the ensemble that went this way."""
        bias, noise = self.members.bias_c, self.members.noise_c
        if way == "thermometer":
            off = self._around("thermometer.off").drawn(self._u())
            bias = np.where(self.rng.random(self.m) < 0.5, off, -off)
        shown = bias if way == "thermometer" else np.zeros(self.m)  # the cook steers by what is shown
        hot, weigh_hot = self._figure(self._hot(way, shown), self.ask.hottest_c, noise, bias)
        now, weigh_now = self._figure(self._now(way, hot, shown), self.ask.reads_c, noise, bias)
        hot = np.maximum(hot, now)
        air, weigh_air = self._air(way)
        stable, sites, lumps = self._crystals(way, hot)
        cooled = run_parcels(parcel_states(hot, stable, sites), even_rows(self.members), self.members.curves, air,
                             _COOLING_MARKS, number("bowl.shear.hand"), 0.02)  # fmt: skip
        minutes, weigh_minutes, y = self._now_after(way, cooled, now, air)
        weight = weigh_hot + weigh_now + weigh_minutes + weigh_air
        x = y[:, X5] + y[:, X6]
        set_min = film_times(self._in_air(air), y, triangular(self._u(), spread_of(f"film.{self.ask.film}.loss")))
        return History(weight, hot, now, minutes, x, x + y[:, XU], y[:, XU], lumps, set_min, self.members)

    def _in_air(self, air: Array) -> Members:
        return replace(self.members, air_c=air)

    def _hot(self, way: str, shown: Array) -> _Range:
        if way == "overheated":
            return self._around("overheated.above_limit", self.limit)
        melted = self._around("few.above_work" if way == "few" else "still_warm.above_work", self.aims.work_to_c)
        below = "lumps.below_stop" if way == "lumps" else "sound.below_stop"
        part = self._around(below, self.stop, -1.0)
        usual = _either(self.kept, melted, part, shown)
        if way == "any":  # half of them at any time from the first melting on
            return _either(self._half(), self._around("any.from_stop", self.stop), usual, 0.0)
        if way == "scorched":  # half of them the whole bowl, the others in one place only
            return _either(self._half(), self._around("scorched.above_stop", self.stop), usual, 0.0)
        return usual

    def _half(self) -> NDArray[np.bool_]:
        return np.asarray(np.arange(self.m) % 2 == 0)

    def _now(self, way: str, hot: Array, shown: Array) -> _Range:
        margin = number("trouble.path.work.margin")
        low, high = self.aims.work_from_c - margin, self.aims.work_to_c + margin
        if way == "cold":
            return self._around("cold.below", self.cold, -1.0)
        if way == "warm":
            warm = self._around("still_warm.above_work", self.aims.work_to_c)
            return _Range(warm.low, np.minimum(warm.mode, np.maximum(hot, warm.low)), np.maximum(hot, warm.high))
        middle, half = np.full(self.m, 0.5 * (low + high)), 0.5 * (high - low)
        window = _Range(middle - half, middle, middle + half)
        if way in ("sound", "long", "warm-room"):
            return window
        top = np.maximum(hot, high - shown)  # anywhere between the window and the hottest
        mode = top if way in ("scorched", "lumps") else np.minimum(high - shown, top)
        between = _Range(np.minimum(low - shown, mode), mode, top)
        return _either(self._half(), between, window, 0.0) if way == "any" else between

    def _air(self, way: str) -> tuple[Array, Array]:
        """Room of each bowl and its log weight: a told room is a fact for all, and speaks for or against a warm one."""
        told = self.ask.job.room_c
        of = self._around("warm_room" if way == "warm-room" else "room")
        if told is not None:
            return self.members.air_c, of.log_density(self.members.air_c)
        return (of.drawn(self._u()) if way == "warm-room" else self.members.air_c), np.zeros(self.m)

    def _extra(self, way: str, cooling: Array) -> tuple[Array, Array]:
        """Minutes beyond what the bowl takes to cool by itself, and the log weight of those told."""
        row = {"long": "long.minutes", "warm": "still_warm.minutes"}.get(way, "sound.minutes")
        of = self._around(row)
        if self.ask.minutes is None:
            return of.drawn(self._u()), np.zeros(self.m)
        told = self.ask.minutes * np.exp(number("trouble.path.minutes_told") * self.rng.standard_normal(self.m))
        extra = np.maximum(told - cooling, 0.0)  # less than that: it was cooled
        return extra, of.log_density(extra)

    def _crystals(self, way: str, hot: Array) -> tuple[Array, Array, Array]:
        """Stable crystals and growth sites at the hottest, and the solid share of what is not dispersed."""
        ceiling = settled_solids(self.members.rows, self.members.curves, hot)
        few = np.exp(self._log_around("few").drawn(self._u()))
        given = self._around("seeded").drawn(self._u())
        if way in ("few", "dead"):
            x = np.minimum(few, ceiling)
            return x, 100.0 * x, np.zeros(self.m)
        if way == "lumps":
            left = self._around("seed_left").drawn(self._u())
            x = np.where(self.kept, left, ceiling)
            return x, 100.0 * x * np.where(self.kept, 1.0, self.sites), np.where(self.kept, number("bowl.soft"), x)
        x = np.where(self.kept, np.minimum(given, ceiling), ceiling)
        sites = np.where(self.kept, 100.0 * x, 100.0 * x * self.sites)
        return x, sites, np.where(self.kept, 0.0, x)

    def _log_around(self, row: str) -> _Range:
        low, mode, high = (math.log(x) for x in array(f"trouble.path.{row}"))
        return _Range(np.full(self.m, low), np.full(self.m, mode), np.full(self.m, high))

    def _now_after(self, way: str, cooled: Array, now: Array, air: Array) -> tuple[Array, Array, Array]:
        """Return minutes, their log weight and the state: cooled by itself to where it is, and kept there."""
        every, last = np.arange(self.m), len(_COOLING_MARKS) - 1
        there = cooled[:, :, TEMP] <= now[:, None]
        reached = np.where(there.any(axis=1), there.argmax(axis=1), last)
        cooling = _COOLING_MARKS[reached] / 60.0
        extra, weight = self._extra(way, cooling)
        told = self.ask.minutes
        at = reached if told is None else np.minimum(reached, np.searchsorted(_COOLING_MARKS, 60.0 * told))
        y = np.ascontiguousarray(cooled[every, at])
        y[:, TEMP] = now
        y[:, -1] = now
        return cooling + extra, weight, self._kept(y, 60.0 * extra, air)

    def _kept(self, y: Array, seconds: Array, air: Array) -> Array:
        """Return what bowls are after so many seconds at the temperature they have."""
        rest = np.clip(seconds, 0.0, _HOLDING_MARKS[-1])
        rows, every = even_rows(self.members), np.arange(self.m)
        rows[:, CP] = HELD_STILL
        marks = _HOLDING_MARKS[: max(int(np.searchsorted(_HOLDING_MARKS, rest.max())), 1) + 1]
        held = run_parcels(y, rows, self.members.curves, air, marks, number("bowl.shear.hand"), 0.02)
        left = np.clip(np.searchsorted(marks, rest, side="right") - 1, 0, len(marks) - 2)
        share = ((rest - marks[left]) / (marks[left + 1] - marks[left]))[:, None]
        return np.asarray((1.0 - share) * held[every, left] + share * held[every, left + 1])

    def features(self, history: History, pass_min: float) -> Array:
        """Return how far each figure of a bowl stands out, 0 to 1, by the table's features. (m, features)"""
        edge, eye = number("trouble.judge.soft_edge"), number("trouble.judge.eye")
        fat, kappa = history.members.rows[:, FAT], history.members.kappa
        stable = np.log(np.maximum(history.stable, _LEAST))
        solid = np.log(np.maximum(history.solid, _LEAST))
        thick_at = np.log(np.maximum(crystals_at_ratio(number("bowl.thick_ratio"), fat, kappa), _LEAST))
        thin_at = np.log(np.maximum(crystals_at_ratio(number("trouble.judge.thin_ratio"), fat, kappa), _LEAST))
        enough = 0.5 * (math.log(number("bowl.enough")) + math.log(number("bowl.lost")))
        gone, soft = number("bowl.gone"), number("bowl.soft")
        lumps = np.clip((history.lump_solid - gone) / (soft - gone), 0.0, 1.0)
        scatter = number("live.test_spread")
        set_min = np.log(np.clip(history.set_min, _SOONEST, 1e3))
        margin = number("trouble.path.work.margin")
        unstable = np.log(np.maximum(history.unstable, _LEAST) / number("trouble.judge.unstable"))
        found = (
            normal_cdf((solid - thick_at) / eye), normal_cdf((thin_at - solid) / edge), lumps,
            normal_cdf((set_min - math.log(number("trouble.judge.late") * pass_min)) / scatter),
            normal_cdf((math.log(number("live.set_very_soon")) - set_min) / scatter),
            normal_cdf((enough - stable) / edge), normal_cdf((stable - thick_at) / edge), normal_cdf(unstable / edge),
            normal_cdf((history.now_c - self.aims.work_to_c - margin) / margin),
            normal_cdf((self.cold - history.now_c) / margin),
        )  # fmt: skip
        return np.stack(found, axis=1)


def _either(which: NDArray[np.bool_], one: _Range, other: _Range, less: Array | float) -> _Range:
    """Return the one range for some members and the other for the rest, moved down."""
    return _Range(
        np.where(which, one.low, other.low) - less, np.where(which, one.mode, other.mode) - less,
        np.where(which, one.high, other.high) - less,
    )  # fmt: skip


def group_of(method: str) -> str:
    """Return whether a method part-melts in-temper stock or melts fully and gives the crystals afterwards."""
    return "part-melt" if method in PART_MELTS else "seeded"
