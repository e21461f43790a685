"""The cards of keeping, of a cooling curve and of trouble: one page whatever the answer, with its figures as text."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache, partial

import pypdf
import pytest

from sample_cups import job_of, plain_log
from temperbench.app.curve_results import CurveReading
from temperbench.app.find_trouble import RawTrouble, find_trouble
from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import keep_bowl
from temperbench.app.keep_results import Alarm, KeepPlan
from temperbench.app.results import Trouble, Warning_
from temperbench.faces.drawing.words import degrees, forecast
from temperbench.faces.paper import Issue, answer_card_pdf
from temperbench.faces.told.curve_words import VERDICT_WORDS, chances_told, share_told, slope_told
from temperbench.faces.told.keep_words import alone_told, asks_told, kept_told, memory_told, reads_told
from temperbench.faces.told.trouble_words import chance_ends, percent_told, standing_told
from temperbench.faces.web.looks import Look, told
from temperbench.foundation.errors import InputError
from temperbench.insight.curve.read_curve import read_curve

DAY = date(2026, 3, 14)
POINTS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}  # ISO 216: 210 x 297 mm; ANSI A: 8.5 x 11 in
IMPERIAL = Look(fahrenheit=True, ounces=True)


@cache
def kept() -> KeepPlan:
    """Return a plan with use, returns and refills."""
    raw = RawJob({"chocolate": "dark", "grams": 1500, "oven_w": 900, "room_c": 20})
    said = {"minutes": 40, "every_min": 10, "leaves_g_h": 900, "returns_share": 0.3, "refill_g": 800}
    return keep_bowl(raw, RawJob(said), members=24)


@cache
def read() -> CurveReading:
    """Return a reading of too few crystals, with something that does not fit."""
    found = read_curve(job_of(), plain_log(0.0005))
    return replace(found, doubts=("The bath was warmer than ice.",), warnings=(Warning_("w", "Few readings."),))


@cache
def wrong() -> Trouble:
    """Return an answer whose first cause is not sure."""
    return find_trouble(RawJob({}), RawTrouble(seen=("will-not-set",), hottest="36", reads="31.5"), members=64)


def sure() -> Trouble:
    """Return an answer that is sure of its first cause and has nothing left to check."""
    top, *rest = wrong().causes
    return replace(wrong(), causes=(replace(top, probability=0.97), *rest), checks=())


def crowded_keep() -> KeepPlan:
    """Return more of everything than a page can hold."""
    plan = kept()
    return replace(
        plan,
        title=f"{'a very long name of a chocolate ' * 4}, {'and of all the kit ' * 6}",
        alarms=tuple(Alarm("look", 10.0 * i, "look at it " * 9) for i in range(30)),
        rules=tuple(f"Rule {i}: {'keep it ' * 20}" for i in range(20)),
        stop_rules=tuple(f"Stop {i}: {'go no further ' * 15}" for i in range(20)),
        refills=plan.refills * 20,
        warnings=tuple(Warning_(f"w{i}", f"Warning {i}: " + "a long reason " * 12) for i in range(40)),
        cautions=tuple(f"Caution {i}: {'take great care ' * 8}" for i in range(20)),
        defaults_used=tuple(f"Default {i}: {'as usual ' * 9}" for i in range(40)),
    )


def crowded_curve() -> CurveReading:
    """Return doubts, warnings and cautions without end, and no bend."""
    lines = tuple(f"Line {i}: {'it is not as it should be ' * 6}" for i in range(40))
    return replace(
        read(), bend=None, doubts=lines, cautions=lines, defaults_used=lines,
        warnings=tuple(Warning_("w", line) for line in lines),
    )  # fmt: skip


def crowded_trouble() -> Trouble:
    """Return long advice, many checks, and everything else without end."""
    found = wrong()
    lines = tuple(f"Line {i}: {'it is not as it should be ' * 6}" for i in range(40))
    top = replace(found.causes[0], do="Do this, and then that. " * 12, why="It is so. " * 20, speaks_for=lines)
    return replace(
        found, seen=lines[:6], causes=(top, top, top, *found.causes), checks=found.checks * 3, unexplained=lines,
        cautions=lines, defaults_used=lines, warnings=tuple(Warning_("w", line) for line in lines),
    )  # fmt: skip


CARDS: dict[str, Callable[[Issue], bytes]] = {
    "keep": lambda issue: answer_card_pdf(kept(), issue),
    "curve": lambda issue: answer_card_pdf(read(), issue),
    "trouble": lambda issue: answer_card_pdf(wrong(), issue),
    "sure": lambda issue: answer_card_pdf(sure(), issue),
    "crowded keep": lambda issue: answer_card_pdf(crowded_keep(), issue),
    "crowded curve": lambda issue: answer_card_pdf(crowded_curve(), issue),
    "crowded trouble": lambda issue: answer_card_pdf(crowded_trouble(), issue),
}


def text_of(name: str, look: Look | None = None) -> str:
    """Return the text of a card, every run of white space as one space."""
    shown = look or Look()
    pdf = CARDS[name](Issue("A4", DAY, "1.2.3", shown.fahrenheit, partial(told, look=shown)))
    return " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


@pytest.mark.parametrize("page", POINTS)
@pytest.mark.parametrize("name", CARDS)
def test_one_page_of_the_size_asked_for(name: str, page: str) -> None:
    """A card is one page of A4 or Letter, with any answer."""
    pages = pypdf.PdfReader(io.BytesIO(CARDS[name](Issue(page, DAY, "1.2.3")))).pages
    assert len(pages) == 1
    box = pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(POINTS[page], abs=0.01)


def test_the_card_of_keeping_holds_the_plan() -> None:
    """Aims, the whole table, rules, times left alone, alarms, when to stop, chart and cautions are there as text."""
    plan, text = kept(), text_of("keep")
    expected = [
        "look every", "10 min", *(degrees(at) for at in (plan.kept_c, plan.thin_c, plan.stop_c, plan.limit_c)),
        *(f"{reads_told(row)} {asks_told(row.easy_s, 0)} {asks_told(row.thick_s, row.thick_g)}" for row in plan.table),
        *plan.rules, kept_told(plan), *(after for _, after in alone_told(plan)), *(a.text for a in plan.alarms),
        *plan.stop_rules, *plan.cautions, f"{plan.refills[0].add_g:.0f} g at {plan.refills[0].at_min:.0f} min",
        "Temperature, stirred", "Thickness, times that without crystals", "Made 14 March 2026 with temperbench 1.2.3",
    ]  # fmt: skip
    assert [line for line in expected if line not in text] == []


def test_the_card_of_a_curve_holds_the_reading() -> None:
    """Verdict, three chances, remedy, shares, bend and slope, what does not fit, and cautions are there as text."""
    found, text = read(), text_of("curve")
    assert found.bend is not None
    expected = [
        VERDICT_WORDS[found.verdict], *(chance for _, chance in chances_told(found)), f"{found.remedy.do}.",
        found.remedy.detail, share_told(found.crystals_pct_of_fat), share_told(found.unstable_pct_of_fat),
        forecast(found.bend.celsius), slope_told(found.bend), f"{found.noise_c:.2f} °C", degrees(found.limit_c),
        *found.doubts, found.warnings[0].text, *found.cautions, f"{found.readings} readings",
    ]  # fmt: skip
    assert [line for line in expected if line not in text] == []


def test_the_card_of_trouble_holds_the_answer() -> None:
    """Signs, ranked causes with chances, checks and where they lead, what to do and what is saved are there as text."""
    found, text = wrong(), text_of("trouble")
    top = found.causes[0]
    expected = [
        "Seen: will not set.", *(f"{percent_told(c.probability)} {c.title}" for c in found.causes),
        *(chance_ends(c) for c in found.causes), *(check.ask for check in found.checks),
        *(f"{o.text} then: {o.title} ({percent_told(o.probability)})" for c in found.checks for o in c.outcomes),
        f"Do {top.do}", f"Saved {top.save}", f"Why {top.why}", f"Next time {top.next_time}", standing_told(found),
        *found.cautions,
    ]  # fmt: skip
    assert [line for line in expected if line not in text] == []
    assert text.index("Check first") < text.index("If it is this")


def test_what_is_sure_comes_first() -> None:
    """A sure cause is acted on at once, and where no check is left the card says so."""
    text = text_of("sure")
    assert "Do this now" in text
    assert "Nothing is left that would tell more" in text
    assert "Check first" not in text


@pytest.mark.parametrize("name", ["crowded keep", "crowded curve", "crowded trouble"])
def test_what_does_not_fit_is_told(name: str) -> None:
    """A crowded page says that there is more on screen."""
    assert "more on screen" in text_of(name)
    assert "what was taken as usual." in text_of(name)


@pytest.mark.parametrize("name", ["keep", "curve", "trouble"])
def test_a_card_is_in_one_unit(name: str) -> None:
    """For a device in degrees Fahrenheit and ounces no degree Celsius is left on the card."""
    text = text_of(name, IMPERIAL)
    assert ("°C" in text, "°F" in text, " oz" in text) == (False, True, True)


def test_fahrenheit_is_made_from_the_figure_itself() -> None:
    """Limit and bend are not rounded twice on their way to degrees Fahrenheit."""
    found = read()
    assert found.bend is not None
    text = text_of("curve", IMPERIAL)
    assert forecast(found.bend.celsius, True) in text
    assert slope_told(found.bend, True) in text


def test_a_clear_bowl_is_told_how() -> None:
    """With room left, how old crystals are cleared stands on the card; and a reading without a bend says so."""
    plan = replace(kept(), rules=(), alarms=(), refills=(), pauses=(), defaults_used=())
    pdf = answer_card_pdf(plan, Issue("A4", DAY, "1.2.3"))
    text = " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    assert memory_told(plan) in text
    assert "none in this log" in text_of("crowded curve")


def test_the_same_answer_and_day_give_the_same_bytes() -> None:
    """Two cards of one answer and day are byte-identical; another day is another card."""
    one, two, other = (CARDS["trouble"](Issue("A4", day, "1.2.3")) for day in (DAY, DAY, date(2026, 3, 15)))
    assert one == two
    assert one != other


@pytest.mark.parametrize("name", ["keep", "curve", "trouble"])
def test_another_paper_is_refused(name: str) -> None:
    """Paper that no card is made for is told in a sentence."""
    with pytest.raises(InputError, match="page"):
        CARDS[name](Issue("A3", DAY, "1.2.3"))
