"""Members of an ensemble: every uncertain figure of chocolate, oven, bowl and room drawn from its evidence row.

A member is one row of figures for the kernels. `nominal` gives the row of middle values, for tests and single runs;
`draw` gives many rows by Latin hypercube sampling from triangular densities (low, value, high of each row).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.kitchen.bowl_layout import MAX_ZONES, PARAMETERS, SHARE, parameter, state_size
from temperbench.kitchen.setup import Setup
from temperbench.matter.crystals import FAT, MILK_SHARE, N5, PARCEL, SHIFT, TEMP, X5
from temperbench.matter.solid_fat import solid_fat_curves

__all__ = [
    "Members", "dimensions", "draw", "from_cube", "latin", "nominal", "nominal_row", "settled_solids", "triangular",
]  # fmt: skip


@dataclass(frozen=True)
class Members:
    """Parameter rows, solid-fat curves and starting states of an ensemble of ``m`` bowls.

    ``rows`` (m, parameters), ``curves`` (m, intervals, 5), ``start`` (m, state), ``air_c`` (m,), ``warmth`` (m,) of
    the oven at the start, ``kappa`` (m,) hydrodynamic volume per crystal volume, ``bias_c`` and ``noise_c`` (m,) of
    the thermometer, ``eye`` (m,) relative error of crystals judged by flow, ``lag`` (m,) share of a step the
    thermometer still lacks when read, ``skin`` (m,) its skin effect per kelvin above the room, ``area_m2`` and
    ``top_m2`` (m,) the wetted wall and the free surface at the start.
    """

    rows: Array
    curves: Array
    start: Array
    air_c: Array
    warmth: Array
    kappa: Array
    bias_c: Array
    noise_c: Array
    eye: Array
    lag: Array
    skin: Array
    area_m2: Array
    top_m2: Array
    zones: int = MAX_ZONES

    def __len__(self) -> int:
        """Return the number of members."""
        return len(self.air_c)

    def take(self, which: NDArray[np.intp]) -> Members:
        """Return the members with these places."""
        arrays: dict[str, Any] = {k: v[which] for k, v in self.__dict__.items() if isinstance(v, np.ndarray)}
        return replace(self, **arrays)


def latin(rng: np.random.Generator, m: int, k: int) -> Array:
    """Return a Latin hypercube of ``m`` points in ``k`` dimensions, shape (k, m), each figure in (0, 1)."""
    strata = np.tile(np.arange(m, dtype=np.float64), (k, 1))
    return (rng.permuted(strata, axis=1) + rng.random((k, m))) / m


def triangular(u: Array, spread: Spread, log: bool = False) -> Array:
    """Return the quantiles ``u`` of the triangular density of a spread; of its logarithm when ``log``."""
    if spread.is_exact:
        return np.full_like(u, spread.mid)
    low, mid, high = spread.low, spread.mid, spread.high
    if log:
        low, mid, high = math.log(low), math.log(mid), math.log(high)
    cut = (mid - low) / (high - low)
    up = low + np.sqrt(np.clip(u * (high - low) * (mid - low), 0.0, None))
    down = high - np.sqrt(np.clip((1.0 - u) * (high - low) * (high - mid), 0.0, None))
    x = np.where(u < cut, up, down)
    return np.exp(x) if log else x


def _crystal_spreads() -> dict[str, Spread]:
    keys = {
        "t5": "melting.v", "tu": "melting.unstable", "growth": "growth", "b": "b", "melt": "melt",
        "nucleation": "nucleation", "breeding": "breeding", "nucleation_u": "nucleation_unstable",
        "h_u": "heat.unstable", "h_5": "heat.v", "h_6": "heat.vi", "cp": "cp", "seed_floor": "seed_floor",
        "u_offset": "curve.unstable_below_v", "six_offset": "melting.vi_above_v",
    }  # fmt: skip
    found = {name: spread_of(f"crystals.{key}") for name, key in keys.items()}
    warm, cold = array("kinetics.unstable_to_v.anchors")
    found["u_rate"] = Spread.exact(3.0 / (3600.0 * number("crystals.unstable_to_v.hours_at_24")))
    found["u_slope"] = Spread.exact(math.log(number("crystals.unstable_to_v.per_9k")) / (warm - cold))
    days = spread_of("crystals.v_to_vi.days_at_30")
    found["six_rate"] = Spread(3.0 / (86400 * days.high), 3.0 / (86400 * days.mid), 3.0 / (86400 * days.low))
    warm, cold = array("kinetics.v_to_vi.anchors")
    found["six_slope"] = Spread.exact(math.log(number("crystals.v_to_vi.per_12k")) / (warm - cold))
    return found


_LOGARITHMIC = {"melt", "nucleation", "nucleation_u", "six_rate", "sites", "growth_u_ratio", "kappa", "wall_bench"}


def _bowl_spreads(setup: Setup) -> dict[str, Spread]:
    """Everything else that is drawn, by name: places of the row, or figures `_fill` turns into places."""
    scales = number("bowl.scales")
    lump = spread_of("bowl.lump")
    if setup.stock in ("block", "set-bowl"):
        lump = lump.scaled(number("bowl.lump.block"))
    return {
        "fat": setup.fat, "milk_share": setup.milk_share, "hardness": setup.hardness, "tail": Spread(-1.0, 0.0, 1.0),
        "delta": spread_of("crystals.milk_fat_shift"), "inhibition": setup.growth_factor,
        "growth_u_ratio": spread_of("crystals.growth_unstable_ratio"),
        "mass": Spread(setup.mass_kg * (1 - scales), setup.mass_kg, setup.mass_kg * (1 + scales)),
        "delivered": setup.delivered_w, "coupling": setup.coupling, "wall_share": setup.wall_share,
        "wall_heat": setup.wall_heat, "area": setup.inside_m2, "beta": spread_of("bowl.beta"),
        "uneven": spread_of("bowl.unevenness"), "film_rest": spread_of("bowl.film.rest"),
        "film_stirred": spread_of("bowl.film.stirred"), "film_out": spread_of("bowl.film.outside"),
        "film_top": spread_of("bowl.film.top"), "wall_bench": spread_of("bowl.bench"),
        "conduct": spread_of("bowl.conduct"), "lump": lump, "rest_contact": spread_of("bowl.lump.rest"),
        "soft": spread_of("bowl.soft"), "gone": spread_of("bowl.gone"), "strokes": spread_of("bowl.strokes"),
        "drift": setup.drift, "drift_tau": spread_of("oven.drift_time"), "rest_tau": spread_of("oven.rest_time"),
        "delay": spread_of("oven.start_delay"), "cycle": setup.cycle_s,
        "sites": spread_of("crystals.sites_of_melted_down"), "kappa": spread_of("flow.kappa"),
        "start": setup.start_c, "air": setup.air_c, "wall_start": setup.wall_c, "bias": setup.bias_c,
        "warmth": setup.warmth,
    }  # fmt: skip


def dimensions(setup: Setup) -> dict[str, Spread]:
    """Return every figure that is drawn, in the order of the axes of the cube of `from_cube`."""
    own = {} if setup.cp is None else {"cp": setup.cp}
    return {**_crystal_spreads(), **_bowl_spreads(setup), **own}


def from_cube(setup: Setup, cube: Array) -> Members:
    """Return the members at the points of a unit cube, shape (dimensions, m): quantiles of each figure's density."""
    drawn = {k: triangular(cube[i], s, k in _LOGARITHMIC) for i, (k, s) in enumerate(dimensions(setup).items())}
    return _fill(setup, drawn, cube.shape[1])


