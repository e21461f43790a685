"""Reads one answer of a job, whatever form it came in: a number, or text with a decimal comma and a unit."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from temperbench.foundation.errors import InputError, nearest
from temperbench.foundation.quantities import parse_celsius, parse_grams

__all__ = ["Phrase", "read_count", "read_number", "read_switch", "read_word", "safe_to_show"]

# What each kind takes in words, and the units people write with the factor to ours.
_ALLOWED = {
    "grams": "a mass such as 850, 1.2 kg or 2 lb",
    "celsius": "a temperature such as 20, 20,5 °C or 68 F",
    "watts": "a power such as 1000, 900 W or 1.1 kW",
    "litres": "a volume such as 2, 1,5 L or 800 ml",
    "percent": "a share such as 36 or 36,5 %",
    "share": "a share such as 0.05 or 5 %",
    "millimetres": "a length such as 20, 20 mm or 2 cm",
    "area": "an area such as 0.24, 0.24 m² or 2400 cm²",
    "people": "a number of people such as 2",
    "minutes": "a time such as 90, 90 min or 2 h",
    "rate": "an amount per hour such as 500, 500 g/h or 1.5 kg/h",
}
_UNITS = {
    "watts": {"": 1.0, "w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1000.0},
    "litres": {"": 1.0, "l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0, "liters": 1.0, "ml": 0.001},
    "percent": {"": 1.0, "%": 1.0, "percent": 1.0},
    "share": {"": 1.0, "%": 0.01, "percent": 0.01},
    "millimetres": {"": 1.0, "mm": 1.0, "cm": 10.0},
    "area": {"": 1.0, "m²": 1.0, "cm²": 1e-4},
    "people": {"": 1.0, "people": 1.0, "person": 1.0, "persons": 1.0},
    "minutes": {
        "": 1.0,
        "min": 1.0,
        "mins": 1.0,
        "minute": 1.0,
        "minutes": 1.0,
        "h": 60.0,
        "hour": 60.0,
        "hours": 60.0,
    },
    "rate": {"": 1.0, "g/h": 1.0, "kg/h": 1000.0},
}
_WRITTEN = re.compile(r"([+-]?(?:\d{1,12}(?:[.,]\d{1,12})?|[.,]\d{1,12}))\s*([^\d\s]*)", re.ASCII)
_SWITCHES = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}
_LONGEST = 300  # digits of a whole number that still fits a float


@dataclass(frozen=True)
class Phrase:
    """Stands in an error where a value would, and is shown without quotes."""

    text: str

    def __str__(self) -> str:
        """Return the words."""
        return self.text


def read_number(value: object, kind: str, place: str) -> float:
    """Return an answer as a finite number in the unit of its kind; raise `InputError` for anything else.

    Parameters
    ----------
    value : object
        A number, or text such as "1,2 kg". [-]
    kind : str
        grams, celsius, watts, litres, percent, share, millimetres, area, people, minutes or rate. [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    float
        The figure in grams, °C, watts, litres, percent, millimetres, square metres, minutes, grams an hour, or as
        a share of one. [-]
    """
    allowed = _ALLOWED[kind]
    if isinstance(value, str):
        if not value.strip():
            raise InputError(place, value, allowed, "write a figure or leave the field out")
        if kind == "grams":
            return parse_grams(value, place)
        if kind == "celsius":
            return parse_celsius(value, place)
        return _written(value, kind, place)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        remedy = "write a number, or a number with its unit in quotes"
        raise InputError(place, safe_to_show(value), allowed, remedy)
    if isinstance(value, int) and value.bit_length() > _LONGEST:
        raise InputError(place, safe_to_show(value), allowed, "check the figure")
    number = float(value)
    if not math.isfinite(number):
        raise InputError(place, value, allowed, "write a finite number")
    return number


def _written(text: str, kind: str, place: str) -> float:
    """Read text of a kind that has its units here."""
    found = _WRITTEN.fullmatch(" ".join(text.split()).replace("−", "-"))
    units = _UNITS[kind]
    unit = found.group(2).lower().rstrip(".") if found else ""
    if found is None or unit not in units:
        raise InputError(place, text, _ALLOWED[kind], "write the number alone or with its unit")
    return float(found.group(1).replace(",", ".")) * units[unit]


def read_switch(value: object, place: str) -> bool:
    """Return an answer that is yes or no; raise `InputError` for anything else.

    Parameters
    ----------
    value : object
        True, False, or a word such as "yes". [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    bool
        The answer. [-]
    """
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and value.strip().lower() in _SWITCHES:
        return _SWITCHES[value.strip().lower()]
    raise InputError(place, safe_to_show(value), "true or false", "write true or false without quotes")


def read_word(value: object, words: Sequence[str], place: str, *, any_word: bool = False) -> str:
    """Return one of the known words, small and capitals alike; raise `InputError` with the nearest one.

    Parameters
    ----------
    value : object
        What was given. [-]
    words : Sequence[str]
        What it may be. [-]
    place : str
        Name of the field for a message. [-]
    any_word : bool
        Whether to take other words too, because somebody else knows them better. [-]

    Returns
    -------
    str
        The word as the table spells it. [-]
    """
    allowed = ", ".join(words)
    if not isinstance(value, str) or not value.strip():
        raise InputError(place, safe_to_show(value), allowed, "write one word of text")
    if any_word:
        return " ".join(value.split()).lower()
    tidy = "-".join(value.split()).replace("_", "-").lower()
    spelt = {word.lower(): word for word in words}
    if tidy in spelt:
        return spelt[tidy]
    guess = nearest(tidy[:_LONGEST], spelt)
    raise InputError(place, value, allowed, f"did you mean “{spelt[guess]}”?" if guess else "write one of these")


def read_count(value: object, low: int, high: int, place: str) -> int:
    """Return a whole number between two ends; raise `InputError` for anything else.

    Parameters
    ----------
    value : object
        A whole number, or text of one. [-]
    low : int
        Lowest. [-]
    high : int
        Highest. [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    int
        The number. [-]
    """
    allowed = f"a whole number from {low} to {high}"
    if isinstance(value, str) and re.fullmatch(r"\s*[0-9]{1,12}\s*", value):
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise InputError(place, safe_to_show(value), allowed, "write digits only, within that range")
    return value


def safe_to_show(value: object) -> object:
    """Return a value that an error may show: what is neither text, number nor yes/no is named by its kind.

    Parameters
    ----------
    value : object
        Anything a file can hold. [-]

    Returns
    -------
    object
        The value, or a phrase for it. [-]
    """
    if value is None:
        return Phrase("nothing")
    if isinstance(value, bool):
        return Phrase("true" if value else "false")
    if isinstance(value, int) and value.bit_length() > _LONGEST:
        return Phrase("a whole number of very many digits")
    if isinstance(value, (str, int, float)):
        return value
    names = {"list": "a list", "dict": "a table", "tuple": "a list"}
    return Phrase(names.get(type(value).__name__, f"a {type(value).__name__}"))
