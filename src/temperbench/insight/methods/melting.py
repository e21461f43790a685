"""The full melt that seeding, tabling and cold stirring begin with: from the store until every crystal is gone.

Nothing has to be kept, so that the melt is one heat balance: what the stock takes on its solid-fat curve from the store
to the clearing temperature, over what its source of heat gives to it.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.methods.script import Run
from temperbench.insight.setup_job import Known
from temperbench.kitchen.bowl_layout import MASS, POWER, WALL_HEAT, WALL_SHARE
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.masses import lessened
from temperbench.kitchen.members import Members, draw, latin, nominal, settled_solids, triangular
from temperbench.kitchen.outside import Around, drawn_around, water_bath
from temperbench.kitchen.setup import Setup
from temperbench.kitchen.vessels import refused_in_microwave
from temperbench.matter.composition import full_melt
from temperbench.matter.crystals import CP, FAT, H_5, TEMP

__all__ = ["Melting", "melted_nominal", "melted_run", "melting_of"]

_POINTS = 40  # of the solid-fat curve between store and clearing temperature


@dataclass(frozen=True)
class Melting:
    """How a job's stock is melted fully, and how warm."""

    how: str  # oven, bath, cabinet, or ready when it is melted already
    clear_c: float
    source_c: float | None  # of bath or cabinet
    default: str  # what was taken as usual, in a sentence; "" when the job says it


def melting_of(known: Known) -> Melting:
    """Return the full melt of a job, by the source of heat that the job names, or over a water bath."""
    job = known.job
    clear = full_melt(job.chocolate)[0] if job.melt_c is None else job.melt_c
    warm = job.bath_c if job.bath_c is not None and job.bath_c > clear else None
    bath_c = clear + number("method.melt.bath_above") if warm is None else warm
    if job.stock == "melted" and job.start_c is not None and job.start_c >= clear:
        return Melting("ready", job.start_c, None, "")
    if job.oven_w is not None and refused_in_microwave(known.bowl.material) is None:
        return Melting("oven", clear, None, "")
    if job.cabinet_c is not None and job.cabinet_c > clear:
        return Melting("cabinet", clear, job.cabinet_c, "")
    so = known.say.either("it reads so", "it is about as warm")
    told = "" if warm is not None else f"Melting: over a water bath of {bath_c:.0f} °C, taken off when {so}."
    return Melting("bath", clear, bath_c, told)


def _setup(known: Known, clear_c: float) -> Setup:
    """Return the set-up of the stock fully melted, its bowl as warm."""
    half = number("bowl.start_known")
    warm = Spread(clear_c - half, clear_c, clear_c + half)
    return dataclasses.replace(known.setup, stock="melted", start_c=warm, wall_c=warm)


def _less(members: Members, kilograms: float) -> Members:
    """Leave out what is kept back as seed."""
    rows = lessened(members.rows, np.full(len(members), kilograms), members.zones)
    return dataclasses.replace(members, rows=rows)


def melted_nominal(known: Known, melting: Melting, kept_back_kg: float) -> Members:
    """Return one melted bowl with the middle value of everything."""
    return _less(nominal(_setup(known, melting.clear_c)), kept_back_kg)


def melted_run(known: Known, melting: Melting, kept_back_kg: float, members: int, entropy: list[int]) -> Run:
    """Return newly drawn bowls after the full melt, with the way there and the rest at it as their first steps."""
    rng = np.random.default_rng(entropy)
    drawn = _less(draw(_setup(known, melting.clear_c), members, rng), kept_back_kg)
    cube = latin(rng, members, 3)
    store = triangular(cube[0], known.start_c)
    run = Run(Bowls(drawn), rng)
    if melting.how != "ready":
        name, detail, hands_on = _told(known, melting, 1000.0 * float(np.median(drawn.rows[:, MASS])))
        took = _seconds(known, melting, drawn, store, cube[1:], drawn_around(members, rng))
        run.came_from(
            store, took, "clear", name, detail=detail, until="rises to", until_c=melting.clear_c, hands_on=hands_on
        )
        hold = 60.0 * number("method.clear.hold")
        run.begin("clear", f"Keep it there {hold / 60.0:.0f} min", hands_on=False, detail=_HOLD)
        run.waits(hold)
    return run


_HOLD = "So that no old crystal is left: what was not hot enough keeps old ones. Cover it; keep steam and water away."


def _told(known: Known, melting: Melting, grams: float) -> tuple[str, str, bool]:
    name = f"Melt {grams:.0f} g fully"
    if melting.how == "oven":
        return name, "In the microwave oven: bursts of 30 s, later 15 s, stirring well after each.", True
    if melting.how == "cabinet":
        return name, f"In the cabinet at {melting.source_c:.0f} °C, covered; stir now and then.", False
    rim = "the bowl dry outside and its rim above the steam" if known.bowl.material != "plastic" else "no steam at it"
    return name, f"Over a bath of {melting.source_c:.0f} °C, not boiling, {rim}; stir often.", True


def _seconds(known: Known, melting: Melting, members: Members, store: Array, cube: Array, figures: Around) -> Array:
    """Seconds each bowl takes from its store to the clearing temperature."""
    rows = members.rows
    ends = np.maximum(members.start[:, TEMP], store + 0.1)
    grid = store[:, None] + (ends - store)[:, None] * np.linspace(0.0, 1.0, _POINTS)
    solid = np.array([settled_solids(rows, members.curves, grid[:, k]) for k in range(_POINTS)]).T
    kg = rows[:, MASS, None]
    heat = kg * (rows[:, CP, None] * grid - (rows[:, FAT] * rows[:, H_5])[:, None] * solid)
    heat = heat + rows[:, WALL_HEAT, None] * grid
    rise = np.diff(heat, axis=1)
    if melting.how == "oven":
        on = triangular(cube[0], spread_of("method.melt.oven_on"))
        watts = on * rows[:, POWER] * (1.0 - rows[:, WALL_SHARE])
        return np.asarray(rise.sum(axis=1) / watts)
    middle = 0.5 * (grid[:, 1:] + grid[:, :-1])
    source = 0.0 if melting.source_c is None else melting.source_c
    given = _conductance(known, melting, members, cube, figures)[:, None] * np.maximum(source - middle, 0.1)
    return np.asarray((rise / given).sum(axis=1))


def _conductance(known: Known, melting: Melting, members: Members, cube: Array, figures: Around) -> Array:
    """Heat that bath or cabinet gives the chocolate per kelvin. [W/K]"""
    if melting.how == "cabinet":
        still = triangular(cube[0], spread_of("around.film.cabinet.still"))
        return np.asarray(still * (members.area_m2 + members.top_m2))
    outside = np.asarray(water_bath(members, known.bowl.material, 0.0, figures=figures).conductance)
    inside = triangular(cube[1], spread_of("bowl.film.stirred")) * members.area_m2
    return np.asarray(1.0 / (1.0 / outside + 1.0 / inside))
