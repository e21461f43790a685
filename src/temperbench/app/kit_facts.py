"""What may be entered about an oven, a bowl, a thermometer or a lot: checked by a job's rules before it is kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, time
from typing import Any

from temperbench.app.check_job import check_answer, check_oven, own_names
from temperbench.app.job_fields import JobField, RawJob, field_of
from temperbench.app.read_figure import Phrase, read_number, read_word, safe_to_show
from temperbench.book.checks import Json, checked_text
from temperbench.foundation.errors import InputError, NotGiven, OutOfRange, one_of
from temperbench.foundation.evidence import array, number, row
from temperbench.kitchen.vessels import material_named
from temperbench.matter.composition import chocolate_from_pack

__all__ = ["CHECK", "KEYS", "KINDS", "best_before_ms", "check_facts", "check_ice", "usable_check"]

KINDS = ("oven", "bowl", "thermometer")
CHECK = ("ice_c", "warm_c", "reference_c")  # of a thermometer: in ice, and warm beside a reference
_PACK = ("chocolate", "cocoa_pct", "fat_pct", "milk_fat_pct", "sugars_pct", "nut_pct", "butter")
KEYS: Mapping[str, tuple[str, ...]] = {
    "oven": ("oven_w", "oven_measured_w", "oven_inverter"),
    "bowl": ("bowl", "bowl_g", "bowl_l"),
    "thermometer": ("thermometer", *CHECK),
    "lot": (*_PACK, "stock_g", "lot", "best_before"),
}
_NEEDED = {"oven": "oven_w", "lot": "chocolate"}
_READS = ("probe", "infrared")
_OWN = {
    "stock_g": JobField("stock_g", "", "", "", "grams", "", limit="limit.stock_g"),
    "ice_c": JobField("ice_c", "", "", "", "celsius", "", limit="limit.check_ice_c"),
    "reference_c": JobField("reference_c", "", "", "", "celsius", "", limit="limit.check_reference_c"),
}
_REMEDY = {
    "stock_g": "weigh what is left",
    "ice_c": "stir crushed ice and water for three minutes, then read again; one further off is not worth keeping",
    "reference_c": "take water near 32 °C, and a reference that is right there",
}
_NONE_LEFT = re.compile(r"0+([.,]0+)?\s*(g|kg|oz|lb)?")
_LONGEST = 80
_FIRST, _LAST = date(2000, 1, 1), date(2099, 12, 31)


def check_facts(kind: str, facts: Mapping[str, object]) -> dict[str, Json]:
    """Return what was entered, each figure in the unit of its key; what was left empty is not there.

    Parameters
    ----------
    kind : str
        oven, bowl, thermometer or lot. [-]
    facts : Mapping[str, object]
        By the keys of `KEYS`: figures, or text with units. [-]

    Returns
    -------
    dict[str, Json]
        What may be kept. Raises `InputError` for what cannot be, under the key of the field. [-]
    """
    one_of("kind", kind, KEYS)
    for key in facts:
        if key not in KEYS[kind]:
            raise InputError(key, Phrase("this field"), ", ".join(KEYS[kind]), "leave it out")
    given = {key: value for key, value in facts.items() if value is not None and value != ""}
    needed = _NEEDED.get(kind)
    if needed is not None and needed not in given:
        raise _not_given(needed, _allowed(field_of(needed)))
    raw = RawJob(given, {key: key for key in given})
    read: dict[str, Json] = {}
    for key in given:
        reader: Callable[[str, RawJob], Json] = _READERS.get(key, _by_field)
        read[key] = reader(key, raw)
    _CHECKS[kind](read, raw)
    return read


def check_ice(value: object) -> float:
    """Return what a thermometer reads in ice, the first half of a check. [°C]

    Raises `InputError` for nothing, and for a reading that far off that no check can put it right.
    """
    if value is None or value == "":
        raise _not_given("ice_c", _allowed(_OWN["ice_c"]), "read it in ice first")
    return float(_by_field("ice_c", RawJob({"ice_c": value}, {"ice_c": "ice_c"})))


def best_before_ms(facts: Mapping[str, object]) -> int | None:
    """Return the moment of a lot's best-before date, 00:00 UTC; None when there is none."""
    day = facts.get("best_before")
    if not isinstance(day, str):
        return None
    try:
        return int(datetime.combine(date.fromisoformat(day), time(), UTC).timestamp() * 1000)
    except ValueError:  # an old book may hold any text
        return None


