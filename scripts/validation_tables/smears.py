"""Parcels of middle figures for the crystal observations: smears, cups, bowls on a bench, tabled chocolate, seeds."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowl_layout import CONDUCT, INSIDE, SHARE, TOP, WALL_AIR, WALL_BENCH
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, nominal, nominal_row, settled_solids
from temperbench.kitchen.parcel import parcel_states, run_parcels, time_to_solid
from temperbench.kitchen.settle import balance
from temperbench.matter.crystals import CP, FAT, H_5, N5, PARCEL, TEMP, X5, X6, XU
from validation_tables.cases import default_job

__all__ = ["cooling_slope", "held_minutes", "isothermal", "kind_row", "lump_times", "minutes_to", "seeded",
           "set_minutes", "unheated_minutes"]  # fmt: skip

Array = NDArray[np.float64]
HELD = 1e12  # heat capacity so large that the temperature stays. [J/(kg·K)]
# Fat, milk-fat share, temperature of the bowl the smear comes from, growth factor: middle figures of each kind.
OF_KIND = {"dark": (0.34, 0.0, 31.5), "milk": (0.32, 0.18, 29.5), "white": (0.33, 0.25, 28.5)}


def kind_row(kind: str = "dark", **changed: float) -> tuple[Array, Array, float]:
    """Return row and curve of a parcel of one kind, and the temperature it is worked at."""
    fat, share, work = OF_KIND[kind]
    factor = number(f"kinetics.growth_factor.{kind}")
    row, curve = nominal_row(fat=fat, milk_share=share, inhibition=factor, **changed)
    return row, curve, work


def _run(row: Array, curve: Array, start: tuple[float, float], air: float, seconds: Array, shear: float) -> Array:
    y = parcel_states(start[0], start[1], 100.0 * start[1])
    return np.asarray(run_parcels(y, row[None], curve[None], np.array([air]), seconds, shear)[0])


def set_minutes(kind: str, crystals: float, film: str = "knife", air: float = 20.0) -> float:
    """Minutes until a smear has set; ``crystals`` per fat, well dispersed."""
    row, curve, work = kind_row(kind, top=number(f"film.{film}.loss"))
    y = parcel_states(work, crystals, 100.0 * crystals)
    longest = 60.0 * 120.0
    found = time_to_solid(y, row[None], curve[None], np.array([air]), number("film.set"), longest)
    return float(found[0]) / 60.0


def isothermal(
    temperature: float, crystals: float, minutes: float, shear: float, kind: str = "dark", points: int = 2001
) -> tuple[Array, Array, Array]:
    """Minutes, stable crystals and all crystals per fat of a parcel kept at one temperature."""
    row, curve, _ = kind_row(kind, cp=HELD)
    t = np.linspace(0.0, 60.0 * minutes, points)
    states = _run(row, curve, (temperature, crystals), temperature, t, shear)
    stable = states[:, X5] + states[:, X6]
    return t / 60.0, stable, stable + states[:, XU]


def minutes_to(minutes: Array, crystals: Array, mark: float) -> float:
    """Minutes at which crystals first reach a mark; infinity when they do not."""
    past = crystals >= mark
    return float(minutes[int(np.argmax(past))]) if past.any() else float("inf")


def held_minutes(temperature: float, crystals: float, thick_at: float, kind: str = "dark") -> float:
    """Minutes a stirred bowl kept at one temperature takes to become too thick."""
    t, _, solid = isothermal(temperature, crystals, 720.0, number("bowl.shear.hand"), kind, 7201)
    return minutes_to(t, solid, thick_at)


def unheated_minutes(crystals: float, thick_at: float, grams: float = 1000.0) -> float:
    """Minutes an unheated bowl of 31.5 °C in a room of 20 °C takes to become too thick (300 J/K, 0.35 W/K)."""
    row, curve, work = kind_row("dark", top=0.35, mass=grams / 1000.0)
    row[CP] += 300.0 / (grams / 1000.0)
    t = np.linspace(0.0, 7200.0, 7201)
    states = _run(row, curve, (work, crystals), 20.0, t, number("bowl.shear.hand"))
    return minutes_to(t / 60.0, states[:, X5] + states[:, X6] + states[:, XU], thick_at)


def cooling_slope(crystals: float) -> float:
    """Slope at the bend of a cooling test, K/min: a small cup of 31.5 °C with 300 s to a bath of 8 °C."""
    row, curve, work = kind_row("dark", top=5.5)
    t = np.arange(0.0, 3600.0, 2.0)
    heat = _run(row, curve, (work, crystals), 8.0, t, 0.0)[:, TEMP]
    slope = 60.0 * np.gradient(heat, t)
    bend = int(np.argmax((slope[1:-1] > slope[:-2]) & (slope[1:-1] >= slope[2:]))) + 1
    return float(slope[bend])


@cache
def _one() -> Members:
    return nominal(know(default_job()).setup)


def seeded(hot_c: float, seed_share: float, seed_c: float = 20.0) -> tuple[float, float]:
    """Temperature and crystals per fat after stirring in-temper seeds into melted dark chocolate until even, no bowl.

    ``seed_share`` is the seeds' share of the whole batch.
    """
    one = _one()
    row, curve = one.rows[0], one.curves[0]
    solid = float(settled_solids(one.rows, one.curves, np.array([seed_c]))[0])
    enthalpy = (1.0 - seed_share) * row[CP] * hot_c + seed_share * (row[CP] * seed_c - row[FAT] * row[H_5] * solid)
    t, x = balance(enthalpy, solid * seed_share, row[CP], row, curve)
    return float(t), float(x)


def lump_times() -> tuple[float, float]:
    """Seconds until a lump of 29 °C stirred in much liquid of 34 °C is soft, and gone."""
    one = _one()
    rows = one.rows.copy()
    rows[:, [TOP, WALL_AIR, WALL_BENCH, CONDUCT, INSIDE]] = 0.0
    rows[:, SHARE : SHARE + 3] = [0.01, 0.98, 0.01]
    start = one.start.copy()
    for i, temperature in enumerate((29.0, 34.0, 34.0)):
        o = i * PARCEL
        start[:, o + TEMP] = temperature
        start[:, o + X5] = settled_solids(rows, one.curves, np.array([temperature]))
        start[:, o + N5] = 100.0 * start[:, o + X5]
    start[:, -1] = 34.0
    bowls = Bowls(replace(one, rows=rows, start=start))
    found = {}
    for second in range(1, 601):
        bowls.stir(1.0)
        solid = float(bowls.zone(X5)[0, 0] + bowls.zone(X6)[0, 0])
        for name, mark in (("soft", number("bowl.soft")), ("gone", number("bowl.gone"))):
            if solid < mark and name not in found:
                found[name] = float(second)
    return found.get("soft", float("inf")), found.get("gone", float("inf"))
