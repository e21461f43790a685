"""The chart of a plan: complete, legible, inside its frame, for every width, ground and unit."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from sample_plan import sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.results import BurstPlan
from temperbench.faces.drawing import THEMES, caption, chart_svg, fitting_height
from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.svg import Box
from temperbench.foundation.errors import InputError, OutOfRange

SVG = "{http://www.w3.org/2000/svg}"
PLANS: dict[str, Callable[[], BurstPlan]] = {
    "usual": sample_plan,
    "by eye": sample_plan_by_eye,
    "awkward": sample_plan_awkward,
}
# Widths of a phone, a tablet upright, a tablet, the card on A4 and on Letter.
SIZES = [(390, "light"), (700, "dark"), (1180, "light"), (527, "print"), (544, "print")]


def texts(svg: str) -> list[tuple[str, Box]]:
    """Return every written line with the box it takes, measured in the house's typeface."""
    root = ElementTree.fromstring(svg)
    size = float(root.attrib["font-size"])
    found = []
    for line in root.iter(f"{SVG}text"):
        x, y, text = float(line.attrib["x"]), float(line.attrib["y"]), line.text or ""
        wide = text_width(text, size, bold=line.attrib.get("font-weight") == "700")
        found.append((text, Box(x, y - 0.72 * size, x + wide, y + 0.22 * size)))
    return found


