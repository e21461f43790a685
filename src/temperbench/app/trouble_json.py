"""The answer of the trouble-shooter as the JSON that docs/trouble.md promises. Chances have three decimals."""

from __future__ import annotations

from temperbench.app.plan_json import FORMAT
from temperbench.app.results import Band, CauseFound, CheckFirst, Trouble

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
        "chance_lost": _chance(found.chance_lost),
        "chance_in_temper": _chance(found.chance_in_temper),
        "chance_too_many": _chance(found.chance_too_many),
        "crystals_pct_of_fat": _band(found.crystals_pct_of_fat),
        "set_min": _band(found.set_min),
        "unexplained": list(found.unexplained),
        "defaults_used": list(found.defaults_used),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in found.warnings],
        "cautions": list(found.cautions),
        "sources": list(found.sources),
    }


def _chance(value: float) -> float:
    return round(float(value), 3) + 0.0


def _band(band: Band) -> dict[str, float]:
    return {"low": round(band.low, 1) + 0.0, "mid": round(band.mid, 1) + 0.0, "high": round(band.high, 1) + 0.0}


def _cause(cause: CauseFound) -> dict[str, object]:
    return {
        "key": cause.key,
        "title": cause.title,
        "probability": _chance(cause.probability),
        "low": _chance(cause.low),
        "high": _chance(cause.high),
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
                "chance": _chance(outcome.chance),
                "cause": outcome.cause,
                "title": outcome.title,
                "probability": _chance(outcome.probability),
            }
            for outcome in check.outcomes
        ],
    }
