"""A plan of a method, and the comparison of methods, as text: everything is there, and it fits the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sample_method import sample_comparison, sample_method, sample_method_awkward
from temperbench.app.results import MethodPlan
from temperbench.faces.cli.method_text import method_text
from temperbench.faces.cli.methods_command import methods_text


def flat(text: str) -> str:
    """Return a text as one line of single blanks."""
    return " ".join(text.split())


@pytest.mark.parametrize("plan", [sample_method(), sample_method_awkward()], ids=["usual", "awkward"])
def test_text_of_a_method_fits_the_screen(plan: MethodPlan) -> None:
    """No line is longer than 79 characters, none ends in blanks, and the text ends with one line break."""
    text = method_text(plan)
    assert [line for line in text.splitlines() if len(line) > 79 or line != line.rstrip()] == []
    assert text.endswith("\n")
    assert not text.endswith("\n\n")


def test_a_cook_can_work_from_the_text() -> None:
    """Steps with grams and minutes, readings with bands, what to do at each, faults, risks, times, washing-up."""
    plan = sample_method()
    told = flat(method_text(plan))
    for part in (
        "760 g to melt, 240 g of seed to weigh out, in portions of 80 + 80 + 80 g",
        "31 min (27 to 37) in all, 21 min (17 to 27) with your hands on it",
        "1. Melt 760 g fully", "until it rises to 45.0 °C, then 45.0 °C (44.7 to 45.3)", "10 min, hands off",
        "3. Stir in the first portion, 80 g", "usually 80 g; 45 s (30 to 60)",
        "below 34.7 °C no more seed", "34.7 to 36.0 °C stir in 50 g", "36.0 °C and above stir in 85 g",
        "lost temper 2.1 %, of a scorch 0.0 %", "read with a probe", "lumps stay: too cold before they had gone",
        "do: warm by half a degree", "WASHING-UP - bowl, spatula, thermometer", "set by 4.0 min",
        "method.seed.left, bowl.lost", *plan.cautions, *plan.holds_for, *plan.rules, *plan.defaults_used,
        *(warning.text for warning in plan.warnings),
    ):  # fmt: skip
        assert flat(part) in told, part


def test_by_eye_the_table_goes_by_the_look() -> None:
    """Without a thermometer the rows are named by what is seen, and the risks say that the eye alone judged."""
    told = flat(method_text(replace(sample_method(), thermometer="none")))
    assert "the portion took minutes to go stir in 50 g" in told.replace("to go  ", "to go ")
    assert "judged by the eye alone" in told
    assert "34.7 to 36.0" not in told


def test_comparison_shows_table_picture_and_reasons() -> None:
    """Figures, a bar, what is more than asked for, and why not: each row has its place, no line is too long."""
    text = methods_text(sample_comparison())
    assert [line for line in text.splitlines() if len(line) > 79] == []
    told = flat(text)
    for part in (
        "seed with butter crystals 31 21 2.1 % 10 g new", "seed with a block 31 21 21.0 % ! 600 g new",
        "! more than you asked for", "MINUTES # at the bowl, . waiting", "the quickest (0.1 to 8 kg)",
        "microwave not possible, because it needs a microwave oven", "A note.", "Thick.",
    ):  # fmt: skip
        assert part in told, part
