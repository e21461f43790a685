"""Weighs every cause by what was told: signs by a noisy-or of figures and rules, figures by the simulated bowls.

A sign is there with the chance ``1 - (1 - else) Π (1 - w g) (1 - c)``: ``g`` how far a figure of the bowl stands out,
``w`` the word between figure and sign, ``c`` the word between cause and sign. A cause's weight is its prior times the
mean over the bowls that went its way of the chance of everything told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.trouble.ask import TroubleAsk
from temperbench.insight.trouble.paths import History, group_of, normal_cdf
from temperbench.insight.trouble.table import FEATURES, Cause, Check, Outcome, table

__all__ = ["Weighed", "considered", "outcome_chances", "sign_chances", "weigh"]


def considered(ask: TroubleAsk) -> tuple[Cause, ...]:
    """Return the causes that can be meant: those of the goods only when goods are spoken of."""
    signs = table().signs
    goods = any(signs[key].stage == "goods" for key in (*ask.seen, *ask.not_seen))
    goods = goods or any(check in _goods_checks() for check, _ in ask.found)
    group = "" if ask.method is None else group_of(ask.method)
    return tuple(
        c for c in table().causes.values()
        if (goods or c.where == "bowl") and (not c.only or group in ("", c.only))
    )  # fmt: skip


def _goods_checks() -> tuple[str, ...]:
    """Checks of which every outcome but the rest points to goods alone."""
    causes = table().causes
    named = {k: [c for o in check.outcomes for c in o.causes] for k, check in table().checks.items()}
    return tuple(k for k, v in named.items() if v and all(causes[c].where == "goods" for c in v))


@dataclass(frozen=True)
class Weighed:
    """What everything told makes of causes and bowls. Draws: sets of figures behind the words, middle ones first."""

    causes: tuple[Cause, ...]
    posterior: Array  # (draws, causes)
    members: Array  # (causes, m): weights of the bowls within a cause, by the middle figures
    histories: dict[str, History]
    features: dict[str, Array]
    words: dict[str, Array]
    fits: Array  # (causes,): log of how well the told figures fit the cause


def _log_mean(x: Array, axis: int) -> Array:
    top = x.max(axis=axis, keepdims=True)
    return np.asarray(np.squeeze(top, axis) + np.log(np.mean(np.exp(x - top), axis=axis)))


def _absent(sign: str, features: Array, words: dict[str, Array]) -> Array:
    """Chance that no figure of a bowl, and no misjudging, brings a sign. (draws, m)"""
    absent = np.repeat((1.0 - words["else"])[:, None], len(features), axis=1)
    for feature, word in table().signs[sign].features.items():
        absent *= 1.0 - words[word][:, None] * features[:, FEATURES.index(feature)][None, :]
    return np.asarray(absent)


def sign_chances(cause: Cause, sign: str, features: Array, words: dict[str, Array]) -> Array:
    """Return the chance of a sign in each bowl that went a cause's way, for each set of words. (draws, m)"""
    return np.asarray(1.0 - _absent(sign, features, words) * _not_by(cause, sign, words))


def _not_by(cause: Cause, sign: str, words: dict[str, Array]) -> Array:
    """Chance that a cause itself does not bring a sign. (draws, 1)"""
    if sign not in cause.shows:
        return np.ones((len(words["else"]), 1))
    return np.asarray(1.0 - words[cause.shows[sign]][:, None])


def _told_signs(ask: TroubleAsk) -> tuple[str, ...]:
    """Signs of which something is known: seen, looked for, or not named where others of the stage are."""
    signs = table().signs
    stages = {signs[key].stage for key in ask.seen}
    return tuple(k for k, s in signs.items() if k in ask.seen or k in ask.not_seen or s.stage in stages)


def _signs(ask: TroubleAsk, cause: Cause, absent: dict[str, Array], words: dict[str, Array]) -> Array:
    """Log chance of everything seen, looked for in vain, and not named. (draws, m)"""
    some = next(iter(absent.values()), np.ones((len(words["else"]), 1)))
    total = np.zeros_like(some)
    named, other = words["named"][:, None], words["else"][:, None]
    for key, nothing in absent.items():
        chance = 1.0 - nothing * _not_by(cause, key, words)
        if key in ask.seen:
            total += np.log(chance)
        else:
            total += np.log(1.0 - chance * (1.0 - other if key in ask.not_seen else named))
    return total


def _test(ask: TroubleAsk, history: History) -> Array:
    """Log chance of the setting test that was told. (m,)"""
    spread = number("live.test_spread")
    expected = np.log(np.clip(history.set_min, 0.05, 1e3))
    floor = number("trouble.path.slip")
    total = np.zeros(len(expected))
    if ask.set_min is not None:
        z = (np.log(max(ask.set_min, 0.1)) - expected) / spread
        total += np.log((1.0 - floor) * np.exp(-0.5 * z * z) + floor)
    if ask.not_set_min is not None:
        later = normal_cdf((expected - np.log(max(ask.not_set_min, 0.1))) / spread)
        total += np.log((1.0 - floor) * later + floor)
    return np.asarray(total)


