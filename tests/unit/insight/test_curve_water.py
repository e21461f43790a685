"""Calibrating a cup with water."""

from __future__ import annotations

import numpy as np
import pytest

from temperbench.foundation.errors import InputError
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.water import calibrate, outside_of
from temperbench.kitchen.cup import Bath, Cup, chocolate_only, cup_of

WATER_G = 9.6
STEEL = 460.0  # J/(kg·K), as the row vessels.steel.heat


def known_cup() -> Cup:
    """Return a weighed and measured cup in a sleeve."""
    return cup_of("jacket", grams=12.0, width=0.015, cup_grams=15.0)


def run(conductance: float, bath_c: float = 0.3, warming: float = 0.0, noise: float = 0.05, seed: int = 1) -> Series:
    """Log water of 42 °C that falls in a bath, which may warm by so many kelvin a second."""
    heat = 0.001 * WATER_G * 4178.0 + 0.015 * STEEL
    seconds = np.arange(0.0, 1800.0, 1.0)
    celsius = np.empty(len(seconds))
    celsius[:40] = 42.0
    for k in range(40, len(seconds)):
        bath = bath_c + warming * seconds[k]
        celsius[k] = bath + (celsius[k - 1] - bath) * np.exp(-conductance / heat)
    return Series(seconds, celsius + noise * np.random.default_rng(seed).standard_normal(len(seconds)))


@pytest.mark.parametrize("conductance", [0.03, 0.05, 0.09])
def test_the_conductance_comes_back(conductance: float) -> None:
    """The conductance that cooled the water is inside its 90 % band, and within 5 % of its middle."""
    found = calibrate(run(conductance), known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False)
    assert found.conductance_w_k.low < conductance < found.conductance_w_k.high
    assert found.conductance_w_k.mid == pytest.approx(conductance, rel=0.05)
    assert found.doubts == ()


@pytest.mark.slow
def test_bands_hold_the_truth() -> None:
    """Of forty runs in baths as far off as ice water may be, at least 32 of the 90 % bands hold the truth."""
    rng = np.random.default_rng(5)
    held = 0
    for k in range(40):
        true, bath = float(rng.uniform(0.03, 0.09)), float(rng.triangular(-0.3, 0.2, 1.2))
        band = calibrate(run(true, bath, seed=k), known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False)
        held += band.conductance_w_k.low < true < band.conductance_w_k.high
    assert held >= 32


def test_a_logged_bath_narrows_the_band() -> None:
    """With a probe in the bath the band is narrower, and a bath that warms is followed."""
    series = run(0.05, bath_c=0.0, warming=0.002)
    steady = calibrate(run(0.05), known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False).conductance_w_k
    bath = Bath(series.seconds, 0.002 * series.seconds)
    logged = calibrate(series, known_cup(), WATER_G, bath, bath_logged=True).conductance_w_k
    assert logged.low < 0.05 < logged.high
    assert logged.high - logged.low < steady.high - steady.low


def test_chocolate_gets_the_cup_without_the_waters_film() -> None:
    """What is used for chocolate is a little more than what the water saw; draws may go beyond the band."""
    found = calibrate(run(0.05), known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False)
    assert found.chocolate_w_k.mid == pytest.approx(chocolate_only(found.conductance_w_k.mid, 0.012, 0.015), rel=1e-3)
    spread = outside_of(found)
    assert spread.low < found.chocolate_w_k.low < spread.mid < found.chocolate_w_k.high < spread.high


def test_water_that_does_not_fall_along_one_time_constant_is_doubted() -> None:
    """A cup lifted out for some minutes is told."""
    series = run(0.05)
    celsius = series.celsius.copy()
    celsius[500:800] = celsius[500]
    celsius[800:] = celsius[500:-300]
    found = calibrate(Series(series.seconds, celsius), known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False)
    assert "stirred" in " ".join(found.doubts)


def test_a_run_too_cold_to_read_is_refused() -> None:
    """Water that begins near the temperature where it stops moving calibrates nothing."""
    series = run(0.05)
    cold = Series(series.seconds, series.celsius * 0.25)
    with pytest.raises(InputError, match="35 to 45"):
        calibrate(cold, known_cup(), WATER_G, Bath.steady(0.0), bath_logged=False)
