"""Spreads, and what people write for temperatures and masses."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import row
from temperbench.foundation.quantities import (
    Spread,
    parse_celsius,
    parse_grams,
    positive,
    show_celsius,
    show_grams,
    spread_of,
)

FINITE = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9)


@given(st.tuples(FINITE, FINITE, FINITE))
def test_spread_encloses_its_middle(figures: tuple[float, float, float]) -> None:
    """Three figures in order make a spread, in any other order they are refused."""
    low, mid, high = sorted(figures)
    assert (low, mid, high) == (Spread(low, mid, high).low, mid, high)
    if low < mid:
        with pytest.raises(ValueError, match="low <= mid <= high"):
            Spread(mid, low, high)
    if mid < high:
        with pytest.raises(ValueError, match="low <= mid <= high"):
            Spread(low, high, mid)


@pytest.mark.parametrize(
    "figures", [(math.nan, 1.0, 2.0), (0.0, math.nan, 1.0), (0.0, 1.0, math.inf), (-math.inf, 0.0, 1.0)]
)
def test_spread_is_finite(figures: tuple[float, float, float]) -> None:
    """A spread with an end that is not a number is refused."""
    with pytest.raises(ValueError, match="finite"):
        Spread(*figures)


def test_exact_spread_has_no_width() -> None:
    """A figure taken as known is all three of its figures."""
    assert Spread(3.5, 3.5, 3.5) == Spread.exact(3.5)
    assert Spread.exact(3.5).is_exact
    assert not Spread(3.0, 3.5, 3.5).is_exact


def test_scaled_spread_scales_each_figure() -> None:
    """A label of 1000 W with 75 to 100 % of it delivered is 750 to 1000 W; nothing turns it round."""
    assert Spread(750.0, 850.0, 1000.0) == Spread(0.75, 0.85, 1.0).scaled(1000.0)
    with pytest.raises(ValueError, match="low <= mid <= high"):
        Spread(0.0, 1.0, 2.0).scaled(-1.0)


def test_spread_of_a_row() -> None:
    """A row gives its low, value and high; a row without ends is exact; a list has no spread."""
    found = row("oven.label_share")
    assert Spread(found.low or 0.0, float(str(found.value)), found.high or 0.0) == spread_of("oven.label_share")
    assert spread_of("surfaces.gravity").is_exact
    with pytest.raises(TypeError, match="list"):
        spread_of("surfaces.air.range")


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("31.5", 31.5), ("31,5", 31.5), ("31.5 °C", 31.5), ("31,5°C", 31.5), (" 31.5  C ", 31.5), ("31.5 c", 31.5),
        ("-5", -5.0), ("−5 °C", -5.0), ("+20", 20.0), (".5", 0.5), ("212 F", 100.0), ("32°F", 0.0), ("-40 f", -40.0),
        ("31.5\u00a0°C", 31.5), ("20 degC", 20.0), ("20 celsius", 20.0), ("68 fahrenheit", 20.0), ("20.", 20.0),
    ],
)  # fmt: skip
def test_temperatures_people_write(text: str, celsius: float) -> None:
    """A comma is a point, a bare number is °C, an F makes it °F, spaces do not matter."""
    assert celsius == pytest.approx(parse_celsius(text, "start"), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("850", 850.0), ("850 g", 850.0), ("850g", 850.0), ("1,2 kg", 1200.0), ("1.250 kg", 1250.0),
        ("2 lb", 907.18474),
        ("2 lbs", 907.18474), ("1 pound", 453.59237), ("12 oz", 340.1942775), ("0,125", 0.125), ("850 gr", 850.0),
        ("1.5", 1.5), ("12,5 oz.", 354.3690390625), ("1 KG", 1000.0),
    ],
)  # fmt: skip
def test_masses_people_write(text: str, grams: float) -> None:
    """Grams are meant without a unit; kilograms, ounces and pounds are converted by their definitions."""
    assert grams == pytest.approx(parse_grams(text, "chocolate"), rel=1e-9)


@pytest.mark.parametrize("text", ["1,000", "1.000", "1,000 g", "12.500 g", "1,000 oz"])
def test_thousands_are_not_guessed(text: str) -> None:
    """A figure that is a thousand to some and one to others is refused, and both ways to write it are named."""
    with pytest.raises(InputError, match="one way only") as caught:
        parse_grams(text, "chocolate")
    assert text.split(maxsplit=1)[0].translate({44: None, 46: None}) in caught.value.remedy


@pytest.mark.parametrize(
    "text", ["", " ", "warm", "nan", "inf", "1e3", "31.5.2", "31 5", "5 kg", "°C", "--5", "9" * 41, "٣١", "3½"]
)
def test_bad_temperatures_are_refused(text: str) -> None:
    """Anything but a number with °C or °F is refused, naming the field and how to write it."""
    with pytest.raises(InputError, match=r"^start: .*write for example 31\.5") as caught:
        parse_celsius(text, "start")
    assert text == caught.value.value


@pytest.mark.parametrize("text", ["-300", "-500 F", "1001", "2000 °F"])
def test_impossible_temperatures_are_out_of_range(text: str) -> None:
    """Below absolute zero, or hotter than any kitchen, is refused as a number out of range."""
    with pytest.raises(OutOfRange, match="check number and unit"):
        parse_celsius(text, "start")


@pytest.mark.parametrize("text", ["0", "-3 g", "0,0 kg", "1001 kg", "9" * 30])
def test_impossible_masses_are_out_of_range(text: str) -> None:
    """Nothing, less than nothing and more than a tonne are refused."""
    with pytest.raises(OutOfRange, match="more than 0"):
        parse_grams(text, "chocolate")


def _figure_or_input_error(text: str) -> None:
    for parse, low, high in ((parse_celsius, -273.15, 1000.0), (parse_grams, 0.0, 1e6)):
        refused: list[InputError] = []
        figure = math.nan
        try:
            figure = parse(text, "field")
        except InputError as error:
            refused.append(error)
        assert [(text, "field")] * len(refused) == [(e.value, e.field) for e in refused]
        assert bool(refused) != (low <= figure <= high)


@given(st.text(max_size=60))
def test_any_text_is_a_figure_or_an_input_error(text: str) -> None:
    """Whatever is typed gives a usable figure or an error a person can act on, never another exception."""
    _figure_or_input_error(text)


NEARLY = st.from_regex(r"[+\-−]?[0-9]{0,4}[.,]?[0-9]{0,4} ?(°?[CF]|k?g|oz|lbs?)?", fullmatch=True)


@given(NEARLY)
def test_nearly_right_text_is_a_figure_or_an_input_error(text: str) -> None:
    """The same for text that almost looks like a figure."""
    _figure_or_input_error(text)


@given(st.floats(-273.0, 999.0))
def test_temperatures_survive_showing(celsius: float) -> None:
    """A temperature shown in °C comes back within half of the last digit; in °F within half a degree."""
    assert celsius == pytest.approx(parse_celsius(show_celsius(celsius), "t"), abs=0.05 + 1e-9)
    if celsius > -272.8:
        back = parse_celsius(show_celsius(celsius, fahrenheit=True), "t")
        assert celsius == pytest.approx(back, abs=0.5 / 1.8 + 1e-9)


@given(st.floats(0.06, 1e6 - 1.0))
def test_masses_survive_showing(grams: float) -> None:
    """A mass shown in grams comes back within half of the last digit, whatever its size."""
    allowed = 0.5 if grams >= 10.0 else 0.05
    assert grams == pytest.approx(parse_grams(show_grams(grams), "m"), abs=allowed + 1e-6)


@pytest.mark.parametrize(
    ("shown", "written"),
    [
        (show_celsius(34.04), "34.0 °C"), (show_celsius(-0.04), "0.0 °C"), (show_celsius(-5.0), "−5.0 °C"),
        (show_celsius(31.1, fahrenheit=True), "88 °F"), (show_celsius(-18.0, fahrenheit=True), "0 °F"),
        (show_grams(1000.0), "1000 g"), (show_grams(9.96), "10.0 g"), (show_grams(453.59237, ounces=True), "16.0 oz"),
    ],
)  # fmt: skip
def test_how_figures_are_shown(shown: str, written: str) -> None:
    """Tenths of °C, whole °F, whole grams; a minus is a minus and there is no minus zero."""
    assert written == shown


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_positive_refuses(value: float) -> None:
    """Nothing, less, no number and no end of a number are refused with the field's name."""
    with pytest.raises(OutOfRange, match=r"^oven_w: "):
        positive("oven_w", value, "W", "read the label")
    assert positive("oven_w", 2.0, "W", "read the label") == 2.0
