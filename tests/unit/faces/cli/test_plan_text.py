"""The text of a plan fits the screen, leaves nothing out, and gives every figure its unit."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from sample_plan import RULES, sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.plan_json import plan_json
from temperbench.app.results import BurstPlan, ReadsThen, RescueRow
from temperbench.faces.cli.plan_text import plan_text, rescue_lines
from temperbench.faces.drawing.words import minutes_between
from temperbench.faces.told.plan_words import defaults_told

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
    for key in ("draw_down_min", "workable_min", "held_min"):
        band = told[key]
        assert minutes_between(band["low"], band["mid"], band["high"]) in text, key
    crystals = told["crystals_pct_of_fat"]
    assert f"{crystals['mid']} % of the fat at the stop ({crystals['low']} to {crystals['high']})" in text
    test = told["setting_test"]
    expected = f"expected {test['low_min']} to {test['high_min']} min"
    assert f"set by {test['pass_min']} min = enough crystals; {expected}" in text
    for row in told["rescue"]:
        if row["add_g"]:
            portions = " + ".join(map(str, row["portions_g"]))
            assert f"{row['at_c']} °C {row['add_g']} g {portions} g" in text
    hottest = min(row["at_c"] for row in told["rescue"] if row["add_g"] is None)
    assert f"From {hottest} °C: melt fully, then seed." in text
    for store in told["carries"]["stores"]:
        assert f"{' / '.join(map(str, store['bursts_s']))} s, together {store['total_burst_s']} s" in text


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_text_leaves_no_sentence_out(plan: BurstPlan) -> None:
    """Every warning, rule, caution, default, source and line of what it holds for is there whole."""
    text = flat(plan_text(plan))
    sentences = [*(w.text for w in plan.warnings), *plan.rules, *plan.cautions, *plan.holds_for, *plan.sources]
    wanted = [plan.title, plan.carries.text, *sentences, *defaults_told(plan)]
    assert [sentence for sentence in wanted if flat(sentence) not in text] == []


def test_what_is_told_once_is_not_told_twice() -> None:
    """How far the seconds carry and what a rescue needs stand in the text once."""
    text = flat(plan_text(sample_plan()))
    assert (text.count("19 to 21 °C at the start"), text.count("each until it is gone"), text.count("then seed")) == (
        1,
        1,
        1,
    )


def test_every_reading_has_its_seconds() -> None:
    """Each row of the policy stands on the line of its reading, under the bursts after which it holds."""
    plan = sample_plan_awkward()
    head, *lines = plan_text(plan).split("after burst")[1].splitlines()
    assert head.split() == ["1", "2", "3", "4", "5", "6", "7", "8", "on"]
    found = {}
    for line in lines:
        label, *cells = re.split(r"\s{2,}", line.strip())
        if len(cells) != 8:
            break
        found[label] = cells
    assert found["30.0 to 30.4 °C"][2] == "15 s"
    assert (len(found) * 8, found["32.0 °C and up"]) == (len(plan.reads_then), ["stir"] * 8)


def test_the_rules_stand_before_the_table() -> None:
    """What goes before the readings is read before them."""
    text = flat(plan_text(sample_plan()))
    at = [text.index(words) for words in ("NEXT BURST", *RULES, "after burst")]
    assert at == sorted(at)


def test_a_look_is_told_where_it_begins() -> None:
    """Rows of one look name it once, beside the first; where it would not fit beside the seconds it is left to JSON."""
    assert plan_text(sample_plan()).count("thick, soft lumps") == 1
    many = tuple(ReadsThen(stage, None, 30.0, 40 - stage, "thick, soft lumps") for stage in range(1, 9))
    assert "thick, soft lumps" not in plan_text(replace(sample_plan(), reads_then=many))


def test_a_long_look_is_wrapped_beside_its_seconds() -> None:
    """A look of many words takes several lines and keeps its seconds on the last."""
    row = ReadsThen(1, None, None, 12, "about half of the buttons have lost their edges and the rest swims")
    text = plan_text(replace(sample_plan(), reads_then=(row,)))
    assert re.search(r"the rest\s+swims +12 s\n", text)


def test_nothing_to_say_leaves_no_heading() -> None:
    """A plan without warnings, cautions, rows and sources has no empty headings."""
    bare = replace(
        sample_plan(), warnings=(), cautions=(), defaults_used=(), holds_for=(), sources=(), reads_then=(), rules=()
    )
    text = plan_text(bare)
    headings = ("WARNINGS", "CAUTIONS", "TAKEN AS USUAL", "HOLDS FOR", "SOURCES", "NEXT BURST")
    assert [heading for heading in headings if heading in text] == []


def test_a_stage_holds_until_the_next_one() -> None:
    """Columns are named by the bursts after which they hold, the last one from there on."""
    rows = tuple(ReadsThen(stage, None, 30.0, 40 - stage, "") for stage in (1, 3, 4))
    text = plan_text(replace(sample_plan(), reads_then=rows))
    assert [line.split() for line in text.splitlines() if "after burst" in line] == [
        ["after", "burst", "1,", "2", "3", "4", "on"]
    ]


def test_portions_are_shown_with_their_sum() -> None:
    """What is stirred in one after the other stands beside its sum; nothing to add is said so."""
    rows = (
        RescueRow(34.0, 0, 34.0, 2.0, "Still in temper: stir, and do not heat again."),
        RescueRow(36.0, 110, 34.1, 3.2, "Stir in 40 g, 40 g and 30 g.", (40, 40, 30)),
        RescueRow(37.0, 140, 34.1, 3.1, "Stir in 50 g, 50 g and 40 g.", (50, 50, 40)),
        RescueRow(42.0, None, None, None, "It would take more than 250 g: melt it fully, then seed it."),
    )
    assert rescue_lines(rows) == [
        "    reads    add buttons   in portions",
        "  34.0 °C        nothing   stir, no heat",
        "  36.0 °C          110 g   40 + 40 + 30 g",
        "  37.0 °C          140 g   50 + 50 + 40 g",
        "  Stir in one portion after the other, each until it is gone; then the setting",
        "  test.",
        "  Still in temper: stir, and do not heat again.",
        "  It ends at 34.1 °C with 3.1 to 3.2 % of the fat as crystals.",
        "  From 42.0 °C: melt fully, then seed.",
    ]
    big = rescue_lines((RescueRow(36.0, 7400, 34.1, 3.2, "", (2500, 2500, 2400)),))
    assert max(map(len, big)) <= 79