def usable_check(facts: Mapping[str, object]) -> tuple[float, float, float] | None:
    """Return the readings of a two-point check: in ice, warm, and of the reference. [°C]

    None when there is no check, or one that would not be taken today: an old book may hold anything.
    """
    try:
        read = check_facts("thermometer", {key: facts[key] for key in CHECK})
    except (KeyError, InputError):
        return None
    ice, warm, true = (float(str(read[key])) for key in CHECK)
    return ice, warm, true


def _not_given(key: str, allowed: str, remedy: str = "fill it in") -> NotGiven:
    return NotGiven(key, Phrase("nothing"), allowed, remedy)


def _allowed(asked: JobField) -> str:
    if asked.words:
        return ", ".join(asked.words)
    low, high = array(asked.limit)
    return f"{low:g} to {high:g} {row(asked.limit).unit}"


def _by_field(key: str, raw: RawJob) -> Any:
    """Read an answer as a job would."""
    return check_answer(_OWN.get(key) or field_of(key), raw, _REMEDY.get(key, "read it off the pack"))


def _stock(key: str, raw: RawJob) -> Json:
    """Read a stock; there may be none left."""
    value = raw.values[key]
    if isinstance(value, str) and _NONE_LEFT.fullmatch(value.strip().lower()):
        return 0.0
    return float(_by_field(key, raw))


def _warm(key: str, raw: RawJob) -> Json:
    """Read the warm point; how far it may be off is judged beside the reference."""
    return read_number(raw.values[key], "celsius", key)


def _text(key: str, raw: RawJob) -> Json:
    return checked_text(key, raw.values[key], _LONGEST)


def _day(key: str, raw: RawJob) -> Json:
    value = raw.values[key]
    try:
        day = date.fromisoformat(value.strip()) if isinstance(value, str) else None
    except ValueError:
        day = None
    if day is None or not _FIRST <= day <= _LAST:
        allowed = f"a date from {_FIRST} to {_LAST}"
        raise InputError(key, safe_to_show(value), allowed, "write year, month and day, such as 2027-02-01")
    return day.isoformat()


def _material(key: str, raw: RawJob) -> Json:
    return material_named(str(_by_field(key, raw)))


def _reads(key: str, raw: RawJob) -> Json:
    return read_word(raw.values[key], _READS, key)


def _check_oven(read: Mapping[str, Any], raw: RawJob) -> None:
    check_oven(read["oven_w"], read.get("oven_measured_w"), raw)


def _check_bowl(read: Mapping[str, Any], raw: RawJob) -> None:
    """A bowl's figures stand each for itself."""


def _check_thermometer(read: Mapping[str, Any], raw: RawJob) -> None:
    """Refuse half a check, and one that says less of the thermometer than of a slip."""
    given = [key for key in CHECK if key in read]
    if not given:
        return
    for key in CHECK:
        if key not in given:
            raise _not_given(key, "all three readings of a check", "read ice, this one and the reference, and give all")
    true, most = read["reference_c"], number("limit.check_apart")
    if not abs(read["warm_c"] - true) <= most:
        allowed = f"{true - most:g} to {true + most:g} °C beside a reference at {true:g} °C"
        remedy = "stir, wait until both stand still and read both again; one that is further off is not worth keeping"
        raise OutOfRange("warm_c", safe_to_show(raw.values["warm_c"]), allowed, remedy)


def _check_pack(read: Mapping[str, Any], raw: RawJob) -> None:
    """Let the room that knows chocolate refuse what its pack cannot say."""
    with own_names(raw):
        chocolate_from_pack(
            read["chocolate"], cocoa_pct=read.get("cocoa_pct"), fat_pct=read.get("fat_pct"),
            milk_fat_pct=read.get("milk_fat_pct"), sugars_pct=read.get("sugars_pct"), nut_pct=read.get("nut_pct"),
            butter=read.get("butter"),
        )  # fmt: skip


_READERS: Mapping[str, Callable[[str, RawJob], Json]] = {
    "stock_g": _stock, "warm_c": _warm, "lot": _text, "best_before": _day, "bowl": _material, "thermometer": _reads,
}  # fmt: skip
_CHECKS: Mapping[str, Callable[[Mapping[str, Any], RawJob], None]] = {
    "oven": _check_oven, "bowl": _check_bowl, "thermometer": _check_thermometer, "lot": _check_pack,
}  # fmt: skip