def draw(setup: Setup, m: int, rng: np.random.Generator) -> Members:
    """Draw ``m`` members of a set-up; the same generator state gives the same members."""
    return from_cube(setup, latin(rng, m, len(dimensions(setup))))


def nominal(setup: Setup, **changed: float) -> Members:
    """Return one member with the middle value of everything; ``changed`` overrides single figures by name."""
    spreads = dimensions(setup)
    unknown = set(changed) - set(spreads)
    if unknown:
        raise KeyError(f"no such figures: {sorted(unknown)}")
    drawn = {k: np.full(1, changed.get(k, s.mid)) for k, s in spreads.items()}
    return _fill(setup, drawn, 1)


def _fill(setup: Setup, d: dict[str, Array], m: int) -> Members:
    rows = np.zeros((m, len(PARAMETERS)))
    for name, values in d.items():
        if name in PARAMETERS:
            rows[:, parameter(name)] = values

    def put(name: str, values: Array | float) -> None:
        rows[:, parameter(name)] = values

    shift = d["delta"] * d["milk_share"]
    put("shift", shift)
    put("t5", d["t5"] - shift)
    put("tu", d["tu"] - shift)
    put("t6", d["t5"] - shift + d["six_offset"])
    put("growth", d["growth"] * d["inhibition"])
    put("growth_u", d["growth"] * d["inhibition"] * d["growth_u_ratio"])
    put("power", d["delivered"] * d["coupling"])
    put("log_beta", np.log(d["beta"]))
    put("solid_ref", (1.0 - d["milk_share"]) * number("bowl.solid_ref"))
    put("wall_air", d["film_out"] * d["area"])
    put("top", d["film_top"] * setup.top_m2)
    put("stirred_film", d["film_stirred"] / d["film_rest"])
    put("fluid_floor", number("bowl.fluid_floor"))
    scale = d["uneven"] / number("bowl.unevenness.default")
    for i in range(MAX_ZONES):
        put(f"share_{i}", array("bowl.zones.share")[i])
        put(f"kappa_{i}", 1.0 + scale * (array("bowl.zones.kappa")[i] - 1.0))
        put(f"inside_{i}", d["film_rest"] * d["area"] * array("bowl.inside.split")[i])
    curves = solid_fat_curves(d["hardness"], d["tail"])
    start = _starting_state(setup, d, rows, curves, m)
    return Members(
        rows, curves, start, d["air"], d["warmth"], d["kappa"], d["bias"], np.full(m, setup.noise_c),
        np.full(m, number("plan.flow_by_eye")), np.full(m, setup.lag_left), np.full(m, setup.skin), d["area"],
        np.full(m, setup.top_m2),
    )  # fmt: skip


