"""Figures for the advice of the rule table: temperatures, grams of seed, minutes, each from the model or its row."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.rescue import rescue_row
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.insight.trouble.ask import TroubleAsk
from temperbench.kitchen.bowl_layout import MASS, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT
from temperbench.kitchen.members import nominal, settled_solids
from temperbench.kitchen.settle import balance
from temperbench.matter.composition import full_melt, scorch_alarm
from temperbench.matter.crystals import CP, FAT, H_5

__all__ = ["said_figures", "seed_now"]

_STEP_G = 5.0


def _row_ends(key: str, unit: str, digits: int = 0) -> str:
    low, high = array(key)
    return _between(low, high, unit, digits)


def _between(low: float, high: float, unit: str, digits: int = 0) -> str:
    return f"{low:.{digits}f} to {high:.{digits}f} {unit}"


def seed_now(known: Known, reads_c: float) -> tuple[int, float, float] | None:
    """Return grams of in-temper buttons that give a bowl without crystals enough of them, and where it ends.

    Heat balance and solid-fat ceiling together, as for a rescue; None when the largest usual share of seed is not
    enough because the bowl is too hot. Grams, °C, kg/kg fat.
    """
    one, grams, seed_c = nominal(known.setup), known.job.grams, min(known.start_c.mid, number("limit.start_c.solid"))
    row, curve = one.rows[0], one.curves[0]
    aim = number("trouble.seed.enough") * number("bowl.enough")
    solid = float(settled_solids(one.rows, one.curves, np.array([seed_c]))[0])
    most = number("trouble.seed.most") / 100.0 * grams / (1.0 - number("trouble.seed.most") / 100.0)
    for seed in np.arange(_STEP_G, most + _STEP_G, _STEP_G):
        total = (grams + seed) / 1000.0
        enthalpy = grams * row[CP] * reads_c + seed * (row[CP] * seed_c - row[FAT] * row[H_5] * solid)
        enthalpy = enthalpy / (grams + seed) + row[WALL_HEAT] / total * reads_c
        t, x = balance(enthalpy, solid * seed / (grams + seed), row[CP] + row[WALL_HEAT] / total, row, curve)
        if x >= aim:
            return int(seed), float(t), float(x)
    return None


def _rescue(known: Known, aims: Temperatures, ask: TroubleAsk) -> str:
    at = ask.reads_c if ask.reads_c is not None else ask.hottest_c
    low, high = array("limit.rescue_c")
    if at is not None and aims.limit_c < at <= high:
        return rescue_row(known, aims, max(at, low)).advice
    return _seed(known, aims, ask)


def _seed(known: Known, aims: Temperatures, ask: TroubleAsk) -> str:
    at = ask.reads_c if ask.reads_c is not None else aims.work_to_c
    found = seed_now(known, at)
    if found is None:
        return f"Let it cool below {aims.limit_c:.1f} °C first; then seed it with finely chopped in-temper chocolate."
    grams, ends, solid = found
    return (
        f"Stir in {grams} g of finely chopped in-temper chocolate of the same kind at {at:.1f} °C: it ends near "
        f"{ends:.1f} °C with about {100.0 * solid:.1f} % of the fat as crystals."
    )


def _wait(known: Known, aims: Temperatures, ask: TroubleAsk) -> str:
    """Say how long an even bowl takes from its reading into the window, by its own losses."""
    if ask.reads_c is None or ask.reads_c <= aims.work_to_c:
        return ""
    row, room = nominal(known.setup).rows[0], known.room_c.mid
    if room >= aims.work_to_c:
        return ""
    heat = row[MASS] * row[CP] + row[WALL_HEAT]
    loss = row[TOP] + row[WALL_AIR] + row[WALL_BENCH]
    minutes = heat / loss * np.log((ask.reads_c - room) / (aims.work_to_c - room)) / 60.0
    return f", which takes about {minutes:.0f} min at rest in this room" if minutes >= 1.0 else ""


def said_figures(known: Known, aims: Temperatures, ask: TroubleAsk, pass_min: float) -> dict[str, str]:
    """Return the words for every figure that the texts of the rule table name."""
    kind = known.chocolate.kind
    melt_low, melt_high = full_melt(kind)
    return {
        "limit": f"{aims.limit_c:.1f} °C", "stop": f"{aims.stop_c:.1f} °C",
        "work": _between(aims.work_from_c, aims.work_to_c, "°C"), "work_to": f"{aims.work_to_c:.0f} °C",
        "cold": f"{number(f'bowl.cold.{kind}'):.1f} °C", "melt": _between(melt_low, melt_high, "°C"),
        "scorch": f"{scorch_alarm(kind):.0f} °C", "pass_min": f"{pass_min:.1f} min",
        "rescue": _rescue(known, aims, ask), "seed_now": _seed(known, aims, ask), "wait": _wait(known, aims, ask),
        "memory": f"{number('trouble.memory'):.0f} min",
        "warm_by": _row_ends("trouble.warm_by", "°C", 1),
        "thin_at": _row_ends("trouble.thin.at", "°C"),
        "thin_share": _row_ends("trouble.thin.share", "%"),
        "seize_liquid": f"{number('trouble.seize.liquid'):.0f} %",
        "thin_fat": f"{100.0 * number('composition.fat.thin'):.0f} %",
        "mould": _row_ends("trouble.mould", "°C"),
        "coldest_air": _row_ends("trouble.coldest_air", "°C"),
        "setting_air": _row_ends("trouble.setting_air", "°C"),
        "store": _row_ends("trouble.store", "°C"),
        "rest": _row_ends("trouble.rest", "hours"),
        "damp_dark": _row_ends("trouble.damp.dark", "% humidity"),
        "damp_milk": f"{number('trouble.damp.milk'):.0f} %",
        "vi_years": f"{number('trouble.vi.years'):.0f} years",
        "bloom_filled": f"{number('trouble.bloom.filled'):.0f}",
        "contraction": f"{number('trouble.contraction'):.0f} min",
    }  # fmt: skip
