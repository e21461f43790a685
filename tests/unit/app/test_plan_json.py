"""The JSON of a plan has the keys its page promises, and one rounding for each kind of figure."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, cast

import pytest
from click.testing import CliRunner

from fake_engine import sample_run
from sample_method import sample_comparison, sample_method
from sample_plan import sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.compare_methods import comparison_json
from temperbench.app.method_json import method_json
from temperbench.app.plan_json import plan_json, rescue_json
from temperbench.app.results import BurstPlan, RescueRow
from temperbench.app.run_json import run_json
from temperbench.faces.cli.main import main

PAGE = Path(__file__).resolve().parents[3] / "docs" / "json.md"
PROMISED = {
    "stop_c", "limit_c", "work_from_c", "work_to_c", "scorch_c", "bursts", "total_burst_s", "risk_lost", "risk_scorch",
    "reads_then", "crystals_pct_of_fat", "setting_test", "workable_min", "rescue", "carries", "defaults_used",
    "warnings", "sources",
}  # fmt: skip


def documented() -> dict[str, set[str]]:
    """Return the keys of every table of the page by its heading."""
    parts = re.split(r"^## (.+)$", PAGE.read_text(encoding="utf-8"), flags=re.MULTILINE)
    firsts = {
        name: re.findall(r"^\| ((?:`\w+`(?:, )?)+) \|", text, flags=re.MULTILINE)
        for name, text in zip(parts[1::2], parts[2::2], strict=True)
    }
    return {name: set(re.findall(r"`(\w+)`", " ".join(cells))) for name, cells in firsts.items() if cells}


def objects() -> dict[str, list[Mapping[str, Any]]]:
    """Return the objects that the commands print, by the heading of their table."""
    plan: dict[str, Any] = plan_json(sample_plan())
    run: dict[str, Any] = run_json(sample_run())
    method: dict[str, Any] = method_json(sample_method())
    return {
        "`temperbench plan --method NAME --json`": [method],
        "A step of `steps`": method["steps"],
        "A row of `reads_then` of a method": method["reads_then"],
        "A row of `faults`": method["faults"],
        "`temperbench methods --json`": [comparison_json(sample_comparison())],
        "A row of `methods`": cast(Any, comparison_json(sample_comparison()))["methods"],
        "A stretch of `phases`": method["phases"],
        "`temperbench plan --json`": [plan],
        "A step of `bursts`": [*plan["bursts"], *run["steps"]],
        "A row of `reads_then`": [*plan["reads_then"], *cast(Any, plan_json(sample_plan_by_eye()))["reads_then"]],
        "A band: `crystals_pct_of_fat`, `draw_down_min`": [plan["crystals_pct_of_fat"], plan["draw_down_min"]],
        "`setting_test`": [plan["setting_test"]],
        "`workable_min` and `held_min`": [plan["workable_min"], plan["held_min"]],
        "A row of `rescue`": plan["rescue"],
        "`carries`": [plan["carries"]],
        "A row of `stores`": plan["carries"]["stores"],
        "`path`": [plan["path"]],
        "A leg of `path`": [*plan["path"].values()],
        "An entry of `warnings`": plan["warnings"],
        "`temperbench simulate --json`": [run],
        "`path` of a simulation": [run["path"]],
        "`temperbench sources --json`": json.loads(CliRunner().invoke(main, ["sources", "limit", "--json"]).stdout),
    }


def numbers(content: object, name: str = "") -> Iterator[tuple[str, float]]:
    """Yield every number with the nearest key above it."""
    if isinstance(content, dict):
        for key, below in content.items():
            yield from numbers(below, key)
    elif isinstance(content, list):
        for below in content:
            yield from numbers(below, name)
    elif isinstance(content, int | float) and not isinstance(content, bool):
        yield name, content


@pytest.mark.parametrize("heading", documented())
def test_page_and_answer_agree_key_for_key(heading: str) -> None:
    """Every object that a command prints has just the keys that its table in docs/json.md names."""
    found = objects()[heading]
    assert found != []
    assert [documented()[heading]] * len(found) == [set(one) for one in found]


def test_every_answer_is_on_the_page() -> None:
    """The page has a table for each kind of object, and the keys the project promised are there."""
    assert set(documented()) == set(objects())
    assert documented()["`temperbench plan --json`"] >= PROMISED


def test_plans_survive_json() -> None:
    """Every plan is standard JSON, without infinities, and comes back as it went."""
    for plan in (sample_plan(), sample_plan_by_eye(), sample_plan_awkward()):
        content = plan_json(plan)
        assert json.loads(json.dumps(content, allow_nan=False)) == content


def test_every_figure_of_a_plan_is_in_its_json() -> None:
    """No field of the plan is left out: changing any one changes the JSON."""
    plan, other = sample_plan(), sample_plan_awkward()
    same = [f.name for f in fields(BurstPlan) if getattr(plan, f.name) == getattr(other, f.name)]
    for name in (f.name for f in fields(BurstPlan) if f.name not in same):
        assert plan_json(replace(plan, **{name: getattr(other, name)})) != plan_json(plan), name
    for name in same:
        value = getattr(plan, name)
        moved = (*value, "more") if isinstance(value, tuple) else value
        if isinstance(value, float | int):
            moved = value + 0.01
        elif not isinstance(value, tuple):
            moved = replace(value, mid=value.mid + 1)
        assert plan_json(replace(plan, **{name: moved})) != plan_json(plan), name


def test_figures_have_one_rounding_each() -> None:
    """Degrees, minutes and % have one decimal, seconds none, risks three."""
    for name, value in numbers(plan_json(sample_plan_awkward())):
        places = 3 if name.startswith("risk_") and name != "risk_members" else 1
        assert round(value, places) == value, name
        if name in {"seconds", "rest_s", "stir_s", "total_burst_s", "bursts_s", "add_g", "grams_low", "grams_high"}:
            assert isinstance(value, int), name


def test_no_minus_before_nothing() -> None:
    """A figure that rounds to nothing from below is 0.0."""
    assert str(plan_json(replace(sample_plan(), stop_c=-0.01))["stop_c"]) == "0.0"


def test_a_rescue_without_buttons_has_no_figures() -> None:
    """Where only a full melt helps, grams and end are null."""
    row = rescue_json(RescueRow(42.04, None, None, None, "Melt fully and seed."))
    assert row == {
        "at_c": 42.0,
        "add_g": None,
        "ends_c": None,
        "ends_pct_of_fat": None,
        "portions_g": [],
        "advice": "Melt fully and seed.",
    }
