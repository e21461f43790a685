"""Answers in any form people write them become one figure, or one sentence."""

from __future__ import annotations

import datetime

import pytest

from temperbench.app.read_figure import read_count, read_number, read_switch, read_word
from temperbench.foundation.errors import InputError


@pytest.mark.parametrize(
    ("value", "kind", "figure"),
    [
        (1000, "grams", 1000.0),
        ("1 kg", "grams", 1000.0),
        ("1,5 kg", "grams", 1500.0),
        ("2 lb", "grams", 907.18474),
        (20.5, "celsius", 20.5),
        ("68 F", "celsius", 20.0),
        ("20,5", "celsius", 20.5),
        ("-5 °C", "celsius", -5.0),
        ("900 W", "watts", 900.0),
        ("1.1kW", "watts", 1100.0),
        ("1,5 L", "litres", 1.5),
        ("800 ml", "litres", 0.8),
        ("36,5 %", "percent", 36.5),
        (36, "percent", 36.0),
        ("5 %", "share", 0.05),
        ("0,05", "share", 0.05),
        (".5", "share", 0.5),
    ],
)
def test_figures_are_read_with_comma_point_and_unit(value: object, kind: str, figure: float) -> None:
    """A number, or text with a decimal comma or point and a unit, is one figure in our unit."""
    assert figure == pytest.approx(read_number(value, kind, "x"), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        (True, "grams"),
        (None, "grams"),
        ([1000], "grams"),
        ({"g": 1}, "watts"),
        (datetime.date(2024, 1, 1), "celsius"),
        (float("nan"), "celsius"),
        (float("inf"), "watts"),
        (10**400, "watts"),
        ("", "grams"),
        ("   ", "percent"),
        ("many", "watts"),
        ("900 V", "watts"),
        ("5 g", "litres"),
        ("1e3", "watts"),
        ("٣٦", "percent"),
        ("1000\nW W", "watts"),
        ("9" * 400, "share"),
    ],
)
def test_what_is_no_figure_is_refused_by_name(value: object, kind: str) -> None:
    """Anything else is an error that names the field, in one line."""
    with pytest.raises(InputError) as caught:
        read_number(value, kind, "[oven] label_w")
    assert str(caught.value).startswith("[oven] label_w: ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("value", "answer"), [(True, True), (False, False), ("yes", True), ("Off", False)])
def test_switches_are_read(value: object, answer: bool) -> None:
    """True and false, or their words, are answers."""
    assert answer is read_switch(value, "x")


@pytest.mark.parametrize("value", [1, 0.0, "maybe", None, []])
def test_what_is_neither_yes_nor_no_is_refused(value: object) -> None:
    """A number is not an answer to yes or no."""
    with pytest.raises(InputError, match="true or false"):
        read_switch(value, "warm")


@pytest.mark.parametrize(
    ("value", "word"), [("buttons", "buttons"), ("Set Bowl", "set-bowl"), ("set_bowl", "set-bowl"), ("a4", "A4")]
)
def test_words_are_found_whatever_their_capitals(value: str, word: str) -> None:
    """Capitals, blanks and underscores do not matter; the table's spelling comes back."""
    assert word == read_word(value, ("buttons", "set-bowl", "A4"), "stock")


def test_a_wrong_word_gets_the_nearest() -> None:
    """A misspelt word is answered with the one that was probably meant."""
    with pytest.raises(InputError, match="did you mean “buttons”"):
        read_word("butons", ("buttons", "block"), "stock")


@pytest.mark.parametrize("value", [3, "", " ", None, ["dark"]])
def test_what_is_no_word_is_refused(value: object) -> None:
    """A number, an empty text or a list is not a word, even where any word is taken."""
    for any_word in (False, True):
        with pytest.raises(InputError, match=r"^kind: .* allowed is dark"):
            read_word(value, ("dark",), "kind", any_word=any_word)


@pytest.mark.parametrize(("value", "count"), [(16, 16), ("512", 512), (" 20 ", 20)])
def test_counts_are_read(value: object, count: int) -> None:
    """A whole number, also as text, is a count."""
    assert count == read_count(value, 16, 512, "--members")


@pytest.mark.parametrize("value", [15, 513, "1.5", "many", True, None, 20.0, "9" * 5000, 10**400])
def test_what_is_no_count_is_refused(value: object) -> None:
    """A fraction, a word or a number out of range is no count."""
    with pytest.raises(InputError, match=r"^--members: .*16 to 512"):
        read_count(value, 16, 512, "--members")
