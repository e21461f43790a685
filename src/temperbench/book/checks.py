"""What may enter the book: ids, words, texts, JSON, amounts. Whatever does not fit raises `InputError`."""

from __future__ import annotations

import json
import math
import re
import secrets
import unicodedata
from collections.abc import Callable
from types import UnionType

from temperbench.foundation.errors import InputError, OutOfRange, shown
from temperbench.foundation.units import Gram

__all__ = [
    "Json", "checked_currency", "checked_id", "checked_key", "checked_text", "checked_word", "folded", "from_json",
    "is_number", "new_id", "to_json", "to_milligrams",
]  # fmt: skip

Json = dict[str, "Json"] | list["Json"] | str | int | float | bool | None

_ID = re.compile(r"[0-9A-Za-z][0-9A-Za-z_-]{0,63}")
_WORD = re.compile(r"[a-z][a-z0-9 _.-]{0,63}")
_KEY = re.compile(r"[0-9A-Za-z][0-9A-Za-z :_.-]{0,127}")
_CURRENCY = re.compile(r"[A-Z]{3}")
_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford's: no I, L, O, U to be misread
_LONGEST_JSON = 1_000_000
_DEEPEST_JSON = 64
_HEAVIEST_G = 1e9  # a thousand tonnes: any more is a slip of the finger


def new_id(now_ms: int, random: Callable[[int], bytes] = secrets.token_bytes) -> str:
    """Make an id of 26 characters that sorts by time: 48 bits of milliseconds, then 80 of chance."""
    number = now_ms << 80 | int.from_bytes(random(10), "big")
    return "".join(_ALPHABET[number >> shift & 31] for shift in range(125, -1, -5))


def checked_id(field: str, value: object) -> str:
    """Return ``value`` when it can be an id: letters, digits, - and _, at most 64, no sign first."""
    if isinstance(value, str) and _ID.fullmatch(value):
        return value
    raise InputError(field, value, "1 to 64 letters, digits, - or _", "let the device make the id")


def checked_word(field: str, value: object) -> str:
    """Return ``value`` when it is a kind or a state: small letters, digits, blanks and ``_.-``, at most 64."""
    if isinstance(value, str) and _WORD.fullmatch(value):
        return value
    raise InputError(field, value, "1 to 64 small letters, digits, blanks or _.-", "use one of the known words")


def checked_key(field: str, value: object) -> str:
    """Return ``value`` when it can be the key of a setting: letters, digits, blanks and ``:_.-``, at most 128."""
    if isinstance(value, str) and _KEY.fullmatch(value):
        return value
    raise InputError(field, value, "1 to 128 letters, digits, blanks or :_.-", "use one of the known keys")


def checked_currency(field: str, value: object) -> str:
    """Return ``value`` when it has the form of a currency's code of three capitals."""
    if isinstance(value, str) and _CURRENCY.fullmatch(value):
        return value
    raise InputError(field, value, "three capitals, such as EUR", "write the currency's code")


def checked_text(field: str, value: object, longest: int = 200, *, empty: bool = False) -> str:
    """Return ``value`` when it is a text of one line that every database can keep."""
    allowed = f"{0 if empty else 1} to {longest} characters on one line"
    if not isinstance(value, str) or not (0 if empty else 1) <= len(value) <= longest:
        raise InputError(field, value if isinstance(value, str) else shown(value), allowed, "write it in other words")
    if any(unicodedata.category(letter) in {"Cc", "Cs"} for letter in value):
        raise InputError(field, ascii(value), allowed, "leave control characters out")
    return value


def folded(text: str) -> str:
    """Return a text for searching: no capitals, one form for each letter, single blanks."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _fault(value: object, depth: int = 0) -> str | None:
    """Tell why a value would not come back from JSON as it went in."""
    if depth > _DEEPEST_JSON:
        return f"it is nested more than {_DEEPEST_JSON} deep"
    if isinstance(value, float) and not math.isfinite(value):
        return "a number in it is not finite"
    if isinstance(value, dict):
        if not all(isinstance(key, str) for key in value):
            return "a name in it is not a text"
        return next((fault for item in value.values() if (fault := _fault(item, depth + 1))), None)
    if isinstance(value, list):
        return next((fault for item in value if (fault := _fault(item, depth + 1))), None)
    return None if isinstance(value, str | int | float | bool | None) else f"{type(value).__name__} is not JSON"


def to_json(field: str, value: object) -> str:
    """Return ``value`` as JSON in one fixed form: names sorted, no blanks, ASCII only.

    The same value always gives the same text, and the text always gives the same value back.
    """
    fault = _fault(value)
    if fault is None:
        text = json.dumps(value, ensure_ascii=True, allow_nan=False, sort_keys=True, separators=(",", ":"))
        if len(text) <= _LONGEST_JSON:
            return text
        fault = f"it has {len(text)} characters"
    raise InputError(field, value, f"JSON of at most {_LONGEST_JSON} characters with finite numbers", fault)


def from_json(text: str) -> Json:
    """Return the value of a kept JSON text."""
    found: Json = json.loads(text)
    return found


def is_number(value: object, kind: type | UnionType) -> bool:
    """Tell whether a value is a number of a kind; true and false are none."""
    return isinstance(value, kind) and not isinstance(value, bool)


def to_milligrams(field: str, grams: Gram) -> int:
    """Return grams as the whole milligrams the book adds up without rounding.

    Parameters
    ----------
    field
        What the amount is, for the error's sentence.
    grams
        The amount; negative when it leaves the shelf. [g]
    """
    if not (is_number(grams, int | float) and abs(grams) <= _HEAVIEST_G):
        raise OutOfRange(field, grams, f"{-_HEAVIEST_G:g} to {_HEAVIEST_G:g} g", "check the amount")
    return round(grams * 1000)
