"""Other ways to part-melt the same bowls: fixed bursts by eye, a card from the label's watts, a card without readings.

Every rival meets the same bowls as the planner and is played as well as its idea allows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.insight.policy import follow
from temperbench.kitchen.bowl_layout import GONE_AT, MASS, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, nominal, settled_solids
from temperbench.matter.crystals import CP, FAT, H_5
from validation_tables.cases import HANDLING, Case, Fates, fates, plan, run_fixed, stir_after

__all__ = ["RIVALS", "by_eye", "label_card", "label_energy", "play"]

BURST, MINUTE = 15.0, 60.0
FEW_LUMPS = 0.14  # of the fat solid: "flows, few lumps"
MOST_STEPS = 40
# Shares of the label card's on-time in four bursts; the start delay is added to each.
CARD_SPLIT = (0.6, 0.2, 0.1, 0.1)

RIVALS = {
    "planner": "the plan: readings and its table",
    "eye": "15 s bursts by eye: stir each time, stop when smooth",
    "patient": "the same, but while few lumps are left stir 90 s before any more heat",
    "rough": "the patient cook with an eye twice as bad (30 % off)",
    "minute": "one minute first, then as the patient cook",
    "label": "card from the label's watts, no reading",
    "card": "the plan's own median seconds, no reading",
}


def by_eye(bowls: Bowls, rng: np.random.Generator, *, patient: bool, first: float = BURST) -> NDArray[np.float64]:
    """Burst and stir until smooth, judging lumps and flow by eye; return the seconds each bowl took.

    Lumps are seen without error. How much is left is judged with the error the planner's own cook has.
    """
    p, m = bowls.members, len(bowls.members)
    short, long = number("plan.stir.lumpy"), number("plan.stir.last")
    total, going = np.zeros(m), np.ones(m, dtype=bool)
    for step in range(MOST_STEPS):
        going &= bowls.lumpiest() >= p.rows[:, GONE_AT]
        if not going.any():
            break
        judged = bowls.solid() * np.exp(p.eye * rng.standard_normal(m))
        wait = going & (judged < FEW_LUMPS) if patient else np.zeros(m, dtype=bool)
        seconds = np.where(going & ~wait, first if step == 0 else BURST, 0.0)
        stir = np.where(wait, long, np.where(going, short, 0.0))
        rest = np.where(going, HANDLING, 0.0)
        bowls.burst(seconds)
        bowls.stand(rest / 2)
        bowls.stir(stir)
        bowls.stand(rest / 2)
        total += seconds + stir + rest
    return total


def label_energy(found: Case) -> float:
    """Heat that brings the middle bowl from its start to the stop. [J]"""
    one = nominal(found.known.setup)
    row, start = one.rows[0], found.known.start_c.mid
    rise = found.at.stop_c - start
    ends = settled_solids(np.repeat(one.rows, 2, axis=0), np.repeat(one.curves, 2, axis=0),
                          np.array([start, found.at.stop_c]))  # fmt: skip
    melted = float(ends[0] - ends[1])
    return float(row[MASS] * (row[CP] * rise + row[FAT] * row[H_5] * melted) + row[WALL_HEAT] * rise)


def label_card(found: Case) -> list[float]:
    """Return the bursts of a card that takes the label's watts as what the chocolate gets. [s]"""
    seconds = label_energy(found) / found.job.oven_w
    return [float(round(share * seconds + number("oven.start_delay"))) for share in CARD_SPLIT]


def play(name: str, found: Case, members: Members, seed: int) -> Fates:
    """Let one rival bring these bowls to their end."""
    bowls, rng = Bowls(members), np.random.default_rng([seed, 7])
    seconds: NDArray[np.float64] | float
    if name == "planner":
        seconds = follow(found.policy, bowls, found.aims, rng, found.job.level).seconds
    elif name in ("eye", "patient", "rough", "minute"):
        first = MINUTE if name == "minute" else BURST
        if name == "rough":
            bowls.members = replace(members, eye=2.0 * members.eye)
        seconds = by_eye(bowls, rng, patient=name != "eye", first=first)
    elif name == "label":
        card = label_card(found)
        seconds = run_fixed(bowls, card, stir_after(card))
    elif name == "card":
        steps = plan(found.job).bursts
        seconds = run_fixed(bowls, [float(s.seconds) for s in steps], [float(s.stir_s) for s in steps])
    else:
        raise KeyError(name)
    return fates(bowls, found.at.scorch_c, seconds)
