"""The present state of an ensemble of bowls, and what can be seen of it: temperatures, crystals, heat, readings."""

from __future__ import annotations

from typing import Self

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.kitchen.block import BLOCK
from temperbench.kitchen.bowl_layout import (
    LUMP,
    MASS,
    OUT_C,
    OUT_RATE,
    OUTSIDE,
    SHARE,
    WALL_AIR,
    WALL_BENCH,
    WALL_HEAT,
    state_size,
)
from temperbench.kitchen.bowl_rates import fluid_reading
from temperbench.kitchen.masses import heat_of
from temperbench.kitchen.members import Members
from temperbench.matter.crystals import MELT, N5, PARCEL, TEMP, X5, X6, XU

__all__ = ["PER_MEMBER", "BowlState", "on_bench"]

# Arrays of `Bowls`, members first.
PER_MEMBER = (
    "y", "warmth", "peak", "bad", "shown", "air_c", "lump", "block", "bench", "wall_peak", "beside",
)  # fmt: skip


def on_bench(rows: Array) -> Array:
    """What a bowl has on the bench: loss through its wall to air and bench, film on top over itself, melting rate."""
    return np.stack([rows[:, WALL_AIR], rows[:, WALL_BENCH], np.ones(len(rows)), rows[:, MELT]], axis=1)


@kernel
def _read(y: Array, nz: int, rows: Array, out: Array) -> None:
    for m in range(y.shape[0]):
        out[m] = fluid_reading(y[m], nz, rows[m])


class BowlState:
    """Members with their present state, read and copied; `temperbench.kitchen.bowls.Bowls` are acted on as well."""

    def __init__(self, members: Members, tolerance: float | None = None, workers: int | None = None) -> None:
        """Start all members from their starting states."""
        self.members = members
        self.zones = members.zones
        self.y = members.start.copy()
        self.warmth = members.warmth.copy()
        self.peak = np.full((len(members), self.zones), -100.0)
        self.bad = self._unusable()
        self.stirred = False
        self.shown = members.air_c.copy()  # what the thermometer shows
        self.air_c = members.air_c.copy()  # air around the bowl now
        self.lump = members.rows[:, LUMP].copy()  # heat that lumps of its first stock take
        self.block = np.zeros((len(members), BLOCK))
        self.bench = on_bench(members.rows)
        self.beside = np.empty((len(members), 0))  # temperatures of what it meets again, such as the cells of its slab
        self.wall_peak = members.start[:, self.zones * PARCEL].copy()  # hottest wall so far
        self.tolerance = number("bowl.step_tolerance") if tolerance is None else tolerance
        self.workers = workers

    def _unusable(self) -> NDArray[np.int64]:
        """Mark members with a figure that is not a finite number, whether or not a phase would use it."""
        p, m = self.members, len(self.members)
        figures = (p.rows, p.curves.reshape(m, -1), p.start, p.air_c[:, None], p.warmth[:, None])
        return np.asarray(~np.isfinite(np.hstack(figures)).all(axis=1), dtype=np.int64)

    def copy(self) -> Self:
        """Return an independent branch."""
        other = self.__class__.__new__(self.__class__)
        other.__dict__.update(self.__dict__)
        for name in PER_MEMBER:
            setattr(other, name, getattr(self, name).copy())
        return other

    def only(self, which: NDArray[np.intp]) -> Self:
        """Return an independent branch with these members alone."""
        other = self.__class__.__new__(self.__class__)
        other.__dict__.update(self.__dict__)
        other.members = self.members.take(which)
        for name in PER_MEMBER:
            setattr(other, name, getattr(self, name)[which])
        return other

    def chocolate_heat(self) -> Array:
        """Enthalpy of the chocolate in each bowl, liquid at 0 °C having none. [J]"""
        rows = self.members.rows
        inside = (rows[:, SHARE : SHARE + self.zones] * heat_of(rows, self._parcels())).sum(axis=1)
        return np.asarray(rows[:, MASS] * inside)

    def heat(self) -> Array:
        """Enthalpy of chocolate, wall and what warms and cools around them; a block in the bowl is not counted. [J]"""
        rows = self.members.rows
        total = self.chocolate_heat() + rows[:, WALL_HEAT] * self.wall()
        if self.y.shape[1] > state_size(self.zones):
            changes = rows[:, OUT_RATE] > 0.0
            total += np.where(changes, self.y[:, -1], 0.0) / np.where(changes, rows[:, OUT_RATE], 1.0)
        return np.asarray(total)

    def outside_c(self) -> Array:
        """Temperature of what each bowl stands in; of the air around it on the bench. [°C]"""
        rows = self.members.rows
        if self.y.shape[1] > state_size(self.zones):
            return self.y[:, -1].copy()
        return np.where(rows[:, OUTSIDE] > 0.0, rows[:, OUT_C], self.air_c)

    def hottest(self) -> Array:
        """Highest temperature that any zone has seen, or the wall that chocolate lay at. [°C]"""
        return np.asarray(np.maximum(self.peak.max(axis=1), self.wall_peak))

    def wall(self) -> Array:
        """Temperature of the wall of each bowl. [°C]"""
        return self.y[:, self.zones * PARCEL].copy()

    def _parcels(self) -> Array:
        """States of the zones, (m, zones, figures), as a copy."""
        return self.y[:, : self.zones * PARCEL].reshape(len(self.members), self.zones, PARCEL).copy()

    def reading(self) -> Array:
        """Temperature a true probe settles to in each stirred bowl. [°C]"""
        out = np.zeros(len(self.members))
        _read(self.y, self.zones, self.members.rows, out)
        return out

    def read_thermometer(self, rng: np.random.Generator) -> Array:
        """Take a reading of each stirred bowl with its own thermometer: lag, skin, bias and noise. [°C]"""
        p = self.members
        seen = self.reading()
        seen = seen - p.skin * (seen - self.air_c)
        self.shown = seen + p.lag * (self.shown - seen)
        return self.shown + p.bias_c + p.noise_c * rng.standard_normal(len(p))

    def _mean(self, place: int) -> Array:
        shares = self.members.rows[:, SHARE : SHARE + self.zones]
        return np.asarray((shares * self.zone(place)).sum(axis=1))

    def zone(self, place: int) -> Array:
        """One figure of every zone, (m, zones)."""
        return self.y[:, place : self.zones * PARCEL : PARCEL]

    def temperature(self) -> Array:
        """Mass mean temperature. [°C]"""
        return self._mean(TEMP)

    def stable(self) -> Array:
        """Stable crystals (V and VI), mass mean, per kg of fat. [1]"""
        return self._mean(X5) + self._mean(X6)

    def solid(self) -> Array:
        """All crystals, mass mean, per kg of fat. [1]"""
        return self.stable() + self._mean(XU)

    def sites(self) -> Array:
        """Growth sites of the stable crystals, mass mean. [1]"""
        return self._mean(N5)

    def lumpiest(self) -> Array:
        """Solid share of the fat in the most solid zone. [1]"""
        return np.asarray((self.zone(X5) + self.zone(X6) + self.zone(XU)).max(axis=1))
