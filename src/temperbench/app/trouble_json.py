"""The answer of the trouble-shooter as the JSON that docs/trouble.md promises. Chances have three decimals."""

from __future__ import annotations

from temperbench.app.figures_json import band_json, risk_json
from temperbench.app.plan_json import FORMAT
from temperbench.app.results import CauseFound, CheckFirst, Trouble

__all__ = ["trouble_json"]


def trouble_json(found: Trouble) -> dict[str, object]:
    """Return an answer as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    found : Trouble
        The answer. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "heading": found.heading,
        "seen": list(found.seen),
        "causes": [_cause(cause) for cause in found.causes],
        "check_first": [_check(check) for check in found.checks],
        "left_bits": round(found.left_bits, 2),
        "chance_lost": risk_json(found.chance_lost),
        "chance_in_temper": risk_json(found.chance_in_temper),
        "chance_too_many": risk_json(found.chance_too_many),
        "crystals_pct_of_fat": band_json(found.crystals_pct_of_fat),
        "set_min": band_json(found.set_min),
        "unexplained": list(found.unexplained),
        "defaults_used": list(found.defaults_used),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in found.warnings],
        "cautions": list(found.cautions),
        "sources": list(found.sources),
    }


def _cause(cause: CauseFound) -> dict[str, object]:
    return {
        "key": cause.key,
        "title": cause.title,
        "probability": risk_json(cause.probability),
        "low": risk_json(cause.low),
        "high": risk_json(cause.high),
        "by": cause.by,
        "speaks_for": list(cause.speaks_for),
        "speaks_against": list(cause.speaks_against),
        "why": cause.why,
        "do": cause.do,
        "save": cause.save,
        "keeps": cause.keeps,
        "next_time": cause.next_time,
        "basis": cause.basis,
        "source": cause.source,
    }


def _check(check: CheckFirst) -> dict[str, object]:
    return {
        "key": check.key,
        "ask": check.ask,
        "how": check.how,
        "minutes": check.minutes,
        "bits": round(check.bits, 2),
        "outcomes": [
            {
                "key": outcome.key,
                "text": outcome.text,
                "chance": risk_json(outcome.chance),
                "cause": outcome.cause,
                "title": outcome.title,
                "probability": risk_json(outcome.probability),
            }
            for outcome in check.outcomes
        ],
    }
