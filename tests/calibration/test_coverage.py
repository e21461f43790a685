"""Bands hold the truth as often as they say, over kitchens drawn from the prior; how often, for truths outside it."""

from __future__ import annotations

import statistics
import time

import numpy as np
import pytest

from calibration.kitchens import BANDS, FIGURES, OUTSIDE, coverage, live_through, ranks_of, within_chance
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LiveRun

MANY = 500  # kitchens of each thermometer, for `make long`
SOME = {"probe": 120, "infrared": 120}  # a first look for `make long`
FEW = 20  # of each, always


def uneven(ranks: np.ndarray, bars: int = 5) -> np.ndarray:
    """Chi-square of each figure's rank histogram against an even one."""
    expected = len(ranks) / bars
    counts = np.array([np.histogram(column, bars, (0.0, 1.0))[0] for column in ranks.T])
    return ((counts - expected) ** 2 / expected).sum(axis=1)


def said(ranks: np.ndarray) -> str:
    """The table of a coverage."""
    rows = zip(FIGURES, coverage(ranks).T, strict=True)
    return "; ".join(f"{name} " + "/".join(f"{100 * share:.0f}" for share in row) for name, row in rows)


def test_forty_kitchens_are_covered() -> None:
    """Forty kitchens, half with a probe and half with a biased infrared thermometer, and few particles.

    Within four standard errors of what the bands say: gross faults show; the long tests look closer.
    """
    ranks = np.vstack([ranks_of(range(FEW), 80, thermometer) for thermometer in SOME])
    assert len(ranks) == 40
    assert within_chance(coverage(ranks), len(ranks), 4.0).all(), said(ranks)


@pytest.mark.long
@pytest.mark.parametrize("thermometer", SOME)
def test_bands_hold_the_truth_as_often_as_they_say(thermometer: str) -> None:
    """Bands of 50, 80 and 95 % within three standard errors, and rank histograms even: below the 99.9 % point.

    The infrared thermometer is biased, by what its evidence row allows. As many kitchens as a few minutes allow.
    """
    check(ranks_of(range(SOME[thermometer]), 300, thermometer), thermometer)


@pytest.mark.long
@pytest.mark.parametrize("thermometer", SOME)
def test_bands_hold_the_truth_in_many_kitchens(thermometer: str) -> None:
    """The same over 500 kitchens."""
    check(ranks_of(range(MANY), 300, thermometer), thermometer)


def check(ranks: np.ndarray, thermometer: str) -> None:
    """Print and judge the coverage and the ranks."""
    print(f"\n{thermometer}, {len(ranks)} kitchens, 50/80/95 %: {said(ranks)}")
    assert within_chance(coverage(ranks), len(ranks), 3.0).all(), said(ranks)
    assert (uneven(ranks) < 18.47).all(), "chi-square with 4 degrees of freedom"


@pytest.mark.long
@pytest.mark.parametrize("where", OUTSIDE)
def test_truths_outside_the_prior_do_not_collapse_the_particles(where: str) -> None:
    """The run goes on with particles that differ, and coverage is printed: it is reported, not promised."""
    lived = [live_through(k, 200, "probe", OUTSIDE[where]) for k in range(20)]
    ranks = np.array([one.ranks for one in lived])
    print(f"\n{where}, {'/'.join(f'{100 * b:.0f}' for b in BANDS)} %: {said(ranks)}; "
          f"doubted in {sum(bool(one.doubts) for one in lived)} of {len(lived)}")  # fmt: skip
    assert min(one.distinct for one in lived) > 0.3
    assert np.isfinite(ranks).all()


@pytest.mark.long
def test_how_long_a_thousand_particles_take() -> None:
    """Prints seconds of fold, view and settling over a run; time is never asserted, that the view is there is."""
    run, spent = LiveRun("r", BowlJob("dark", 1000.0, 1000.0), 0), {"fold": [], "view": [], "settle": []}
    happenings = [
        Happening("a", "burst", 50_000, seconds=45.0), Happening("b", "stir", 75_000, seconds=20.0),
        Happening("c", "reading", 80_000, celsius=29.0), Happening("d", "burst", 110_000, seconds=25.0),
        Happening("e", "stir", 135_000, seconds=20.0), Happening("f", "reading", 140_000, celsius=31.6),
        Happening("g", "lumps", 144_000, level="some"),
    ]  # fmt: skip
    for h in happenings:
        for name, act in (("fold", lambda h=h: run.fold(h)), ("view", run.view), ("settle", run.settle)):
            begun = time.perf_counter()
            act()
            spent[name].append(time.perf_counter() - begun)
    for name, seconds in spent.items():
        print(f"\n{name}: median {1000 * statistics.median(seconds):.0f} ms, most {1000 * max(seconds):.0f} ms")
    assert run.view().happenings == len(happenings)
