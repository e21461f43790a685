"""Use case: a bowl in temper, and how to keep it so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperbench.app.check_job import check_answer, check_job, own_names
from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.app.keep_fields import CLEAR_FIELDS, FLOW_WORDS, KEEP_FIELDS
from temperbench.app.plan_bowl import MEMBERS
from temperbench.app.read_figure import Phrase, safe_to_show
from temperbench.foundation.errors import InputError, NotGiven, OutOfRange
from temperbench.foundation.evidence import array, number, row
from temperbench.insight.job import PART_MELTS
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.clear import clear_check
from temperbench.insight.keeping.keep_bowl import keep_bowl as plan_keeping
from temperbench.insight.keeping.result import ClearCheck, KeepPlan
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import limit_of

__all__ = ["check_keep", "check_memory", "keep_bowl"]

_METHOD = {"microwave": "microwave", "bath": "bath"}  # decides which bowls will do, and what is said of them
_OVEN = ("oven_w", "oven_measured_w", "oven_inverter", "level", "warm_oven")
_ALWAYS = ("chocolate", "bowl", "kitchen")  # sections of the job
_REMEDY = {
    "minutes": "plan a shorter time, and temper a fresh bowl for the rest",
    "at_c": "stir and measure it; what is colder is setting, what is hotter has lost its crystals",
    "every_min": "look at it oftener, or seldomer",
    "gun_w": "read the power on its label",
    "leaves_g_h": "weigh what one tray takes, times the trays an hour",
    "returns_share": "weigh what drips back from one tray over what it took",
    "returns_c": "melt what is colder, and add it as refill",
    "refill_g": "weigh what there is, or leave it out when there is none",
    "refill_c": "let it cool or warm it first",
}


def keep_bowl(
    raw: RawJob, keeping: RawJob, *, members: int = MEMBERS, seed: int = 1,
    progress: Callable[[str], None] | None = None,
) -> KeepPlan:  # fmt: skip
    """Return how to keep a bowl in temper.

    Parameters
    ----------
    raw : RawJob
        What the person gave of chocolate, bowl, oven and kitchen; ``grams`` is what is in the bowl now. [-]
    keeping : RawJob
        What the person gave of keeping it, by the keys of `temperbench.app.keep_fields`. [-]
    members : int
        Ensemble members the plan is measured on. [-]
    seed : int
        Start of the random numbers; the same seed gives the same plan. [-]
    progress : Callable[[str], None] | None
        Told in words what takes long, once per step. [-]

    Returns
    -------
    KeepPlan
        The plan with bands, reasons, warnings and sources. [-]
    """
    ask = check_keep(raw, keeping)
    with own_names(raw):
        return plan_keeping(ask, members=members, seed=seed, progress=progress)


def check_keep(raw: RawJob, keeping: RawJob) -> KeepAsk:
    """Return the checked request; what was not given stays None or as usual.

    Parameters
    ----------
    raw : RawJob
        What the person gave of the bowl. [-]
    keeping : RawJob
        What the person gave of keeping it. [-]

    Returns
    -------
    KeepAsk
        The typed request. [-]
    """
    found: dict[str, Any] = {f.key: check_answer(f, keeping, _REMEDY.get(f.key, "choose one")) for f in KEEP_FIELDS}
    given = {key: value for key, value in found.items() if value is not None}
    given.setdefault("minutes", number("keep.minutes"))
    if "flows" in given:
        given["flows"] = FLOW_WORDS[given["flows"]]
    heater = given.get("warm_with", "microwave")
    given.setdefault("tempered", _tempered(raw))
    job = check_job(_without_method(raw, heater), "keep")
    ask = KeepAsk(job=job, bath_c=job.bath_c, **given)
    _check_together(ask, keeping, raw)
    return ask


def check_memory(raw: RawJob, at: object, minutes: object) -> ClearCheck:
    """Tell whether chocolate that was warmed has lost its old crystals.

    Parameters
    ----------
    raw : RawJob
        What the person gave; only chocolate and grams are needed. [-]
    at : object
        Stirred temperature it was held at: a number in °C, or text with its unit. [-]
    minutes : object
        How long: a number of minutes, or text with its unit. [-]

    Returns
    -------
    ClearCheck
        Whether it is cleared, and what stays. [-]
    """
    answers = RawJob({"clear_c": at, "clear_min": minutes}, {f.key: f.option for f in CLEAR_FIELDS})
    found = []
    for asked in CLEAR_FIELDS:
        figure = check_answer(asked, answers, "measure it stirred, and give the time it was held there")
        if figure is None:
            low, high = array(asked.limit)
            remedy = f"add for example {asked.option} {asked.example}"
            raise NotGiven(asked.option, Phrase("nothing"), f"{low:g} to {high:g} {row(asked.limit).unit}", remedy)
        found.append(float(figure))
    job = check_job(_without_method(raw, "none"), "keep")
    with own_names(raw):
        return clear_check(know(job), found[0], found[1])


def _tempered(raw: RawJob) -> str:
    """Return how a bowl came into temper, by the method of its job."""
    method = raw.values.get("method")
    return "part-melted" if method is None or method in PART_MELTS else "seeded"


def _without_method(raw: RawJob, heater: str) -> RawJob:
    """Return a job for the way it is warmed, without what only its way into temper needed."""
    keys = {f.key for f in FIELDS if f.section in _ALWAYS} - {"start_c", "stock", "glossy"}
    keys |= set(_OVEN) if heater == "microwave" else {"bath_c"} if heater == "bath" else set()
    values = {key: value for key, value in raw.values.items() if key in keys}
    values["method"] = _METHOD.get(heater, "cabinet")
    return RawJob(values, raw.places)


def _check_together(ask: KeepAsk, keeping: RawJob, raw: RawJob) -> None:
    """Refuse what cannot be at once."""
    gone = limit_of(ask.job)
    low = array("limit.keep_at_c")[0]
    if ask.at_c is not None and ask.at_c > gone:
        remedy = "its stable crystals are gone, so rescue it first with in-temper buttons"
        raise OutOfRange(keeping.place("at_c"), safe_to_show(keeping.values["at_c"]), f"{low:g} to {gone:g} °C", remedy)
    if ask.bath_c is not None:
        low, high = array("limit.keep_bath_c")
        if not low <= ask.bath_c <= high:
            remedy = "hotter water scorches at the wall, and cooler water does not warm"
            raise OutOfRange(raw.place("bath_c"), safe_to_show(raw.values["bath_c"]), f"{low:g} to {high:g} °C", remedy)
    if ask.refill == "in-temper" and ask.refill_c is not None and ask.refill_c > gone:
        allowed = f"up to {gone:g} °C for {ask.job.chocolate} chocolate in temper"
        value = safe_to_show(keeping.values["refill_c"])
        raise OutOfRange(keeping.place("refill_c"), value, allowed, "call it melted, or let it cool and temper it")
    if ask.returns_share > 0.0 and ask.leaves_g_h <= 0.0:
        value, allowed = safe_to_show(keeping.values["returns_share"]), "a share of what is used"
        remedy = f"say what is used as well ({keeping.place('leaves_g_h')})"
        raise InputError(keeping.place("returns_share"), value, allowed, remedy)
