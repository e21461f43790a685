"""The chart and the text of a cooling curve."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree as ET

import pytest

from sample_cups import job_of, plain_log
from temperbench.app.curve_json import curve_json
from temperbench.app.curve_results import CurveReading
from temperbench.faces.cli.curve_text import curve_text
from temperbench.faces.drawing.curve_chart import curve_caption, curve_chart_svg, curve_height, slope_words
from temperbench.foundation.errors import OutOfRange
from temperbench.insight.curve.read_curve import read_curve

SVG = "{http://www.w3.org/2000/svg}"


@cache
def reading() -> CurveReading:
    """Return a reading of two per cent of crystals."""
    return read_curve(job_of(), plain_log(0.02))


@pytest.mark.parametrize("theme", ["light", "dark", "contrast", "print"])
@pytest.mark.parametrize("width", [360.0, 960.0])
def test_chart_is_drawn_with_its_bend(theme: str, width: float) -> None:
    """One drawing with title, description and the bend's degrees, on every ground and at every width."""
    drawn = ET.fromstring(curve_chart_svg(reading(), width, curve_height(width, theme), theme))
    assert drawn.tag == f"{SVG}svg"
    assert drawn.findtext(f"{SVG}title") == reading().title
    text = " ".join(drawn.itertext())
    assert "bend" in text
    assert reading().bend is not None
    assert f"{reading().bend.celsius.mid:.1f} °C" in text
    assert len(drawn.findall(f".//{SVG}circle")) == len(reading().seen.t_s) + 1


def test_fahrenheit_runs_through_the_chart() -> None:
    """Ticks, bend, slope and caption are all in °F when asked."""
    text = " ".join(ET.fromstring(curve_chart_svg(reading(), 700.0, 400.0, "light", fahrenheit=True)).itertext())
    assert "°F/min" in text
    assert "°C" not in text


def test_too_small_a_chart_is_refused() -> None:
    """A chart without room says so."""
    with pytest.raises(OutOfRange, match="more room"):
        curve_chart_svg(reading(), 100.0, 400.0, "light")


def test_slopes_are_written_with_their_sign() -> None:
    """A plus, a true minus, and no minus before nothing."""
    assert [slope_words(0.36), slope_words(-0.2), slope_words(-0.001)] == [
        "+0.36 °C/min",
        "−0.20 °C/min",
        "+0.00 °C/min",
    ]
    assert slope_words(1.0, True) == "+1.80 °F/min"


def test_text_fits_the_screen_and_says_it_all() -> None:
    """No line over 79 characters; verdict with its chances, crystals, bend, slope, remedy and cautions are there."""
    text = curve_text(reading())
    assert max(len(line) for line in text.splitlines()) <= 79
    for word in ("IN TEMPER", "too few", "Stable crystals", "Sets like", "Bend", "Slope there", "Use it", "CAUTIONS"):
        assert word in text


def test_a_curve_without_a_bend_is_told_and_drawn() -> None:
    """Text, caption, chart and JSON say that there is none."""
    bare = replace(reading(), bend=None)
    assert "none in this log" in curve_text(bare)
    assert "without a bend" in curve_caption(bare)
    drawn = ET.fromstring(curve_chart_svg(bare, 700.0, 400.0, "light"))
    assert len(drawn.findall(f".//{SVG}circle")) == len(bare.seen.t_s)
    assert curve_json(bare)["bend"] is None


def test_json_is_plain_and_rounded() -> None:
    """Every figure survives JSON, and keys are those of docs/curve.md."""
    told = curve_json(reading())
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert set(told["chances"]) == {"too_few", "in_temper", "too_many"}
    assert len(told["path"]["seen"]["t_s"]) == len(told["path"]["model"]["mid_c"])
