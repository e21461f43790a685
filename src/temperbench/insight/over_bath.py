"""What some time over a bath or in a cabinet would do to a live bowl, tried on its advisers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.live import Happening, Move, WhatIf
from temperbench.insight.plan import Band
from temperbench.insight.policy import Aims, longest_allowed
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowl_layout import GONE_AT
from temperbench.kitchen.bowls import Bowls

__all__ = ["Tried", "lift_move", "minutes_said", "try_around", "what_if_around"]


@dataclass(frozen=True)
class Tried:
    """What each of some times would do to each adviser, stirred on the bench afterwards: (m, times)."""

    grid: Array  # s
    ends_c: Array
    solid: Array
    smooth: Array
    lost: Array
    scorched: Array

    def longest(self, aims: Aims, most_c: float) -> int:
        """Return the longest time that keeps both risks and ends no warmer in the middle, s; 0 when none does."""
        lost, scorched = self.lost.mean(axis=0), self.scorched.mean(axis=0)
        good = (
            (lost - lost[0] <= number("plan.share.lost") * aims.risk_lost)
            & (scorched - scorched[0] <= aims.risk_scorch)
            & (np.median(self.ends_c, axis=0) <= most_c)
        )
        return longest_allowed(good, self.grid)

    def soonest_smooth(self, longest: int) -> int:
        """Return the shortest time after which most bowls have no lump left, or ``longest``. [s]"""
        good = (self.smooth.mean(axis=0) > number("live.sure")) & (self.grid <= longest) & (self.grid > 0.0)
        return int(self.grid[int(good.argmax())] if good.any() else longest)

    def shortest_down(self, to_c: float) -> int:
        """Return the shortest time after which the middle bowl is no warmer than this, or the longest tried. [s]"""
        cold = np.median(self.ends_c, axis=0) <= to_c
        return int(self.grid[int(cold.argmax())] if cold.any() else self.grid[-1])

    def at(self, seconds: int) -> int:
        """Return the place of a time of the grid."""
        return int(np.searchsorted(self.grid, seconds))


def try_around(f: BowlFilter, aims: Aims, kind: str, celsius: float, grid: Array, stir_s: float) -> Tried:
    """Return what so many seconds (first of them 0) in a bath or cabinet would do, then ``stir_s`` on the bench."""
    bowls, figures = f.advisers(), f.adviser_figures()
    few = np.arange(0, len(bowls.members), max(1, len(bowls.members) // int(number("live.tries"))))
    bowls, figures = bowls.only(few), {name: v[few] for name, v in figures.items()}
    shape = (len(few), len(grid))
    ends, stable, solid, smooth, scorched = (np.zeros(shape) for _ in range(5))
    before = 0.0
    for k, seconds in enumerate(grid):
        _go_on(f, bowls, kind, celsius, seconds - before, figures)
        before = float(seconds)
        after = bowls.copy()
        f.doings.act(after, Happening("try", "stir", 0, seconds=stir_s), figures)
        smooth[:, k] = after.lumpiest() < after.members.rows[:, GONE_AT]
        ends[:, k], stable[:, k], solid[:, k] = after.temperature(), after.stable(), after.solid()
        scorched[:, k] = after.hottest() > aims.scorch_c
    return Tried(grid, ends, solid, smooth, (stable < aims.lost).astype(float), scorched)


def what_if_around(f: BowlFilter, aims: Aims, kind: str, celsius: float, seconds: int) -> WhatIf:
    """Return what so many seconds in a bath or cabinet would do, stirred to the end."""
    tried = try_around(f, aims, kind, celsius, np.array([0.0, float(max(seconds, 1))]), number("plan.stir.last"))
    return WhatIf(seconds, _band(tried.ends_c[:, 1], 1), _band(100.0 * tried.solid[:, 1], 1),
                  float(tried.lost[:, 1].mean()), float(tried.scorched[:, 1].mean()))  # fmt: skip


def _band(values: Array, digits: int) -> Band:
    low, mid, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(round(float(low), digits), round(float(mid), digits), round(float(high), digits))


def _go_on(f: BowlFilter, bowls: Bowls, kind: str, celsius: float, seconds: float, figures: dict[str, Array]) -> None:
    if seconds > 0.0:
        f.doings.act(bowls, Happening("try", kind, 0, seconds=seconds, celsius=celsius), figures)


def lift_move(f: BowlFilter, at: Temperatures, aims: Aims, why: str, rise: float | None = None) -> Move:
    """Return the move that warms a bowl over warm water: by ``rise`` K, or into the middle of its window."""
    warm = number("keep.bath_c")
    heat = f.quantiles(f.bowls.temperature())[1]
    middle = 0.5 * (at.work_from_c + at.work_to_c)
    to_c = middle if rise is None else min(heat + rise, at.work_to_c)
    grid = np.concatenate([[0.0], array("live.lift_seconds")])
    tried = try_around(f, aims, "bath", warm, grid, number("plan.stir.lumpy"))
    seconds = max(tried.longest(aims, to_c), int(grid[1]))
    place = tried.at(seconds)
    ends = float(np.median(tried.ends_c[:, place]))
    return Move("warm" if rise is not None else "lift", f"Warm {seconds} s over the bath",
                f"{why} Water of {warm:.0f} °C, stirring; then off it, stir and {f.say.read}: about {ends:.1f} °C.",
                f"{f.say.near(at.work_to_c, 0)}: then it is warm enough.", seconds,
                risk_lost=float(tried.lost[:, place].mean()), risk_scorch=float(tried.scorched[:, place].mean()),
                celsius=warm)  # fmt: skip


def minutes_said(seconds: float) -> str:
    """Write a time as a cook says it: seconds up to two minutes, minutes up to two hours, then hours."""
    if seconds <= 120.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds <= 7200.0 else f"{seconds / 3600.0:g} h"
