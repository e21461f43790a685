"""Reading curves: what is found in known samples, what is said when a curve does not fit, and what to do."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sample_cups import draw_cup, job_of, plain_log
from temperbench.foundation.errors import InputError
from temperbench.foundation.quantities import Spread
from temperbench.insight.curve.fit import Target, fit, lasting_misfit
from temperbench.insight.curve.judge import Judged, judge, remedy
from temperbench.insight.curve.prior import between
from temperbench.insight.curve.read_curve import fitted_part, prior_of, read_curve
from temperbench.insight.curve.result import VERDICTS
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import look_at
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import temperatures


def test_verdicts_of_plain_samples() -> None:
    """Nothing is too few, two per cent well dispersed is in temper, fifteen is too many; chances add up to one."""
    verdicts = []
    for stable in (0.0, 0.02, 0.15):
        reading = read_curve(job_of(), plain_log(stable))
        assert reading.too_few + reading.in_temper + reading.too_many == pytest.approx(1.0)
        assert reading.doubts == ()
        verdicts.append(reading.verdict)
    assert verdicts == list(VERDICTS)


def test_the_same_seed_gives_the_same_reading() -> None:
    """A reading can be repeated to the last digit; another seed moves its middle by less than its band."""
    series = plain_log(0.01)
    first, again, other = (read_curve(job_of(), series, seed=s) for s in (1, 1, 2))
    assert first == again
    band = first.acts_like_pct_of_fat
    assert band.low < other.acts_like_pct_of_fat.mid < band.high


@pytest.mark.slow
def test_a_calibrated_cup_narrows_the_crystals() -> None:
    """Conductance known to a few per cent gives a band of the crystals no wider than conductance unknown."""
    series = plain_log(0.01)
    vague = read_curve(job_of(), series).acts_like_pct_of_fat
    cup = job_of().cup.outside.mid
    known = read_curve(job_of(conductance=Spread(0.97 * cup, cup, 1.03 * cup)), series).acts_like_pct_of_fat
    assert math.log(known.high / known.low) < math.log(vague.high / vague.low)
    assert known.low < 1.0 < known.high


@pytest.mark.parametrize("kind", ["milk", "white"])
def test_other_kinds_are_read_with_their_own_curve(kind: str) -> None:
    """A drawn cup of milk or white chocolate: the truth is within the 99 % of its own reading, and it fits."""
    cup = draw_cup(3, kind)
    reading = read_curve(cup.ask, cup.series)
    assert reading.doubts == ()
    assert kind in reading.title
    low, high = reading.acts_like_pct_of_fat.low, reading.acts_like_pct_of_fat.high
    assert low / 2.0 < 100.0 * cup.strength < 2.0 * high


def test_a_wrong_fact_is_doubted_and_named() -> None:
    """A sleeve told as a bare tube does not fit: that is said, with a slower cup or a warmer bath to explain it."""
    reading = read_curve(job_of(cup="metal"), plain_log(0.01, "jacket"))
    assert "does not fit" in reading.doubts[0]
    assert "more slowly" in reading.doubts[0] or "warmer" in reading.doubts[0]


@pytest.mark.slow
def test_a_moved_cup_is_doubted() -> None:
    """A cup taken out of the bath for three minutes does not fit, and no fact explains it."""
    series = plain_log(0.01)
    out = (series.seconds > 240.0) & (series.seconds < 420.0)
    celsius = series.celsius + np.where(out, 5.0, 0.0)
    reading = read_curve(job_of(), Series(series.seconds, celsius))
    assert "does not fit" in " ".join(reading.doubts)


def test_short_and_late_logs_are_told() -> None:
    """A log that begins in the bath and one that ends before the bend are read, with a word of doubt each."""
    series = plain_log(0.01)
    late = read_curve(job_of(), series.part(120.0, 1500.0))
    assert "begins after" in " ".join(late.doubts)
    early = read_curve(job_of(), series.part(0.0, 300.0))
    assert "No bend" in " ".join(early.doubts)
    assert early.bend is None
    whole = read_curve(job_of(), series).acts_like_pct_of_fat
    band = early.acts_like_pct_of_fat
    assert math.log(band.high / band.low) > math.log(whole.high / whole.low)


def test_a_quick_cup_is_warned_of() -> None:
    """Bands of a tube straight in the water are too narrow, and that is said; those of a sleeve are not."""
    series = plain_log(0.03, "plastic")
    assert [w.code for w in read_curve(job_of(cup="plastic"), series).warnings] == ["quick-cup"]
    assert read_curve(job_of(), plain_log(0.03)).warnings == ()


def test_a_cup_in_no_bath_is_refused() -> None:
    """A sample that hardly cools is no cooling curve."""
    seconds = np.arange(0.0, 1800.0, 2.0)
    with pytest.raises(InputError, match="ice water"):
        read_curve(job_of(), Series(seconds, 31.5 - 0.002 * seconds))


def test_remedies_say_grams_and_degrees() -> None:
    """Few: buttons in grams, more for fewer; many: no warmer than the stop; a bowl above the limit: a rescue."""
    known = know(job_of().job)
    at, ones = temperatures(known), np.ones(50)

    def judged(place: int, strength: float, stable: float) -> Judged:
        chances = tuple(float(i == place) for i in range(3))
        return Judged((chances[0], chances[1], chances[2]), stable * ones, strength * ones, 0.09 * ones)

    none, some = remedy(judged(0, 0.0003, 0.0003), known, at, None), remedy(judged(0, 0.008, 0.008), known, at, None)
    assert none.seed_g is not None
    assert some.seed_g is not None
    assert none.seed_g > some.seed_g >= 10
    many = remedy(judged(2, 0.1, 0.07), known, at, None)
    assert many.warm_to_c == at.stop_c
    assert many.melted_g is not None
    assert "portion" not in remedy(judged(1, 0.02, 0.02), known, at, 31.5).detail
    hot = remedy(judged(0, 0.0003, 0.0003), known, at, 36.0)
    assert hot.seed_g is not None
    assert hot.seed_g > none.seed_g


def test_thickness_and_setting_judge_draws() -> None:
    """Chances are shares of the draws: those that set too slowly, and of the others those that are too thick."""
    series = plain_log(0.02)
    ask, look = job_of(), look_at(series)
    bins, _ = fitted_part(series, look)
    posterior = fit(prior_of(ask, know(ask.job), series, look), bins)
    judged = judge(posterior)
    few = judged.acts_like < 0.01
    many = ~few & (judged.stable > judged.too_thick)
    assert judged.chances == (float(few.mean()), float((~few & ~many).mean()), float(many.mean()))


def test_the_likelihood_is_that_of_the_whole_covariance() -> None:
    """Turned residuals give the same log-density as noise and lasting misfit in one covariance matrix."""
    series = plain_log(0.01)
    ask, look = job_of(), look_at(series)
    bins, _ = fitted_part(series, look)
    target = Target(prior_of(ask, know(ask.job), series, look), bins)
    z = 0.3 * np.random.default_rng(2).standard_normal((len(target.prior.names), 3))
    residuals, sample = target.residuals(z)
    log = target.log(residuals, sample, z)
    plain = []
    shown = target.shown(z)[1]
    for j in range(3):
        cover = np.diag(bins.error**2) + sample.misfit[j] ** 2 * lasting_misfit(bins.seconds)
        apart = bins.celsius - shown[j]
        size = np.linalg.slogdet(cover)[1] - 2.0 * np.log(bins.error).sum()
        plain.append(-0.5 * (apart @ np.linalg.solve(cover, apart) + size + (z[:, j] ** 2).sum()))
    assert log == pytest.approx(plain, rel=1e-6)


def test_values_between_a_grid() -> None:
    """Between points of an even grid a parabola is met exactly; before the grid its first value stays."""
    grid = np.arange(0.0, 100.0, 10.0)
    at = np.array([[-30.0, 0.0, 27.0, 55.0]])
    found = between((grid**2)[None], 10.0, at)[0]
    assert found[0] == 0.0
    assert found[2:] == pytest.approx([27.0**2, 55.0**2])


@pytest.mark.slow
def test_the_pace_of_a_probe_feed_will_do() -> None:
    """A reading every ten seconds gives a band not twice as wide as one every second."""
    fine, coarse = (read_curve(job_of(), plain_log(0.01, every_s=s)).acts_like_pct_of_fat for s in (1.0, 10.0))
    assert math.log(coarse.high / coarse.low) < 2.0 * math.log(fine.high / fine.low)


@pytest.mark.slow
def test_a_logged_bath_is_followed() -> None:
    """A bath that warms by four degrees while the cup sets is no doubt when it was logged beside the sample."""
    series = plain_log(0.01)
    logged = replace(series, bath_c=np.zeros(len(series.seconds)))
    reading = read_curve(job_of(), logged)
    assert reading.doubts == ()
    assert reading.verdict == read_curve(job_of(), series).verdict
