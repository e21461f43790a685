"""Sentences about a plan: the same facts for screen and paper, each once, without leftovers of their parts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sample_plan import sample_plan
from temperbench.app.results import RescueRow, SettingTest
from temperbench.faces.drawing.words import minute_band, minutes, minutes_between
from temperbench.faces.told.plan_words import (
    amount,
    carries_told,
    defaults_told,
    held_told,
    portions,
    rescue_told,
    setting_test_told,
    stir_down_told,
    workable_told,
)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("Room: 20 °C (17 to 24).", "room: 20 °C (17 to 24)"),
        ("Oven power: taken as 850 W (750 to 1000) from the label of 1000 W, because no water test was given.",
         "oven power: 850 W (750 to 1000) from the label of 1000 W"),
        ("total fat 36 % (30 to 42), typical", "total fat 36 % (30 to 42), typical"),
        ("UHT milk.", "UHT milk"),
        ("", ""),
    ],
)  # fmt: skip
def test_defaults_are_entries_of_one_list(given: str, told: str) -> None:
    """What was taken as usual loses full stop, capital and the words its heading already says, and nothing else."""
    assert defaults_told(replace(sample_plan(), defaults_used=(given,))) == (told,)


def test_the_setting_test_says_what_its_times_mean() -> None:
    """The time that proves enough crystals comes before the time expected of this bowl."""
    how, times = setting_test_told(replace(sample_plan(), setting_test=SettingTest("knife", 4.0, 1.0, 3.0)))
    assert how == "a thin smear on a knife, in this room, never in the fridge"
    assert times == "set by 4.0 min = enough crystals; expected 1.0 to 3.0 min"


def test_after_the_stop() -> None:
    """From where to where to stir, what ends the working time, and how long it lasts when kept warm."""
    plan = sample_plan()
    assert stir_down_told(plan) == "from the stop, 34.0 °C, to the top of the window, 32.0 °C"
    assert stir_down_told(plan, fahrenheit=True) == "from the stop, 93.2 °F, to the top of the window, 89.6 °F"
    assert workable_told(plan) == "unheated, then too thick"
    assert held_told(plan) == "41 min (28 to 60) when kept at 32.0 °C, then too thick"
    assert carries_told(plan) == (
        f"{plan.carries.text} In an oven hot from earlier bowls they leave 17.9 % of the fat solid."
    )


def test_a_rescue_that_needs_no_portions() -> None:
    """Few buttons go in at once, and what holds for that row alone is its own advice."""
    row = RescueRow(34.6, 5, 34.1, 3.0, "Stir in 5 g at once; make the setting test.", (5,))
    told = rescue_told((row,))
    assert (amount(row), portions(row)) == ("5 g", "at once")
    assert told.notes == (
        "Stir in 5 g at once; make the setting test.",
        "It ends at 34.1 °C with 3.0 % of the fat as crystals.",
    )


def test_where_no_buttons_help() -> None:
    """Hotter bowls share one line, from the coolest of them; a table without any has none."""
    lost = tuple(RescueRow(at_c, None, None, None, "") for at_c in (42.0, 45.0))
    told = rescue_told(lost)
    assert (told.rows, told.notes) == ((), ("From 42.0 °C: melt fully, then seed.",))
    assert rescue_told(lost, fahrenheit=True).notes == ("From 107.6 °F: melt fully, then seed.",)
    assert rescue_told(()).notes == ()


def test_a_bowl_still_in_temper() -> None:
    """Where nothing is to be added, that is said, with its advice, and no end is given."""
    row = RescueRow(34.0, 0, 34.0, 4.0, "Still in temper: stir, and do not heat again.")
    assert (amount(row), portions(row), rescue_told((row,)).notes) == ("nothing", "stir, no heat", (row.advice,))


@pytest.mark.parametrize(
    ("times", "told"),
    [
        ((5.4, 7.0, 9.2), "7.0 min (5.4 to 9.2)"),
        ((4.0, 9.94, 19.0), "9.9 min (4.0 to 19.0)"),
        ((4.0, 9.96, 19.2), "10 min (4 to 19)"),
        ((5.0, 42.0, 366.0), "42 min (5 to 366)"),
        ((0.0, 3.5, 152.0), "3.5 min (0.0 to 152)"),
    ],
)
def test_minutes_have_the_decimals_that_make_sense(times: tuple[float, float, float], told: str) -> None:
    """Below ten minutes one decimal, from there on whole minutes, the band as its median."""
    assert minutes_between(*times) == told
    assert f"{minutes(times[1])} {minute_band(*times)}" == told
