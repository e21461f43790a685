"""What the regression tables may ask of a bowl: each function is named by a row's ``what``."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from bowl_cases import advance, row_of, settled_state
from regression.model_runs import SET, set_minutes
from temperbench.foundation.evidence import number
from temperbench.kitchen.bowl_reference import Acts, CrystalStore, Network, plain_rates, rk4, split, stirred
from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.parcel import parcel_states, run_parcels
from temperbench.matter.crystals import TEMP, X5
from temperbench.matter.solid_fat import solid_fat_content

__all__ = [
    "heat_to", "lump_cools_bowl", "lump_seconds", "paper_minutes", "solids_when_warmed", "stirred_all_along",
    "stirred_at_once", "temperature_at_solid",
]  # fmt: skip

Array = NDArray[np.float64]
ROOM = 20.0
# The bowl of the table: plastic, 270 J/K, losing 0.75 W/K in all; an oven that does not tire.
BOWL = {
    "power": 691.0, "drift": 0.0, "wall_heat": 270.0, "wall_air": 0.5, "wall_bench": 0.0, "top": 0.25, "inside_0": 0.5,
    "inside_1": 1.5, "inside_2": 1.0,
}  # fmt: skip
DELAY = 2.0
PAPER = {
    "dark": {"fat": 0.36},
    "milk": {"fat": 0.36, "milk_share": 0.18, "inhibition": 0.8},
    "white": {"fat": 0.36, "milk_share": 0.25, "inhibition": 0.75},
}
SITES = 300.0  # growth sites of melted-down buttons per unit share of the fat


def solids_when_warmed(at_c: list[float]) -> Array:
    """Return the crystals of buttons warmed from 20 °C and held for ten minutes at each temperature."""
    row, curve = nominal_row(cp=1e12)
    m, full = len(at_c), solid_fat_content(ROOM)
    start = parcel_states(np.array(at_c), full, SITES * full)
    run = run_parcels(start, np.repeat(row[None], m, 0), np.repeat(curve[None], m, 0), np.array(at_c), [600.0])
    return run[:, 0, X5 : X5 + 3].sum(axis=1)


def temperature_at_solid(solid: list[float], butter: str, milk_share: float) -> Array:
    """Return where the solid-fat curve passes each share."""

    def place(share: float) -> float:
        return float(brentq(lambda t: solid_fat_content(t, butter, milk_share) - share, 20.0, 35.0))

    return np.array([place(share) for share in solid])


def heat_to(end_c: float, start_c: list[float]) -> Array:
    """Return the heat that a kilogram of dark buttons takes from each start to the end, kJ/kg, without a bowl."""
    row, curve = row_of()
    store = CrystalStore(row, curve)

    def enthalpy(t: float) -> float:
        return float(store.enthalpy(np.array([[solid_fat_content(t), 0.0, 0.0, 0.0, 0.0, t]]))[0])

    return np.array([enthalpy(end_c) - enthalpy(t) for t in start_c]) / 1000.0


def _start(mass: float) -> tuple[Array, Array, Array]:
    row, curve = row_of(mass=mass, **BOWL)
    full = solid_fat_content(ROOM)
    return row, curve, settled_state(ROOM, full, SITES * full)


def _means(y: Array, share: Array) -> tuple[float, float]:
    zones, _ = split(y, 3)
    return float(share @ zones[:, TEMP]), float(share @ zones[:, :3].sum(axis=1))


@cache
def _at_once(bursts: tuple[float, ...], mass: float) -> Array:
    row, curve, y = _start(mass)
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)

    def wait(y: Array, acts: Acts, seconds: float) -> Array:
        return rk4(lambda _, at: plain_rates(at, net, store, acts), y, seconds, round(4 * seconds))

    still = Acts(ROOM, ROOM)
    found = []
    for seconds in bursts:
        y = wait(y, replace(still, watts=BOWL["power"]), seconds - DELAY)
        y = wait(y, still, DELAY + 5.0)
        zones, wall = split(y, 3)
        y = np.append(stirred(zones, net.share, 20.0, number("bowl.strokes")).ravel(), wall)
        y = wait(y, replace(still, shear=20.0, film=1.0), 20.0)
        found.append(_means(y, net.share))
    return np.array(found)


def stirred_at_once(bursts: list[float], figure: str, *, mass: float = 1.0, last: bool = False) -> Array:
    """Return mean temperature or solids after each burst or the last, stirred as an event, then 20 s for it to melt.

    By the plain reference: 5 s to take the bowl out, 20 strokes at once.
    """
    return _at_once(tuple(bursts), mass)[-1 if last else 0 :, 0 if figure == "t" else 1]


def stirred_all_along(bursts: list[float], figure: str, seconds: float) -> Array:
    """Return mean temperature or solids after each burst by the kernels, stirring for so many seconds each time."""
    row, curve, y = _start(1.0)
    share = Network.of_row(row, 3).share
    found = []
    for place, burst in enumerate(bursts):
        still = Acts(ROOM, ROOM, contact=1 if place else 0)
        y = advance(y, row, curve, still, DELAY, tol=0.005)
        y = advance(y, row, curve, replace(still, watts=BOWL["power"]), burst - DELAY, tol=0.005)
        y = advance(y, row, curve, still, 5.0, tol=0.005)
        stir = Acts(ROOM, ROOM, strokes=1.0, shear=20.0, contact=2, film=1.0)
        y = advance(y, row, curve, stir, seconds, tol=0.005)
        found.append(_means(y, share))
    return np.array(found)[:, 0 if figure == "t" else 1]


def paper_minutes(kind: str, seeds: list[float], air_c: float, start_c: float) -> Array:
    """Return when smears on paper, taken at the stop temperature, are set."""
    return set_minutes(seeds, start_c, [air_c], number("film.paper.loss"), SET, PAPER[kind])


def lump_seconds(start_c: float, liquid_c: float, solids: list[float]) -> Array:
    """Return when a stirred lump in liquid that keeps its temperature has so little solid fat left."""
    row, curve = nominal_row(top=number("bowl.lump"), fat=0.36)
    full = solid_fat_content(start_c)
    seconds = np.arange(0.0, 600.0, 0.5)
    start = parcel_states(start_c, full, SITES * full)
    run = run_parcels(start, row[None], curve[None], np.array([liquid_c]), seconds, number("bowl.shear.hand"))[0]
    return np.interp([-s for s in solids], -run[:, X5 : X5 + 3].sum(axis=1), seconds)


def lump_cools_bowl(share: float, lump_c: list[float], liquid_c: float, seconds: float) -> Array:
    """Return by how much lumps of each temperature cool a kilogram of liquid and its bowl, room shut out, K."""
    found = []
    for start_c in lump_c:
        row, curve = row_of(
            closed=True, share_0=1.0 - share, share_1=share, conduct=0.0, inside_0=3.0 * (1.0 - share),
            inside_1=3.0 * share, wall_heat=270.0,
        )  # fmt: skip
        y = settled_state(liquid_c, solid_fat_content(liquid_c), SITES * solid_fat_content(liquid_c), zones=2)
        lump = settled_state(start_c, solid_fat_content(start_c), SITES * solid_fat_content(start_c), zones=1)
        y[6:12] = lump[:6]
        stir = Acts(ROOM, ROOM, strokes=1.0, shear=20.0, contact=2, film=1.0)
        end = advance(y, row, curve, stir, seconds, tol=1e-3)
        found.append(liquid_c - ((1.0 - share) * end[TEMP] + share * end[6 + TEMP]))
    return np.array(found)
