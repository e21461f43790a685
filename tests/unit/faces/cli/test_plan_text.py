"""The text of a plan fits the screen, leaves nothing out, and gives every figure its unit."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from sample_plan import sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.plan_json import plan_json
from temperbench.app.results import BurstPlan, ReadsThen, RescueRow
from temperbench.faces.cli.plan_text import plan_text, rescue_lines

PLANS = {"usual": sample_plan(), "by eye": sample_plan_by_eye(), "awkward": sample_plan_awkward()}


def flat(text: str) -> str:
    """Return text with every run of blanks and line ends as one blank."""
    return " ".join(text.split())


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_text_fits_eighty_columns(plan: BurstPlan) -> None:
    """No line is wider than 79 characters, none ends in a blank."""
    lines = plan_text(plan).splitlines()
    assert [line for line in lines if len(line) > 79 or line != line.rstrip()] == []


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_text_carries_the_figures_of_the_json(plan: BurstPlan) -> None:
    """Temperatures, steps, risks, bands, test, rescue and stores read in the text as they stand in the JSON."""
    text, told = flat(plan_text(plan)), plan_json(plan)
    for key in ("stop_c", "limit_c", "scorch_c"):
        assert f"{told[key]} °C" in text, key
    for step in told["bursts"]:
        assert f"{step['mean_c']} °C ({step['low_c']} to {step['high_c']}) {step['hottest_high_c']} °C" in text
    for key in ("risk_lost", "risk_scorch", "risk_asked"):
        assert f"{100 * told[key]:.1f} %" in text, key
    for key, unit in (
        ("draw_down_min", "min"),
        ("workable_min", "min"),
        ("held_min", "min"),
        ("crystals_pct_of_fat", "%"),
    ):
        band = told[key]
        assert f"{band['mid']} {unit} ({band['low']} to {band['high']})" in text, key
    test = told["setting_test"]
    assert (
        f"set within {test['pass_min']} min; this bowl should take {test['low_min']} to {test['high_min']} min" in text
    )
    for row in told["rescue"]:
        assert f"at {row['at_c']} °C " + (f"add {row['add_g']} g" if row["add_g"] else "no amount") in text
    for store in told["carries"]["stores"]:
        assert f"{' / '.join(map(str, store['bursts_s']))} s, together {store['total_burst_s']} s" in text


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_text_leaves_no_sentence_out(plan: BurstPlan) -> None:
    """Every warning, caution, default, source and line of what it holds for is there whole."""
    text = flat(plan_text(plan))
    sentences = [*(w.text for w in plan.warnings), *plan.cautions, *plan.defaults_used, *plan.holds_for, *plan.sources]
    assert [sentence for sentence in [plan.title, plan.carries.text, *sentences] if flat(sentence) not in text] == []


def test_every_reading_has_its_seconds() -> None:
    """Each row of the policy stands under its number of bursts, on the line of its reading."""
    plan = sample_plan_awkward()
    tables = plan_text(plan).split("after burst")[1:]
    found = []
    for table in tables:
        stages = [int(word) for word in table.splitlines()[0].replace(" on", "").split()]
        for line in table.splitlines()[1:]:
            cells = re.split(r"\s{2,}", line.strip())
            if len(cells) != len(stages) + 1:
                break
            found += [(stage, cells[0], cell) for stage, cell in zip(stages, cells[1:], strict=True)]
    assert len(found) == len(plan.reads_then)
    assert (3, "30.0 to 30.4 °C", "15 s") in found
    assert {cell for _, _, cell in found if cell[-1] != "s"} == {"stir"}


def test_a_long_look_is_wrapped_beside_its_seconds() -> None:
    """A look of many words takes several lines and keeps its seconds on the last."""
    row = ReadsThen(1, None, None, 12, "about half of the buttons have lost their edges and the rest swims")
    text = plan_text(replace(sample_plan(), reads_then=(row,)))
    assert re.search(r"the rest\s+swims +12 s\n", text)


def test_nothing_to_say_leaves_no_heading() -> None:
    """A plan without warnings, cautions, rows and sources has no empty headings."""
    bare = replace(sample_plan(), warnings=(), cautions=(), defaults_used=(), holds_for=(), sources=(), reads_then=())
    text = plan_text(bare)
    headings = ("WARNINGS", "CAUTIONS", "TAKEN AS USUAL", "HOLDS FOR", "SOURCES", "NEXT BURST")
    assert [heading for heading in headings if heading in text] == []


def test_an_advice_is_told_once() -> None:
    """Rows of the rescue table with the same advice share it."""
    lines = rescue_lines(sample_plan().rescue)
    assert len([line for line in lines if "thirds" in line]) == 1
    assert lines[-1] == "    Melt fully and seed instead."


def test_a_stage_holds_until_the_next_one() -> None:
    """Columns are named by the bursts after which they hold, the last one from there on."""
    rows = tuple(ReadsThen(stage, None, 30.0, 40 - stage, "") for stage in (1, 3, 4))
    text = plan_text(replace(sample_plan(), reads_then=rows))
    assert [line.split() for line in text.splitlines() if "after burst" in line] == [
        ["after", "burst", "1-2", "3", "4", "on"]
    ]


def test_portions_are_shown_with_their_sum() -> None:
    """What is stirred in one after the other stands beside its sum; nothing to add is said so."""
    rows = (
        RescueRow(34.4, 0, 34.4, 2.0, "Still in temper."),
        RescueRow(36.0, 110, 34.1, 3.2, "Stir in 40 g, 40 g and 30 g.", (40, 40, 30)),
        RescueRow(37.0, 140, 34.1, 3.1, "Stir in 50 g, 50 g and 40 g.", (50, 50, 40)),
    )
    assert rescue_lines(rows) == [
        "  at 34.4 °C   add nothing",
        "    Still in temper.",
        "  at 36.0 °C   add  110 g as 40 + 40 + 30 g: ends at 34.1 °C, 3.2 % crystals",
        "  at 37.0 °C   add  140 g as 50 + 50 + 40 g: ends at 34.1 °C, 3.1 % crystals",
        "    Stir in one portion after the other, each until it is gone; then make the",
        "    setting test.",
    ]
    big = rescue_lines((RescueRow(36.0, 7400, 34.1, 3.2, "", (2500, 2500, 2400)),))
    assert max(map(len, big)) <= 79
