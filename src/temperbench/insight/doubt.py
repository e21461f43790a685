"""A reading that does not fit: said plainly, with the likeliest explanations, and the run goes on."""

from __future__ import annotations

import math

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.live import Doubt

__all__ = ["doubt_about"]


def _evidence(f: BowlFilter, name: str, factor: float) -> float:
    """Log of the mean likelihood of the history if one figure of every prior kitchen were ``factor`` times as large."""
    rng = np.random.default_rng([f.seed, len(f.steps), 3])
    z = rng.standard_normal((f.z.shape[0], int(number("live.doubters"))))
    _, like = f.replay(z, {name: factor})
    top = float(like.max())
    return top + float(np.log(np.mean(np.exp(like - top))))


def doubt_about(f: BowlFilter) -> Doubt | None:
    """Return what does not fit about the last reading, or None when it is no surprise."""
    if f.tail >= number("live.surprise"):
        return None
    facts_wrong = math.log(number("live.facts_wrong"))
    scores = {
        "the reading is wrong: stir and read again": _evidence(f, "power", 1.0),  # as entered; a slip is in there
        "more chocolate in the bowl than entered": _evidence(f, "mass", number("live.more_chocolate")) + facts_wrong,
        "the oven weaker than its label": _evidence(f, "power", number("live.weaker_oven")) + facts_wrong,
        "the oven stronger than its label": _evidence(f, "power", 1.0 / number("live.weaker_oven")) + facts_wrong,
    }
    ranked = sorted(scores, key=lambda name: -scores[name])
    return Doubt(
        "This does not fit: the reading may be wrong, the bowl fuller than entered, or the oven not as labelled.",
        tuple(ranked[:3]),
    )
