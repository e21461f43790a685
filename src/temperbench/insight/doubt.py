"""A reading that does not fit: said plainly, with the likeliest explanations, and the run goes on."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.live import Doubt

__all__ = ["doubt_about"]


def _evidence(f: BowlFilter, name: str, factor: float) -> float:
    """Log of the mean likelihood of the history if one figure of every prior kitchen were ``factor`` times as large."""
    rng = np.random.default_rng([f.seed, len(f.steps), 3])
    z = rng.standard_normal((f.z.shape[0], int(number("live.advisers"))))
    _, like = f.replay(z, {name: factor})
    top = float(like.max())
    return top + float(np.log(np.mean(np.exp(like - top))))


def doubt_about(f: BowlFilter) -> Doubt | None:
    """Return what does not fit about the last reading, or None when it is no surprise."""
    if f.tail >= number("live.surprise"):
        return None
    explanations = {
        "more chocolate in the bowl than entered": _evidence(f, "mass", number("live.more_chocolate")),
        "the oven weaker than its label": _evidence(f, "power", number("live.weaker_oven")),
        "the oven stronger than its label": _evidence(f, "power", 1.0 / number("live.weaker_oven")),
    }
    plain = _evidence(f, "power", 1.0)  # as entered; the reading itself would be a slip
    slip = plain + float(np.log(number("live.slip")))
    scores = {"the reading is wrong: stir and read again": max(slip, plain - _SURPRISE_COST), **explanations}
    ranked: Array = np.array(sorted(scores, key=lambda k: -scores[k]))
    return Doubt(
        "This does not fit: the reading may be wrong, the bowl fuller than entered, or the oven not as labelled.",
        tuple(str(k) for k in ranked[:3]),
    )


_SURPRISE_COST = 3.0  # what taking a reading at its word costs against a slip, in log-likelihood
