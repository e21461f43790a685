"""Looking at a log without a model: slips, noise, the fall and the bend."""

from __future__ import annotations

import numpy as np
import pytest

from sample_cups import plain_log
from temperbench.foundation.errors import InputError
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import binned, look_at, slips


@pytest.mark.parametrize("noise", [0.02, 0.1, 0.3])
def test_noise_of_a_reading_is_found(noise: float) -> None:
    """The noise put on the readings comes back within a tenth of it."""
    assert look_at(plain_log(0.01, noise=noise)).noise_c == pytest.approx(noise, rel=0.1)


def test_slips_are_left_out_and_move_nothing() -> None:
    """Twenty readings of 85 °C among two thousand are counted, and the bend stays where it was."""
    clean = plain_log(0.01)
    celsius = clean.celsius.copy()
    celsius[50::100] = 85.0
    before, after = look_at(clean), look_at(Series(clean.seconds, celsius))
    assert after.slips - before.slips == len(celsius[50::100])
    assert before.bend is not None
    assert after.bend is not None
    assert after.bend.celsius == pytest.approx(before.bend.celsius, abs=0.1)
    assert after.bend.per_minute == pytest.approx(before.bend.per_minute, abs=0.03)


def test_a_log_without_noise_bends_where_its_slope_is_greatest() -> None:
    """Bend and slope of a clean, finely logged curve are those of its own differences."""
    clean = plain_log(0.01, noise=0.0)
    slope = 60.0 * np.gradient(clean.celsius, clean.seconds)
    low = int(np.argmin(slope))
    place = low + int(np.argmax(slope[low : low + 500]))
    bend = look_at(clean).bend
    assert bend is not None
    assert bend.per_minute == pytest.approx(slope[place], abs=0.02)
    assert bend.celsius == pytest.approx(clean.celsius[place], abs=0.25)


def test_errors_of_the_bend_are_what_fresh_noise_does() -> None:
    """The slope's standard error is within a factor of 1.6 of the scatter over forty noisy logs."""
    looks = [look_at(plain_log(0.002, seed=seed)) for seed in range(40)]
    slopes = [look.bend.per_minute for look in looks if look.bend]
    errors = [look.bend.per_minute_error for look in looks if look.bend]
    assert len(slopes) == 40
    assert 1.0 / 1.6 < np.std(slopes) / np.mean(errors) < 1.6


@pytest.mark.parametrize("every", [1.0, 5.0, 15.0])
def test_pace_of_the_log_hardly_matters(every: float) -> None:
    """From one reading a second to one in fifteen the bend keeps its temperature within 0.4 °C."""
    bend, fine = look_at(plain_log(0.005, noise=0.05, every_s=every)).bend, look_at(plain_log(0.005, noise=0.0)).bend
    assert bend is not None
    assert fine is not None
    assert bend.celsius == pytest.approx(fine.celsius, abs=0.4)


def test_the_fall_is_found_after_the_level() -> None:
    """Half a minute of level before the bath is seen, and the level is the sample's temperature."""
    look = look_at(plain_log(0.01))
    assert look.plateau
    assert look.start_c == pytest.approx(31.5, abs=0.1)
    assert 30.0 < look.fall_s < 110.0


def test_a_log_that_ends_early_has_no_bend() -> None:
    """Cut before the bend, none is made up."""
    assert look_at(plain_log(0.01).part(0.0, 250.0)).bend is None


def test_averages_keep_what_they_average() -> None:
    """Means of straight readings lie on the line, with an error that falls with the root of their number."""
    seconds = np.arange(0.0, 1000.0, 1.0)
    bins, noise = binned(Series(seconds, 40.0 - 0.02 * seconds), 20.0, noise=0.1)
    assert noise == 0.1
    assert np.abs(bins.celsius - (40.0 - 0.02 * bins.seconds)).max() < 1e-9
    assert bins.error[0] == pytest.approx(0.1 / np.sqrt(20.0), rel=0.05)


def test_steady_readings_hold_no_slips() -> None:
    """Ordinary noise is not taken for slips."""
    rng = np.random.default_rng(1)
    assert slips(30.0 + 0.1 * rng.standard_normal(2000)).sum() <= 2


@pytest.mark.parametrize(
    ("seconds", "celsius", "says"),
    [
        (np.arange(5.0), np.zeros(5), "5 readings"),
        (np.arange(30.0), np.full(30, np.nan), "finite"),
        (np.r_[np.arange(20.0), np.arange(10.0)], np.zeros(30), "forward"),
    ],
)
def test_series_that_are_none_are_refused(seconds: np.ndarray, celsius: np.ndarray, says: str) -> None:
    """Too few readings, no numbers, and time that goes back are refused in words."""
    with pytest.raises(InputError, match=says):
        Series(seconds, celsius)


@pytest.mark.parametrize("digit", [0.1, 0.5])
def test_a_coarse_logger_is_smoothed_longer(digit: float) -> None:
    """Rounded to half a degree, bend and slope stay within three of their own errors of the fine log's, plus 0.3."""
    fine = plain_log(0.01, noise=0.05, every_s=10.0)
    rounded = look_at(Series(fine.seconds, np.round(fine.celsius / digit) * digit))
    bend, true = rounded.bend, look_at(plain_log(0.01, noise=0.0)).bend
    assert rounded.slips == 0
    assert rounded.noise_c >= digit / np.sqrt(12.0) - 1e-9
    assert bend is not None
    assert true is not None
    assert abs(bend.celsius - true.celsius) < 0.3 + 3.0 * bend.celsius_error
    assert abs(bend.per_minute - true.per_minute) < 0.3
