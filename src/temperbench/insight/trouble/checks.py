"""What to check first: the checks whose outcome is expected to tell most about the cause, and where each leads."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from temperbench.foundation.numerics import Array
from temperbench.insight.trouble.ask import CheckFirst, OutcomeLeads, TroubleAsk
from temperbench.insight.trouble.table import Check, table
from temperbench.insight.trouble.weigh import Weighed, outcome_chances

__all__ = ["entropy", "rank_checks"]


def entropy(p: Array) -> float:
    """Return the information of a distribution in bits."""
    some = p[p > 0.0]
    return float(-(some * np.log2(some)).sum())


def _needless(check: Check, ask: TroubleAsk) -> bool:
    told = {"read": ask.reads_c, "hottest": ask.hottest_c}.get(check.key)
    tested = check.key == "setting-test" and (ask.set_min is not None or ask.not_set_min is not None)
    answered = any(key == check.key for key, _ in ask.found)
    roomed = check.key == "room" and ask.job.room_c is not None
    stages = {table().signs[s].stage for s in ask.seen}
    elsewhere = (check.at == "bowl" and stages == {"goods"}) or (check.at == "goods" and "goods" not in stages)
    return (
        elsewhere or answered or tested or roomed or told is not None or any(s in ask.seen for s in check.needless_with)
    )


def rank_checks(weighed: Weighed, ask: TroubleAsk, limits: Sequence[float], said: dict[str, str]) -> list[CheckFirst]:
    """Return every check that is still worth making, the most telling first."""
    found = []
    for check in table().checks.values():
        if _needless(check, ask):
            continue
        chances = np.stack([
            outcome_chances(check, cause, weighed.histories[cause.path], weighed.features[cause.path], weighed.words,
                            limits) @ weighed.members[i]
            for i, cause in enumerate(weighed.causes)
        ])  # fmt: skip
        found.append(_judged(check, chances, weighed, said))
    return sorted(found, key=lambda c: (-round(c.bits, 2), c.minutes))


def _judged(check: Check, chances: Array, weighed: Weighed, said: dict[str, str]) -> CheckFirst:
    """Judge a check by the chance of each outcome under each cause, (causes, outcomes)."""
    prior = weighed.posterior[0]
    joint = prior[:, None] * chances
    whole = joint.sum(axis=0)
    after = joint / np.maximum(whole, 1e-300)
    bits = entropy(prior) - float(sum(w * entropy(after[:, k]) for k, w in enumerate(whole)))
    leads = []
    for k, outcome in enumerate(check.outcomes):
        best = int(np.argmax(after[:, k]))
        cause = weighed.causes[best]
        leads.append(
            OutcomeLeads(outcome.key, outcome.text.format(**said), float(whole[k]), cause.key, cause.title,
                         float(after[best, k]))
        )  # fmt: skip
    return CheckFirst(check.key, check.ask.format(**said), check.how.format(**said), check.minutes, max(bits, 0.0),
                      tuple(leads))  # fmt: skip
