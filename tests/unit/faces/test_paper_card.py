"""The bench card: one page whatever the plan, with its figures as text, the same bytes for the same input."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pypdf
import pytest
import typst

from sample_plan import sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.results import BurstPlan, ReadsThen, Warning_
from temperbench.faces.paper import CardError, card, card_pdf, press
from temperbench.faces.paper.content import key_figures
from temperbench.faces.told.plan_words import SMEAR_RESULTS, defaults_told
from temperbench.foundation.errors import InputError

DAY = date(2026, 3, 14)
POINTS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}  # ISO 216: 210 x 297 mm; ANSI A: 8.5 x 11 in


def crowded() -> BurstPlan:
    """Return more of everything than a page can hold."""
    plan = sample_plan_awkward()
    policy = [
        ReadsThen(stage, None if i == 0 else 26 + 0.3 * i, None if i == 19 else 26.3 + 0.3 * i, 40 - 2 * i, "")
        for stage in range(1, 13)
        for i in range(20)
    ]
    return replace(
        plan,
        bursts=(*plan.bursts, *plan.bursts[:4]),
        reads_then=tuple(policy),
        warnings=tuple(Warning_(f"w{i}", f"Warning {i}: " + "a long reason " * 12) for i in range(40)),
        cautions=tuple(f"Caution {i}: {'take great care ' * 8}" for i in range(12)),
        holds_for=tuple(f"It holds for {'much ' * 20}" for _ in range(30)),
        rescue=plan.rescue * 3,
        title=f"{'a very long name of a chocolate ' * 4}, {'and of all the kit ' * 6}",
    )


PLANS: dict[str, Callable[[], BurstPlan]] = {
    "usual": sample_plan,
    "by eye": sample_plan_by_eye,
    "awkward": sample_plan_awkward,
    "crowded": crowded,
}


def read(pdf: bytes) -> pypdf.PdfReader:
    """Open a card."""
    return pypdf.PdfReader(io.BytesIO(pdf))


def text_of(plan: BurstPlan, **more: Any) -> str:
    """Return the text of a card, every run of white space as one space."""
    pdf = card_pdf(plan, made_on=DAY, version="1.2.3", **more)
    return " ".join(read(pdf).pages[0].extract_text().split())


@pytest.mark.parametrize("page", POINTS)
@pytest.mark.parametrize("name", PLANS)
def test_one_page_of_the_size_asked_for(name: str, page: str) -> None:
    """The card is one page of A4 or Letter, with any plan."""
    pages = read(card_pdf(PLANS[name](), page=page, made_on=DAY, version="1.2.3")).pages
    assert len(pages) == 1
    box = pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(POINTS[page], abs=0.01)


@pytest.mark.parametrize("page", POINTS)
def test_the_usual_card_holds_every_figure_of_the_plan(page: str) -> None:
    """Bursts, readings, the four temperatures, times, rescue, stores, lists, date and version are there as text."""
    plan = sample_plan()
    text = text_of(plan, page=page)
    expected = [
        "1000 g dark chocolate", "1000 W oven, plastic bowl", "102 s of oven in 5.2 min",
        *(f"{step.mean_c:.1f} °C" for step in plan.bursts),
        *(f"{step.low_c:.1f} to {step.high_c:.1f}" for step in plan.bursts),
        "stop 34.0 °C", "limit 34.5 °C", "from 31.0 °C", "to 32.0 °C",
        "reads, °C 1, 2 3 4 and later", "below 31.0 mostly whole 24 s 24 s 20 s", "32.5 to 32.9 12 s 10 s 8 s",
        "33.8 and up stir stir stir", *plan.rules,
        "7.0 min (5.4 to 9.2) from the stop, 34.0 °C, to the top of the window, 32.0 °C.",
        "Crystals at the stop: 5.0 % of the fat (3.1 to 8.2).",
        "Set by 4.0 min = enough crystals; expected 1.8 to 2.9 min.",
        "A thin smear on paper, in this room, never in the fridge.", *(f"{sees} {do}" for sees, do in SMEAR_RESULTS),
        "23 min (15 to 29) unheated, then too thick; 41 min (28 to 60) when kept at 32.0 °C, then too thick.",
        *(f"{row.at_c:.1f} {row.add_g} g {' + '.join(map(str, row.portions_g))} g" for row in plan.rescue if row.add_g),
        "It ends at 34.1 °C with 2.8 to 3.4 % of the fat as crystals.", "From 42.0 °C: melt fully, then seed.",
        "17.9 % of the fat solid", plan.carries.text,
        "2.1 % lost their temper, 4.7 % scorched (asked: at most 5.0 %)", "Of 4000 simulated bowls",
        *(line.rstrip(".") for line in plan.holds_for), *plan.cautions, *(warning.text for warning in plan.warnings),
        "Made 14 March 2026 with temperbench 1.2.3",
    ]  # fmt: skip
    if page == "A4":
        expected += defaults_told(plan)
        expected += [
            f"{row.start_c:.1f} °C: {' · '.join(map(str, row.bursts_s))} s, together {row.total_burst_s} s"
            for row in plan.carries.stores
        ]
    assert [line for line in expected if line not in text] == []
    assert ("On screen: stock from other stores, what was taken as usual." in text) is (page == "Letter")


def test_the_burst_row_gives_burst_and_stir_of_each_step() -> None:
    """The first row has the seconds of every burst, the second the seconds of every stir, in their order."""
    plan = sample_plan()
    text = text_of(plan)
    row = text[text.index("burst 60") : text.index("reads 30.6")]
    figures = [int(figure) for figure in re.findall(r"([0-9]+) ?s\b", row)]
    assert figures == [*(s.seconds for s in plan.bursts), *(s.stir_s for s in plan.bursts)]


def test_the_temperatures_to_steer_by_are_there_in_fahrenheit_too() -> None:
    """A card in °C says stop, limit and window once more in °F, as the cards of all methods do."""
    assert "In °F: stop 93.2, limit 94.1, work 87.8 to 89.6." in text_of(sample_plan())


def test_by_eye_the_looks_lead_to_the_seconds() -> None:
    """Without a thermometer the table's rows are looks, and the card does not say that it reads anything."""
    text = text_of(sample_plan_by_eye())
    assert "Stir, then look: the next burst" in text
    assert "thick, soft lumps 8 s 6 s" in text
    assert "what you see decides" in text
    assert "is at 30.6 °C" in text


