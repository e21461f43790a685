"""Turns what a person gave into a `BowlJob`, or says in one sentence what is wrong and what to do instead."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from temperbench.app.check_method import check_full_melt, check_method
from temperbench.app.job_fields import FIELDS, JobField, RawJob, field_of
from temperbench.app.read_figure import Phrase, read_count, read_number, read_switch, read_word, safe_to_show
from temperbench.foundation.errors import InputError, NotGiven, OutOfRange
from temperbench.foundation.evidence import array, number, row
from temperbench.insight.job import PART_MELTS, BowlJob
from temperbench.insight.temperatures import limit_of
from temperbench.kitchen.vessels import bowl_from
from temperbench.matter.composition import chocolate_from_pack

__all__ = ["check_answer", "check_at", "check_job", "check_oven", "own_names"]

_SOLID = ("buttons", "block", "set-bowl")
_NEEDED = ("chocolate", "grams")
_REMEDY: dict[str, str | tuple[str, str]] = {  # one, or one for too little and one for too much
    "grams": ("melt at least that much at once", "share it over several bowls"),
    "start_c": "measure the store or the bowl, and write °F with its letter F",
    "oven_w": "read the microwave output on the label, not the mains draw",
    "oven_measured_w": "heat 1000 g of water again and work it out from its rise",
    "level": "write full power as 1 and half power as 0.5 or 50 %",
    "bowl_g": "weigh the empty bowl",
    "bowl_l": "fill the bowl with water from a measure to find what it holds",
    "bowl_c": "let the bowl come to room temperature first",
    "room_c": "chocolate cannot be worked or set outside that, so change the room or the time of day",
    "melt_c": "crystals survive below it and the chocolate spoils above it",
    "seed_c": "measure the seed, and write °F with its letter F",
    "people": "count those who stir, pour and weigh",
    "bath_c": "measure the water under the bowl",
    "bath_l": "measure the water you pour in",
    "cabinet_c": "measure the air in the cabinet after an hour",
    "slab_mm": "measure the slab's edge",
    "slab_c": "let the slab come to room temperature, and dry it",
    "slab_m2": "multiply the length by the width that is free, in metres",
    "kettle_w": "read the heating power on its plate",
    "kettle_l": "take a larger or a smaller kettle, or a bowl",
    "kettle_wall_c": "a wall hotter than that scorches, a cooler one does not melt",
    "risk": "write it as 0.05 or 5 %, a chance most cooks can live with",
    "risk_scorch": "write it as 0.05 or 5 %, a chance most cooks can live with",
}
_SEED = "melt it fully, let it cool and seed it with in-temper buttons (method seed)"
_NAMES = {
    "buttons": "{} buttons", "block": "a block of {} chocolate", "set-bowl": "a set bowl of {} chocolate",
    "part-melted": "part-melted {} chocolate", "melted": "melted {} chocolate",
}  # fmt: skip


def check_job(raw: RawJob, purpose: str = "plan") -> BowlJob:
    """Return the checked job; what was not given stays None, to become a range further down.

    Parameters
    ----------
    raw : RawJob
        What the person gave. [-]
    purpose : str
        plan, simulate, rescue, compare, trouble or keep: decides what is needed and which stock makes sense. [-]

    Returns
    -------
    BowlJob
        The typed request. [-]
    """
    _refuse_unknown(raw)
    for key in _NEEDED:
        _require(raw, key)
    found: dict[str, Any] = {f.key: _answer(f, raw) for f in FIELDS if raw.values.get(f.key) is not None}
    method = found.get("method", "microwave")
    if purpose == "rescue":  # heat balance of a bowl, the same by any method
        found["method"] = method = "microwave"
        found.setdefault("oven_w", number("usual.oven_w"))
    elif purpose == "compare":  # every method is tried; what one cannot do with this stock is part of the answer
        found["method"] = method = "seed"
    elif purpose == "trouble":  # any stock will do, and the oven makes no difference
        found.setdefault("oven_w", number("usual.oven_w"))
    elif purpose == "simulate" or (purpose in ("plan", "keep") and method == "microwave"):
        _require(raw, "oven_w")
    job = BowlJob(**found)
    with own_names(raw):
        _check_composition(job)
        _check_bowl(job)
    check_oven(job.oven_w, job.oven_measured_w, raw)
    if purpose == "keep":  # in temper already, so that what the stock was makes no difference
        return job
    if purpose == "rescue":
        _check_seed(job, raw)
    elif purpose == "trouble":
        pass
    elif method in PART_MELTS or purpose == "simulate":
        _check_stock(job, raw, purpose)
    else:
        check_full_melt(job, raw)
    check_method(job, raw)
    return job


@contextmanager
def own_names(raw: RawJob) -> Iterator[None]:
    """Give errors of the rooms below the name and the value of the field as the person wrote them.

    Parameters
    ----------
    raw : RawJob
        What the person gave. [-]

    Returns
    -------
    Iterator[None]
        A context to call the rooms below in. [-]
    """
    try:
        yield
    except InputError as error:
        key = "chocolate" if error.field == "kind" else error.field
        value = raw.values.get(key)
        shown = error.value if value is None else safe_to_show(value)
        raise type(error)(raw.place(key), shown, error.allowed, error.remedy) from None


def check_at(value: object, place: str) -> float:
    """Return the temperature of a bowl to be rescued, checked.

    Parameters
    ----------
    value : object
        A number in °C, or text with its unit. [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    float
        The temperature in °C. [-]
    """
    if value is None:
        remedy = f"stir the bowl, measure it and add for example {place} 38"
        raise NotGiven(place, Phrase("nothing"), _range_text("limit.rescue_c"), remedy)
    celsius = read_number(value, "celsius", place)
    return _ranged(place, value, celsius, "limit.rescue_c", "stir the bowl, measure it again and give that")


def check_answer(asked: JobField, raw: RawJob, remedy: str) -> Any:
    """Return one answer of another table of questions, checked; None when it was not given.

    Parameters
    ----------
    asked : JobField
        The question. [-]
    raw : RawJob
        What the person gave. [-]
    remedy : str
        What to do about a figure outside its range. [-]

    Returns
    -------
    Any
        The answer in the unit of its kind, a word or None. [-]
    """
    return None if raw.values.get(asked.key) is None else _answer(asked, raw, remedy)


def check_oven(label_w: float | None, measured_w: float | None, raw: RawJob) -> None:
    """Refuse a measured power that cannot be that of an oven with this label.

    Parameters
    ----------
    label_w : float | None
        Microwave output on the label, in W; None when not given. [-]
    measured_w : float | None
        Output measured with 1000 g of water, in W; None when not measured. [-]
    raw : RawJob
        What the person gave, for the message. [-]
    """
    if measured_w is None or label_w is None:
        return
    low, high = array("limit.measured_of_label")
    if not low * label_w <= measured_w <= high * label_w:
        allowed = f"{low * label_w:.0f} to {high * label_w:.0f} W beside a label of {label_w:.0f} W"
        remedy = "repeat the water test, or check that the label's figure is the microwave output"
        raise OutOfRange(raw.place("oven_measured_w"), safe_to_show(raw.values["oven_measured_w"]), allowed, remedy)


def _refuse_unknown(raw: RawJob) -> None:
    """Refuse what no question asks; what a file says under [keep] is for another command."""
    known = {f.key for f in FIELDS}
    for key in raw.values:
        if key not in known and not raw.place(key).startswith("[keep] "):
            raise InputError(key, Phrase("this field"), ", ".join(sorted(known)), "leave it out")


def _require(raw: RawJob, key: str) -> None:
    if raw.values.get(key) is not None:
        return
    asked = field_of(key)
    allowed = ", ".join(asked.words) if asked.words else _range_text(asked.limit)
    remedy = f"add {asked.option} {asked.example}, or {asked.name} under [{asked.section}] in the job file"
    raise NotGiven(raw.place(key), Phrase("nothing"), allowed, remedy)


def _answer(asked: JobField, raw: RawJob, remedy: str = "read it off the pack") -> object:
    value, place = raw.values[asked.key], raw.place(asked.key)
    if asked.kind == "people":
        low, high = array(asked.limit)
        return read_count(value, int(low), int(high), place)
    if asked.kind == "switch":
        return read_switch(value, place)
    if asked.kind == "word":
        elsewhere = asked.key in ("chocolate", "bowl")  # matter and kitchen know those words best
        return read_word(value, asked.words, place, any_word=elsewhere)
    try:
        figure = read_number(value, asked.kind, place)
    except OutOfRange:  # such as a mass below zero: told with the range of this field
        figure = math.nan
    return _ranged(place, value, figure, asked.limit, _REMEDY.get(asked.key, remedy))


def _ranged(place: str, value: object, figure: float, limit: str, remedy: str | tuple[str, str]) -> float:
    low, high = array(limit)
    if not low <= figure <= high:
        if isinstance(remedy, tuple):
            remedy = remedy[1] if figure > high else remedy[0]
        raise OutOfRange(place, safe_to_show(value), _range_text(limit), remedy)
    return figure


def _range_text(limit: str) -> str:
    low, high = array(limit)
    unit = row(limit).unit
    return f"{low:g} to {high:g}" if unit == "1" else f"{low:g} to {high:g} {unit}"


def _check_composition(job: BowlJob) -> None:
    """Let the room that knows chocolate refuse what its pack cannot say."""
    chocolate_from_pack(
        job.chocolate,
        cocoa_pct=job.cocoa_pct,
        fat_pct=job.fat_pct,
        milk_fat_pct=job.milk_fat_pct,
        sugars_pct=job.sugars_pct,
        nut_pct=job.nut_pct,
        butter=job.butter,
    )


def _check_bowl(job: BowlJob) -> None:
    """Let the kitchen refuse bowls that do not belong in the oven or do not hold the chocolate."""
    room_c = number("bowl.room") if job.room_c is None else job.room_c
    bowl_from(
        job.bowl, job.bowl_g, job.bowl_l, job.bowl_c, room_c=room_c, chocolate_g=job.grams,
        microwave=job.method == "microwave",
    )  # fmt: skip


def _check_stock(job: BowlJob, raw: RawJob, purpose: str) -> None:
    """Refuse stock without stable crystals to keep, or whose temperature does not fit what it is called."""
    if not job.glossy:
        allowed = "glossy stock that was never soft, because other stock has no crystals worth saving"
        raise InputError(raw.place("glossy"), Phrase("stock that has bloomed or been warm"), allowed, _SEED)
    if job.stock == "melted" and purpose == "plan":
        allowed = "buttons, block, set-bowl or part-melted, because melted chocolate has no crystals to keep"
        remedy = "seed it with in-temper buttons (method seed)"
        raise InputError(raw.place("stock"), job.stock, allowed, remedy)
    low, high, remedy = _start_range(job)
    allowed = f"{low:g} to {high:g} °C for {_NAMES[job.stock].format(job.chocolate)}"
    if job.start_c is None:
        if job.stock in ("part-melted", "melted"):
            raise NotGiven(raw.place("start_c"), Phrase("nothing"), allowed, "stir the bowl and measure it")
        return
    if not low <= job.start_c <= high:
        raise OutOfRange(raw.place("start_c"), safe_to_show(raw.values["start_c"]), allowed, remedy)


def _start_range(job: BowlJob) -> tuple[float, float, str]:
    """Return the temperatures that fit what the stock is called, and what to do with stock outside them."""
    low, high = array("limit.start_c")
    gone = limit_of(job)
    if job.stock == "melted":
        low, high = array("limit.start_c.melted")
        return low, high, "chocolate below that is not fully melted, so call it part-melted"
    if job.stock == "part-melted":
        return low, gone, f"its stable crystals are gone, so {_SEED}"
    if job.start_c is not None and job.start_c > gone:
        return low, number("limit.start_c.solid"), f"stock this warm has lost its stable crystals, so {_SEED}"
    return low, number("limit.start_c.solid"), "stock this warm has softened, so measure it and call it part-melted"


def _check_seed(job: BowlJob, raw: RawJob) -> None:
    """Refuse buttons too warm to seed anything."""
    low, high = array("limit.start_c")[0], number("limit.start_c.solid")
    if job.start_c is not None and not low <= job.start_c <= high:
        allowed = f"{low:g} to {high:g} °C for the buttons to add"
        remedy = "buttons this warm have softened and seed nothing, so take some from a cooler place"
        raise OutOfRange(raw.place("start_c"), safe_to_show(raw.values["start_c"]), allowed, remedy)
