"""The risks a plan promises are kept on fresh bowls that no step of the planning has seen."""

from __future__ import annotations

import pytest

from validation_tables.cases import case, default_job
from validation_tables.page import interval
from validation_tables.risks import measured

ASKED = 0.05


@pytest.mark.parametrize(("kind", "bowls"), [("dark", 20_000), ("milk", 3_000), ("white", 3_000)])
def test_plans_keep_the_risks_asked_for(kind: str, bowls: int) -> None:
    """With a checked probe at most 5 % of bowls lose their crystals and at most 5 % scorch, with 95 % confidence."""
    lost, scorched, _ = measured(case(default_job(kind)), bowls, seed=101)
    assert max(interval(lost, bowls)[1], interval(scorched, bowls)[1]) <= ASKED


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["dark", "milk", "white"])
@pytest.mark.parametrize("thermometer", ["probe", "infrared", "none"])
def test_every_thermometer_keeps_the_risks_asked_for(kind: str, thermometer: str) -> None:
    """What is worse told is planned more carefully: each kind with each thermometer keeps both risks."""
    bowls = 100_000 if (kind, thermometer) == ("dark", "probe") else 10_000
    lost, scorched, _ = measured(case(default_job(kind, thermometer)), bowls, seed=103)
    assert max(interval(lost, bowls)[1], interval(scorched, bowls)[1]) <= ASKED
