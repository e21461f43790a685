"""Forms of the pages as what the kitchen takes in. A bare number is in the unit that the device shows."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from temperbench.app.job_fields import RawJob
from temperbench.app.kit_facts import CHECK, KEYS, KINDS
from temperbench.faces.web.door import Lot, Thing
from temperbench.faces.web.looks import Look, told
from temperbench.faces.web.starting import OWN, method_of
from temperbench.foundation.errors import InputError
from temperbench.foundation.quantities import show_grams

__all__ = [
    "StartForm", "begun_ms", "in_shelf_words", "lot_facts", "shown_facts", "start_form", "thing_facts",
    "unchanged_kept", "with_unit",
]  # fmt: skip

_START_OLD_MS = 600_000
_BARE = re.compile(r"\s*[−-]?[0-9]*[.,]?[0-9]+\s*")
_MINUS = re.compile(r"(?<![0-9])-(?=[0-9])")
_PLACES = {
    "chocolate": "Chocolate", "grams": "Amount", "oven_w": "Oven", "bowl": "Bowl", "thermometer": "Thermometer",
    "room_c": "Room", "start_c": "Chocolate at the start", "stock": "What is in the bowl", "fat_pct": "Fat",
    "cocoa_pct": "Cocoa", "stock_g": "In stock", "bowl_g": "Weight empty", "ice_c": "In ice", "warm_c": "This one",
    "reference_c": "The reference", "method": "Method", "melt_c": "Full melt", "seed_with": "Seed with",
    "seed_c": "The seed", "bath_c": "Water", "bath_l": "Water in the bath", "cabinet_c": "Cabinet", "slab": "Slab",
    "slab_mm": "Thickness of the slab", "slab_m2": "Room on the slab", "slab_c": "The slab",
    "kettle_w": "Power of the kettle", "kettle_l": "Kettle holds", "kettle_wall_c": "Hottest wall",
    "kettle_stirs": "Stirrer", "glossy": "Bloomed", "people": "People", "milk_fat_pct": "Milk fat",
    "sugars_pct": "Sugars", "nut_pct": "Nuts", "butter": "Cocoa butter", "oven_measured_w": "Measured",
    "oven_inverter": "Inverter", "bowl_l": "Holds to the brim", "lot": "Lot", "best_before": "Best before",
    "name": "What you call it",
}  # fmt: skip
_MASSES = {"grams", "stock_g", "bowl_g", "sample_g", "refill_g"}
_HEATS = {
    "room_c", "start_c", "ice_c", "warm_c", "reference_c", "bowl_reads_c", "melt_c", "seed_c", "bath_c", "cold_c",
    "cabinet_c", "slab_c", "kettle_wall_c", "hottest", "reads", "at_c", "returns_c",
    "refill_c"}  # fmt: skip
_NOT_OF_A_JOB = (*CHECK, "stock_g", "lot", "best_before")


@dataclass(frozen=True)
class StartForm:
    """A bowl to begin, as `Door.start` takes it."""

    job: RawJob
    title: str | None
    things: dict[str, str]
    id: str | None
    pressed_ms: int | None


def begun_ms(pressed_ms: int | None, now_ms: int) -> int | None:
    """Return when a start was pressed, if that can be: a start is sent at once, so minutes off are a wrong clock.

    Parameters
    ----------
    pressed_ms : int | None
        As the device had it, UTC. [ms]
    now_ms : int
        The server's clock, UTC. [ms]

    Returns
    -------
    int | None
        The same, or None for one that is ahead or ten minutes old: then the bowl begins when it is stored. [ms]
    """
    return pressed_ms if pressed_ms is not None and now_ms - _START_OLD_MS <= pressed_ms <= now_ms else None


def with_unit(key: str, value: str, look: Look) -> str:
    """Return a typed figure with the unit the device shows, when it was typed without one."""
    text = value.strip()[:80]
    if key in _MASSES and look.ounces and _BARE.fullmatch(text):
        return f"{text} oz"
    if key in _HEATS and look.fahrenheit and _BARE.fullmatch(text):
        return f"{text} °F"
    return text


def _typed(form: Mapping[str, str], keys: Sequence[str], look: Look) -> dict[str, object]:
    """Return what was typed under some keys; what was left empty is not there."""
    return {key: with_unit(key, form[key], look) for key in keys if form.get(key, "").strip()}


def _own_answers(form: Mapping[str, str], method: str, look: Look) -> dict[str, object]:
    """Return what was typed about what only this method uses; what stands under other methods is not asked."""
    own = OWN.get(method, {})
    typed = _typed(form, tuple(own), look)
    return {own[name]: value for name, value in typed.items()}


def start_form(form: Mapping[str, str], kit: Sequence[Thing], lots: Sequence[Lot], look: Look) -> StartForm:
    """Return a filled start page as a job: chosen things bring their facts, what was typed wins.

    Parameters
    ----------
    form : Mapping[str, str]
        What the page sent. [-]
    kit : Sequence[Thing]
        Ovens, bowls, thermometers. [-]
    lots : Sequence[Lot]
        The larder. [-]
    look : Look
        Units of the device. [-]

    Returns
    -------
    StartForm
        The job, its title and the things it uses. [-]
    """
    values: dict[str, object] = {}
    things: dict[str, str] = {}
    method = method_of(form)
    shelves: dict[str, Mapping[str, Mapping[str, object]]] = {
        kind: {thing.id: thing.facts for thing in kit if thing.kind == kind} for kind in KINDS
    }
    shelves["lot"] = {lot.id: lot.facts for lot in lots}
    for kind, shelf in shelves.items():
        chosen = "" if kind == "oven" and method != "microwave" else form.get(kind, "")
        keys = [key for key in KEYS[kind] if key not in _NOT_OF_A_JOB]
        if chosen in shelf:
            things[kind] = chosen
            values |= {key: shelf[chosen][key] for key in keys if key in shelf[chosen]}
        elif chosen and kind in ("lot", "bowl", "thermometer"):
            values["chocolate" if kind == "lot" else kind] = chosen[:40]
    values |= _typed(form, ("grams", "room_c", "start_c", "stock"), look)
    values |= {"method": method} | _own_answers(form, method, look)
    if form.get("bloomed"):
        values["glossy"] = False
    pressed = form.get("pressed_ms", "")
    at = int(pressed) if re.fullmatch(r"[0-9]{13}", pressed) else None
    key = form.get("id", "")
    return StartForm(
        RawJob(values, {k: _PLACES.get(k, k.replace("_", " ")) for k in values} | _PLACES),
        form.get("title", "").strip()[:80] or None,
        things,
        key if re.fullmatch(r"[A-Za-z0-9_.:-]{4,64}", key) else None,
        at,
    )


def thing_facts(kind: str, form: Mapping[str, str], look: Look) -> dict[str, object]:
    """Return what was typed about an oven, a bowl or a thermometer, for the kitchen to check."""
    return _typed(form, KEYS[kind] if kind in KINDS else (), look)


def lot_facts(form: Mapping[str, str], look: Look) -> dict[str, object]:
    """Return what was typed about a lot of chocolate, for the kitchen to check."""
    return _typed(form, KEYS["lot"], look)


def shown_facts(facts: Mapping[str, object], look: Look) -> dict[str, str]:
    """Return facts as they stand in the fields of a form, so that they come back as they are when nothing is changed.

    Parameters
    ----------
    facts : Mapping[str, object]
        As the kitchen keeps them. [-]
    look : Look
        Units of the device. [-]

    Returns
    -------
    dict[str, str]
        Masses with their unit, yes for a switch that is on. [-]
    """
    found: dict[str, str] = {}
    for key, value in facts.items():
        if isinstance(value, bool):
            found[key] = "yes" if value else "no"
        elif isinstance(value, int | float):
            found[key] = show_grams(value, ounces=look.ounces) if key in _MASSES else f"{value:g}"
        elif value is not None:
            found[key] = str(value)
    return found


def unchanged_kept(typed: Mapping[str, object], before: Mapping[str, object], look: Look) -> dict[str, object]:
    """Return what was typed, with what stands in its field as it was shown given back exactly, not as it was rounded.

    Parameters
    ----------
    typed : Mapping[str, object]
        What came back from a form filled by `shown_facts`. [-]
    before : Mapping[str, object]
        The facts it was filled with. [-]
    look : Look
        Units of the device. [-]

    Returns
    -------
    dict[str, object]
        For the kitchen to check. [-]
    """
    shown = shown_facts(before, look)
    return {key: before[key] if shown.get(key) == value else value for key, value in typed.items()}


def in_shelf_words(trouble: InputError, look: Look) -> InputError:
    """Return a trouble with what was entered on larder, kit or check in the words and units of the page.

    Parameters
    ----------
    trouble : InputError
        As the kitchen raised it, with the key of the field. [-]
    look : Look
        Units of the device. [-]

    Returns
    -------
    InputError
        The same with the name that the page gives the field. [-]
    """
    allowed, remedy = (told(_MINUS.sub("−", text), look) for text in (trouble.allowed, trouble.remedy))
    return type(trouble)(_PLACES.get(trouble.field, trouble.field), trouble.value, allowed, remedy)
