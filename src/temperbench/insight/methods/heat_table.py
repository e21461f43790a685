"""Spells on a source of heat, by readings: how many seconds a bowl that reads so goes back, and who has finished.

The table is found like that of the microwave's bursts: bowls in balance around each reading are put on the heat, and
for each row the longest spell is kept that respects both risks and does not carry the middle bowl past the stop.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.methods.script import Run
from temperbench.insight.policy import Aims, Look, longest_allowed
from temperbench.kitchen.bowl_layout import GONE_AT, state_size
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import settled_solids
from temperbench.kitchen.settle import settle_states
from temperbench.matter.crystals import FAT, N5, PARCEL, TEMP, X5
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["HeatTable", "finished", "heat_table", "take_spells"]


@dataclass(frozen=True)
class HeatTable:
    """Seconds on the heat for each reading row; the last row is to stir only."""

    edges_c: tuple[float, ...]  # upper ends of the rows but the last, ascending
    seconds: tuple[int, ...]

    def of(self, reading: Array) -> Array:
        """Return the seconds of each reading. [s]"""
        rows = np.searchsorted(np.array(self.edges_c), reading, side="right")
        return np.asarray(np.array(self.seconds, dtype=np.float64)[rows])


def heat_table(bowls: Bowls, aims: Aims, put_on: Callable[[Bowls], None], rng: np.random.Generator) -> HeatTable:
    """Return the table for bowls that ``put_on`` sets on the heat; the bowls are not changed."""
    edges = aims.edges()
    grid = np.array(array("method.bath.spells"))
    ends = np.concatenate([[edges[0] - 2.0], edges])
    seconds = []
    for low, high in pairwise(ends):
        look = _spells(_even(bowls, 0.5 * (low + high), rng), aims, put_on, grid)
        seconds.append(
            longest_allowed(look.allowed(np.ones(len(bowls.members)), aims, number("method.scorch_share")), grid)
        )
    falling = np.minimum.accumulate(seconds)
    return HeatTable(tuple(edges.tolist()), (*(int(s) for s in falling), 0))


def _even(bowls: Bowls, reads_c: float, rng: np.random.Generator) -> Bowls:
    """Return bowls in balance that read so, each by its own thermometer."""
    other = bowls.copy()
    p = other.members
    true = reads_c - p.bias_c - p.noise_c * rng.standard_normal(len(p))
    solid = settled_solids(p.rows, p.curves, true)
    for o in range(0, other.zones * PARCEL, PARCEL):
        other.y[:, o : o + PARCEL] = 0.0
        other.y[:, o + X5], other.y[:, o + TEMP] = solid, true
        other.y[:, o + N5] = 100.0 * solid * number("crystals.sites_of_melted_down")
    other.y[:, other.zones * PARCEL] = true
    other.stirred = True
    return other


def _spells(bowls: Bowls, aims: Aims, put_on: Callable[[Bowls], None], grid: Array) -> Look:
    """Return what spells of the grid would lead to, stirred off the heat until even."""
    size, m = state_size(bowls.zones), len(bowls.members)
    bench = bowls.members
    states, peaks = np.zeros((m, len(grid), size)), np.zeros((m, len(grid)))
    put_on(bowls)
    for k, step in enumerate(np.diff(grid, prepend=0.0)):
        if step > 0.0:
            bowls.stir(float(step))
        states[:, k], peaks[:, k] = bowls.y[:, :size], bowls.peak.max(axis=1)
    out = settle_states(states, bowls.zones, bench.rows, bench.curves, bench.air_c, number("plan.stir.near"))
    lost = (out[:, :, 1] < aims.lost).astype(np.float64)
    return Look(grid, out[:, :, 0], lost, (peaks > aims.scorch_c).astype(np.float64))


def finished(run: Run, stirred: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell which bowls a cook takes for finished: no lump left, and flowing with ease or stirred at length."""
    bowls, p = run.bowls, run.bowls.members
    smooth = bowls.lumpiest() < p.rows[:, GONE_AT]
    easy = crystals_at_ratio(number("plan.flows_ratio"), p.rows[:, FAT], p.kappa)
    judged = bowls.solid() * np.exp(p.eye * run.rng.standard_normal(len(p)))
    return np.asarray(smooth & (stirred | (judged < easy)))


def take_spells(run: Run, table: HeatTable, put_on: Callable[[Bowls], None], told: str, stop_c: float) -> None:
    """Let every bowl go back on the heat by the table, off again, and stir, until it is finished.

    All spells together are one step of the run; its words say how often a middling bowl went back.
    """
    record = run.begin("lift", "Finish it by the table", until="rises to", until_c=stop_c)
    going = ~finished(run, np.zeros(len(run), dtype=np.bool_))
    spells = np.zeros(len(run))
    for _ in range(int(number("method.bath.rounds"))):
        if not going.any():
            break
        seconds = np.where(going, table.of(run.look()), 0.0)
        some = seconds > 0.0
        spells += some
        if some.any():
            put_on(run.bowls)
            run.stir(seconds)
            run.bowls.stand_on_bench()
        stirs = np.where(some, number("plan.stir.near"), number("plan.stir.last"))
        run.stir(np.where(going, stirs, 0.0))
        going &= ~finished(run, ~some)
    low, high = (round(float(q)) for q in np.quantile(spells, [0.05, 0.95]))
    often = f"{low}" if low == high else f"{low} to {high}"
    record.detail = f"{told} Usually back {often} times."
