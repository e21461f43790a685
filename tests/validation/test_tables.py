"""What the page of validation is made with: intervals, marked blocks, digests, rivals."""

from __future__ import annotations

import numpy as np
import pytest

import validate
from temperbench.foundation.evidence import number, rows
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw
from validation_tables.cases import case, default_job, run_fixed, stir_after
from validation_tables.page import Check, block_names, digest, filled, interval, table
from validation_tables.risks import risk_line
from validation_tables.rivals import RIVALS, label_card, label_energy, play

PAGE = validate.PAGE


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(0, 100, 0.0, 0.036217), (50, 100, 0.398321, 0.601679), (5, 10, 0.187086, 0.812914), (100, 100, 0.963783, 1.0)],
)
def test_intervals_are_those_of_clopper_and_pearson(hits: int, of: int, low: float, high: float) -> None:
    """Printed values of the exact binomial 95 % interval (Clopper & Pearson 1934, Biometrika 26:404) come out."""
    assert interval(hits, of) == pytest.approx((low, high), abs=2e-6)


def test_the_page_has_a_place_for_every_block() -> None:
    """Every block the script computes has its marks in docs/validation.md once, and no mark is left without one."""
    names = [name for names in validate.BLOCKS.values() for name in names]
    assert sorted(block_names(PAGE.read_text(encoding="utf-8"))) == sorted(names)


def test_blocks_are_filled_and_the_rest_left_alone() -> None:
    """Writing one block changes what stands between its marks only; a missing mark is an error."""
    text = "a\n<!-- one: begin -->\nold\n<!-- one: end -->\nb\n"
    assert filled(text, {"one": "new"}) == text.replace("old", "new")
    with pytest.raises(ValueError, match="marks of two"):
        filled(text, {"two": "new"})


def test_a_check_says_how_far_it_agrees() -> None:
    """All, some or no figures inside what was expected read differently, and a fit is named."""

    def said(*got: float, fitted: str = "") -> str:
        return Check("x", "1 to 2", 1.0, 2.0, got, "", "practice", "", fitted).verdict

    assert [said(1.5), said(1.5, 3.0), said(3.0)] == ["agrees", "**partly**", "**differs**"]
    assert said(1.5, fitted="a.row") == "agrees, fitted to it"


def test_tables_set_figures_to_the_right() -> None:
    """A column of figures is right-aligned, one with a word is not."""
    assert table(("a", "b"), [("x", 1.0), ("y", 2.0)]) == "| a | b |\n| --- | ---: |\n| x | 1.0 |\n| y | 2.0 |"


def test_the_two_digests_differ() -> None:
    """Models and planner settings have a digest each, the same at every call."""
    assert digest() == digest()
    assert digest() != digest(planner=True)
    assert {r.basis for r in rows().values() if r.basis == "fitted"} == {"fitted"}


def test_the_label_card_is_the_energy_balance_at_face_value() -> None:
    """Its on-time times the label's watts is the heat from start to stop, to the rounding of four bursts."""
    found = case(default_job())
    on = sum(label_card(found)) - 4.0 * number("oven.start_delay")
    assert on == pytest.approx(label_energy(found) / found.job.oven_w, abs=2.0)


@pytest.mark.parametrize("name", list(RIVALS))
def test_every_rival_brings_its_bowls_to_an_end(name: str) -> None:
    """A rival's bowls all end; shares are shares, and failing is at least each single way of failing."""
    found = case(default_job())
    f = play(name, found, draw(found.known.setup, 16, np.random.default_rng(1)), seed=1)
    assert max(f.lost, f.scorched, f.pasty) <= f.failed <= min(1.0, f.lost + f.scorched + f.pasty)
    assert f.minutes > 1.0


def test_rivals_and_planner_meet_the_same_bowls() -> None:
    """A rival does not change the bowls it is given: the next one finds them as they were."""
    found = case(default_job())
    members = draw(found.known.setup, 16, np.random.default_rng(2))
    start = members.start.copy()
    first = [play(name, found, members, seed=1) for name in RIVALS]
    assert np.array_equal(start, members.start)
    assert first == [play(name, found, members, seed=1) for name in RIVALS]


def test_a_fixed_sequence_takes_its_own_time() -> None:
    """Bursts, stirs and handling add up to the seconds told."""
    found = case(default_job())
    bowls = Bowls(draw(found.known.setup, 4, np.random.default_rng(3)))
    bursts = [10.0, 5.0]
    expected = 15.0 + sum(stir_after(bursts)) + 2.0 * number("bowl.rest.handling")
    assert run_fixed(bowls, bursts, stir_after(bursts)) == pytest.approx(expected)


@pytest.mark.slow
def test_the_page_belongs_to_these_data() -> None:
    """The page was computed with the figures that stand in the tables now; else run `make validate`."""
    text = PAGE.read_text(encoding="utf-8")
    assert [name for name in (digest(), digest(planner=True)) if f"`{name}`" not in text] == []


@pytest.mark.slow
def test_the_page_belongs_to_this_engine() -> None:
    """The engine gives the line of achieved risks that stands on the page; else run `make validate`."""
    line = " | ".join(risk_line("dark", "infrared", validate.FULL.risks[0]))
    assert f"| {line} |" in PAGE.read_text(encoding="utf-8")


@pytest.mark.slow
def test_every_block_can_be_computed() -> None:
    """The script computes every block it names, with few bowls."""
    found = validate.computed(validate.QUICK)
    assert sorted(found) == sorted(name for names in validate.BLOCKS.values() for name in names)
    assert [name for name, text in found.items() if "|" not in text] == []
