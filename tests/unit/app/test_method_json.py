"""The JSON of a plan of any method: every figure is in it, with one rounding for each kind."""

from __future__ import annotations

import json
from dataclasses import fields, replace

from sample_method import sample_method, sample_method_awkward
from temperbench.app.method_json import method_json
from temperbench.app.results import MethodPlan


def test_plans_of_methods_survive_json() -> None:
    """Every plan is standard JSON, without infinities, and comes back as it went."""
    for plan in (sample_method(), sample_method_awkward()):
        content = method_json(plan)
        assert json.loads(json.dumps(content, allow_nan=False)) == content


def test_every_field_of_a_plan_is_in_its_json() -> None:
    """No field of the plan is left out: changing any one changes the JSON."""
    plan, other = sample_method(), sample_method_awkward()
    for name in (f.name for f in fields(MethodPlan)):
        assert getattr(plan, name) != getattr(other, name), name
        assert method_json(replace(plan, **{name: getattr(other, name)})) != method_json(plan), name


def test_figures_of_a_method_have_one_rounding_each() -> None:
    """Degrees, minutes and % have one decimal, risks three, grams none."""
    content = method_json(sample_method_awkward())
    assert (content["risk_lost"], content["risk_scorch"], content["lift_c"]) == (0.123, 0.01, 29.4)
    assert content["total_min"] == {"low": 0.0, "mid": 1.2, "high": 3.3}
    assert content["phases"] == [{"name": "lift", "from_s": 0, "to_s": 61}]
