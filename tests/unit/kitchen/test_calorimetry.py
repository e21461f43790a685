"""Finding an oven's power with water: refusals, rounding, agreement of runs."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.kitchen.calorimetry import (
    agreed_power,
    calorimetric_power,
    kitchen_test,
    power_error,
    rated_power,
    reported_power,
    time_to_heat,
)

RATED = {"water": 1000.0, "start": 10.0, "end": 20.0, "vessel": 500.0, "room": 20.0, "seconds": 48.0}
POWER, MASS, RISE = st.floats(100.0, 2000.0), st.floats(100.0, 3000.0), st.floats(1.0, 40.0)


@given(POWER, MASS, RISE, st.floats(0.0, 5.0))
def test_heating_and_calorimetry_are_inverse(power: float, mass: float, rise: float, delay: float) -> None:
    """Heating for the time a power needs gives that power back, whatever the start delay."""
    seconds = time_to_heat(power, mass, rise, 4186.0) + delay
    found = calorimetric_power(mass=mass, rise=rise, seconds=seconds, heat=4186.0, start_delay=delay)
    assert power == pytest.approx(found, rel=1e-6)


def test_bowl_counts_as_heated() -> None:
    """A bowl that warms has taken power too: 675 J/K by 6 K in 13 s is 312 W more."""
    bare = calorimetric_power(mass=1000.0, rise=5.0, seconds=15.0, heat=1670.0)
    with_bowl = calorimetric_power(mass=1000.0, rise=5.0, seconds=15.0, heat=1670.0, bowl_heat=675.0, bowl_rise=6.0)
    assert with_bowl - bare == pytest.approx(675.0 * 6.0 / 13.0)


def test_start_delay_raises_the_power_found() -> None:
    """The same rise in the same seconds means more power when some of them were without."""
    figures = {"mass": 500.0, "rise": 26.0, "seconds": 60.0, "heat": 4186.0}
    assert calorimetric_power(**figures, start_delay=0.0) < calorimetric_power(**figures)


@given(st.floats(100.0, 2000.0))
def test_reported_power_is_a_near_step(power: float) -> None:
    """A reported power is a multiple of 50 W and not more than 25 W away."""
    reported = reported_power(power)
    assert reported % 50.0 == 0.0
    assert abs(reported - power) <= 25.0


def test_halves_round_upwards() -> None:
    """A power in the middle of two steps is reported as the upper one."""
    assert [reported_power(p) for p in (874.9, 875.0, 924.9)] == [850.0, 900.0, 900.0]


@pytest.mark.parametrize(
    "wrong",
    [{"water": 0.0}, {"seconds": 0.0}, {"end": 10.0}, {"end": math.nan}, {"vessel": -1.0}, {"seconds": math.inf}],
)
def test_impossible_ratings_are_refused(wrong: dict[str, float]) -> None:
    """No water, no time, no rise or a vessel lighter than nothing is refused by the name of the figure."""
    with pytest.raises(OutOfRange, match=f"^{next(iter(wrong))}: "):
        rated_power(**{**RATED, **wrong})


def test_one_rise_for_each_vessel() -> None:
    """The two-vessel tests want two rises, the one-litre test one, and all of them above nothing."""
    assert kitchen_test("one-litre", [20.0]) == 700.0
    with pytest.raises(InputError, match="one rise for each vessel"):
        kitchen_test("two-litre", [9.6])
    with pytest.raises(OutOfRange, match="order of the two readings"):
        kitchen_test("two-litre", [9.6, -10.4])
    with pytest.raises(InputError, match="two-litre"):
        kitchen_test("two litre", [9.6, 10.4])


@pytest.mark.parametrize("wrong", [{"mass": 0.0}, {"rise": -3.0}, {"seconds": 2.0}, {"seconds": math.nan}])
def test_impossible_loads_are_refused(wrong: dict[str, float]) -> None:
    """No load, no rise, or a burst no longer than the start delay is refused."""
    with pytest.raises(OutOfRange):
        calorimetric_power(**{"mass": 500.0, "rise": 10.0, "seconds": 60.0, "heat": 4186.0, **wrong})


def test_runs_must_agree() -> None:
    """Three runs within 5 % of their mean give the mean; one that lies further asks for itself again."""
    assert agreed_power([690.0, 700.0, 710.0]) == pytest.approx(700.0)
    with pytest.raises(OutOfRange, match="repeat that run") as caught:
        agreed_power([700.0, 700.0, 800.0])
    assert caught.value.value == 800.0
    with pytest.raises(InputError, match="three times"):
        agreed_power([])


def test_error_of_a_careful_test() -> None:
    """12 K and 60 s, read to 0.2 K and 1 s, make 2.9 % of the power; a smaller rise makes it worse."""
    assert power_error(12.0, 60.0) == pytest.approx(math.sqrt(2 * (0.2 / 12) ** 2 + (1 / 60) ** 2 + 0.005**2))
    assert power_error(6.0, 60.0) > power_error(12.0, 60.0)
