"""How likely what the cook saw is for each particle: readings, lumps, flow, setting test.

Every telling is about one figure of a bowl (`figure_of`) and judges it with some error (`error_of`). How likely it is
follows from that figure, and from cuts between answers (`told_of`); where the figure is only guessed, the error of the
guess adds to that of the eye or the thermometer.
"""

from __future__ import annotations

import math

import numpy as np

from temperbench.foundation.compiled import kernel
from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import film_times
from temperbench.insight.live import FLOWS, LUMPS, Happening
from temperbench.insight.setup_job import thermometer_figures
from temperbench.kitchen.bowl_layout import GONE_AT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.parcel import parcel_states
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = [
    "error_of", "figure_of", "flow_likelihood", "lumps_likelihood", "normal_cdf", "reading_likelihood", "reading_tail",
    "smear_tail",
    "told_of",
]  # fmt: skip

_SOONEST_MIN = 0.05  # a smear that sets sooner counts as setting then, one that never sets as setting at film.longest
_SOONEST_TOLD_MIN = 0.2  # nobody sees a smear set sooner


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


def _cuts(bowls: Bowls, kind: str) -> list[Array]:
    """Cuts between the answers by eye, of each particle."""
    p = bowls.members
    if kind == "lumps":
        gone = p.rows[:, GONE_AT]
        return [gone, *(np.full(len(gone), cut) for cut in array("live.lumps"))]
    return [np.log(crystals_at_ratio(r, p.rows[:, FAT], p.kappa) + 1e-4) for r in array("live.flow_ratios")]


def lumps_likelihood(bowls: Bowls, level: str) -> Array:
    """Log-likelihood of lumps left, judged by eye against the solid share of the most solid part."""
    return _ordinal(LUMPS[::-1].index(level), _cuts(bowls, "lumps"), bowls.lumpiest(), number("live.lumps_by_eye"))


def flow_likelihood(bowls: Bowls, level: str) -> Array:
    """Log-likelihood of how the bowl flows, judged by eye against each particle's viscosity."""
    value = np.log(bowls.solid() + 1e-4)
    return _ordinal(FLOWS.index(level), _cuts(bowls, "flow"), value, number("live.flow_by_eye"))


def _judged(h: Happening) -> tuple[bool, float]:
    """Tell whether a smear had set, and after how many minutes it had or had not; still soft is not set.

    A smear given up without its time told counts as watched to the end: `LiveRun` puts the pass time in its place.
    """
    if h.minutes is not None:
        return h.look != "soft", max(h.minutes, _SOONEST_TOLD_MIN)
    return False, number("film.longest") if h.seconds is None else max(h.seconds / 60.0, _SOONEST_TOLD_MIN)


def _test_likelihood(h: Happening, times: Array, spread: float) -> Array:
    """Log-likelihood of a setting test: lognormal about each particle's time (a logarithm), or not set by then.

    Some smears mislead: their times scatter widely, so that even a time that fits no particle tells them apart.
    """
    has_set, minutes = _judged(h)
    late, slip, wide = math.log(minutes) - times, number("live.slip_by_eye"), number("live.test_slip")
    if not has_set:
        return np.asarray(np.log((1.0 - slip) * normal_cdf(-late / spread) + slip * normal_cdf(-late / wide) + 1e-300))
    z, w = late / spread, late / wide
    near = (1.0 - slip) * np.exp(-0.5 * z * z) / spread
    return np.asarray(np.log(near + slip * np.exp(-0.5 * w * w) / wide + 1e-300))


def smear_tail(h: Happening, times: Array, spread: float, weights: Array) -> float:
    """Chance of a setting test at least this far out, slips left out: two-sided for a time, else of not having set."""
    has_set, minutes = _judged(h)
    early = float(weights @ normal_cdf((times - math.log(minutes)) / spread))
    return 2.0 * min(early, 1.0 - early) if has_set else early


def figure_of(h: Happening, bowls: Bowls, shown: Array | None) -> Array:
    """Return the figure of every bowl that a telling is about: what its thermometer shows, or what an eye judges."""
    if shown is not None:
        return shown
    if h.kind == "lumps":
        return bowls.lumpiest()
    if h.kind == "flow":
        return np.asarray(np.log(bowls.solid() + 1e-4))
    y = parcel_states(bowls.temperature(), bowls.stable(), bowls.sites())
    loss = np.full(len(y), number(f"film.{h.film or 'paper'}.loss"))
    return np.asarray(np.log(np.clip(film_times(bowls.members, y, loss), _SOONEST_MIN, number("film.longest"))))


def error_of(h: Happening, thermometer: str) -> float:
    """Return how well a telling judges its figure, one standard deviation."""
    if h.kind == "reading":
        return thermometer_figures(thermometer).noise
    return number({"lumps": "live.lumps_by_eye", "flow": "live.flow_by_eye", "test": "live.test_spread"}[h.kind])


def told_of(h: Happening, figure: Array, bowls: Bowls, error: float, guessed: bool = False) -> Array:
    """Log-likelihood of a telling about this figure of every bowl, judged with this error.

    Where the figure is guessed, the cuts between answers by eye are those of the middle of the bowls.
    """
    if h.kind == "reading":
        return reading_likelihood(math.nan if h.celsius is None else h.celsius, figure, error)
    if h.kind == "test":
        return _test_likelihood(h, figure, error)
    cuts = _cuts(bowls, h.kind)
    if guessed:
        cuts = [np.full(len(figure), float(np.mean(cut))) for cut in cuts]
    level = LUMPS[::-1].index(h.level or "none") if h.kind == "lumps" else FLOWS.index(h.level or "with ease")
    return _ordinal(level, cuts, figure, error)
