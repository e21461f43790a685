"""What does not fit about a curve, said plainly: from the log itself, and by trying other explanations of it."""

from __future__ import annotations

import copy
import math

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.curve.fit import Posterior, best_fit
from temperbench.insight.curve.prior import Prior
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import Bins, Look

__all__ = ["CAUTIONS", "explained", "misgivings"]

CAUTIONS = (
    "The sample is waste: do not put it back into the bowl.",
    "Keep the ice water away from the bowl: a drop of water makes chocolate seize.",
    "Clean and dry the probe before it goes into the bowl again; mind allergens that it may carry over.",
)


def misgivings(look: Look, series: Series, posterior: Posterior, last_s: float) -> tuple[str, ...]:
    """Return what the log itself gives reason to doubt."""
    found = []
    if not look.plateau:
        found.append(
            "The log begins after the cup went into the bath: the sample's own temperature is a guess. Start logging "
            "half a minute before."
        )
    if look.bend is None:
        found.append(
            "No bend is in the log: it ends too early, or the probe stood at the wall. The bands rest on the fall "
            "alone."
        )
    if look.slips > 0.05 * len(series.seconds):
        found.append(
            f"{look.slips} of {len(series.seconds)} readings stand far from their neighbours: check the probe."
        )
    gaps = np.diff(series.seconds)
    inside = (series.seconds[1:] > look.fall_s) & (series.seconds[:-1] < last_s)
    if inside.any() and gaps[inside].max() > number("curve.doubt.gap"):
        found.append(f"There is a gap of {gaps[inside].max():.0f} s in the part that counts.")
    if float(np.median(posterior.sample.stable)) > 0.7 * number("curve.content.most"):
        found.append("The sample may hold more crystals than the method can tell: judge the bowl by how it flows.")
    return tuple(found)


def explained(prior: Prior, bins: Bins, seed: int) -> tuple[str, ...]:
    """Say that a curve does not fit, with the explanations under which it would, the likeliest first."""
    as_told = best_fit(prior, bins, seed=seed)
    facts = math.log(number("curve.doubt.facts"))
    scores = {text: best_fit(other, bins, seed=seed) + facts - as_told for text, other in _others(prior).items()}
    likely = [text for text in sorted(scores, key=lambda t: -scores[t]) if scores[text] > 0.0]
    first = "This curve does not fit a cup left alone in a steady bath."
    if not likely:
        return (f"{first} The cup may have been moved or stirred, or the probe touched the wall: take another sample.",)
    return (f"{first} Likeliest: {'; or '.join(likely[:2])}.",)


def _others(prior: Prior) -> dict[str, Prior]:
    """Return the same sample with one stated fact wrong."""
    offset = spread_of("cup.bath.offset")
    warm = Spread(offset.low, offset.high, number("curve.doubt.bath"))
    factor = number("curve.doubt.factor")
    return {
        "the bath was warmer than told": _changed(prior, offset=warm),
        "much less chocolate was in the cup": _changed(prior, cup_mass=prior.cup.mass.scaled(1.0 / factor)),
        "much more chocolate was in the cup": _changed(prior, cup_mass=prior.cup.mass.scaled(factor)),
        "the cup gave its heat more slowly than told": _changed(prior, outside=prior.cup.outside.scaled(1.0 / factor)),
        "the cup gave its heat faster than told": _changed(prior, outside=prior.cup.outside.scaled(factor)),
    }


def _changed(prior: Prior, **spreads: Spread) -> Prior:
    other = copy.copy(prior)
    other.figures = {**prior.figures, **spreads}
    return other
