"""Looks at a series without a model: slips, noise, where the cup went into the bath, and the bend with its error.

Readings are averaged over short bins after slips are left out; SciPy's cubic smoothing spline goes through the bins,
its stiffness set by the time over which it smooths. The bend is the first greatest slope after the fall.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.ndimage import median_filter

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.curve.series import Series

__all__ = ["Bend", "Bins", "Look", "binned", "look_at", "slips"]

_SCALE = 1.4826  # median absolute deviation to standard deviation, normal readings
_FINE_BINS, _TRIES = 240, 64
_DITHER = 1.4  # of the error of rounding: noise from which on averages are finer than the last digit
_WINDOW = 7  # readings of the running median that slips are told from


@dataclass(frozen=True)
class Bins:
    """Readings averaged over short times: middle times, means, errors of the means. (k,)"""

    seconds: Array
    celsius: Array
    error: Array
    bath_c: Array | None = None


@dataclass(frozen=True)
class Bend:
    """The bend of a curve, each figure with its standard error."""

    seconds: float
    celsius: float
    per_minute: float  # slope there [°C/min]
    seconds_error: float
    celsius_error: float
    per_minute_error: float


@dataclass(frozen=True)
class Look:
    """What a series shows by itself."""

    slips: int  # readings left out
    noise_c: float  # of one reading, one standard deviation
    fall_s: float  # when it has fallen by a degree for good (`curve.fallen`)
    plateau: bool  # whether the log begins with a level
    start_c: float  # level before the fall
    steepest: float  # slope of the fall [°C/min], below zero
    smooth: BSpline
    first_s: float
    last_s: float
    bend: Bend | None


def slips(celsius: Array) -> NDArray[np.bool_]:
    """Mark readings that stand far from their neighbours: the probe touched, a digit lost."""
    off = celsius - median_filter(celsius, size=_WINDOW, mode="nearest")
    scale = max(_SCALE * float(np.median(np.abs(off))), _even_error(celsius), number("curve.least_noise"))
    return np.asarray(np.abs(off) > number("curve.slip") * scale)


def _beginning(series: Series, noise: float, steepest: float) -> tuple[float, bool]:
    """Return the first level of a log, and whether it stays there at first: falls far less than it will."""
    since, half = series.seconds - series.seconds[0], number("curve.plateau")
    early = since <= max(half, float(since[1]))
    late = (since > since[early][-1]) & (since <= since[early][-1] + max(half, float(np.diff(since).max())))
    first, then = float(np.median(series.celsius[early])), float(np.median(series.celsius[late]))
    passed = float(since[late].mean() - since[early].mean())
    level = first - then < number("curve.level") * abs(steepest) * passed + 2.0 * noise
    return (float(np.median(series.celsius[early | late])) if level else first), level


def _even_error(celsius: Array) -> float:
    """Standard error of rounding to the last digit that a log shows; 0 where it shows none. [K]"""
    steps = np.diff(np.unique(celsius))
    return float(steps.min()) / np.sqrt(12.0) if len(steps) else 0.0


def binned(series: Series, width: float, noise: float | None = None) -> tuple[Bins, float]:
    """Average a series over bins of so many seconds; return it and the noise of a single reading.

    Within a bin the readings are taken as straight; what is left is the noise, unless it is given.
    """
    t, y = series.seconds, series.celsius
    place = np.floor((t - t[0]) / width).astype(int)
    _, place = np.unique(place, return_inverse=True)
    count = np.bincount(place).astype(float)

    def mean(values: Array) -> Array:
        return np.asarray(np.bincount(place, values) / count)

    at, level = mean(t), mean(y)
    dt, dy = t - at[place], y - level[place]
    slope = np.bincount(place, dt * dy) / np.maximum(np.bincount(place, dt * dt), 1e-12)
    free = float(np.maximum(count - 2.0, 0.0).sum())
    if noise is None:
        if free >= 20.0:
            noise = float(np.sqrt(((dy - slope[place] * dt) ** 2)[count[place] > 2].sum() / free))
        else:  # too few in a bin: by second differences of what there is
            second = np.diff(level, 2)
            noise = _SCALE * float(np.median(np.abs(second - np.median(second)))) / np.sqrt(6.0)
        noise = max(noise, _even_error(y), number("curve.least_noise"))
    rounding = _even_error(y)
    coarse = rounding if noise < _DITHER * rounding else 0.0  # more noise evens the last digit out
    error = np.sqrt(noise**2 / count + coarse**2 / np.minimum(count, 3.0))
    return Bins(at, level, error, None if series.bath_c is None else mean(series.bath_c)), noise


def look_at(series: Series) -> Look:
    """Look at a series.

    Parameters
    ----------
    series
        A log.

    Returns
    -------
        What it shows; slips are left out of everything but their count.
    """
    away = slips(series.celsius)
    kept = Series(series.seconds[~away], series.celsius[~away], None if series.bath_c is None else series.bath_c[~away])
    span = float(kept.seconds[-1] - kept.seconds[0])
    bins, noise = binned(kept, max(span / _FINE_BINS, 2.0))
    weights = 1.0 / bins.error**2
    lam = _stiffness(bins, _even_error(kept.celsius))
    smooth = make_smoothing_spline(bins.seconds, bins.celsius, w=weights / weights.mean(), lam=lam)
    grid = np.linspace(bins.seconds[0], bins.seconds[-1], 4 * _FINE_BINS)
    level, slope = smooth(grid), smooth.derivative()(grid)
    bend_at = _first_bend(60.0 * slope)
    until = bend_at if bend_at is not None else len(grid) - 1
    steepest = int(np.argmin(slope[: until + 1]))
    start, plateau = _beginning(kept, noise, float(slope[steepest]))
    warm = np.flatnonzero(level > start - number("curve.fallen"))
    fall = float(grid[min(int(warm[-1]) + 1, len(grid) - 1)]) if len(warm) else float(grid[0])
    bend = None if bend_at is None else _with_error(bins, smooth, lam, grid, bend_at)
    return Look(
        int(away.sum()), noise, fall, plateau, start, 60.0 * float(slope[steepest]), smooth,
        float(kept.seconds[0]), float(kept.seconds[-1]), bend,
    )  # fmt: skip


def _stiffness(bins: Bins, rounding: float) -> float:
    """Stiffness of the spline: it damps what is faster than the smoothing time, as a filter 1/(1 + (w t)^4) does.

    The smoothing time is longer for logs with readings far apart or with steps of their last digit.
    """
    gap = float(np.median(np.diff(bins.seconds)))
    return max(number("curve.smoothing"), 1.5 * gap, number("curve.smoothing_rounded") * rounding) ** 4 / gap


def _first_bend(slope: Array) -> int | None:
    """Place of the first greatest slope (°C/min) after the fall: higher than before and after it by a margin."""
    margin, share = number("curve.bend_margin"), number("curve.bend_share")
    lowest, at, highest = np.inf, -1, -np.inf
    for i, value in enumerate(slope):
        if value < lowest:
            lowest, at, highest = value, -1, -np.inf
        fallen = lowest < -number("curve.least_fall")
        if fallen and value > max(share * lowest, lowest + margin) and value > highest:
            at, highest = i, value
        if at >= 0 and value < highest - margin:
            return at
    return None


def _with_error(bins: Bins, smooth: BSpline, lam: float, grid: Array, at: int) -> Bend:
    """The bend with the errors that fresh noise on the bins, smoothed alike, gives it."""
    rng, weights = np.random.default_rng(1), 1.0 / bins.error**2
    errors = bins.error[:, None] * rng.standard_normal((len(bins.seconds), _TRIES))
    noise = make_smoothing_spline(bins.seconds, errors, w=weights / weights.mean(), lam=lam)
    near = grid[np.abs(grid - grid[at]) < number("curve.bend_near")]
    tried = smooth.derivative()(near)[:, None] + noise.derivative()(near)
    place, column = np.argmax(tried, axis=0), np.arange(_TRIES)
    found = np.column_stack([near[place], smooth(near[place]) + noise(near[place])[column, column],
                             60.0 * tried[place, column]])  # fmt: skip
    seconds, celsius, per_minute = np.std(found, axis=0)
    best = float(grid[at])
    return Bend(
        best, float(smooth(best)), 60.0 * float(smooth.derivative()(best)), float(seconds), float(celsius),
        float(per_minute),
    )  # fmt: skip
