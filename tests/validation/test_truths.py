"""Slow: plans for bowls that are not what the plan believes, beside the rivals; and the shape of every plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from temperbench.insight.plan import ReadsThen
from validation_tables.cases import KINDS, THERMOMETERS, Fates, default_job, plan
from validation_tables.truths import TRUTHS, results

BOWLS = ("plastic", "polycarbonate", "silicone", "borosilicate", "glass", "stoneware")
ASKED = 0.05
# Truths under which more bowls are lost or scorched than was asked for: the page says so, and by how much.
OVER = {
    "soft butter, not on the pack", "soft butter, called medium", "probe reads 1.5 °C too low",
    "infrared used, probe named", "strong oven: 105 % of label",
}  # fmt: skip
# Truths under which the planner fails more often than the cook who bursts 15 s and stirs until smooth.
OUTDONE = {"soft butter, not on the pack", "soft butter, called medium", "probe reads 1.5 °C too high",
           "probe reads 1.5 °C too low"}  # fmt: skip


@pytest.fixture(scope="module", name="fates")
def _fates() -> dict[str, dict[str, Fates]]:
    """Return what planner, cook by eye and card make of 2,000 bowls of every truth."""
    return results(2000, ("planner", "eye", "label", "card"))


@pytest.mark.slow
def test_risks_hold_outside_the_spreads_where_they_are_said_to(fates: dict[str, dict[str, Fates]]) -> None:
    """Both risks stay within 5 % under every truth but the ones the page names."""
    over = {name for name, f in fates.items() if max(f["planner"].lost, f["planner"].scorched) > ASKED}
    assert over <= OVER
    assert len(fates) == len(TRUTHS)


@pytest.mark.slow
def test_the_planner_fails_less_than_cards_without_readings(fates: dict[str, dict[str, Fates]]) -> None:
    """Lost, scorched or pasty: a card from label watts and a card of the plan's own seconds do worse on every truth.

    Lost alone is no fair measure: the label's card loses hardly any bowl, because it leaves nearly all of them pasty.
    """
    worse = {
        (name, rival)
        for name, f in fates.items()
        for rival in ("label", "card")
        if not f["planner"].failed < f[rival].failed
    }
    assert worse <= {("probe reads 1.5 °C too high", "card")}


@pytest.mark.slow
def test_the_planner_fails_less_than_fixed_bursts_by_eye(fates: dict[str, dict[str, Fates]]) -> None:
    """A cook who bursts 15 s and stirs until smooth does worse on every truth but those the page names."""
    outdone = {name for name, f in fates.items() if not f["planner"].failed < f["eye"].failed}
    assert outdone <= OUTDONE


def whole(rows: tuple[ReadsThen, ...], by_eye: bool) -> bool:
    """Tell whether the rows of one stage cover all readings without a gap and never rise with the reading."""
    falls = all(a.seconds >= b.seconds for a, b in pairwise(rows))
    ends = (rows[0].reads_from_c, rows[-1].reads_to_c)
    joined = all(a.reads_to_c == b.reads_from_c for a, b in pairwise(rows))
    return falls and rows[-1].seconds == 0 and (by_eye or (ends == (None, None) and joined))


@pytest.mark.slow
@pytest.mark.parametrize("bowl", BOWLS)
@pytest.mark.parametrize("thermometer", THERMOMETERS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_plan_is_in_order(kind: str, thermometer: str, bowl: str) -> None:
    """Bursts never grow, risks are shares, and the rows of each stage cover every reading and fall with it."""
    p = plan(replace(default_job(kind, thermometer), bowl=bowl))
    seconds = [s.seconds for s in p.bursts]
    assert [(a, b) for a, b in pairwise(seconds) if b > a] == []
    assert 0.0 <= min(p.risk_lost, p.risk_scorch) <= max(p.risk_lost, p.risk_scorch) <= 1.0
    stages = sorted({r.stage for r in p.reads_then})
    tables = [tuple(r for r in p.reads_then if r.stage == stage) for stage in stages]
    assert stages[0] == 1
    assert [whole(rows, thermometer == "none") for rows in tables] == [True] * len(tables)
    warned = {w.code for w in p.warnings}
    assert ("risk-above-asked" in warned) == (max(p.risk_lost, p.risk_scorch) > p.risk_asked)
