"""A plan that does not hold the risks asked says so first, with what would hold them."""

from __future__ import annotations

import re

from temperbench.insight.job import BowlJob
from temperbench.insight.methods.planners import plan_by_method

FEW = 128  # bowls, as in the comparison of methods


def test_too_much_for_the_slab_says_so_first_and_names_an_amount_that_holds() -> None:
    """20 kg of milk on one slab: the first warning has the figure, and the part it names holds when planned."""
    plan = plan_by_method(BowlJob("milk", 20000.0, method="tabling"), members=FEW)
    first = plan.warnings[0]
    assert (first.code, plan.risk_lost > plan.risk_asked) == ("risk-above-asked", True)
    assert f"{100 * plan.risk_lost:.1f} % of bowls end without enough crystals (asked: at most 5 %)" in first.text
    named = re.search(r"(Two|Three|Four) bowls of (\d+) g", first.text)
    assert named is not None
    part = plan_by_method(BowlJob("milk", float(named.group(2)), method="tabling"), members=FEW)
    assert [w.code for w in part.warnings if w.code.startswith("risk-")] == []


def test_where_no_smaller_amount_holds_it_sends_on_to_other_methods() -> None:
    """A risk that so few bowls cannot show is held by no part either: the text says to take another method."""
    plan = plan_by_method(BowlJob("milk", 20000.0, method="tabling", risk=0.001, risk_scorch=0.05), members=FEW)
    assert plan.warnings[0].code == "risk-above-asked"
    assert plan.warnings[0].text.endswith("take another method; put them side by side to see which hold it.")


def test_a_plan_that_holds_says_nothing_of_it() -> None:
    """1 kg of dark chocolate on a slab holds both risks, and no warning speaks of them."""
    plan = plan_by_method(BowlJob("dark", 1000.0, method="tabling"), members=FEW)
    assert [w.code for w in plan.warnings if w.code.startswith("risk-")] == []