def drawn(name: str, width: float, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw one of the plans at its fitting height."""
    return chart_svg(PLANS[name](), width, fitting_height(width, theme), theme, fahrenheit=fahrenheit)


@pytest.mark.parametrize("fahrenheit", [False, True])
@pytest.mark.parametrize(("width", "theme"), SIZES)
@pytest.mark.parametrize("name", PLANS)
def test_no_label_is_clipped_or_covers_another(name: str, width: float, theme: str, fahrenheit: bool) -> None:
    """Every label lies inside the drawing and no two of them touch."""
    svg = drawn(name, width, theme, fahrenheit=fahrenheit)
    page = Box(0, 0, width, fitting_height(width, theme))
    found = texts(svg)
    assert [text for text, box in found if not page.holds(box)] == []
    assert [(a, b) for (a, one), (b, two) in itertools.combinations(found, 2) if one.meets(two)] == []


@pytest.mark.parametrize("height", [134.0, 154.0, 182.0, 210.0])
@pytest.mark.parametrize("name", PLANS)
def test_the_heights_used_on_the_card_keep_labels_apart(name: str, height: float) -> None:
    """On the card's lowest and tallest chart all labels are inside and clear of each other."""
    found = texts(chart_svg(PLANS[name](), 527.0, height, "print"))
    page = Box(0, 0, 527.0, height)
    assert [text for text, box in found if not page.holds(box)] == []
    assert [(a, b) for (a, one), (b, two) in itertools.combinations(found, 2) if one.meets(two)] == []


@pytest.mark.parametrize(("width", "theme"), SIZES)
def test_the_lines_are_named_on_the_chart(width: float, theme: str) -> None:
    """Limit, stop, window, scorch alarm, hottest spot, band and arrival are written beside what they name."""
    written = " ".join(text for text, _ in texts(drawn("usual", width, theme)))
    expected = (
        "limit 34.5 °C", "stop 34.0 °C", "from 31.0 °C", "to 32.0 °C", "work", "scorch 55.0 °C", "hottest spot",
        "19 of 20 below", "stirred bowl,", "9 of 10 in the band", "in the window after",
        "7.0 min (5.4 to 9.2)", "Down from the stop", "°C",
    )  # fmt: skip
    assert [name for name in expected if name not in written] == []


def test_every_burst_has_its_bar_and_its_seconds() -> None:
    """The row of bursts shows one bar for each burst, as long as the burst, with the seconds above it."""
    svg = drawn("usual", 1180, "light")
    root = ElementTree.fromstring(svg)
    bars = [r for r in root.iter(f"{SVG}rect") if r.attrib["fill"] == THEMES["light"].burst]
    seconds = [step.seconds for step in sample_plan().bursts]
    unit = float(bars[0].attrib["width"]) / seconds[0]
    assert seconds == [round(float(bar.attrib["width"]) / unit) for bar in bars]
    written = [text for text, _ in texts(svg)]
    assert [s for s in seconds if f"{s} s" not in written] == []


def test_a_stir_without_burst_has_no_bar() -> None:
    """A step of 0 s is not drawn as a burst."""
    plan = sample_plan()
    quiet = replace(plan, bursts=(*plan.bursts[:-1], replace(plan.bursts[-1], seconds=0)))
    bars = chart_svg(quiet, 1180, 425, "light").count(f'fill="{THEMES["light"].burst}"/>')
    assert len(plan.bursts) - 1 == bars


def test_narrow_charts_stand_one_leg_above_the_other() -> None:
    """On a phone the way down starts below the way up; on a tablet it starts beside it."""

    def title(svg: str, begin: str) -> Box:
        return next(box for text, box in texts(svg) if text.startswith(begin))

    phone, tablet = drawn("usual", 390, "light"), drawn("usual", 1180, "light")
    assert title(phone, "Down").top > title(phone, "Up").bottom
    assert title(phone, "Down").left == pytest.approx(title(phone, "Up").left)
    assert title(tablet, "Down").top == pytest.approx(title(tablet, "Up").top)
    assert title(tablet, "Down").left > title(tablet, "Up").right


def test_the_lines_differ_without_colour() -> None:
    """On paper curve, stop, limit, scorch alarm and hottest spot differ in weight or dash."""
    lines = re.findall(r'<polyline [^>]*stroke-width="([^"]+)"[^>]*?(?:stroke-dasharray="([^"]+)")?/>', PRINTED)
    looks = {(round(float(width) / 9.5, 2), dash) for width, dash in lines}
    for weight, dash in ((0.16, ""), (0.07, ""), (0.13, "5.7 3.32"), (0.07, "0.95 2.85"), (0.09, "2.38 1.71")):
        assert (weight, dash) in looks


PRINTED = chart_svg(sample_plan(), 527.0, 190.0, "print")


def test_print_uses_greys_only() -> None:
    """The theme for paper has no colour that a black-and-white printer would have to guess."""
    colours = re.findall(r"#([0-9A-F]{2})([0-9A-F]{2})([0-9A-F]{2})", PRINTED)
    assert len(colours) > 0
    assert [c for c in colours if len(set(c)) != 1] == []


def test_the_window_is_hatched() -> None:
    """The working window is marked by slanting lines within its two edges, not by a tint."""
    root = ElementTree.fromstring(PRINTED)
    hatch = [p for p in root.iter(f"{SVG}path") if p.attrib["stroke"] == THEMES["print"].window]
    assert len(hatch) == 1
    assert hatch[0].attrib["d"].count("M") > 20


@pytest.mark.parametrize("name", PLANS)
def test_title_and_description_are_there_for_those_who_do_not_see_it(name: str) -> None:
    """The drawing carries the plan's title and the caption, and is announced as a picture."""
    plan = PLANS[name]()
    root = ElementTree.fromstring(drawn(name, 390, "dark"))
    assert f"Temperature path: {plan.title}" == root.findtext(f"{SVG}title")
    assert caption(plan) == root.findtext(f"{SVG}desc") == root.attrib["aria-label"]
    assert root.attrib["role"] == "img"


def test_the_caption_is_one_sentence_with_the_four_temperatures() -> None:
    """The caption says both legs in one sentence, with their figures and the band of the time."""
    expected = (
        "Up in 5 bursts (102 s of oven in 5.2 min) to the stop at 34.0 °C, under the limit of 34.5 °C, then 7.0 min "
        "(5.4 to 9.2) of stirring down into the working window, 31.0 to 32.0 °C."
    )
    assert expected == caption(sample_plan())


def test_fahrenheit_changes_every_temperature_and_nothing_else() -> None:
    """In °F no °C is left on the chart, and the four temperatures are the converted ones."""
    written = [text for text, _ in texts(drawn("usual", 1180, "light", fahrenheit=True))]
    assert [text for text in written if "°C" in text] == []
    for expected in ("limit 94.1 °F", "stop 93.2 °F", "to 89.6 °F", "from 87.8 °F", "scorch 131.0 °F"):
        assert expected in written
    assert "93.2 °F" in caption(sample_plan(), fahrenheit=True)


def test_no_ids_so_that_two_charts_can_share_a_page() -> None:
    """A drawing has no ids, references, scripts or outside addresses."""
    svg = drawn("awkward", 1180, "dark")
    assert [word for word in (" id=", "url(", "href", "<script", "<style") if word in svg] == []


def test_the_same_plan_gives_the_same_string() -> None:
    """Drawing twice gives the same bytes."""
    assert drawn("awkward", 527, "print") == drawn("awkward", 527, "print")


def test_too_little_room_is_refused_with_the_least_that_is_needed() -> None:
    """A chart too small for its labels is refused, not clipped."""
    with pytest.raises(OutOfRange, match="chart width: 250"):
        chart_svg(sample_plan(), 250.0, 600.0, "light")
    with pytest.raises(OutOfRange, match="chart height: 300"):
        chart_svg(sample_plan(), 390.0, 300.0, "light")


def test_an_unknown_theme_is_refused() -> None:
    """A misspelt theme is answered with the nearest one."""
    with pytest.raises(InputError, match="did you mean “light”"):
        chart_svg(sample_plan(), 390.0, 600.0, "ligth")


def test_a_plan_without_hottest_spot_has_no_such_line() -> None:
    """Without the hottest zone in the result the chart neither draws nor names it."""
    plan = sample_plan()
    svg = chart_svg(replace(plan, up=replace(plan.up, hottest_c=())), 1180.0, 425.0, "light")
    assert [text for text, _ in texts(svg) if "hottest" in text] == []