def test_what_does_not_fit_is_counted() -> None:
    """Shown and unshown warnings together are all of them: nothing goes without a word."""
    plan = sample_plan_awkward()
    text = text_of(plan, page="Letter")
    mind = text[text.index("Mind") : text.index("On screen: ")]
    shown = [warning for warning in plan.warnings if warning.text in mind]
    left = re.search(r"([0-9]+) more on screen", mind)
    assert left is not None
    assert len(shown) + int(left.group(1)) == len(plan.warnings)
    assert len(shown) >= 1
    assert "On screen: how far it carries, stock from other stores, what was taken as usual." in text
    assert [caution for caution in plan.cautions if caution not in text] == []


def test_joined_lines_are_owned_up_to() -> None:
    """When rows of the table were joined the card says so, and which way."""
    assert "Lines joined to fit keep the shorter burst" in text_of(sample_plan_awkward())
    assert "Lines joined" not in text_of(sample_plan())


def test_what_people_wrote_is_not_markup() -> None:
    """Signs that mean something to the typesetter come out as they were written."""
    assert "<38 % & “house” #7 $x$ *lot* \\n" in text_of(sample_plan_awkward())


def test_fahrenheit_card_has_no_celsius_of_ours() -> None:
    """In °F the figures of the plan are converted; only sentences that came with °C keep it."""
    plan = replace(sample_plan(), holds_for=(), carries=replace(sample_plan().carries, text=""))
    text = text_of(plan, fahrenheit=True)
    assert "°C" not in text
    for expected in (
        "87.1 °F",
        "stop 93.2 °F",
        "limit 94.1 °F",
        "from the stop, 93.2 °F, to the top of the window, 89.6 °F",
        "68.0 °F: 60 · 15",
        "reads, °F",
    ):
        assert expected in text