def _in_temper(ask: TroubleAsk, cause: Cause, features: Array) -> Array:
    """Log chance that a bowl is in temper, neither lost nor too thick, where the cause leaves the temper alone. (m,)

    What happens to a bowl that is only being melted, such as water, is weighed whatever its temper is.
    """
    used = any(table().signs[s].stage != "bowl" for s in ask.seen)
    if cause.path != "sound" and not (cause.path == "any" and used):
        return np.zeros(len(features))
    off = np.maximum(features[:, FEATURES.index("few")], features[:, FEATURES.index("many")])
    return np.asarray(np.log(np.maximum(1.0 - off, number("trouble.path.slip"))))


def outcome_chances(
    check: Check, cause: Cause, history: History, features: Array, words: dict[str, Array], limits: Sequence[float]
) -> Array:
    """Return the chance of each outcome of a check in each bowl that went a cause's way, by the middle words.

    ``limits`` are bottom and top of the working window and the limit, °C. (outcomes, m)
    """
    m = len(features)
    if check.by == "rules":
        return np.repeat(_by_rule(check, cause, words)[:, None], m, axis=1)
    other = float(words["else"][0])
    if check.key == "setting-test":
        late = features[:, FEATURES.index("late")]
        first = {k: v[:1] for k, v in words.items()}
        clean = (1.0 - sign_chances(cause, "streaks", features, first)[0]) * (
            1.0 - sign_chances(cause, "dull", features, first)[0]
        )
        found = np.stack([(1.0 - late) * clean, (1.0 - late) * (1.0 - clean), late])
    else:
        error = float(np.sqrt(np.mean(history.members.noise_c**2 + history.members.bias_c**2)))
        low, high, limit = limits
        if check.key == "read":
            margin = number("trouble.path.work.margin")
            below = [normal_cdf((mark - history.now_c) / error) for mark in (low - margin, high + margin, limit)]
            found = np.stack([1.0 - below[2], below[2] - below[1], below[1] - below[0], below[0]])
        else:
            under = normal_cdf((limit - history.hot_c) / error)
            found = np.stack([under, 1.0 - under])
    found = np.maximum(found, other)
    return np.asarray(found / found.sum(axis=0))


def _by_rule(check: Check, cause: Cause, words: dict[str, Array]) -> Array:
    other = float(words["else"][0])

    def named(outcome: Outcome) -> float:
        return float(words[outcome.causes[cause.key]][0]) if cause.key in outcome.causes else other

    found = np.array([0.0 if o.rest else named(o) for o in check.outcomes])
    rest = max(1.0 - float(found.sum()), other)
    found = np.array([rest if o.rest else f for o, f in zip(check.outcomes, found, strict=True)])
    return np.asarray(found / found.sum())


def _prior(cause: Cause, ask: TroubleAsk, words: dict[str, Array]) -> Array:
    weight = words[cause.prior]
    return np.log(weight * words["more"] if ask.method in cause.more else weight)


def weigh(
    ask: TroubleAsk, causes: tuple[Cause, ...], histories: dict[str, History], features: dict[str, Array],
    words: dict[str, Array], limits: Sequence[float],
) -> Weighed:  # fmt: skip
    """Return what everything told makes of every cause."""
    log, members, fits = [], [], []
    told_of = _told_signs(ask)
    absent = {path: {s: _absent(s, figure, words) for s in told_of} for path, figure in features.items()}
    for cause in causes:
        history, figure = histories[cause.path], features[cause.path]
        told = history.log_weight + _test(ask, history) + _in_temper(ask, cause, figure)
        for key, outcome in ask.found:
            check = table().checks[key]
            place = [o.key for o in check.outcomes].index(outcome)
            told = told + np.log(outcome_chances(check, cause, history, figure, words, limits)[place])
        all_told = told[None, :] + _signs(ask, cause, absent[cause.path], words)
        log.append(_prior(cause, ask, words) + _log_mean(all_told, 1))
        inside = np.exp(all_told[0] - all_told[0].max())
        members.append(inside / inside.sum())
        told = history.log_weight + _test(ask, history) + _in_temper(ask, cause, figure)
        fits.append(float(_log_mean(told[None, :], 1)[0]))
    table_ = np.stack(log, axis=1)
    posterior = np.exp(table_ - table_.max(axis=1, keepdims=True))
    posterior /= posterior.sum(axis=1, keepdims=True)
    return Weighed(causes, posterior, np.stack(members), histories, features, words, np.array(fits))
