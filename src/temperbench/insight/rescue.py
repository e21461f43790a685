"""Rescue of an overheated bowl: in-temper buttons to stir in, by heat balance and solid-fat ceiling together."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.job import BowlJob
from temperbench.insight.plan import RescueRow
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.bowl_layout import WALL_HEAT
from temperbench.kitchen.members import Members, nominal, settled_solids
from temperbench.kitchen.settle import balance
from temperbench.matter.crystals import CP, FAT, H_5

__all__ = ["rescue_row", "rescue_rows", "rescue_table"]


def _mixed(one: Members, grams: float, at_c: float, seed_g: float, seed_c: float) -> tuple[float, float]:
    """Temperature and solid share after stirring ``seed_g`` in until even."""
    row, curve = one.rows[0], one.curves[0]
    total = (grams + seed_g) / 1000.0
    solid = float(settled_solids(one.rows, one.curves, np.array([seed_c]))[0])
    heat = row[CP] + row[WALL_HEAT] / total
    enthalpy = grams * row[CP] * at_c + seed_g * (row[CP] * seed_c - row[FAT] * row[H_5] * solid)
    enthalpy = enthalpy / (grams + seed_g) + row[WALL_HEAT] / total * at_c
    t, x = balance(enthalpy, solid * seed_g / (grams + seed_g), heat, row, curve)
    return float(t), float(x)


def rescue_row(known: Known, aims: Temperatures, at_c: float) -> RescueRow:
    """Return the row for a bowl that reads ``at_c`` when stirred and has no crystals left."""
    one = nominal(known.setup)
    grams, seed_c = known.job.grams, known.start_c.mid
    target = aims.stop_c + number("rescue.above_stop")
    most = number("rescue.most_share") * grams
    if at_c <= aims.limit_c - number("rescue.still_in_temper"):
        t, x = at_c, float(settled_solids(one.rows, one.curves, np.array([at_c]))[0])
        return RescueRow(at_c, 0, round(t, 1), round(100.0 * x, 1), "Still in temper: stir, and do not heat again.")
    if _mixed(one, grams, at_c, most, seed_c)[0] > target:
        return RescueRow(at_c, None, None, None, _full_melt(most))
    low, high = 0.0, most
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _mixed(one, grams, at_c, middle, seed_c)[0] > target else (low, middle)
    step = 10.0 if high > 60.0 else 5.0 if high > 20.0 else 1.0
    seed = step * np.ceil(high / step)
    t, x = _mixed(one, grams, at_c, seed, seed_c)
    portions = _thirds(int(seed), int(step))
    return RescueRow(at_c, int(seed), round(t, 1), round(100.0 * x, 1), _advice(portions), portions)


def _thirds(seed: int, step: int) -> tuple[int, ...]:
    third = step * round(seed / 3.0 / step) or step
    last = seed - 2 * third
    return (third, third, last) if last > 0 else (seed,)


def _advice(portions: tuple[int, ...]) -> str:
    if len(portions) == 1:
        return f"Stir in {portions[0]} g at once; make the setting test."
    first, second, last = portions
    return f"Stir in {first} g, {second} g and {last} g, each until it is gone; make the setting test."


def _full_melt(most: float) -> str:
    return f"It would take more than {most:.0f} g: melt it fully, then seed it."


def rescue_table(known: Known, aims: Temperatures) -> tuple[RescueRow, ...]:
    """Return the rescue rows of the card."""
    return tuple(rescue_row(known, aims, at) for at in array("rescue.rows"))


def rescue_rows(job: BowlJob, at_c: float) -> RescueRow:
    """Return the rescue of one bowl of a job that reads ``at_c`` when stirred."""
    known = know(job)
    return rescue_row(known, temperatures(known), at_c)
