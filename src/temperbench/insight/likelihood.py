"""How likely what the cook saw is for each particle: readings, lumps, flow, setting test."""

from __future__ import annotations

import math

import numpy as np

from temperbench.foundation.compiled import kernel
from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import film_times
from temperbench.insight.live import FLOWS, LUMPS
from temperbench.kitchen.bowl_layout import GONE_AT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.parcel import parcel_states
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["flow_likelihood", "lumps_likelihood", "normal_cdf", "reading_likelihood", "reading_tail", "test_likelihood"]


@kernel
def _cdf(z: Array, out: Array) -> None:
    for i in range(z.shape[0]):
        out[i] = 0.5 * math.erfc(-z[i] / 1.4142135623730951)


def normal_cdf(z: Array) -> Array:
    """Return the standard normal distribution function of every figure."""
    flat = np.ascontiguousarray(z, dtype=np.float64).ravel()
    out = np.empty_like(flat)
    _cdf(flat, out)
    return out.reshape(np.shape(z))


def reading_likelihood(seen: float, shown: Array, noise: float) -> Array:
    """Log-likelihood of a reading: normal about what each particle's thermometer would show, or a slip (wide)."""
    slip, wide = number("live.slip"), number("live.slip_width")
    z, w = (seen - shown) / noise, (seen - shown) / wide
    near = (1.0 - slip) * np.exp(-0.5 * z * z) / noise
    far = slip * np.exp(-0.5 * w * w) / wide
    return np.asarray(np.log(near + far + 1e-300))


def reading_tail(seen: float, shown: Array, noise: float, weights: Array) -> float:
    """Chance that a reading at least this far out would have been seen, two-sided, slips left out."""
    below = float(weights @ normal_cdf((seen - shown) / noise))
    return 2.0 * min(below, 1.0 - below)


def _ordinal(level: int, cuts: list[Array], value: Array, width: float) -> Array:
    """Log-likelihood of an ordered answer: the chance that value plus an eye's error lies between its cuts."""
    z = [normal_cdf((cut - value) / width) for cut in cuts]
    upper = z[level] if level < len(cuts) else np.ones_like(value)
    lower = z[level - 1] if level > 0 else np.zeros_like(value)
    slip = number("live.slip_by_eye")
    return np.asarray(np.log((1.0 - slip) * np.maximum(upper - lower, 0.0) + slip / (len(cuts) + 1)))


def lumps_likelihood(bowls: Bowls, level: str) -> Array:
    """Log-likelihood of lumps left, judged by eye against the solid share of the most solid part."""
    gone = bowls.members.rows[:, GONE_AT]
    few, some = array("live.lumps")
    cuts = [gone, np.full(len(gone), few), np.full(len(gone), some)]
    return _ordinal(LUMPS[::-1].index(level), cuts, bowls.lumpiest(), number("live.lumps_by_eye"))


def flow_likelihood(bowls: Bowls, level: str) -> Array:
    """Log-likelihood of how the bowl flows, judged by eye against each particle's viscosity."""
    p = bowls.members
    cuts = [np.log(crystals_at_ratio(r, p.rows[:, FAT], p.kappa) + 1e-4) for r in array("live.flow_ratios")]
    value = np.log(bowls.solid() + 1e-4)
    return _ordinal(FLOWS.index(level), cuts, value, number("live.flow_by_eye"))


def test_likelihood(bowls: Bowls, minutes: float | None, film: str, given_up_min: float) -> Array:
    """Log-likelihood of a setting time, lognormal about each particle's; None: not set when given up."""
    y = parcel_states(bowls.temperature(), bowls.stable(), bowls.sites())
    loss = np.full(len(y), number(f"film.{film}.loss"))
    times = film_times(bowls.members, y, loss)
    spread = number("live.test_spread")
    z = (np.log(given_up_min if minutes is None else max(minutes, 0.2)) - np.log(np.maximum(times, 0.05))) / spread
    if minutes is None:
        return np.asarray(np.log(1.0 - normal_cdf(np.nan_to_num(z, neginf=-40.0)) + 1e-9))
    return np.asarray(np.log(np.exp(-0.5 * np.minimum(z * z, 1400.0)) + 1e-6))
