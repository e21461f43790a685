"""What the next bowl starts from: the answers of the last one, and those of each method as it was last used."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from temperbench.insight.job import METHODS, own_fields

__all__ = ["METHODS_USED", "remembered"]

METHODS_USED = "methods"  # under this key: what each method was last asked with, by its name


def remembered(
    before: Mapping[str, object], answers: Mapping[str, object], things: Mapping[str, str]
) -> dict[str, Any]:
    """Return what to propose for the next bowl, once another was started.

    Parameters
    ----------
    before : Mapping[str, object]
        What was proposed until now. [-]
    answers : Mapping[str, object]
        As they were typed for the bowl that starts, by the keys of a job. [-]
    things : Mapping[str, str]
        The oven, bowl, thermometer and lot it uses, by id. [-]

    Returns
    -------
    dict[str, Any]
        Keys of a job, `oven_id` and its like, and the answers of each method. [-]
    """
    plain = {key: value for key, value in answers.items() if isinstance(value, str | int | float | bool)}
    chosen = {f"{kind}_id": thing for kind, thing in things.items()}
    method = str(plain.get("method", METHODS[0]))
    used = before.get(METHODS_USED)
    kept = {name: value for name, value in used.items() if name in METHODS} if isinstance(used, Mapping) else {}
    own = {key: value for key, value in plain.items() if key in own_fields(method)}
    if "oven" in things:
        own["oven_id"] = things["oven"]
    return {**plain, **chosen, METHODS_USED: {**kept, method: own}}
