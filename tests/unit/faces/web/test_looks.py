"""Texts of the engine in a device's units: temperatures shift, differences do not, every mass is turned."""

from __future__ import annotations

import pytest

from temperbench.faces.web.looks import Look, commas_in, look_of, told


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Ice water is about 0 °C.", "Ice water is about 32.0 °F."),
        ("30 s over water of 4.0 °C", "30 s over water of 39.2 °F"),
        ("−18 °C", "−0.4 °F"),
        ("32.1 °C (31.5 to 32.8), smooth", "89.8 °F (88.7 to 91.0), smooth"),
        ("Work 31.0 to 32.0 °C", "Work 87.8 to 89.6 °F"),
        ("warm by 0.5 to 1 °C at a time, never above 34.5 °C", "warm by 0.9 to 1.8 °F at a time, never above 94.1 °F"),
        ("set-point up by 0.5 °C at a time", "set-point up by 0.9 °F at a time"),
        ("checked to within 0.3 °C", "checked to within 0.5 °F"),
        ("Bath: 48 °C, to within 2 K.", "Bath: 118.4 °F, to within 3.6 °F."),
        ("reading about 1.5 °C too high: check it in ice and near 32 °C",
         "reading about 2.7 °F too high: check it in ice and near 89.6 °F"),
        ("Reads 0.8 °C low", "Reads 1.4 °F low"),
        ("cools by 0.5 °C/min or more", "cools by 0.9 °F/min or more"),
        ("up to 20 °C warmer", "up to 36.0 °F warmer"),
        ("1 kg in 3 Kettles", "1 kg in 3 Kettles"),
    ],
)  # fmt: skip
def test_fahrenheit(text: str, shown: str) -> None:
    """By the definition of the Fahrenheit degree: 1.8 of them to one of Celsius, and 32 where ice melts."""
    assert told(text, Look(fahrenheit=True)) == shown
    assert told(text, Look()) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Stir in 40 g", "Stir in 1.4 oz"),
        ("Stir in 20 + 20 + 30 g of buttons", "Stir in 0.7 + 0.7 + 1.1 oz of buttons"),
        ("10 to 20 g", "0.4 to 0.7 oz"),
        ("100 g/m² and 5 grains", "100 g/m² and 5 grains"),
    ],
)
def test_ounces(text: str, shown: str) -> None:
    """By the international pound: 28.35 g to an ounce."""
    assert told(text, Look(ounces=True)) == shown
    assert told(text, Look()) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("32.1 °C (31.5 to 32.8), 9.5 g", "32,1 °C (31,5 to 32,8), 9,5 g"),
        ("It settles near 33.7. Then stir.", "It settles near 33,7. Then stir."),
        ("the kitchen at 192.168.1.20", "the kitchen at 192.168.1.20"),
        ("token p1.9abc", "token p1.9abc"),
    ],
)
def test_decimal_commas(text: str, shown: str) -> None:
    """A device that writes commas gets them in figures, and only there."""
    assert told(text, Look(comma=True)) == shown
    assert told("32.1 °C", Look(fahrenheit=True, comma=True)) == "89,8 °F"


def test_a_drawing_keeps_its_coordinates() -> None:
    """Words of a drawing have commas, its numbers for the browser have points."""
    assert commas_in('<text x="1.5">stop 34.0 °C</text>') == '<text x="1.5">stop 34,0 °C</text>'


def test_the_cookie_of_a_device() -> None:
    """Theme, temperatures, weights and decimals; a cookie of an older version has points."""
    assert look_of({"temperbench_look": "dark.F.oz.comma"}) == Look("dark", fahrenheit=True, ounces=True, comma=True)
    assert look_of({"temperbench_look": "dark.C.g"}) == Look("dark")