def _starting_state(setup: Setup, d: dict[str, Array], rows: Array, curves: Array, m: int) -> Array:
    start = np.zeros((m, state_size(MAX_ZONES)))
    solid = np.zeros(m) if setup.stock == "melted" else settled_solids(rows, curves, d["start"])
    for i in range(MAX_ZONES):
        start[:, i * PARCEL + X5] = solid
        start[:, i * PARCEL + N5] = 100.0 * solid * d["sites"]
        start[:, i * PARCEL + TEMP] = d["start"]
    start[:, -1] = d["wall_start"]
    return start


def settled_solids(rows: Array, curves: Array, temperature: Array) -> Array:
    """Equilibrium solid share of the fat of each member at its own temperature (m,). [1]"""
    warm = temperature + rows[:, SHIFT]
    nodes = curves[:, :, 0]
    k = np.clip((nodes <= warm[:, None]).sum(axis=1) - 1, 0, None)
    c = curves[np.arange(len(rows)), k]
    t = np.maximum(warm - c[:, 0], 0.0)
    return np.asarray((1.0 - rows[:, MILK_SHARE]) * (c[:, 1] + t * (c[:, 2] + t * (c[:, 3] + t * c[:, 4]))))


def nominal_row(**changed: float) -> tuple[Array, Array]:
    """Return the row and curve of one well-mixed parcel without a bowl, for films, cups and checks.

    Names are those of `PARAMETERS`, besides ``milk_share`` (moves the melting points with it), ``hardness`` and
    ``inhibition``. ``top`` is the loss to air in W/K for ``mass`` kg.
    """
    spreads = _crystal_spreads()
    row = np.zeros(len(PARAMETERS))
    for name, spread in spreads.items():
        row[parameter(name)] = spread.mid
    y = changed.pop("milk_share", 0.0)
    shift = number("crystals.milk_fat_shift") * y
    row[MILK_SHARE], row[SHIFT] = y, shift
    for name in ("t5", "tu"):
        row[parameter(name)] -= shift
    row[parameter("t6")] = row[parameter("t5")] + row[parameter("six_offset")]
    growth = row[parameter("growth")] * changed.pop("inhibition", 1.0)
    row[parameter("growth")] = row[parameter("growth_u")] = growth
    curve = solid_fat_curves(np.array([changed.pop("hardness", 0.0)]))[0]
    for name in ("mass", "solid_ref", "wall_heat", "drift_tau", "rest_tau", "strokes", "kappa_0", "stirred_film"):
        row[parameter(name)] = 1.0
    row[SHARE] = 1.0
    row[FAT] = 0.34
    row[parameter("soft")], row[parameter("gone")] = number("bowl.soft"), number("bowl.gone")
    for name, value in changed.items():
        row[parameter(name)] = value
    return row, curve
