"""The card of the trouble-shooter: what is seen, ranked causes, what to check, what to do, what can be saved."""

from __future__ import annotations

from typing import Any

from temperbench.app.results import CauseFound, CheckFirst, Trouble
from temperbench.faces.paper.plain_card import PlainCard
from temperbench.faces.told.trouble_words import (
    LISTED,
    chance_ends,
    is_sure,
    others_of,
    percent_told,
    seen_told,
    standing_told,
)

__all__ = ["trouble_card"]

_CHECKS = 3
# What is cut when not all fits, the least needed first.
_CUTS = (
    ("usual", 0), ("reasons", 0), ("others", 1), ("checks", 2), ("warnings", 1), ("ranked", 3), ("unexplained", 0),
    ("checks", 1), ("others", 0), ("cautions", 1), ("warnings", 0), ("cautions", 0),
)  # fmt: skip


def trouble_card(found: Trouble) -> PlainCard:
    """Return what stands on the card of an answer of the trouble-shooter."""
    top = found.causes[0]
    check = f"check: {found.checks[0].ask}" if found.checks else "nothing is left to check"
    key = (seen_told(found), f"{percent_told(top.probability)} {top.title}", check, f"do: {top.do}")
    return PlainCard(_content(found), "trouble.typ", _CUTS, key)


def _content(found: Trouble) -> dict[str, Any]:
    sure = is_sure(found)
    top, others = found.causes[0], others_of(found)
    rest = others if sure else others[1:]
    return {
        "title": f"Something is wrong: {found.heading}",
        "what": "Something is wrong",
        "with_what": seen_told(found),
        "total": found.heading,
        "sure": sure,
        "ranked": [
            [percent_told(cause.probability), cause.title, chance_ends(cause), cause.probability]
            for cause in found.causes[:LISTED]
        ],
        "top": _advice(top),
        "reasons": [
            f"{name}: {'; '.join(lines)}."
            for name, lines in (("For", top.speaks_for), ("Against", top.speaks_against))
            if lines
        ],
        "checks": [_check(check) for check in found.checks[:_CHECKS]],
        "others": [_advice(cause) for cause in rest],
        "standing": standing_told(found),
        "unexplained": [f"Nothing here explains well: {'; '.join(found.unexplained)}."] if found.unexplained else [],
        "usual": [line.rstrip(".") for line in found.defaults_used],
        "warnings": [warning.text for warning in found.warnings],
        "cautions": list(found.cautions),
    }


def _advice(cause: CauseFound) -> dict[str, str]:
    return {
        "title": cause.title,
        "chance": percent_told(cause.probability),
        "why": cause.why,
        "do": cause.do,
        "save": cause.save,
        "later": cause.next_time,
    }


def _check(check: CheckFirst) -> dict[str, Any]:
    leads = [[out.text, f"{out.title} ({percent_told(out.probability)})"] for out in check.outcomes]
    return {"ask": check.ask, "how": f"{check.how} About {check.minutes} min.", "leads": leads}
