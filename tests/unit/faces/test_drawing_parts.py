"""The parts of a drawing: colours, measured text, label placing, figures in words, and the few SVG marks."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree

import pytest
import typst
from fontpkg_atkinson_hyperlegible import ROOT
from hypothesis import given
from hypothesis import strategies as st

from temperbench.faces.drawing.frame import minute_step
from temperbench.faces.drawing.labels import Labels, spread_apart
from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.palette import THEMES
from temperbench.faces.drawing.svg import Box, document, hatching, words
from temperbench.faces.drawing.words import degrees, degrees_between, minutes, minutes_between


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour as WCAG 2.1 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    """Return the contrast ratio of two colours as WCAG 2.1 defines it."""
    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_gives_the_known_ends() -> None:
    """Black on white is 21:1 (WCAG 2.1, definition of contrast ratio); a colour on itself is 1:1."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#8F3B10", "#8F3B10") == pytest.approx(1.0)


@pytest.mark.parametrize("name", THEMES)
def test_words_have_the_contrast_of_text(name: str) -> None:
    """Every colour that words are written in has at least 4.5:1 on the ground (WCAG 2.1, 1.4.3)."""
    theme = THEMES[name]
    written = {
        c: contrast(getattr(theme, c), theme.ground) for c in ("ink", "quiet", "curve", "window", "limit", "burst")
    }
    assert {c: ratio for c, ratio in written.items() if ratio < 4.5} == {}


@pytest.mark.parametrize("name", THEMES)
def test_marks_and_words_stand_out_from_the_band(name: str) -> None:
    """On the band the curve and the window have 3:1 (WCAG 2.1, 1.4.11) and ink has 4.5:1."""
    theme = THEMES[name]
    assert contrast(theme.curve, theme.band) >= 3.0
    assert contrast(theme.window, theme.band) >= 3.0
    assert contrast(theme.ink, theme.band) >= 4.5


@pytest.mark.parametrize("name", THEMES)
def test_the_band_is_lighter_than_the_line(name: str) -> None:
    """The band is nearer to the ground than the curve, and still seen."""
    theme = THEMES[name]
    assert 1.2 < contrast(theme.band, theme.ground) < contrast(theme.curve, theme.ground) / 2


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", ["limit 34.5 °C", "hottest spot: 19 of 20 bowls stay below", "−4.0 to 12.5 min"])
def test_measured_widths_agree_with_the_typesetter(text: str, bold: bool) -> None:
    """Widths read from the font file are those that Typst sets, up to kerning."""
    weight = "bold" if bold else "regular"
    source = (
        f'#set text(font: "Atkinson Hyperlegible", size: 100pt, weight: "{weight}")\n#set page(width: auto)\n'
        f'#context [#metadata(measure("{text}").width.pt()) <wide>]'
    )
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(ROOT / "files")])
    set_by_typst = float(typst.query(source.encode(), "<wide>", field="value", one=True, font_paths=fonts))
    assert text_width(text, 100.0, bold=bold) == pytest.approx(set_by_typst, rel=0.015)


def test_a_sign_the_typeface_lacks_counts_one_em() -> None:
    """A sign drawn by another face is given a full em."""
    assert text_width("→→", 16.0) == 2 * 16.0


@given(
    wanted=st.lists(st.floats(0, 100), min_size=1, max_size=6).map(sorted),
    gap=st.floats(0.5, 15),
)
def test_spread_labels_keep_their_gap_and_their_ends(wanted: list[float], gap: float) -> None:
    """Names at the edge keep their order, a gap, and stay between the ends, wherever they were wanted."""
    placed = spread_apart(wanted, gap, 0.0, 100.0)
    assert [(a, b) for a, b in pairwise(placed) if b - a < gap - 1e-9] == []
    assert placed[0] >= 0.0 - 1e-9
    assert placed[-1] <= 100.0


def test_spread_leaves_alone_what_is_apart() -> None:
    """Heights already apart are not moved."""
    assert spread_apart([10.0, 40.0, 90.0], 12.0, 0.0, 100.0) == [10.0, 40.0, 90.0]


def test_a_label_without_room_is_not_written() -> None:
    """When no place is free the label is left out and the caller is told."""
    labels = Labels(10.0)
    assert (
        labels.put_near([["far too long for so small a room"]], (5, 5), Box(0, 0, 20, 20), "#000000", "#000000")
        is False
    )
    assert labels.marks == []


def test_a_label_keeps_clear_of_a_line() -> None:
    """A label near a level line is set beside the line, not on it."""
    labels = Labels(10.0)
    labels.keep_clear_of([(0.0, 50.0), (200.0, 50.0)])
    assert labels.put_near([["beside"]], (100.0, 50.0), Box(0, 0, 200, 100), "#000000", "#000000") is True
    box = labels.boxes[0]
    assert box.bottom < 50.0 or box.top > 50.0


def test_a_label_away_from_its_anchor_is_tied_to_it() -> None:
    """A label that had to move off gets a thin line to what it names."""
    labels = Labels(10.0)
    labels.put("a long label in the very middle", (100.0, 50.0), "#000000", align="middle")
    assert labels.put_near([["other"]], (100.0, 50.0), Box(0, 20, 200, 100), "#000000", "#123456") is True
    away = labels.boxes[1]
    tied = any("#123456" in mark for mark in labels.marks)
    assert tied == (away.top - 50.0 > 14.0 or 50.0 - away.bottom > 14.0)
    assert not away.meets(labels.boxes[0])


def test_hatching_stays_in_its_box() -> None:
    """Every slanting line begins and ends inside the box."""
    box = Box(10.0, 20.0, 110.0, 40.0)
    path = hatching(box, "#000000", 1.0, 5.0).split('"')[1]
    ends = [tuple(map(float, end.split())) for piece in path.split("M")[1:] for end in piece.split("L")]
    assert len(ends) > 20
    assert [e for e in ends if not (10.0 <= e[0] <= 110.0 and 20.0 <= e[1] <= 40.0)] == []


def test_text_is_escaped() -> None:
    """A title with signs of markup stays text."""
    hard = 'a < b & "c" > d'
    svg = document([words(hard, (0, 10), "#000000")], Box(0, 0, 50, 20), 10.0, title=hard, desc=hard)
    root = ElementTree.fromstring(svg)
    assert [hard] * 3 == [child.text for child in root]
    assert hard == root.attrib["aria-label"]


@pytest.mark.parametrize(
    ("expected", "found"),
    [
        ("34.0 °C", degrees(34.0)),
        ("93.2 °F", degrees(34.0, True)),
        ("34.0", degrees(34.04, unit=False)),
        ("−18.0 °C", degrees(-18.0)),
        ("−0.4 °F", degrees(-18.0, True)),
        ("31.0 to 32.0 °C", degrees_between(31.0, 32.0)),
        ("87.8 to 89.6 °F", degrees_between(31.0, 32.0, True)),
        ("2.4 min", minutes(2.4)),
        ("7.0 min (5.4 to 9.2)", minutes_between(5.4, 7.0, 9.2)),
    ],
)
def test_figures_in_words(expected: str, found: str) -> None:
    """Temperatures and minutes have one decimal, a true minus, and their unit."""
    assert expected == found


@pytest.mark.parametrize("minutes", [0.1, 7.0, 90.0, 3000.0, 1e5, 1e9])
def test_a_time_axis_never_has_many_ticks(minutes: float) -> None:
    """A bowl that is opened again after weeks, or a device whose clock ran away, still gets a chart."""
    assert minutes / minute_step(minutes, 5.0) <= 5.0
