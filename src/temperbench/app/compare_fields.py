"""Every question about choosing a method, in one table; what it shares with a plan stands in `job_fields`."""

from __future__ import annotations

import re

from temperbench.app.job_fields import JobField, RawJob
from temperbench.app.read_figure import read_number, read_word, safe_to_show
from temperbench.foundation.errors import InputError, within
from temperbench.foundation.evidence import array
from temperbench.insight.methods.choice import KIT, SKILLS

__all__ = ["COMPARE_FIELDS", "read_compare"]

COMPARE_FIELDS: tuple[JobField, ...] = (
    JobField("have", "compare", "have", "--have", "list",
             f"Kit at hand, with commas: {', '.join(KIT)}; everything when not given.", KIT, example="oven,bath"),
    JobField("minutes", "compare", "minutes", "--within", "minutes",
             "Time until it has to be in temper: 45, 45 min or 1 h.", limit="limit.compare_minutes", example="45"),
    JobField("skill", "compare", "skill", "--skill", "word",
             "How practised you are.", SKILLS, example="some"),
)  # fmt: skip


def read_compare(asked: RawJob) -> tuple[tuple[str, ...], float | None, str]:
    """Return kit at hand, minutes there are and skill, checked.

    Parameters
    ----------
    asked : RawJob
        What the person gave. [-]

    Returns
    -------
    tuple[tuple[str, ...], float | None, str]
        Kit (empty is everything), minutes (None is any time), skill. [-]
    """
    given = asked.values
    have = _kit(given.get("have"), asked.place("have"))
    skill = read_word(given.get("skill", SKILLS[-1]), SKILLS, asked.place("skill"))
    if given.get("minutes") is None:
        return have, None, skill
    place = asked.place("minutes")
    minutes = read_number(given["minutes"], "minutes", place)
    low, high = array("limit.compare_minutes")
    return have, within(place, minutes, low, high, "min", "say how long you have until it is in temper"), skill


def _kit(value: object, place: str) -> tuple[str, ...]:
    if value is None:
        return ()
    words = re.split(r"[\s,;]+", value.strip()) if isinstance(value, str) else value
    if not isinstance(words, (list, tuple)):
        raise InputError(place, safe_to_show(value), ", ".join(KIT), "write them one after the other, with commas")
    return tuple(dict.fromkeys(read_word(word, KIT, place) for word in words if word != ""))
