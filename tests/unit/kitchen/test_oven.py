"""What a microwave oven delivers: bursts, cycles, loads, drift, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import OutOfRange
from temperbench.kitchen.oven import (
    Oven,
    absorbed_power,
    burst_energy,
    chocolate_share,
    drift_factor,
    on_intervals,
    oven_unknowns,
    rested_on_time,
    safe_burst,
    small_load,
    water_share,
)

SECONDS, LEVEL, CYCLE = st.floats(0.0, 600.0), st.floats(0.05, 1.0), st.floats(5.0, 60.0)
DELAY, MASS = st.floats(0.0, 5.0), st.floats(0.01, 5.0)


def by_formula(seconds: float, level: float, inverter: bool, cycle: float, delay: float) -> float:
    """Energy per watt written out as the sum over cycles, apart from the code under test."""
    if inverter or level == 1.0:
        return level * max(0.0, seconds - delay)
    total, k = 0.0, 0
    while k * cycle < seconds:
        total += max(0.0, min(seconds - k * cycle, level * cycle) - delay)
        k += 1
    return total


@given(SECONDS, LEVEL, st.booleans(), CYCLE, DELAY)
def test_energy_is_the_sum_over_cycles(
    seconds: float, level: float, inverter: bool, cycle: float, delay: float
) -> None:
    """The on-intervals, each less its start delay, add up to the burst-energy formula."""
    parts = on_intervals(seconds, level, inverter, cycle)
    summed = sum(share * max(0.0, on - delay) for on, _, share in parts)
    wanted = by_formula(seconds, level, inverter, cycle, delay)
    got = burst_energy(1.0, seconds, level=level, inverter=inverter, time_base_s=cycle, start_delay=delay)
    assert (wanted, wanted) == pytest.approx((summed, got), abs=1e-9)


@given(SECONDS, LEVEL, st.booleans(), CYCLE)
def test_intervals_fill_the_burst(seconds: float, level: float, inverter: bool, cycle: float) -> None:
    """On and off times add up to the seconds on the timer; no interval is negative or without on-time."""
    parts = on_intervals(seconds, level, inverter, cycle)
    assert seconds == pytest.approx(sum(on + off for on, off, _ in parts), abs=1e-9)
    assert [p for p in parts if p[0] <= 0.0 or p[1] < 0.0] == []
    assert {level if inverter or level == 1.0 else 1.0 for _ in parts} == {share for *_, share in parts}


@given(SECONDS, SECONDS, LEVEL, st.booleans(), CYCLE)
def test_more_seconds_never_bring_less(one: float, other: float, level: float, inverter: bool, cycle: float) -> None:
    """Energy does not fall with the seconds, whatever the oven."""
    less, more = sorted((one, other))
    low, high = (burst_energy(900.0, s, level=level, inverter=inverter, time_base_s=cycle) for s in (less, more))
    assert low <= high + 1e-9


@given(SECONDS, LEVEL, st.booleans(), CYCLE)
def test_no_level_brings_more_than_full_power(seconds: float, level: float, inverter: bool, cycle: float) -> None:
    """A lower level never delivers more than full power in the same seconds."""
    lower = burst_energy(900.0, seconds, level=level, inverter=inverter, time_base_s=cycle)
    assert lower <= burst_energy(900.0, seconds) + 1e-9


def test_half_power_in_short_bursts() -> None:
    """15 s at half power are all on in a 30 s cycle, and 6 s on, 6 s off, 3 s on in a 12 s cycle."""
    assert on_intervals(15.0, 0.5, False, 30.0) == [(15.0, 0.0, 1.0)]
    assert on_intervals(15.0, 0.5, False, 12.0) == [(6.0, 6.0, 1.0), (3.0, 0.0, 1.0)]
    assert on_intervals(15.0, 0.5, True, 12.0) == [(15.0, 0.0, 0.5)]
    assert on_intervals(0.0, 0.5, False, 12.0) == []


@pytest.mark.parametrize(
    ("seconds", "level", "cycle"),
    [
        (-1.0, 1.0, 30.0), (math.nan, 1.0, 30.0), (math.inf, 1.0, 30.0), (10.0, 0.0, 30.0), (10.0, 1.1, 30.0),
        (10.0, math.nan, 30.0), (10.0, 0.5, 0.0), (10.0, 0.5, 1e-9), (10.0, 0.5, math.nan),
    ],
)  # fmt: skip
def test_impossible_bursts_are_refused(seconds: float, level: float, cycle: float) -> None:
    """Seconds, level or cycle outside their range give an error with a remedy, not a result."""
    with pytest.raises(OutOfRange):
        on_intervals(seconds, level, False, cycle)


@given(MASS, MASS, st.floats(0.6, 0.95))
def test_larger_loads_never_take_less(one: float, other: float, ratio: float) -> None:
    """Power into water and into chocolate rises with the mass; chocolate takes no more than 1000 g of water."""
    small, large = sorted((one, other))
    assert water_share(small) <= water_share(large)
    assert 0.0 < chocolate_share(small, ratio) <= chocolate_share(large, ratio) <= 1.0


@given(st.floats(0.0, 1e4), st.floats(0.04, 0.31), st.floats(60.0, 600.0))
def test_drift_stays_between_cold_and_hot(on: float, drop: float, time: float) -> None:
    """An oven in use lies between its cold power and that less the whole drop, and falls with use."""
    assert 1.0 - drop - 1e-12 <= drift_factor(on, drop, time) <= 1.0
    assert drift_factor(on + 10.0, drop, time) <= drift_factor(on, drop, time)


def test_drift_from_cold_to_hot() -> None:
    """A cold oven has all its power; after 15 minutes, and a rest of none, it has lost 14 % less what is to come."""
    assert drift_factor(0.0) == 1.0
    assert drift_factor(900.0) == pytest.approx(0.86, abs=0.002)
    assert rested_on_time(900.0, 0.0) == 900.0
    assert rested_on_time(900.0, 1200.0) == pytest.approx(900.0 / math.e)


def test_absorbed_power_is_the_product_of_its_parts() -> None:
    """Full power, load curve, drift and level multiply."""
    wanted = 900.0 * chocolate_share(0.5) * drift_factor(60.0) * 0.7
    assert wanted == pytest.approx(absorbed_power(900.0, 0.5, on_time=60.0, power_share=0.7))
    assert absorbed_power(850.0, 1.0, ratio=0.9) > absorbed_power(850.0, 1.0)


@given(st.floats(20.0, 60.0), st.floats(300.0, 900.0), st.floats(0.2, 3.0))
def test_safe_burst_ends_at_the_limit(hottest: float, power: float, mass: float) -> None:
    """The hot zone, heated kappa times the mean for the seconds after the delay, ends at the limit; none when there."""
    limit, heat, kappa = 45.0, 1670.0, 1.8
    seconds = safe_burst(power, mass, heat, hottest=hottest, limit=limit, kappa=kappa, start_delay=2.0)
    energy = burst_energy(power, seconds, start_delay=2.0) if seconds < 3600.0 else power * (seconds - 2.0)
    assert max(hottest, limit) == pytest.approx(hottest + kappa * energy / (mass * heat))


def test_unknowns_of_a_label() -> None:
    """From a label alone the power is a wide range and a line says so; a measured oven is narrower and says nothing."""
    label, measured = oven_unknowns(Oven(1000.0)), oven_unknowns(Oven(1000.0, measured_w=800.0))
    assert (label.power_w.low, label.power_w.mid, label.power_w.high) == (750.0, 850.0, 1000.0)
    assert [line.split(":")[0] for line in label.defaults_used] == ["Oven power"]
    assert measured.power_w.mid == 800.0
    assert measured.power_w.high - measured.power_w.low < label.power_w.high - label.power_w.low
    assert measured.defaults_used + measured.warnings == ()


def test_unknowns_below_full_power() -> None:
    """Below full power an oven of unknown kind is taken as switching, with an unknown cycle, and warned about."""
    unknown = oven_unknowns(Oven(900.0, level=0.5))
    assert [d.split(":")[0] for d in unknown.defaults_used] == ["Oven power", "Kind of oven", "Cycle of the oven"]
    assert [code for code, _ in unknown.warnings] == ["cycling-oven"]
    inverter = oven_unknowns(Oven(900.0, measured_w=700.0, inverter=True, level=0.5))
    assert inverter.defaults_used + inverter.warnings == ()
    known = oven_unknowns(Oven(900.0, measured_w=700.0, inverter=False, time_base_s=12.0, level=0.5))
    assert known.time_base_s.is_exact
    assert known.defaults_used == ()


def test_warnings_of_ovens() -> None:
    """A hot oven and an inverter oven at its lowest level are warned about; the hot one starts with use behind it."""
    warm = oven_unknowns(Oven(900.0, warm=True))
    assert [code for code, _ in warm.warnings] == ["warm-oven"]
    assert warm.on_before_s > 0.0 == oven_unknowns(Oven(900.0)).on_before_s
    lowest = oven_unknowns(Oven(900.0, inverter=True, level=0.1))
    assert [code for code, _ in lowest.warnings] == ["pulsing-inverter"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"label_w": 0.0}, {"label_w": -800.0}, {"label_w": math.nan}, {"measured_w": 0.0}, {"level": 0.0},
        {"level": 1.5}, {"time_base_s": 0.0},
    ],
)  # fmt: skip
def test_impossible_ovens_are_refused(wrong: dict[str, float]) -> None:
    """An oven without power, above full power or without a cycle cannot be made."""
    with pytest.raises(OutOfRange):
        Oven(**{"label_w": 800.0, **wrong})


def test_small_loads_are_warned_about() -> None:
    """Below 100 g the oven runs nearly empty, and the warning says what to do."""
    warning = small_load(0.08)
    assert warning is not None
    assert warning[0] == "small-load"
    assert "glass with" in warning[1]
    assert small_load(0.1) is None
