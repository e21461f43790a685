"""A sample cup in a bath: what it is made of, and how the chocolate in it cools, for many cups at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import one_of
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Celsius, Gram, Kilogram, Metre, SquareMetre, WattPerKelvin
from temperbench.kitchen.cup_solver import S_PROBE, S_SOLID, S_STABLE, S_UNSTABLE, cup_state_size, run_cups
from temperbench.kitchen.many import over_chunks
from temperbench.kitchen.vessels import material_bulk
from temperbench.matter.crystals import N5, PARCEL, TEMP, X5

__all__ = [
    "CUPS", "RINGS", "TOLERANCE", "Bath", "Cooled", "Cup", "chocolate_only", "cool_cups", "cup_figures", "cup_of",
    "lagged", "wetted",
]  # fmt: skip

CUPS = ("jacket", "metal", "plastic")
RINGS = 4  # of a cup; docs/curve.md says what more of them would change
TOLERANCE = 3e-4  # K per step: slopes of a likelihood must be smooth


@dataclass(frozen=True)
class Bath:
    """Temperature of the bath over time: straight between the points, constant outside them."""

    seconds: Array
    celsius: Array

    @classmethod
    def steady(cls, celsius: Celsius) -> Bath:
        """Return a bath that stays as it is.

        Parameters
        ----------
        celsius
            Its temperature. [°C]
        """
        return cls(np.zeros(1), np.array([celsius]))

    def later(self, seconds: float) -> Bath:
        """Return the same bath on a clock that starts so many seconds later."""
        return Bath(self.seconds - seconds, self.celsius)

    def at(self, seconds: Array) -> Array:
        """Return its temperature at these times."""
        return np.interp(seconds, self.seconds, self.celsius)


@dataclass(frozen=True)
class Cup:
    """A cup with its sample, every figure with its spread; what it stands in is part of ``outside``."""

    kind: str
    mass: Spread  # chocolate in it [kg]
    width: Spread  # inside [m]
    heat: Spread  # of the cup [J/K]
    outside: Spread  # conductance from cup to bath [W/K]
    calibrated: bool  # whether the conductance was measured
    defaults_used: tuple[str, ...]
    sources: tuple[str, ...]


def wetted(mass: Kilogram, width: Metre) -> SquareMetre:
    """Wall and bottom that the sample in a tube touches.

    Parameters
    ----------
    mass
        Chocolate in it. [kg]
    width
        Inner width. [m]

    Returns
    -------
        Area. [m²]
    """
    depth = mass / (number("thermal.chocolate.rho") * math.pi * (0.5 * width) ** 2)
    return math.pi * width * depth + math.pi * (0.5 * width) ** 2


def cup_of(
    kind: str, *, grams: Gram | None = None, width: Metre | None = None, cup_grams: Gram | None = None,
    conductance: Spread | None = None,
) -> Cup:  # fmt: skip
    """Return a cup from what is known of it; what is not known becomes a range.

    Parameters
    ----------
    kind
        One of `CUPS`: a metal tube in a dry sleeve, a metal tube in the water, a plastic tube in the water.
    grams
        Chocolate in it. [g]
    width
        Inner width. [m]
    cup_grams
        Weight of the empty cup, as far as it stands in the bath. [g]
    conductance
        From cup to bath, W/K, when it was measured with water.

    Returns
    -------
        The cup.
    """
    one_of("cup", kind, CUPS)
    defaults, material = [], "plastic" if kind == "plastic" else "steel"
    if grams is None:
        mid, off = number("cup.grams"), number("cup.grams.unknown")
        mass = Spread((1.0 - off) * mid, mid, (1.0 + off) * mid).scaled(0.001)
        defaults.append(f"Sample: {mid:.0f} g ({1000 * mass.low:.0f} to {1000 * mass.high:.0f}).")
    else:
        off = number("cup.grams.known")
        mass = Spread(grams - off, grams, grams + off).scaled(0.001)
    if width is None:
        across = spread_of("cup.width")
        ends = f"{1e3 * across.low:.0f} to {1e3 * across.high:.0f}"
        defaults.append(f"Cup: {1e3 * across.mid:.0f} mm wide inside ({ends}).")
    else:
        off = number("cup.width.known")
        across = Spread(width - off, width, width + off)
    heat = _heat(material, cup_grams)
    if conductance is None:
        outside = _outside(kind, mass.mid, across.mid)
        defaults.append(
            f"Cup to bath: {outside.mid:.3f} W/K ({outside.low:.3f} to {outside.high:.3f}); "
            "a run with water would tell it."
        )
    else:
        outside = conductance
    sources = ["cup.grams", "cup.width", f"cup.film.{'jacket' if kind == 'jacket' else 'bath'}"]
    return Cup(kind, mass, across, heat, outside, conductance is not None, tuple(defaults), tuple(sources))


def _heat(material: str, grams: float | None) -> Spread:
    """Heat capacity of a cup. [J/K]"""
    cp = material_bulk(material).specific_heat
    if grams is None:
        return spread_of(f"cup.{'metal' if material == 'steel' else 'plastic'}.mass").scaled(cp)
    off = number("cup.mass.known")
    return Spread(1.0 - off, 1.0, 1.0 + off).scaled(0.001 * grams * cp)


def _outside(kind: str, mass: float, width: float) -> Spread:
    """Conductance of a cup that was not measured. [W/K]"""
    area = wetted(mass, width)
    film = spread_of("cup.film.jacket" if kind == "jacket" else "cup.film.bath")
    if kind != "plastic":
        return film.scaled(area)
    wall, k = spread_of("cup.plastic.wall"), material_bulk("plastic").conductivity
    pairs = ((film.low, wall.high), (film.mid, wall.mid), (film.high, wall.low))
    low, mid, high = (area / (1.0 / h + thick / k) for h, thick in pairs)
    return Spread(low, mid, high)


def chocolate_only(conductance: WattPerKelvin, mass: Kilogram, width: Metre) -> WattPerKelvin:
    """Conductance from cup to bath, from one measured with water in the cup: the water's own film taken away.

    Parameters
    ----------
    conductance
        From the water in the cup to the bath. [W/K]
    mass
        Chocolate of the same volume. [kg]
    width
        Inner width. [m]

    Returns
    -------
        From cup to bath. [W/K]
    """
    film = number("cup.film.water_inside") * wetted(mass, width)
    return 1.0 / (1.0 / conductance - 1.0 / film) if conductance < 0.9 * film else 10.0 * conductance


def cup_figures(
    mass: Array, width: Array, conductivity: Array, heat: Array, outside: Array, offset: Array, place: Array
) -> Array:
    """Return the figures of many cups for the kernels, (m, `temperbench.kitchen.cup_solver.CUP_PARAMETERS`).

    All in SI: kg, m, W/(m·K), J/K, W/K, K, and the probe's distance from the axis over the radius.
    """
    conduct = 2.0 * conductivity * mass / (number("thermal.chocolate.rho") * (0.5 * width) ** 2)
    return np.column_stack([mass, conduct, heat, outside, offset, place])


@dataclass(frozen=True)
class Cooled:
    """What cups were like at the marks: temperature at the probe (°C), crystals by form per kg of fat. (m, marks)"""

    seconds: Array
    probe: Array
    solid: Array
    stable: Array
    unstable: Array
    bad: Array


def cool_cups(
    rows: Array, curves: Array, cups: Array, start_c: Array, stable: Array, sites: Array, bath: Bath, seconds: Array,
    *, rings: int = RINGS, tolerance: float = TOLERANCE,
) -> Cooled:  # fmt: skip
    """Cool many cups, each even at the start, and keep what they are like at increasing seconds.

    ``rows``, ``curves``: chocolate of each cup as in `temperbench.kitchen.members.Members`; ``cups`` from
    `cup_figures`; ``start_c``, ``stable`` (kg/kg fat) and ``sites`` at the start. (m,)
    """
    m = len(cups)
    y = np.zeros((m, cup_state_size(rings)))
    for i in range(rings):
        y[:, i * PARCEL + X5], y[:, i * PARCEL + N5], y[:, i * PARCEL + TEMP] = stable, sites, start_c
    y[:, -1] = start_c
    out, bad = np.zeros((m, len(seconds), 4)), np.zeros(m, dtype=np.int64)
    marks = np.asarray(seconds, dtype=np.float64)

    def work(s: slice) -> None:
        run_cups(y[s], rings, rows[s], curves[s], cups[s], bath.seconds, bath.celsius, marks, tolerance, out[s], bad[s])

    over_chunks(work, m)
    return Cooled(marks, out[:, :, S_PROBE], out[:, :, S_SOLID], out[:, :, S_STABLE], out[:, :, S_UNSTABLE], bad != 0)


def lagged(seconds: Array, true: Array, tau: Array) -> Array:
    """Return what probes show of true temperatures (m, times): they follow with time constants ``tau`` s (m,).

    The truth is taken as straight between the times, and the probe as even with it at the first one.
    """
    shown = true.copy()
    tau = np.maximum(tau, 1e-3)
    for k in range(1, len(seconds)):
        gap = seconds[k] - seconds[k - 1]
        behind = (true[:, k] - true[:, k - 1]) / gap * tau
        shown[:, k] = true[:, k] - behind + (shown[:, k - 1] - true[:, k - 1] + behind) * np.exp(-gap / tau)
    return shown
