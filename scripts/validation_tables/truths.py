"""Bowls that are not what the plan believes: truths outside its spreads, and what each rival makes of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from temperbench.foundation.quantities import Spread
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowl_layout import DRIFT
from temperbench.kitchen.members import Members, draw
from temperbench.kitchen.setup import Setup
from temperbench.matter.crystals import N5, PARCEL
from validation_tables.cases import Case, Fates, case, default_job
from validation_tables.page import interval, percent, table
from validation_tables.rivals import RIVALS, play

__all__ = ["TRUTHS", "Truth", "kind_table", "members_of", "results", "rival_table", "truth_table"]


ASKED = 0.05  # of the bowls, for lost and for scorched alike


def _same(members: Members) -> Members:
    return members


@dataclass(frozen=True)
class Truth:
    """One way the world differs from the plan's spreads: in what is drawn, or in what was drawn."""

    name: str
    setup: Callable[[Setup, Case], Setup] = lambda setup, _: setup
    members: Callable[[Members], Members] = _same
    butter: str | None = None  # what the pack is taken to say, and the plan believes


def _drift(members: Members) -> Members:
    rows = members.rows.copy()
    rows[:, DRIFT] = 0.30
    return replace(members, rows=rows)


def _hot(members: Members) -> Members:
    return replace(_drift(members), warmth=np.ones(len(members)))


def _sites(members: Members) -> Members:
    start = members.start.copy()
    start[:, N5 : members.zones * PARCEL : PARCEL] *= 10.0
    return replace(members, start=start)


def _reads(off: float) -> Callable[[Members], Members]:
    return lambda members: replace(members, bias_c=np.full(len(members), off))


def _infrared(setup: Setup, found: Case) -> Setup:
    other = know(replace(found.job, thermometer="infrared")).setup
    return replace(setup, bias_c=other.bias_c, noise_c=other.noise_c, lag_left=other.lag_left, skin=other.skin)


def _oven(share: float) -> Callable[[Setup, Case], Setup]:
    return lambda setup, found: replace(setup, delivered_w=Spread.exact(share * found.job.oven_w))


def _butter(hardness: float) -> Callable[[Setup, Case], Setup]:
    return lambda setup, _: replace(setup, hardness=Spread.exact(hardness))


def _grams(more: float) -> Callable[[Setup, Case], Setup]:
    return lambda setup, _: replace(setup, mass_kg=setup.mass_kg + more / 1000.0)


TRUTHS = (
    Truth("as the plan believes"),
    Truth("kappa 2.5 (crystals thicken more)", members=lambda m: replace(m, kappa=np.full(len(m), 2.5))),
    Truth("drift 30 %, from cold", members=_drift),
    Truth("oven hot from use, untold (30 % down)", members=_hot),
    Truth("growth sites x 10", members=_sites),
    Truth("soft butter, not on the pack", _butter(-1.0)),
    Truth("soft butter, called medium", _butter(-1.0), butter="medium"),
    Truth("hard butter, not on the pack", _butter(1.0)),
    Truth("20 g less than weighed", _grams(-20.0)),
    Truth("20 g more than weighed", _grams(20.0)),
    Truth("probe reads 1.5 °C too high", members=_reads(1.5)),
    Truth("probe reads 1.5 °C too low", members=_reads(-1.5)),
    Truth("infrared used, probe named", _infrared),
    Truth("strong oven: 105 % of label", _oven(1.05)),
    Truth("weak oven: 65 % of label", _oven(0.65)),
)


def members_of(truth: Truth, found: Case, members: int, seed: int) -> Members:
    """Draw the bowls of a truth."""
    setup = truth.setup(found.known.setup, found)
    return truth.members(draw(setup, members, np.random.default_rng([seed, 11])))


def results(
    members: int, rivals: tuple[str, ...] = tuple(RIVALS), kind: str = "dark", seed: int = 3,
    say: Callable[[str], None] = lambda _: None,
) -> dict[str, dict[str, Fates]]:  # fmt: skip
    """Return the fates of the bowls of every truth in the hands of every rival."""
    out = {}
    for truth in TRUTHS:
        found = case(replace(default_job(kind), butter=truth.butter))
        say(f"{kind}: {truth.name}")
        bowls = members_of(truth, found, members, seed)
        out[truth.name] = {rival: play(rival, found, bowls, seed) for rival in rivals}
    return out


def _bold(text: str, share: float) -> str:
    return f"**{text}**" if share > ASKED else text


def truth_table(found: dict[str, dict[str, Fates]]) -> str:
    """Return what becomes of the plan's bowls under each truth; bold where it is more than was asked for."""
    lines = []
    for name, fates in found.items():
        f = fates["planner"]
        low, high = interval(round(f.lost * f.members), f.members)
        lines.append((
            name, f"{_bold(percent(f.lost), f.lost)} ({percent(low)} to {percent(high)})",
            _bold(percent(f.scorched), f.scorched), percent(f.pasty), percent(f.lumpy), percent(f.thick),
            f"{f.minutes:.1f}",
        ))  # fmt: skip
    head = ("Truth", "Lost (95 % interval)", "Scorched", "Pasty", "Lumpy", "Thick", "Minutes")
    return table(head, lines)


def kind_table(of_kind: dict[str, dict[str, dict[str, Fates]]]) -> str:
    """Return the planner beside the patient cook for other kinds: lost / scorched / pasty = any of the three."""
    lines = []
    for kind, found in of_kind.items():
        for truth, fates in found.items():
            best = min(f.failed for f in fates.values())
            lines.append((kind, truth, *(_cell(f, best) for f in fates.values())))
    names = list(next(iter(next(iter(of_kind.values())).values())))
    return table(("Kind", "Truth", *names), lines)


def _cell(f: Fates, best: float) -> str:
    star = "**" if f.failed <= best + 0.0005 else ""
    trio = " / ".join(f"{100.0 * x:.1f}" for x in (f.lost, f.scorched, f.pasty))
    return f"{trio} = {star}{100.0 * f.failed:.1f}{star}; {f.minutes:.1f} min"


def rival_table(found: dict[str, dict[str, Fates]]) -> str:
    """Return lost / scorched / pasty and the share of any of the three, for every rival, and who fails least."""
    names = list(next(iter(found.values())))
    lines = []
    for truth, fates in found.items():
        best = min(f.failed for f in fates.values())
        lines.append((truth, *(_cell(fates[name], best) for name in names)))
    return table(("Truth", *names), lines)
