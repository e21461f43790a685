"""Nut pastes, plant-milk, caramelised and coloured masses can be planned by the methods that suit them."""

from __future__ import annotations

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.plan_bowl import plan_bowl
from temperbench.app.plan_method import plan_method
from temperbench.matter.materials import ALLERGENS, NAMES
from temperbench.matter.pack import CHOCOLATES, KINDS

OTHERS = [kind for kind in KINDS if kind not in CHOCOLATES]
MEMBERS = 48
METHODS = [{"method": "seed"}, {"method": "seed", "seed_with": "butter-crystals"}, {"method": "bath"}]


def job(kind: str, **more: object) -> RawJob:
    """Return a job of half a kilogram with told nuts where there are any."""
    nuts = {"nut_pct": 45} if kind in ("gianduja", "praline") else {}
    return RawJob({"chocolate": kind, "grams": 500, "room_c": 20, **nuts, **more})


@pytest.mark.parametrize("kind", OTHERS)
@pytest.mark.parametrize("method", METHODS, ids=lambda m: m.get("seed_with", m["method"]))
def test_every_mass_is_planned_by_seed_and_bath(kind: str, method: dict[str, str]) -> None:
    """The plan names the mass, warns of its allergens, keeps temper in most bowls, and ends below the limit."""
    plan = plan_method(job(kind, **method), members=MEMBERS)
    assert plan.title.startswith(f"500 g {NAMES[kind]}, ")
    assert ALLERGENS[kind] in plan.cautions
    assert plan.work_from_c < plan.work_to_c < plan.limit_c
    assert plan.risk_lost <= 0.1
    assert plan.risk_scorch <= 0.05
    assert plan.crystals_pct_of_fat.mid >= 0.5


@pytest.mark.parametrize("kind", OTHERS)
def test_every_mass_is_planned_by_bursts(kind: str) -> None:
    """Bursts that do not grow, a stop below the limit, and the mass's own caution on the card."""
    plan = plan_bowl(job(kind, oven_w=900), members=MEMBERS)
    seconds = [step.seconds for step in plan.bursts]
    assert seconds == sorted(seconds, reverse=True)
    assert plan.stop_c < plan.limit_c
    assert ALLERGENS[kind] in plan.cautions


def test_seeded_coloured_butter_stays_thin_longer_than_part_melted() -> None:
    """What the warning of coloured butter says: melted fully and seeded it can be worked for longer."""
    raw = {"method": "seed", "seed_with": "butter-crystals"}
    seeded = plan_method(job("coloured-butter", **raw), members=MEMBERS)
    melted = plan_method(job("coloured-butter", method="bath"), members=MEMBERS)
    assert seeded.workable.mid > melted.workable.mid + 5.0
