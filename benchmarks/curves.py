"""Cooling curves: how long 2,000 readings take, and how well known crystals are found, beside two plainer ways.

The truth of each cup is drawn from the prior the fit starts from, noise and misfit included. The rivals: SciPy's
``least_squares`` of the same model with all but four figures in their middle, its band from the covariance and what the
fit leaves; and bend and slope alone, by a quadratic through 200 other drawn cups whose scatter is the band.
"""

from __future__ import annotations

import math
import sys
import time
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import norm

from measure import HERE, say

__all__ = ["curves"]

sys.path.insert(0, str(HERE.parent / "tests"))
BANDS = (0.5, 0.8, 0.95)
FREE = ("content", "outside", "start", "delay")
_ENDS = (-3.5, -0.3)  # tenfolds of the fat
TRAINING, APART = 200, 10_000  # cups for the rival's line, numbered apart from those that are judged


def curves(quick: bool) -> dict[str, Any]:
    """Return seconds and recovery for our fit and for both rivals."""
    from sample_cups import draw_cup

    say("cooling curves")
    from temperbench.insight.curve.read_curve import read_curve

    count, train = (3, 30) if quick else (60, TRAINING)
    cups = [draw_cup(k, every_s=1.05) for k in range(count)]  # 2,000 readings each
    read_curve(cups[0].ask, cups[0].series)
    found: dict[str, list[tuple[float, ...]]] = {name: [] for name in _WAYS}
    line = _line(train)
    for cup in cups:
        for name, way in _WAYS.items():
            start, spent = time.perf_counter(), time.process_time()
            middle, rank = way(cup, line)
            passed = time.perf_counter() - start, time.process_time() - spent
            found[name].append((*passed, middle, rank, math.log10(cup.strength)))
    return {
        "readings": len(cups[0].series.seconds), "cups": count,
        "ways": {name: _summary(np.array(rows)) for name, rows in found.items()},
    }  # fmt: skip


def _summary(rows: np.ndarray) -> dict[str, Any]:
    """Seconds, errors in tenfolds, coverage."""
    good = np.isfinite(rows[:, 2])
    off = np.abs(rows[good, 2] - rows[good, 4])
    return {
        "median_s": float(np.median(rows[:, 0])), "most_s": float(rows[:, 0].max()),
        "processor_s": float(np.median(rows[:, 1])), "answers": float(good.mean()),
        "rms_dex": float(np.sqrt((off**2).mean())), "median_dex": float(np.median(off)),
        "covered": [float((np.abs(rows[good, 3] - 0.5) < 0.5 * band).mean()) for band in BANDS],
    }  # fmt: skip


def _ours(cup: Any, _line: Any) -> tuple[float, float]:
    """The whole reading, as the command does it; its posterior once more for the rank of the truth."""
    from temperbench.insight.curve.fit import fit
    from temperbench.insight.curve.read_curve import fitted_part, prior_of
    from temperbench.insight.curve.smooth import look_at
    from temperbench.insight.setup_job import know

    known = know(cup.ask.job)
    look = look_at(cup.series)
    bins, _ = fitted_part(cup.series, look)
    strength = fit(prior_of(cup.ask, known, cup.series, look), bins).sample.strength
    return math.log10(float(np.median(strength))), float(np.mean(strength < cup.strength))


def _least_squares(cup: Any, _line: Any) -> tuple[float, float]:
    """Four figures free, all else in the middle; started from three contents, the best kept."""
    from temperbench.insight.curve.read_curve import fitted_part, prior_of
    from temperbench.insight.curve.smooth import look_at
    from temperbench.insight.setup_job import know

    look = look_at(cup.series)
    bins, _ = fitted_part(cup.series, look)
    prior = prior_of(cup.ask, know(cup.ask.job), cup.series, look)
    places = [prior.names.index(name) for name in FREE]
    gap = float(np.median(np.diff(bins.seconds)))

    def shown(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        z = np.zeros((len(prior.names), points.shape[1]))
        z[places] = points
        sample = prior.sample(z)
        return prior.shown(
            sample, prior.cooled(sample, float(bins.seconds[-1]), 0.5 * gap), bins.seconds
        ), sample.strength

    def residuals(x: np.ndarray) -> np.ndarray:
        return (shown(x[:, None])[0][0] - bins.celsius) / bins.error

    def slopes(x: np.ndarray) -> np.ndarray:
        off = 0.02 * np.eye(len(x))
        up, down = shown(x[:, None] + off)[0], shown(x[:, None] - off)[0]
        return ((up - down) / 0.04 / bins.error).T

    tries = [least_squares(residuals, np.array([c, 0.0, 0.0, 0.0]), jac=slopes, max_nfev=25) for c in (-1.0, 0.0, 1.0)]
    best = min(tries, key=lambda found: found.cost)
    cover = np.linalg.pinv(best.jac.T @ best.jac)  # a figure the curve does not tell has no width: the rival is sure
    cover = cover * 2.0 * best.cost / max(len(bins.seconds) - len(FREE), 1)
    sd = math.sqrt(float(cover[0, 0]))
    _, near = shown(np.column_stack([best.x, best.x + 0.1 * np.eye(len(FREE))[0]]))
    per_unit = math.log10(near[1] / near[0]) / 0.1
    middle = math.log10(near[0])
    return middle, float(norm.cdf((math.log10(cup.strength) - middle) / max(sd * per_unit, 1e-9)))


def _features(cup: Any) -> np.ndarray | None:
    from temperbench.insight.curve.smooth import look_at

    bend = look_at(cup.series).bend
    if bend is None:
        return None
    c, s = bend.celsius / 10.0, bend.per_minute
    return np.array([1.0, c, s, c * c, c * s, s * s])


def _line(count: int) -> tuple[np.ndarray, float]:
    """A quadratic from bend and slope to the logarithm of what the crystals set like, and its scatter."""
    from sample_cups import draw_cup

    cups = [draw_cup(APART + k, every_s=2.0) for k in range(count)]
    pairs = [(f, math.log10(cup.strength)) for cup in cups if (f := _features(cup)) is not None]
    x, y = np.array([f for f, _ in pairs]), np.array([v for _, v in pairs])
    weights = np.linalg.lstsq(x, y, rcond=None)[0]
    return weights, float(np.sqrt(((x @ weights - y) ** 2).sum() / max(len(y) - len(weights), 1)))


def _bend_alone(cup: Any, line: tuple[np.ndarray, float]) -> tuple[float, float]:
    f = _features(cup)
    if f is None:
        return math.nan, math.nan
    middle = float(np.clip(f @ line[0], *_ENDS))  # a quadratic goes astray outside what it was drawn through
    return middle, float(norm.cdf((math.log10(cup.strength) - middle) / line[1]))


_WAYS = {
    "temperbench": _ours, "least_squares of the same model": _least_squares, "bend and slope alone": _bend_alone,
}  # fmt: skip
