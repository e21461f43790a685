"""An ensemble of bowls in the making: every act of cook and oven advances all members at once, on all cores."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.kitchen.block import BLOCK_KG, shed, with_block
from temperbench.kitchen.bowl_cycle import cycled_on_seconds, run_bowls
from temperbench.kitchen.bowl_layout import (
    C_CONTACT,
    C_FILM,
    C_POWER,
    C_SHEAR,
    C_STROKES,
    CONDUCT,
    CONTROLS,
    CYCLE,
    DELAY,
    DRIFT_TAU,
    INSIDE,
    LUMP,
    MASS,
    OUT_C,
    OUT_LOSS,
    OUT_POWER,
    OUT_RATE,
    OUTSIDE,
    SHARE,
    TOP,
    WALL_AIR,
    WALL_BENCH,
    WALL_HEAT,
    state_size,
)
from temperbench.kitchen.bowl_state import BowlState, on_bench
from temperbench.kitchen.many import over_chunks
from temperbench.kitchen.masses import (
    Portion,
    blended,
    flowing,
    joined,
    lessened,
    mean_parcel,
    portion_of,
    strained,
    usual_shares,
)
from temperbench.kitchen.outside import Outside
from temperbench.kitchen.seeds import Seed
from temperbench.matter.crystals import CP, FAT, MELT, MILK_SHARE, PARCEL, TEMP

__all__ = ["Bowls", "Marks", "controls"]


def controls(
    power: float = 0.0, strokes: float = 0.0, shear: float = 0.0, contact: int = 1, film: float = 0.0
) -> Array:
    """Return a control row; air and bench are filled in per member."""
    u = np.zeros(len(CONTROLS))
    u[C_POWER], u[C_STROKES], u[C_SHEAR], u[C_CONTACT], u[C_FILM] = power, strokes, shear, contact, film
    return u


def _each(value: float | Array, m: int) -> Array:
    """Return a figure as one per member."""
    return np.full(m, value, dtype=np.float64)


@dataclass(frozen=True)
class Marks:
    """States and peaks of an ensemble at given seconds of a burst: (m, marks, state) and (m, marks, zones)."""

    seconds: Array
    states: Array
    peaks: Array
    power: float


class Bowls(BowlState):
    """Members with their present state. Acts change it in place; `copy` branches."""

    def phase(self, u: Array, seconds: Array | float, *, delayed: bool = False, air_c: Array | None = None) -> None:
        """Advance every member through its own number of seconds under the same controls."""
        durations = np.full(len(self.members), seconds, dtype=np.float64)
        if self.block[:, BLOCK_KG].any():
            self._beside_block(u, durations, delayed, air_c)
        else:
            self._phase(u, durations, delayed, air_c)

    def _phase(self, u: Array, durations: Array, delayed: bool, air_c: Array | None) -> None:
        m, p = len(self.members), self.members
        air = self.air_c if air_c is None else air_c
        none, states, peaks = np.empty(0), np.empty((m, 0, self.y.shape[1])), np.empty((m, 0, self.zones))
        if delayed and p.rows[:, OUTSIDE].any():
            raise ValueError("take the bowl out of what it stands in before it goes into the oven")

        def work(s: slice) -> None:
            run_bowls(self.y[s], self.zones, p.rows[s], p.curves[s], u, air[s], durations[s], none, delayed,
                      self.warmth[s], self.tolerance, self.peak[s], states[s], peaks[s], self.bad[s])  # fmt: skip

        over_chunks(work, m, self.workers)
        self.wall_peak = np.maximum(self.wall_peak, self.wall())

    def burst(self, seconds: Array | float, power: float = 1.0) -> None:
        """Run the oven for so many seconds on its timer; the start delay comes off the heat."""
        self.phase(controls(power=power, contact=1 if self.stirred else 0), seconds, delayed=True)

    def burst_marks(self, marks: Sequence[float] | Array, power: float = 1.0) -> Marks:
        """Return what a burst would do at each of the marks; the present state stays as it is."""
        m, p = len(self.members), self.members
        y, peak, warmth, bad = self.y.copy(), self.peak.copy(), self.warmth.copy(), self.bad
        seconds = np.array(marks, dtype=np.float64)
        longest = np.full(m, seconds[-1] if len(seconds) else 0.0)
        states = np.zeros((m, len(seconds), self.y.shape[1]))
        peaks = np.zeros((m, len(seconds), self.zones))
        u = controls(power=power, contact=1 if self.stirred else 0)

        def work(s: slice) -> None:
            run_bowls(y[s], self.zones, p.rows[s], p.curves[s], u, p.air_c[s], longest[s], seconds, True, warmth[s],
                      self.tolerance, peak[s], states[s], peaks[s], bad[s])  # fmt: skip

        over_chunks(work, m, self.workers)
        return Marks(seconds, states, peaks, power)

    def take_marks(self, marks: Marks, which: NDArray[np.intp]) -> None:
        """Let each member have had the burst of the mark with its place in ``which``."""
        every = np.arange(len(self.members))
        self.y = np.ascontiguousarray(marks.states[every, which])
        self.peak = np.ascontiguousarray(marks.peaks[every, which])
        self.pass_oven_time(marks, which)

    def pass_oven_time(self, marks: Marks, which: NDArray[np.intp]) -> None:
        """Warm the oven by the burst of the mark with its place in ``which``."""
        rows = self.members.rows
        on = cycled_on_seconds(marks.seconds, marks.power, rows[:, CYCLE], rows[:, DELAY])
        steady = np.maximum(0.0, marks.seconds[which] - rows[:, DELAY])  # an inverter is warm while it is on at all
        on = np.where(rows[:, CYCLE] > 0.0, on[np.arange(len(rows)), which], steady)
        self.warmth = 1.0 - (1.0 - self.warmth) * np.exp(-on / rows[:, DRIFT_TAU])

    def stand(self, seconds: Array | float) -> None:
        """Leave the bowl alone."""
        self.phase(controls(contact=1 if self.stirred else 0), seconds)

    def stir(
        self, seconds: Array | float, air_c: Array | None = None, *, shear: float | None = None,
        strokes: float | None = None,
    ) -> None:  # fmt: skip
        """Stir by hand; another tool has a shear rate (1/s) and strokes per second of its own."""
        rate = number("bowl.stroke_rate") if strokes is None else strokes
        sheared = number("bowl.shear.hand") if shear is None else shear
        self.phase(controls(strokes=rate, shear=sheared, contact=2, film=1.0), seconds, air_c=air_c)
        self.stirred = True

    def add(self, kilograms: Array | float, celsius: Array | float, seed: Seed | None = None) -> None:
        """Put something in, in-temper buttons unless said otherwise; each member may get its own amount, or none.

        Mass, fat, crystals, growth sites and enthalpy are kept. With lumps, what was there becomes one mass beside
        them. A block melts at its surface while it is in the bowl, until `take_block_out`.
        """
        p, m = self.members, len(self.members)
        kind = Seed.buttons() if seed is None else seed
        kg, warm = np.full(m, kilograms, dtype=np.float64), np.full(m, celsius, dtype=np.float64)
        if kind.place == "block":
            self.block = with_block(self.block, kg, warm, p.rows, p.curves)
            return
        portion = portion_of(kind, kg, warm, p.rows, p.curves)
        if kind.place == "lumps":
            self._take_in(*joined(p.rows, self._parcels(), portion))
            self.members.rows[:, LUMP] = np.where(kg > 0.0, self.lump * kind.lump, self.members.rows[:, LUMP])
        else:
            self._take_in(*blended(p.rows, self._parcels(), portion))

    def _take_in(self, rows: Array, parcels: Array) -> None:
        self.y[:, : self.zones * PARCEL] = parcels.reshape(len(self.members), -1)
        self.members = dataclasses.replace(self.members, rows=rows)

    def _beside_block(self, u: Array, durations: Array, delayed: bool, air_c: Array | None) -> None:
        """Advance in short steps, the block giving off what melts at its surface in the middle of each."""
        if delayed:
            raise ValueError("take the block out before the bowl goes into the oven")
        film = number("seed.block.film.stirred" if u[C_CONTACT] > 1.0 else "seed.block.film.rest")
        step = number("seed.block.step")
        left = durations.copy()
        while (left > 0.0).any():
            now = np.minimum(left, step)
            self._phase(u, 0.5 * now, delayed, air_c)
            p = self.members
            rows, parcels, self.block = shed(p.rows, self._parcels(), p.curves, self.block, film * now)
            self._take_in(rows, parcels)
            self._phase(u, 0.5 * now, delayed, air_c)
            left = left - now

    def melted_at(self, celsius: Array | float) -> None:
        """Be fully melted, bowl and all, at this temperature: no crystal and no growth site is left. [°C]"""
        m, p = len(self.members), self.members
        rows = p.rows.copy()
        rows[:, SHARE : SHARE + self.zones] = usual_shares(self.zones)
        parcels = np.zeros((m, self.zones, PARCEL))
        parcels[..., TEMP] = np.full(m, celsius, dtype=np.float64)[:, None]
        self._take_in(rows, parcels)
        self.y[:, self.zones * PARCEL] = parcels[:, 0, TEMP]
        self.peak = np.maximum(self.peak, parcels[..., TEMP])
        self.block, self.stirred = np.zeros_like(self.block), True

    def take_block_out(self) -> Array:
        """Take out what has not dispersed of the last addition, block or lumps; return how much it is. [kg]"""
        out = self.block[:, BLOCK_KG].copy()
        self.block = np.zeros_like(self.block)
        p, last = self.members, self.zones - 1
        parcels = self._parcels()
        whole = 1.0 - flowing(p.rows, parcels)[:, last]
        lumps = np.where(out > 0.0, 0.0, whole * p.rows[:, MASS] * p.rows[:, SHARE + last])
        self._take_in(*strained(p.rows, parcels, lumps))
        return np.asarray(out + lumps)

    def pour_out(self, share: Array | float) -> Bowls:
        """Pour this share of the chocolate out, lumps and all, and return it as an ensemble of its own.

        What is poured is one even mass with no bowl around it: no wall, no losses, nothing it stands on.
        """
        m = len(self.members)
        parts = np.full(m, share, dtype=np.float64)
        if not ((parts >= 0.0) & (parts < 1.0)).all():
            raise ValueError("a share from 0 to less than 1 can be poured out")
        p = self.members
        kg = parts * p.rows[:, MASS]
        poured = self.copy()
        rows = p.rows.copy()
        rows[:, MASS] = kg
        rows[:, SHARE : SHARE + self.zones] = usual_shares(self.zones)
        rows[:, [WALL_AIR, WALL_BENCH, TOP, CONDUCT, *range(INSIDE, INSIDE + self.zones)]] = 0.0
        even = mean_parcel(p.rows, self._parcels())
        poured._take_in(rows, np.repeat(even[:, None, :], self.zones, axis=1))
        poured.y[:, self.zones * PARCEL] = even[:, TEMP]
        rows[:, OUTSIDE], rows[:, MELT] = 0.0, self.bench[:, 3]
        poured.bench = on_bench(rows)
        poured.block, poured.y = np.zeros_like(self.block), poured.y[:, : state_size(self.zones)].copy()
        self.members = dataclasses.replace(p, rows=lessened(p.rows, kg, self.zones))
        return poured

    def pour_back(self, other: Bowls) -> None:
        """Pour another ensemble's chocolate in: it lies beside what is there until it is stirred."""
        p, q = self.members, other.members
        coming = mean_parcel(q.rows, other._parcels())
        portion = Portion(q.rows[:, MASS], coming, q.rows[:, FAT], q.rows[:, MILK_SHARE], q.rows[:, CP])
        self._take_in(*joined(p.rows, self._parcels(), portion))

    def stand_in(self, outside: Outside) -> None:
        """Put the bowls into a bath, a cabinet or a kettle's jacket, from wherever they stood before."""
        self.stand_on_bench()
        m = len(self.members)
        rows, size = self.members.rows.copy(), state_size(self.zones)
        heat, covers = _each(outside.heat, m), _each(outside.covers, m)
        top = _each(outside.top, m)
        rows[:, OUTSIDE], rows[:, OUT_C] = _each(outside.conductance, m), _each(outside.celsius, m)
        rows[:, OUT_RATE], rows[:, OUT_LOSS] = 1.0 / heat, _each(outside.loss, m)
        rows[:, OUT_POWER] = _each(outside.power, m)
        rows[:, WALL_AIR] *= 1.0 - covers
        rows[:, WALL_BENCH] = 0.0
        rows[:, TOP] *= top
        self.bench[:, 2] = top
        if outside.melting is not None:
            rows[:, MELT] = np.minimum(rows[:, MELT], outside.melting)
        if np.isfinite(heat).any():
            self.y = np.hstack([self.y[:, :size], rows[:, OUT_C, None]])
        if outside.air_c is not None:
            self.air_c = _each(outside.air_c, m)
        self.members = dataclasses.replace(self.members, rows=rows)

    def stand_on_bench(self) -> None:
        """Take the bowls out of what they stand in; what it was keeps its heat and is gone."""
        rows = self.members.rows.copy()
        rows[:, WALL_AIR], rows[:, WALL_BENCH] = self.bench[:, 0], self.bench[:, 1]
        rows[:, TOP] /= self.bench[:, 2]
        rows[:, MELT] = self.bench[:, 3]
        rows[:, [OUTSIDE, OUT_C, OUT_RATE, OUT_LOSS, OUT_POWER]] = 0.0
        self.bench = on_bench(rows)
        self.air_c = self.members.air_c.copy()
        self.y = self.y[:, : state_size(self.zones)].copy()
        self.members = dataclasses.replace(self.members, rows=rows)

    def heat_with(self, power: Array | float) -> None:
        """Set the heater of what the bowls stand in. [W]"""
        rows = self.members.rows.copy()
        rows[:, OUT_POWER] = power
        self.members = dataclasses.replace(self.members, rows=rows)

    def take_out(self, kilograms: float) -> None:
        """Take chocolate out; at least a tenth stays so that the bowl can go on."""
        rows = self.members.rows.copy()
        rows[:, MASS] = np.maximum(rows[:, MASS] - kilograms, 0.1 * rows[:, MASS])
        self.members = dataclasses.replace(self.members, rows=rows)

    def move_to(self, wall_heat: float, wall_c: float) -> None:
        """Pour into another bowl of this heat capacity (J/K) at this temperature."""
        rows = self.members.rows.copy()
        rows[:, WALL_HEAT] = wall_heat
        self.y[:, self.zones * PARCEL] = wall_c
        self.members = dataclasses.replace(self.members, rows=rows)
