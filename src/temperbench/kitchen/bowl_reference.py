"""The bowl's equations once more in plain numpy: slow, short, and what tests hold the compiled kernels to.

Zone ``i`` holds the share ``s`` of the mass at temperature ``T``, of which ``d`` flows and ``1 - d`` are lumps. It gets

    absorbed    (1 - a) P s kappa B,  B = beta^melted / sum(s kappa beta^melted)
    conducted   G (T of each neighbour - T)
    wall        g film (T_wall - T)
    surface     -G_top s (T - T_air)
    lumps       s U (1 - d)(T_liquid - T), paid by the liquid of all zones in proportion to s d
    stirred     each of its figures moves towards the liquid's mean of it at the rate d strokes/n0

and the wall gets ``a P`` and the heat of the zones less what it gives to air, bench and what it stands in. That keeps
its temperature, or has a heat capacity, a loss to the room and a heater of its own. What a zone makes of its heat is
the business of its `HeatStore`; `CrystalStore` is the crystal model. Stirring may also be an event: `stirred`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array
from temperbench.foundation.units import Celsius, PerSecond, Second, Watt
from temperbench.kitchen.bowl_layout import PARAMETERS
from temperbench.matter import crystals

__all__ = ["Acts", "CrystalStore", "HeatStore", "Network", "enthalpy", "heat_flows", "plain_rates", "rk4", "split",
           "stirred"]  # fmt: skip

_Array = NDArray[np.float64]


class HeatStore(Protocol):
    """What a zone is made of: how its figures (one row per zone) answer to heat."""

    def temperature(self, zones: _Array) -> _Array:
        """Return the temperature of each zone. [°C]"""
        ...

    def solid(self, zones: _Array) -> _Array:
        """Return the solid share of the fat of each zone. [1]"""
        ...

    def melted(self, zones: _Array) -> _Array:
        """Return how far each zone counts as melted for its microwave share, 0 to 1. [1]"""
        ...

    def enthalpy(self, zones: _Array) -> _Array:
        """Return the enthalpy of each zone. [J/kg]"""
        ...

    def rates(self, zones: _Array, heat: _Array, shear: PerSecond) -> _Array:
        """Return the time derivative of the figures of each zone.

        Parameters
        ----------
        zones
            Figures, one row per zone.
        heat
            Heating of each zone, W/kg.
        shear
            Shear rate. [1/s]

        Returns
        -------
            Shape of ``zones``, per second.
        """
        ...


@dataclass(frozen=True)
class Network:
    """Masses, conductances and stirring of a bowl, named as in the parameter row of the kernels."""

    share: _Array
    kappa: _Array
    inside: _Array
    f: Mapping[str, float]

    @classmethod
    def of_row(cls, row: _Array, zones: int) -> Self:
        """Take the figures from a parameter row of the kernels."""
        f = dict(zip(PARAMETERS, (float(v) for v in row), strict=True))
        share, kappa, inside = (np.array([f[f"{n}_{i}"] for i in range(zones)]) for n in ("share", "kappa", "inside"))
        return cls(share, kappa, inside, f)


@dataclass(frozen=True)
class Acts:
    """What cook, oven and room do: contact of lumps with their liquid 0 none, 1 at rest, 2 stirred; film 0 or 1."""

    air_c: Celsius
    bench_c: Celsius
    watts: Watt = 0.0
    strokes: PerSecond = 0.0
    shear: PerSecond = 0.0
    contact: int = 0
    film: float = 0.0


class CrystalStore:
    """The crystal lumps: each zone has x_5, x_6, x_U, N_5, N_U, T as in `temperbench.matter.crystals`."""

    def __init__(self, row: _Array, curve: _Array) -> None:
        """Take the figures from a parameter row of the kernels and the curve from its coefficients."""
        self.f = dict(zip(PARAMETERS, (float(v) for v in row), strict=True))
        self.curve = curve
        self.anchor_u = array("kinetics.unstable_to_v.anchors")[0]
        self.anchor_6 = array("kinetics.v_to_vi.anchors")[0]

    def temperature(self, zones: _Array) -> _Array:
        """Return the temperature of each zone. [°C]"""
        return zones[:, 5]

    def solid(self, zones: _Array) -> _Array:
        """Return the crystals of all forms in each zone. [1]"""
        return np.asarray(zones[:, :3].sum(axis=1))

    def melted(self, zones: _Array) -> _Array:
        """Return how far each zone is from the solids that count as unmelted. [1]"""
        return np.asarray(np.clip(1.0 - self.solid(zones) / self.f["solid_ref"], 0.0, 1.0))

    def enthalpy(self, zones: _Array) -> _Array:
        """Return the enthalpy of each zone, liquid at 0 °C having none. [J/kg]"""
        latent = self.f["h_5"] * zones[:, 0] + self.f["h_6"] * zones[:, 1] + self.f["h_u"] * zones[:, 2]
        return self.f["cp"] * zones[:, 5] - self.f["fat"] * latent

    def ceiling(self, t: _Array) -> _Array:
        """Return the largest solid share of the fat that form V can have at each temperature. [1]"""
        warm = t + self.f["shift"]
        place = np.maximum(np.searchsorted(self.curve[:, 0], warm, side="right") - 1, 0)
        c, d = self.curve[place], np.maximum(warm - self.curve[place, 0], 0.0)
        solid = c[:, 1] + c[:, 2] * d + c[:, 3] * d**2 + c[:, 4] * d**3
        return np.asarray((1.0 - self.f["milk_share"]) * solid)

    def melting(self, zones: _Array) -> _Array:
        """Return the melting of V, VI and unstable crystals, one column each. [1/s]"""
        x, t = zones[:, :3], zones[:, 5]
        stable = x[:, 0] + x[:, 1]
        over = [
            stable - self.ceiling(t),
            stable - self.ceiling(t - self.f["six_offset"]),
            stable + x[:, 2] - self.ceiling(t + self.f["u_offset"]),
        ]
        hot = [t - self.f[name] for name in ("t5", "t6", "tu")]
        share = [_above(o) / crystals.EXCESS + _above(h) / crystals.HOT for o, h in zip(over, hot, strict=True)]
        return self.f["melt"] * x * np.minimum(1.0, np.stack(share, axis=1))

    def growth(self, zones: _Array) -> tuple[_Array, _Array]:
        """Return the growth of V and of unstable crystals. [1/s]"""
        x5, x6, xu, n5, nu, t = zones.T
        f, solid = self.f, x5 + x6 + xu
        theta_5 = _above(f["t5"] - t) / crystals.SPAN_5
        theta_u = _above(f["tu"] - t) / crystals.SPAN_U
        seeds_5, seeds_u = _above(x5) + _above(x6) + f["seed_floor"], _above(xu) + f["seed_floor"]
        room_5 = _above(self.ceiling(t) - solid)
        room_u = _above(self.ceiling(t + f["u_offset"]) - solid)
        grow_5 = f["growth"] * theta_5**2 * _sites(n5, 1.0 - f["b"]) * (100.0 * seeds_5) ** f["b"] * room_5
        grow_u = f["growth_u"] * theta_u**2 * _sites(nu, 1.0 - f["b"]) * (100.0 * seeds_u) ** f["b"] * room_u
        return grow_5, grow_u

    def rates(self, zones: _Array, heat: _Array, shear: PerSecond) -> _Array:
        """Return the time derivative of the figures of each zone.

        Parameters
        ----------
        zones
            Figures, one row per zone.
        heat
            Heating of each zone, W/kg.
        shear
            Shear rate. [1/s]

        Returns
        -------
            Shape of ``zones``, per second.
        """
        f = self.f
        x5, x6, xu, n5, nu, t = zones.T
        grow_5, grow_u = self.growth(zones)
        melt_5, melt_6, melt_u = self.melting(zones).T
        below_5, below_u = _above(f["t5"] - t), _above(f["tu"] - t)
        u_to_5 = f["u_rate"] * np.exp(f["u_slope"] * (t - self.anchor_u)) * xu
        u_to_5 *= np.minimum(1.0, below_u / crystals.RAMP)
        v_to_6 = f["six_rate"] * np.exp(f["six_slope"] * (t - self.anchor_6)) * x5
        v_to_6 *= np.minimum(1.0, below_5 / crystals.RAMP)
        d = np.zeros_like(zones)
        d[:, 0] = grow_5 - melt_5 + u_to_5 - v_to_6
        d[:, 1] = v_to_6 - melt_6
        d[:, 2] = grow_u - melt_u - u_to_5
        cold = _above(below_5 - crystals.NUCLEATE_BELOW) / crystals.NUCLEATE_SPAN
        stable = _above(x5) + _above(x6)  # a step may leave less than nothing
        bred = f["breeding"] * 100.0 * (stable + f["seed_floor"]) * below_5 / crystals.SPAN_5
        lost_5 = n5 * (_above(melt_5) + _above(melt_6)) / (stable + crystals.GONE)
        d[:, 3] = shear / crystals.SHEAR * (f["nucleation"] * cold + bred) - lost_5
        d[:, 4] = f["nucleation_u"] * (below_u / crystals.SPAN_U) ** 3 - nu * _above(melt_u) / (
            _above(xu) + crystals.GONE
        )
        latent = f["fat"] * (f["h_5"] * d[:, 0] + f["h_6"] * d[:, 1] + f["h_u"] * d[:, 2])
        d[:, 5] = (latent + heat) / f["cp"]
        return d


def _above(x: _Array) -> _Array:
    return np.maximum(x, 0.0)


def _sites(n: _Array, power: float) -> _Array:
    """``n**power``, the square root rounded off at nothing."""
    n = _above(n)
    if power in (0.0, 1.0):
        return n**power
    if power == 0.5:
        return n / np.sqrt(n + crystals.SITE_ROUND)
    return np.asarray((n + crystals.SITE_ROUND) ** power)


def split(y: _Array, zones: int, standing: bool = False) -> tuple[_Array, float]:
    """Return the figures of the zones, one row each, and the temperature of the wall.

    ``standing``: what the bowl stands in comes after the wall.
    """
    end = -2 if standing else -1
    return y[:end].reshape(zones, -1), float(y[end])


def _stands(net: Network) -> bool:
    """Whether what the bowl stands in changes its temperature."""
    return net.f.get("out_rate", 0.0) > 0.0


def heat_flows(net: Network, t: _Array, wall: Celsius, melted: _Array, acts: Acts) -> tuple[_Array, Watt]:
    """Return the heat each zone and the wall get from oven, neighbours, wall, air and bench.

    Parameters
    ----------
    net
        The bowl.
    t
        Temperature of each zone.
    wall
        Temperature of the wall. [°C]
    melted
        How far each zone counts as melted, 0 to 1.
    acts
        What is done.

    Returns
    -------
        W per zone, and of the wall. [W]
    """
    f = net.f
    taking = net.share * net.kappa * math.exp(f["log_beta"]) ** melted
    into = (1.0 - f["wall_share"]) * acts.watts * taking / taking.sum()
    between = f["conduct"] * np.diff(t)  # from the next zone into this one
    into[:-1] += between
    into[1:] -= between
    to_wall = net.inside * (1.0 + acts.film * (f["stirred_film"] - 1.0)) * (t - wall)
    into -= to_wall + f["top"] * net.share * (t - acts.air_c)
    lost = f["wall_air"] * (wall - acts.air_c) + f["wall_bench"] * (wall - acts.bench_c)
    return into, float(f["wall_share"] * acts.watts + to_wall.sum() - lost)


def _flowing(net: Network, solid: _Array) -> _Array:
    """Share of each zone that flows: all below ``gone``, none above ``soft``, smooth in between."""
    q = np.clip((net.f["soft"] - solid) / (net.f["soft"] - net.f["gone"]), 0.0, 1.0)
    return np.asarray(q**2 * (3.0 - 2.0 * q))


def _lump_heat(net: Network, t: _Array, flows: _Array, contact: int) -> _Array:
    """Heat that lumps take from the liquid, W per kg of each zone; what one gains another pays."""
    fluid = float(net.share @ flows)
    liquid_c = float(net.share @ (flows * t)) / fluid
    exchange = (0.0, net.f["rest_contact"], 1.0)[contact] * net.f["lump"]
    exchange *= fluid / (fluid + net.f["fluid_floor"])
    gained = exchange * (1.0 - flows) * (liquid_c - t)
    return np.asarray(gained - flows / fluid * float(net.share @ gained))


def plain_rates(y: _Array, net: Network, store: HeatStore, acts: Acts) -> _Array:
    """Return the time derivative of a state: the zones' figures one after the other, the wall, what it stands in."""
    f, standing = net.f, _stands(net)
    zones, wall = split(y, len(net.share), standing)
    t, flows = store.temperature(zones), _flowing(net, store.solid(zones))
    into, into_wall = heat_flows(net, t, wall, store.melted(zones), acts)
    heat = into / (net.share * net.f["mass"])
    wet = len(t) > 1 and float(net.share @ flows) > 0.0
    if wet:
        heat += _lump_heat(net, t, flows, acts.contact)
    d = store.rates(zones, heat, acts.shear)
    if wet and acts.strokes > 0.0:
        pool = (net.share * flows) @ zones / (net.share @ flows)
        d += acts.strokes / net.f["strokes"] * flows[:, None] * (pool - zones)
    outside = float(y[-1]) if standing else f.get("out_c", 0.0)
    given = f.get("outside", 0.0) * (wall - outside)
    ends = [(into_wall - given) / f["wall_heat"]]
    if standing:
        ends.append(f["out_rate"] * (given + f["out_power"] - f["out_loss"] * (outside - acts.air_c)))
    return np.append(d.ravel(), ends)


