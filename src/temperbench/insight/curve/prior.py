"""What is not known of a sample, its cup and its probe before the curve is read, as axes of a standard normal.

Chocolate is drawn as for a bowl (`temperbench.kitchen.members`); bowl and oven of that draw stay in their middle and
play no part. Crystals at the start are spread evenly over the logarithm of their share of the fat.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.curve.smooth import Look
from temperbench.kitchen.cup import TOLERANCE, Bath, Cooled, Cup, cool_cups, cup_figures, lagged
from temperbench.kitchen.members import Members, dimensions, from_cube, triangular
from temperbench.kitchen.setup import Setup

__all__ = ["Prior", "Sample", "between"]

_CHOCOLATE = (
    "t5", "tu", "growth", "b", "melt", "nucleation_u", "h_u", "h_5", "cp", "seed_floor", "u_offset", "six_offset",
    "fat", "milk_share", "hardness", "tail", "delta", "inhibition", "growth_u_ratio", "sites",
)  # fmt: skip
_LOGARITHMIC = ("outside", "lag", "misfit")
_INSIDE = 1e-9  # quantiles stay off 0 and 1


@dataclass(frozen=True)
class Sample:
    """Samples drawn: the chocolate's figures, the cups', and what they began with. (m,)"""

    members: Members
    cups: Array
    start_c: Array
    stable: Array
    sites: Array
    lag: Array
    bias: Array
    delay: Array  # when the cup went into the bath, on the clock of the log [s]
    misfit: Array  # size of what the model leaves unexplained [°C]

    @property
    def strength(self) -> Array:
        """Well-dispersed crystals that would grow as fast: mean of share and sites, geometric. (m,) [1]"""
        return np.sqrt(self.stable * self.sites / 100.0)


class Prior:
    """Axes of what is not known, and the samples at points of them."""

    def __init__(self, setup: Setup, cup: Cup, bath: Bath, look: Look, *, bath_logged: bool, lag: Spread,
                 bias: Spread) -> None:  # fmt: skip
        """Take what is known; axes whose spread is exact are left out."""
        self.setup, self.cup, self.bath, self.look = setup, cup, bath, look
        self._every = dimensions(setup)
        chocolate = {name: self._every[name] for name in _CHOCOLATE if not self._every[name].is_exact}
        sample = {
            "cup_mass": cup.mass, "width": cup.width, "heat": cup.heat, "outside": cup.outside,
            "conductivity": spread_of("thermal.chocolate.k"),
            "offset": spread_of("cup.bath.logged" if bath_logged else "cup.bath.offset"),
            "place": spread_of("cup.probe.place"), "lag": lag, "bias": bias, "misfit": spread_of("curve.misfit"),
        }  # fmt: skip
        self.figures = sample
        self._chocolate = chocolate
        axes = (name for name, spread in sample.items() if not spread.is_exact)
        self.names = (*chocolate, *axes, "start", "delay", "content")

    @cached_property
    def delay(self) -> tuple[float, float]:
        """When the cup went into the bath: middle and standard deviation, on the clock of the log. [s]

        From when the log has fallen by a degree, less the time that the middle cup takes for it.
        """
        if not self.look.plateau:
            return self.look.first_s - number("curve.late"), number("curve.late")
        middle = self._at(np.zeros((len(self.names), 1)), (0.0, 0.0))
        seconds = np.arange(0.0, 900.0, 5.0)
        cooled = self._cooled(middle, seconds, 0.0)
        shown = lagged(seconds, cooled.probe, middle.lag)[0]
        takes = float(seconds[np.argmax(shown < shown[0] - number("curve.fallen"))])
        return self.look.fall_s - takes, number("curve.delay") * takes

    def sample(self, z: Array) -> Sample:
        """Return the samples at points (axes, m)."""
        return self._at(z, self.delay)

    def _at(self, z: Array, into_bath: tuple[float, float]) -> Sample:
        u = np.clip(ndtr(z), _INSIDE, 1.0 - _INSIDE)
        at = {name: u[i] for i, name in enumerate(self.names)}
        m = z.shape[1]
        cube = np.full((len(self._every), m), 0.5)
        for i, name in enumerate(self._every):
            if name in self._chocolate:
                cube[i] = at[name]
        members = from_cube(self.setup, cube)
        middle = np.full(m, 0.5)
        d = {
            name: triangular(at.get(name, middle), spread, name in _LOGARITHMIC)
            for name, spread in self.figures.items()
        }
        cups = cup_figures(
            d["cup_mass"], d["width"], d["conductivity"], d["heat"], d["outside"], d["offset"], d["place"]
        )
        low, high = np.log(number("curve.content.least")), np.log(number("curve.content.most"))
        stable = np.exp(low + (high - low) * at["content"])
        known = "curve.start" if self.look.plateau else "curve.start.late"
        start = self.look.start_c - d["bias"] + number(known) * z[self.names.index("start")]
        delay = into_bath[0] + into_bath[1] * z[self.names.index("delay")]
        sites = 100.0 * stable * self._sites(at, m)
        return Sample(members, cups, start, stable, sites, d["lag"], d["bias"], delay, d["misfit"])

    def _sites(self, at: dict[str, Array], m: int) -> Array:
        spread = self._every["sites"]
        return triangular(at["sites"], spread, log=True) if "sites" in at else np.full(m, spread.mid)

    def cooled(self, sample: Sample, until_s: float, gap: float, tolerance: float = TOLERANCE) -> Cooled:
        """Cool samples from when they went into the bath until a time on the log's clock, every ``gap`` s."""
        middle, spread = self.delay
        last = until_s - (middle - 5.0 * spread)
        grid = np.asarray(gap * np.arange(int(np.ceil(last / gap)) + 3), dtype=np.float64)
        return self._cooled(sample, grid, middle, tolerance)

    def _cooled(self, sample: Sample, seconds: Array, into_bath: float, tolerance: float = TOLERANCE) -> Cooled:
        return cool_cups(
            sample.members.rows, sample.members.curves, sample.cups, sample.start_c, sample.stable, sample.sites,
            self.bath.later(into_bath), seconds, tolerance=tolerance,
        )  # fmt: skip

    def shown(self, sample: Sample, cooled: Cooled, at_s: Array) -> Array:
        """Return what the probes show at times on the log's clock (m, times); not a number where it cannot be."""
        readings = lagged(cooled.seconds, cooled.probe, sample.lag) + sample.bias[:, None]
        values = between(readings, cooled.seconds[1], at_s[None, :] - sample.delay[:, None])
        values[cooled.bad] = np.nan
        return values


def between(values: Array, gap: float, at: Array) -> Array:
    """Values on an even grid from 0, (m, grid), at times (m, times): cubic through four points, level before 0."""
    padded = np.hstack([values[:, :1], values])
    place = 1.0 + np.clip(at, 0.0, gap * (values.shape[1] - 2)) / gap
    k = np.clip(np.floor(place).astype(np.intp), 1, padded.shape[1] - 3)
    s = place - k
    row: NDArray[np.intp] = np.arange(len(values))[:, None]
    a, b, c, d = (padded[row, k + i] for i in (-1, 0, 1, 2))
    return np.asarray(b + 0.5 * s * (c - a + s * (2.0 * a - 5.0 * b + 4.0 * c - d + s * (3.0 * (b - c) + d - a))))