@pytest.mark.parametrize("name", ["usual", "by eye", "awkward"])
def test_the_figures_read_from_the_bench_are_14_points_or_more(name: str) -> None:
    """Every number in the burst row and in the table is set in 14 pt or larger."""
    sizes: list[tuple[str, float]] = []

    def visit(text: str, _: Any, matrix: list[float], __: Any, size: float) -> None:
        if text.strip():
            sizes.append((text.strip(), abs(matrix[3]) * size))

    plan = PLANS[name]()
    read(card_pdf(plan, made_on=DAY, version="1.2.3")).pages[0].extract_text(visitor_text=visit)
    large = " ".join(text for text, size in sizes if size >= 13.99)
    wanted = [f"{step.mean_c:.1f} °C" for step in plan.bursts] + [f"{step.low_c:.1f} to" for step in plan.bursts]
    wanted += [str(step.seconds) for step in plan.bursts] + [f"{step.stir_s} s" for step in plan.bursts]
    wanted += [str(row.seconds) for row in plan.reads_then if row.seconds and len(plan.bursts) < 8]
    assert [figure for figure in wanted if figure not in large] == []


def test_the_same_input_gives_the_same_bytes() -> None:
    """Two cards of one plan and day are byte-identical; another day is another card."""
    first, again = (card_pdf(sample_plan(), made_on=DAY, version="1.2.3") for _ in range(2))
    assert first == again
    assert first != card_pdf(sample_plan(), made_on=date(2026, 3, 15), version="1.2.3")


def test_only_our_own_typeface_is_used_and_embedded() -> None:
    """The card looks the same on every machine: both weights of one typeface, both inside the file."""
    resources: Any = read(card_pdf(sample_plan(), made_on=DAY, version="1.2.3")).pages[0]["/Resources"]
    names = {re.sub(r"^/[A-Z]{6}\+", "", font.get_object()["/BaseFont"]) for font in resources["/Font"].values()}
    assert names == {"AtkinsonHyperlegible-Regular", "AtkinsonHyperlegible-Bold"}


def test_the_file_can_be_read_aloud() -> None:
    """The PDF is tagged, has a title and a language, and its chart has the caption as its text."""
    reader = read(card_pdf(sample_plan(), made_on=DAY, version="1.2.3"))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is not None
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == sample_plan().title


def test_a_complaint_of_the_typesetter_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """A card set with a warning (such as a missing typeface) is refused, not handed out."""
    monkeypatch.setattr(press, "_fonts", lambda: typst.Fonts(include_system_fonts=False))
    with pytest.raises(CardError, match="unknown font family"):
        card_pdf(sample_plan(), made_on=DAY, version="1.2.3")


def test_a_template_that_fails_is_an_error_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the page cannot be set the error says so and keeps the cause."""
    monkeypatch.setattr(card, "_CHART_HEIGHTS", (700.0,))
    with pytest.raises(CardError, match="one page is not enough"):
        card_pdf(sample_plan(), made_on=DAY, version="1.2.3")


def test_an_unknown_page_is_refused() -> None:
    """A misspelt page is answered with the nearest one."""
    with pytest.raises(InputError, match="did you mean “Letter”"):
        card_pdf(sample_plan(), page="Leter", made_on=DAY, version="1.2.3")


def test_more_bursts_than_a_page_holds_are_refused_with_a_remedy() -> None:
    """A plan of 13 bursts has no card, and the error says what to do."""
    plan = sample_plan_awkward()
    with pytest.raises(InputError, match="number of bursts: 16 is not usable; allowed is up to 12"):
        card_pdf(replace(plan, bursts=plan.bursts * 2), made_on=DAY, version="1.2.3")


def test_empty_lists_leave_no_empty_headings() -> None:
    """A plan without warnings, rescue rows, cautions or policy has a card without those headings."""
    plan = replace(sample_plan(), warnings=(), rescue=(), cautions=(), reads_then=(), rules=(),
                   defaults_used=(), holds_for=())  # fmt: skip
    text = text_of(plan)
    headings = ("Mind", "Too hot after stirring", "Take care", "the next burst", "more on screen")
    assert [heading for heading in headings if heading in text] == []


def test_the_square_code_says_the_key_figures_in_words() -> None:
    """The text of the code has what a cook needs when the card is lost."""
    expected = (
        "1000 g dark chocolate, 1000 W oven, plastic bowl\n"
        "bursts 60/15/12/12/3 s, then reads 30.6/31.8/32.6/33.7/34.0 °C\n"
        "stop 34.0 °C, limit 34.5 °C, work 31.0 to 32.0 °C\n"
        "paper smear set by 4.0 min, expected 1.8 to 2.9 min\n"
        "temperbench 1.2.3, 2026-03-14"
    )
    assert key_figures(sample_plan(), DAY, "1.2.3") == expected
