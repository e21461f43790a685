"""The card of a method: one page whatever the plan, with its figures as text, the same bytes for the same input."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pypdf
import pytest

from sample_method import sample_method, sample_method_awkward
from sample_paths import PATHS
from temperbench.app.results import Band, Fault, MethodPlan, ReadsDo, Warning_
from temperbench.faces.paper import method_card_pdf
from temperbench.faces.paper.method_card import MOST_STEPS
from temperbench.faces.paper.method_content import key_steps, method_content
from temperbench.faces.paper.other_unit import aims_in_f, range_in_f
from temperbench.faces.told.method_words import read_told, step_time, time_told
from temperbench.faces.told.plan_words import SMEAR_RESULTS
from temperbench.foundation.errors import InputError

DAY = date(2026, 3, 14)
POINTS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}  # ISO 216: 210 x 297 mm; ANSI A: 8.5 x 11 in


def crowded() -> MethodPlan:
    """Return more of everything than a page can hold."""
    plan = PATHS["rounds"]()
    return replace(
        plan,
        title=f"{'a very long name of a chocolate ' * 4}, {'and of all the kit ' * 6}",
        steps=tuple(replace(plan.steps[i % 5], detail="How it is done. " * 12) for i in range(MOST_STEPS)),
        reads_then=tuple(ReadsDo(f"at point {i // 4}", 20.0 + i, 21.0 + i, "go on " * 9) for i in range(40)),
        faults=tuple(Fault(f"seen {i}", "a cause " * 6, "do this " * 8) for i in range(30)),
        rules=tuple(f"Rule {i}: {'keep it ' * 10}" for i in range(12)),
        warnings=tuple(Warning_(f"w{i}", f"Warning {i}: " + "a long reason " * 12) for i in range(40)),
        cautions=tuple(f"Caution {i}: {'take great care ' * 8}" for i in range(12)),
        holds_for=tuple(f"It holds for {'much ' * 20}" for _ in range(30)),
        defaults_used=tuple(f"Default {i}: {'as usual ' * 9}" for i in range(30)),
    )


PLANS: dict[str, Callable[[], MethodPlan]] = {**PATHS, "crowded": crowded}


def text_of(plan: MethodPlan, **more: Any) -> str:
    """Return the text of a card, every run of white space as one space."""
    pdf = method_card_pdf(plan, made_on=DAY, version="1.2.3", **more)
    return " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


@pytest.mark.parametrize("page", POINTS)
@pytest.mark.parametrize("name", PLANS)
def test_one_page_of_the_size_asked_for(name: str, page: str) -> None:
    """The card is one page of A4 or Letter, with any plan."""
    pages = pypdf.PdfReader(io.BytesIO(method_card_pdf(PLANS[name](), page=page, made_on=DAY, version="1.2.3"))).pages
    assert len(pages) == 1
    box = pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(POINTS[page], abs=0.01)


def test_the_usual_card_holds_every_figure_of_the_plan() -> None:
    """Steps, grams, readings with bands, the table, test, faults, risks, cautions, date: all there as text."""
    plan = sample_method()
    text = text_of(plan)
    expected = [
        "1000 g dark chocolate", "full melt and seed, steel bowl", "31 min (27 to 37) in all, 21 min at the bowl",
        *(step.do for step in plan.steps), *(step_time(step) for step in plan.steps), "rises to 45.0 °C 44.7 to 45.3",
        "80 g then 40.7 °C 40.1 to 41.2", "hands off", "Weigh out 760 g to melt, 240 g of seed.",
        "After the second portion", *plan.rules,
        *(f"{read_told(row)} {range_in_f(row)} {row.do}" for row in plan.reads_then),
        "In °F: clear 113.0, limit 94.1, work 87.8 to 89.6.",
        "Set by 4.0 min = enough crystals; expected 1.8 to 4.2 min.", *(f"{sees} {do}" for sees, do in SMEAR_RESULTS),
        "16 min (10 to 25) unheated, then too thick", "Crystals at the end: 1.6 % of the fat (0.9 to 2.2).",
        "Lumps stay: too cold before they had gone. Warm by half a degree.",
        "Of 512 simulated bowls, read with a probe, 2.1 % lost their temper, 0.0 % scorched (asked: at most 5.0 %).",
        "limit 34.5 °C", "from 31.0 °C", "to 32.0 °C", "clear 45.0 °C", *plan.cautions, plan.warnings[0].text,
        "bowl, spatula, thermometer.", "Made 14 March 2026 with temperbench 1.2.3",
    ]  # fmt: skip
    assert [line for line in expected if line not in text] == []


def test_fahrenheit_stands_beside_celsius_as_far_as_there_is_room() -> None:
    """The temperatures to steer by are there in both units on every card; the readings where nothing else is lost."""
    rows = [ReadsDo("then", low, high, "go on") for low, high in ((None, 31.0), (31.0, 32.0), (32.0, None))]
    assert [range_in_f(row) for row in rows] == ["below 87.8 °F", "87.8 to 89.6 °F", "89.6 °F and above"]
    assert range_in_f(ReadsDo("then", None, None, "go on", looks="thick")) == ""
    assert aims_in_f((("stop", 34.0, None), ("lift", None, None), ("work", 31.0, 32.0))) == (
        "In °F: stop 93.2, work 87.8 to 89.6."
    )
    assert "limit 94.1, work 87.8 to 89.6." in text_of(PATHS["rounds"]())


def test_by_eye_the_card_does_not_say_that_it_reads() -> None:
    """Without a thermometer a step is left by its looks, and the temperature is only about right."""
    plan = replace(sample_method(), thermometer="none")
    text = text_of(plan)
    assert "Stir, look, do" in text
    assert "is about" in text
    assert "lumps hardly melt any more no more seed" in text
    assert "rises to" not in text
    assert "judged by the eye alone" in text


def test_a_risk_above_what_was_asked_is_never_cut_first() -> None:
    """The card says so in its line of risks, and of all warnings that one is the first."""
    more = Warning_("risk-above-asked", "With this thermometer 33 % of bowls end without enough crystals.")
    text = text_of(replace(crowded(), risk_lost=0.33, warnings=(*crowded().warnings[:9], more)))
    assert "33.0 % lost their temper, 0.0 % scorched (MORE than asked: at most 5.0 %)" in text
    plain = replace(sample_method(), risk_lost=0.33, warnings=(*sample_method().warnings, more))
    content = method_content(plain, DAY, "1.2.3")
    assert (content["over"], content["warnings"][0]) == (True, more.text)


def test_what_does_not_fit_is_told() -> None:
    """A crowded page says of each list that was cut that the rest is on screen."""
    text = text_of(crowded())
    left = text[text.index("On screen: ") :].split(".")[0]
    whole = ("how far it carries", "the rules", "what to do when it goes wrong", "what was taken as usual")
    assert [part for part in whole if part not in left] == []
    shown = sum(f"Warning {i}:" in text for i in range(40))
    assert (f"{40 - shown} more on screen" in text, "The rest of this table is on screen." in text) == (True, True)


def test_what_is_missing_leaves_no_empty_headings() -> None:
    """A plan without faults, warnings and rules has none of their headings."""
    text = text_of(sample_method_awkward())
    assert [word for word in ("When it goes wrong", "Mind", "Take care") if word in text] == []


def test_too_many_steps_are_refused_with_a_remedy() -> None:
    """What no page can hold is told before it is set."""
    plan = replace(sample_method(), steps=sample_method().steps[:1] * (MOST_STEPS + 1))
    with pytest.raises(InputError, match="number of steps"):
        method_card_pdf(plan, made_on=DAY, version="1.2.3")


def test_the_same_plan_and_day_give_the_same_bytes() -> None:
    """Two cards of one plan and day are byte-identical; another day is another card."""
    one, two, other = (
        method_card_pdf(sample_method(), made_on=day, version="1.2.3") for day in (DAY, DAY, date(2026, 3, 15))
    )
    assert one == two
    assert one != other


def test_the_square_holds_what_a_smeared_card_loses() -> None:
    """Grams, aims, window, test and date in a few short lines."""
    lines = key_steps(replace(sample_method(), draw_down_c=35.0), DAY, "1.2.3").splitlines()
    assert lines[1:] == [
        "melt 760 g; portions 80/80/80 g", "clear 45.0 °C, draw down 35.0 °C, limit 34.5 °C, work 31.0 to 32.0 °C",
        "paper smear set by 4.0 min, expected 1.8 to 4.2 min", "temperbench 1.2.3, 2026-03-14",
    ]  # fmt: skip


def test_a_night_is_told_in_hours() -> None:
    """Minutes up to three hours, then hours with one decimal."""
    assert (time_told(Band(170.0, 179.0, 190.0)), time_told(Band(540.0, 648.0, 790.0))) == (
        "179 min (170 to 190)",
        "10.8 h (9.0 to 13.2)",
    )
