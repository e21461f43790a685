"""What the planner does with 0.5 to 1.5 kg, and what the practised sequences do with each amount."""

from __future__ import annotations

import numpy as np

from temperbench.insight.carry import still
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, nominal
from validation_tables.cases import default_job, fates, plan, run_fixed, stir_after
from validation_tables.page import percent, table

__all__ = ["GRAMS", "SEQUENCES", "amount_tables", "comes_out", "end_of", "steps_of"]

GRAMS = tuple(range(500, 1501, 100))
SEQUENCES = {"60/15/10/12/3": [60.0, 15.0, 10.0, 12.0, 3.0], "60/15/15/10/5": [60.0, 15.0, 15.0, 10.0, 5.0]}
LEAVES = (0.03, 0.09)  # of the fat as crystals: what a part-melt is meant to leave


def end_of(bursts: list[float], grams: float) -> tuple[float, float]:
    """Stirred temperature and solids per fat of the middle bowl at the end of a sequence."""
    bowls = Bowls(still(nominal(know(default_job(grams=grams)).setup)))
    run_fixed(bowls, bursts, stir_after(bursts))
    return float(bowls.reading()[0]), float(bowls.solid()[0])


def steps_of(bursts: list[float], grams: float) -> list[tuple[float, float]]:
    """Stirred temperature and solids per fat of the middle bowl after each burst and stir."""
    bowls = Bowls(still(nominal(know(default_job(grams=grams)).setup)))
    found = []
    for burst, stir in zip(bursts, stir_after(bursts), strict=True):
        run_fixed(bowls, [burst], [stir])
        found.append((float(bowls.reading()[0]), float(bowls.solid()[0])))
    return found


def comes_out(name: str) -> list[int]:
    """Return the amounts for which the middle bowl ends with the crystals a part-melt is meant to leave. [g]"""
    return [g for g in GRAMS if LEAVES[0] <= end_of(SEQUENCES[name], g)[1] <= LEAVES[1]]


def _sequence_lines(name: str, members: int) -> list[tuple[str, ...]]:
    bursts = SEQUENCES[name]
    lines: list[tuple[str, ...]] = []
    for grams in GRAMS:
        known = know(default_job(grams=grams))
        heat, solid = end_of(bursts, grams)
        bowls = Bowls(draw(known.setup, members, np.random.default_rng([5, grams])))
        f = fates(bowls, temperatures(known).scorch_c, run_fixed(bowls, bursts, stir_after(bursts)))
        low, _, high = f.solid
        lines.append((
            f"{grams / 1000.0:.1f} kg", f"{heat:.1f} °C", percent(solid), f"{percent(low)} to {percent(high)}",
            percent(f.lost), percent(f.scorched), percent(f.pasty), percent(1.0 - f.failed),
        ))  # fmt: skip
    return lines


def amount_tables(members: int) -> dict[str, str]:
    """Return the table of plans, one table per practised sequence, and the sentence that says where they fit."""
    lines = []
    for grams in GRAMS:
        p = plan(default_job(grams=grams))
        bursts = " / ".join(str(s.seconds) if s.seconds else "stir" for s in p.bursts)
        end = p.bursts[-1]
        lines.append((
            f"{grams / 1000.0:.1f} kg", bursts, f"{p.total_burst_s}", f"{p.total_min:.1f}",
            f"{end.mean_c:.1f} °C ({end.low_c:.1f} to {end.high_c:.1f})", f"{end.solid_pct_of_fat:.1f} %",
            percent(p.risk_lost), percent(p.risk_scorch),
        ))  # fmt: skip
    head = ("Amount", "Bursts, s", "Sum, s", "Minutes", "Ends at", "Crystals", "Lost", "Scorched")
    found = {"plans": table(head, lines)}
    head = ("Amount", "Middle bowl ends at", "Crystals", "5 to 95 % of bowls", "Lost", "Scorched", "Pasty", "Good")
    told = []
    for name, seconds in SEQUENCES.items():
        kept = " and ".join(f"{g / 1000.0:.1f}" for g in comes_out(name)) or "none of these"
        steps = ", ".join(f"{t:.1f} °C {percent(x, 0)}" for t, x in steps_of(seconds, 1000.0))
        told.append(
            f"- {name} s: the middle bowl ends with {percent(LEAVES[0], 0)} to {percent(LEAVES[1], 0)} of the fat as "
            f"crystals at **{kept} kg**. On 1 kg it reads, stirred after each burst: {steps}."
        )
    body = [f"**{name} s, fixed, no reading**\n\n{table(head, _sequence_lines(name, members))}" for name in SEQUENCES]
    found["practised"] = "\n".join(told) + "\n\n" + "\n\n".join(body)
    return found