def stirred(zones: _Array, share: _Array, strokes: float, even: float) -> _Array:
    """Return the zones after so many strokes at once; ``even`` strokes leave 1/e of every difference."""
    return np.asarray(zones - math.expm1(-strokes / even) * (share @ zones - zones))


def enthalpy(y: _Array, net: Network, store: HeatStore) -> float:
    """Return the heat in chocolate, wall and what they stand in, J; only what comes from outside changes it."""
    standing = _stands(net)
    zones, wall = split(y, len(net.share), standing)
    around = float(y[-1]) / net.f["out_rate"] if standing else 0.0
    return float(net.f["mass"] * (net.share @ store.enthalpy(zones)) + net.f["wall_heat"] * wall + around)


def rk4(rates: Callable[[Second, _Array], _Array], y: _Array, seconds: Second, steps: int) -> _Array:
    """Return the state after some time by the classic Runge-Kutta method with equal steps.

    Parameters
    ----------
    rates
        Time derivative from the time and the state at it. [s]
    y
        State at time 0.
    seconds
        How long. [s]
    steps
        Number of steps.

    Returns
    -------
        State at the end.
    """
    h = seconds / steps
    for k in range(steps):
        t = k * h
        a = rates(t, y)
        b = rates(t + 0.5 * h, y + 0.5 * h * a)
        c = rates(t + 0.5 * h, y + 0.5 * h * b)
        d = rates(t + h, y + h * c)
        y = y + h / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    return y
