"""A reading or setting test that does not fit: said plainly, with the likeliest explanations; the run goes on."""

from __future__ import annotations

import math

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.live import Doubt

__all__ = ["doubt_about"]

# What is said first, by what does not fit, and what it means that everything is as entered: then that one is a slip.
_WORDS = {
    "reading": (
        "This does not fit: the reading may be wrong, the thermometer off, the bowl fuller than entered, or {other}.",
        "the reading is wrong: stir and read again",
    ),
    "test": (
        "This smear does not fit what was told before: it may mislead, {thermometer}the bowl be fuller than entered, "
        "or {other}.",
        "the smear misleads: too thick, laid on something warm, or judged late; make another",
    ),
}
# What else may be wrong: how it is said, then each with its figure and the row that says by how much.
_OVEN = (
    "the oven not as labelled",
    (
        ("the oven weaker than its label", "power", "live.weaker_oven", True),
        ("the oven stronger than its label", "power", "live.weaker_oven", False),
    ),
)
_AROUND = (
    "the bowl or what it stood in not as told",
    (
        ("the bowl heavier than entered", "wall_heat", "live.lighter_bowl", False),
        ("water or air reached less of the bowl than usual", "under", "live.less_reached", True),
        ("the room cooler or draughtier than entered", "wall_air", "live.less_draught", False),
    ),
)


def _kitchens(f: BowlFilter) -> Array:
    rng = np.random.default_rng([f.seed, len(f.steps), 3])
    return rng.standard_normal((f.z.shape[0], int(number("live.doubters"))))


def _mean(likelihoods: Array) -> float:
    """Log of the mean of likelihoods given by their logarithms."""
    top = float(likelihoods.max())
    return top + math.log(float(np.mean(np.exp(likelihoods - top))))


def _evidence(f: BowlFilter, z: Array, name: str, factor: float) -> float:
    """Log of the mean likelihood of the history if one figure of every prior kitchen were ``factor`` times as large."""
    told, _ = f.replay(z, {name: factor})
    return _mean(told.sum(axis=0))


def _thermometer_off(f: BowlFilter, told: Array, figures: Array) -> tuple[float, float]:
    """Log of the mean likelihood if the thermometer were off by more than its kind allows, and by how much. [K]

    Every kitchen is tried with every offset of `live.thermometer_off`, all as likely beforehand.
    """
    tried = np.array(array("live.thermometer_off"))
    offsets = np.concatenate([-tried[::-1], tried])
    each = np.array([_mean(f.read_off(told, figures, off).sum(axis=0)) for off in offsets])
    weights = np.exp(each - each.max())
    return _mean(each), float(weights @ offsets / weights.sum())


def _said_off(off: float) -> str:
    """Name the offset, to half a degree, with what would tell. It comes on top of what a check had found."""
    by, side = max(round(2.0 * abs(off)) / 2.0, 0.5), "high" if off > 0.0 else "low"
    at = number("live.check_at")
    return f"the thermometer off, reading about {by:.1f} °C too {side}: check it in ice and near {at:.0f} °C"


def _checked(f: BowlFilter) -> bool:
    """Whether more is known of the thermometer's bias than its kind tells."""
    own, kind = f.known.setup.bias_c, f.known.thermometer.bias_c
    return own.high - own.low < 0.5 * (kind.high - kind.low)


def doubt_about(f: BowlFilter) -> Doubt | None:
    """Return what does not fit about the last reading or setting test, or None when it is no surprise."""
    if f.tail >= number("live.surprise"):
        return None
    text, slip = _WORDS["test" if f.steps and f.steps[-1].happening.kind == "test" else "reading"]
    z, facts_wrong = _kitchens(f), math.log(number("live.facts_wrong"))
    told, figures = f.replay(z)
    off, by = _thermometer_off(f, told, figures)
    thermometer = _said_off(by)
    checked = facts_wrong if _checked(f) else 0.0  # then it is as unlikely once more
    scores = {
        slip: _mean(told.sum(axis=0)),  # as entered; a slip is in there
        "more chocolate in the bowl than entered": _evidence(f, z, "mass", number("live.more_chocolate")) + facts_wrong,
    }
    if f.say.reads:
        scores[thermometer] = off + facts_wrong + checked
    heated_by, others = _OVEN if f.known.job.method == "microwave" else _AROUND
    for said, name, row, weaker in others:
        factor = number(row) if weaker else 1.0 / number(row)
        scores[said] = _evidence(f, z, name, factor) + facts_wrong
    ranked = sorted(scores, key=lambda name: -scores[name])[:3]
    return Doubt(
        text.format(other=heated_by, thermometer="the thermometer be off, " if f.say.reads else ""),
        tuple(ranked),
        check=thermometer in ranked,
    )
