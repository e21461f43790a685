"""Thinning: what a stream of correlated values is worth, and that the thinned readings claim no more."""

from __future__ import annotations

import math

import numpy as np
import pytest

from temperbench.faces.feed.thin import Thinner, independent_readings
from temperbench.foundation.evidence import number

TAU, SD = number("feed.tau"), number("thermometers.probe.noise")
START = 1_773_480_413_000


def correlation(count: int, apart: float, tau: float) -> np.ndarray:
    steps = np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    return np.asarray(np.exp(-apart * steps / tau))


def errors(count: int, apart: float, tau: float, runs: int) -> np.ndarray:
    """Return runs of stationary first-order correlated errors with the deviation of a probe's readings."""
    rng, r = np.random.default_rng(11), math.exp(-apart / tau)
    out = np.empty((runs, count))
    out[:, 0] = rng.normal(size=runs)
    for i in range(1, count):
        out[:, i] = r * out[:, i - 1] + math.sqrt(1 - r * r) * rng.normal(size=runs)
    return SD * out


@pytest.mark.parametrize(("count", "apart", "tau"), [(1, 1, 10), (2, 1, 10), (30, 1, 10), (200, 0.2, 19), (9, 30, 10)])
def test_worth_is_the_sum_of_the_inverse_correlation(count: int, apart: float, tau: float) -> None:
    """The closed form is 1' R^-1 1, the information of the best estimate of a constant."""
    one = np.ones(count)
    expected = one @ np.linalg.solve(correlation(count, apart, tau), one)
    assert independent_readings(count, apart, tau) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("every_s", "factor"), [(0.2, 1.05), (1.0, 1.05), (5.0, 1.05), (10.0, 1.1)])
def test_thinned_readings_claim_what_the_stream_is_worth(every_s: float, factor: float) -> None:
    """Over 20 min the number of readings handed on is the worth of the stream, within the factor, at any rate."""
    thinner, count = Thinner(), round(1200 / every_s)
    made = [thinner.take(START + round(1000 * every_s * i), 32.0) for i in range(count)]
    claimed = sum(one is not None for one in made)
    worth = independent_readings(count, every_s, TAU)
    assert 1 / factor <= claimed / worth <= factor


def test_the_stream_counted_one_by_one_would_claim_far_more() -> None:
    """At 1 Hz, 1200 values are worth about 61; unthinned they would weigh as 20 times too many."""
    assert 19 < 1200 / independent_readings(1200, 1.0, TAU) < 21


def test_the_mean_of_thinned_readings_is_as_good_as_claimed_and_as_the_best() -> None:
    """500 streams of 10 min at 1 Hz with AR(1) errors, fixed seed, standard error of a ratio of variances 6 %.

    The true variance of the mean of the thinned readings is what independent readings would have (0.8 to 1.25 times)
    and at most 1.25 times that of the best estimate from the whole stream.
    """
    stream = 32.0 + errors(600, 1.0, TAU, 500)
    best = SD**2 / independent_readings(600, 1.0, TAU)
    means, claims = [], []
    for run in stream:
        thinner = Thinner()
        made = [one for i, x in enumerate(run) if (one := thinner.take(START + 1000 * i, float(x))) is not None]
        means.append(np.mean([celsius for _, celsius in made]) - 32.0)
        claims.append(SD**2 / len(made))
    true = float(np.mean(np.square(means)))
    assert 0.8 < true / float(np.mean(claims)) < 1.25
    assert true / best < 1.25


@pytest.mark.parametrize("every_s", [0.1, 1.0, 7.0, 20.0, 45.0])
def test_readings_are_never_closer_than_the_spacing(every_s: float) -> None:
    """However fast the stream, one reading every two time constants; a slow stream gives all but its first."""
    thinner = Thinner()
    times = [i * round(1000 * every_s) for i in range(round(300 / every_s) + 1)]
    due = [at for at in times if thinner.take(START + at, 32.0) is not None]
    assert min(np.diff(due)) >= 1000 * 2 * TAU
    assert every_s < 20 or due == times[1:]


def test_a_reading_lies_on_the_slope() -> None:
    """On a straight slope the median moment and the median value belong together."""
    thinner = Thinner()
    made = [one for i in range(100) if (one := thinner.take(START + 1000 * i, 34.0 - 0.01 * i)) is not None]
    assert [34.0 - 0.01 * (at - START) / 1000 for at, _ in made] == pytest.approx([x for _, x in made], abs=0.006)


def test_a_wild_value_does_not_move_a_reading() -> None:
    """Three of twenty values 15 K off leave the reading where it was."""
    thinner = Thinner()
    values = [32.0, 47.0, *[32.0] * 8, 47.0, *[32.0] * 8, 47.0, 32.0]
    made = [one for i, x in enumerate(values) if (one := thinner.take(START + 1000 * i, x)) is not None]
    assert [x for _, x in made] == [32.0]


@pytest.mark.parametrize("every_s", [1, 5, 15, 30])
def test_a_probe_on_its_way_gives_no_reading(every_s: int) -> None:
    """From room to bowl as a first-order lag: no reading before the probe is within the row of where it goes."""
    thinner = Thinner()
    made, settling = [], []
    for i in range(180 // every_s + 1):
        t = every_s * i
        one = thinner.take(START + 1000 * t, 33.0 - 11.0 * math.exp(-t / TAU))
        settling.append(thinner.settling)
        made += [one[1]] if one else []
    assert True in settling
    assert min(made) > 33.0 - 1.6 * number("feed.settled")
    assert made[-1] == pytest.approx(33.0, abs=0.01)


def test_what_it_shows_now_is_current_and_is_no_reading() -> None:
    """Asking every second gives the last seconds' median and does not bring a reading nearer."""
    asked, left = Thinner(), Thinner()
    for i in range(65):
        value = 34.0 - 0.01 * i
        one, other = asked.take(START + 1000 * i, value), left.take(START + 1000 * i, value)
        assert one == other
        now = asked.now()
        assert now is not None
        assert (START + 1000 * i, pytest.approx(value, abs=0.06)) == now
    assert Thinner().now() is None


def test_a_slow_probe_is_told_so() -> None:
    """A probe with a time constant of 30 s gives a reading a minute."""
    thinner = Thinner(30.0)
    due = [i for i in range(301) if thinner.take(START + 1000 * i, 32.0) is not None]
    assert due == [60, 120, 180, 240, 300]


def test_another_bowl_begins_anew() -> None:
    """Nothing of the bowl before goes into the first reading of the next."""
    thinner = Thinner()
    for i in range(15):
        thinner.take(START + 1000 * i, 45.0)
    thinner.restart()
    made = [thinner.take(START + 1000 * i, 31.0) for i in range(15, 36)]
    assert [one[1] for one in made if one is not None] == [31.0]
