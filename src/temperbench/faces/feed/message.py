"""One message of a probe: our own small JSON, other people's JSON by a mapping of its keys, or a plain number.

Nothing a device can send raises an error: what cannot be used becomes a `Refusal` with one sentence.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from temperbench.foundation.errors import InputError, nearest, one_of, shown
from temperbench.foundation.evidence import array
from temperbench.foundation.quantities import ZERO_CELSIUS_K
from temperbench.foundation.units import Celsius, Kelvin

__all__ = [
    "CLOCKS", "HOUSE", "LARGEST", "UNITS", "Message", "Refusal", "Shape", "checked_name", "from_fahrenheit",
    "parse_payload", "read_message", "read_object", "to_fahrenheit",
]  # fmt: skip

UNITS = ("C", "F", "K")
CLOCKS = ("ms", "s")
LARGEST = 65_536  # bytes of one payload, lists included
_NAME = re.compile(r"[0-9A-Za-z][0-9A-Za-z_-]*")
_NUMBER = re.compile(r"([+-]?(?:[0-9]{1,12}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12}))\s*°?\s*([CFKcfk]?)")
_PROBE_LETTERS, _BOWL_LETTERS = 40, 64
_LATEST_MS = 4.1e12  # the year 2099
_SECONDS = (1.0e9, 4.1e9)  # a date in seconds, from 2001 to 2099
_ISO_LETTERS = 40


@dataclass(frozen=True)
class Shape:
    """How a sender writes a message: names of its keys (a dot goes one level down), unit, scale, clock."""

    value: str = "celsius"
    unit: str = "C"
    scale: float = 1.0  # what is sent, times this, is degrees: 0.1 for tenths
    probe: str = "probe"
    at: str = "at"
    clock: str = "ms"  # what a time sent as a number counts
    bowl: str = "bowl"
    strict: bool = False  # refuse keys that are not known

    def __post_init__(self) -> None:
        """Refuse a mapping that could never read anything."""
        one_of("unit", self.unit, UNITS, "say what the probe sends")
        one_of("clock", self.clock, CLOCKS, "say what its time counts")
        if not (math.isfinite(self.scale) and self.scale != 0.0):
            raise InputError("scale", self.scale, "any number but 0", "leave it out when the probe sends degrees")
        for field, key in (("value", self.value), ("probe", self.probe), ("at", self.at), ("bowl", self.bowl)):
            if not key or not all(key.split(".")):
                raise InputError(field, key, "the name of a key", "write a dot only between two names")


HOUSE = Shape(strict=True)


@dataclass(frozen=True)
class Message:
    """What one message says."""

    probe: str
    celsius: Celsius
    digit: Kelvin  # the step of the last digit it was sent with
    at_ms: int | None = None  # by the probe's own clock, UTC
    bowl: str | None = None  # id of a run
    unit: str = "C"  # it was sent in


@dataclass(frozen=True)
class Refusal:
    """A message that cannot be used: one sentence that says why, and whose it was where that is known."""

    why: str
    probe: str | None = None


class _RefusedError(Exception):
    """Stops the reading of one message; never leaves this module."""


def to_fahrenheit(celsius: float) -> float:
    """Return a temperature in degrees Celsius as degrees Fahrenheit."""
    return 1.8 * celsius + 32.0


def from_fahrenheit(fahrenheit: float) -> float:
    """Return a temperature in degrees Fahrenheit as degrees Celsius."""
    return (fahrenheit - 32.0) / 1.8


def checked_name(field: str, name: object, letters: int = _PROBE_LETTERS) -> str:
    """Return the name of a probe, or the id of a run; raise `InputError` for what cannot be one."""
    if isinstance(name, str) and len(name) <= letters and _NAME.fullmatch(name):
        return name
    allowed = f"1 to {letters} letters, digits, - or _"
    raise InputError(field, name if isinstance(name, str) else shown(name), allowed, "give it a plain name")


def read_message(payload: bytes | str, shape: Shape = HOUSE, probe: str | None = None) -> Message | Refusal:
    """Read one message: a JSON object, or a plain number with or without its unit.

    Parameters
    ----------
    payload
        What came: UTF-8.
    shape
        How this sender writes.
    probe
        Whose message it is, when the channel already tells; a message that names another probe is refused.

    Returns
    -------
        The message, or why it cannot be used.
    """
    parsed = parse_payload(payload)
    if isinstance(parsed, Refusal):
        return Refusal(parsed.why, probe)
    if isinstance(parsed, list):
        return Refusal("A list came where one message was expected; send one message at a time here.", probe)
    return read_object(parsed, shape, probe)


def parse_payload(payload: bytes | str) -> object:
    """Return the JSON in a payload, numbers as `Decimal`; a plain number stays text; or a `Refusal`."""
    if len(payload) > LARGEST:
        return Refusal(f"The message has {len(payload)} bytes; send at most {LARGEST}.")
    try:
        text = (payload.decode("utf-8") if isinstance(payload, bytes) else payload).strip("\ufeff\0 \t\r\n")
    except UnicodeDecodeError:
        return Refusal("The message is not UTF-8 text; send JSON or a plain number.")
    if not text:
        return Refusal("The message is empty; send JSON or a plain number.")
    if text[0] not in '{["':
        return text
    try:
        return json.loads(text, parse_float=Decimal, parse_int=Decimal, parse_constant=_no_number)
    except (ValueError, RecursionError, ArithmeticError, _RefusedError):
        advice = "a decimal comma needs quotes, “31,4”" if re.search(r"\d,\d", text) else "check quotes and brackets"
        return Refusal(f"{shown(text)} is not JSON; {advice}.")


def _no_number(word: str) -> object:
    raise _RefusedError(word)


def read_object(found: object, shape: Shape = HOUSE, probe: str | None = None) -> Message | Refusal:
    """Read one message that was parsed already: an object of JSON, a number, or a number as text.

    Parameters
    ----------
    found
        The parsed JSON.
    shape
        How this sender writes.
    probe
        Whose message it is, when the channel already tells.

    Returns
    -------
        The message, or why it cannot be used.
    """
    try:
        if probe is not None:
            checked_name("probe", probe)
        if not isinstance(found, dict):
            if probe is None:
                raise _RefusedError("A plain number says not whose it is; name the probe in the address or the topic.")
            celsius, digit, unit = _celsius(found, shape, "value")
            return Message(probe, celsius, digit, unit=unit)
        if shape.strict:
            _known_keys(found, shape)
        named = _at(found, shape.probe)
        name = checked_name("probe", probe if named is None else named)
        if probe is not None and name != probe:
            raise _RefusedError(f"The message says it is of probe {shown(name)}, but it came by the way of {probe}.")
        bowl = _at(found, shape.bowl)
        run = None if bowl is None else checked_name("bowl", bowl, _BOWL_LETTERS)
        celsius, digit, unit = _celsius(_at(found, shape.value), shape, shape.value)
        return Message(name, celsius, digit, _time(_at(found, shape.at), shape), run, unit)
    except (_RefusedError, InputError) as fault:
        return Refusal(str(fault).encode("utf-8", "replace").decode("utf-8"), probe)  # halves of letters become ?
    except RecursionError:
        return Refusal("The message is nested too deep; send a flat object.", probe)


def _known_keys(found: dict[str, object], shape: Shape) -> None:
    known = [shape.probe, shape.value, shape.at, shape.bowl]
    for key in found:
        if key not in known:
            guess = nearest(key[:_PROBE_LETTERS], known)
            advice = f"did you mean “{guess}”?" if guess else "describe other people's keys in the settings"
            raise InputError("key", key, ", ".join(known), advice)


def _at(found: object, path: str) -> object:
    """Return what stands at a dotted path, None where nothing does; a whole key with dots in it goes first."""
    if isinstance(found, dict) and path in found:
        return found[path]
    for part in path.split("."):
        if not isinstance(found, dict):
            return None
        found = found.get(part)
    return found


def _celsius(found: object, shape: Shape, field: str) -> tuple[float, float, str]:
    """Return the temperature and the step of its last digit, both in degrees Celsius, and the unit it was sent in."""
    value, unit, digit = _figure(found, field)
    unit = unit or shape.unit
    degrees, step = value * shape.scale, digit * abs(shape.scale)
    celsius = from_fahrenheit(degrees) if unit == "F" else degrees - ZERO_CELSIUS_K if unit == "K" else degrees
    step = step / 1.8 if unit == "F" else step
    low, high = array("feed.bounds")
    if not low <= celsius <= high:  # also catches not-a-number
        raise InputError(field, shown(float(celsius)), f"{low:g} to {high:g} °C", "check unit and scale of this probe")
    return round(celsius, 6), step, unit


def _figure(found: object, field: str) -> tuple[float, str, float]:
    """Return a number, the unit written beside it if any, and the step of its last digit."""
    if found is None:
        raise _RefusedError(f"{field} is missing; send the temperature under this key.")
    if isinstance(found, str):
        match = _NUMBER.fullmatch(found.strip())
        if match is None:
            raise InputError(field, found, "a number such as 31.4 or 31,4", "send nothing else beside it")
        digits = match[1].replace(",", ".")
        return float(digits), match[2].upper(), _digit(Decimal(digits))
    if isinstance(found, bool) or not isinstance(found, int | float | Decimal):
        raise InputError(field, shown(found), "a number such as 31.4", "send the temperature alone")
    try:
        value = float(found)
    except (OverflowError, ValueError):
        value = math.inf
    if not math.isfinite(value):
        raise InputError(field, shown(found), "a finite number", "check the probe")
    return value, "", _digit(found if isinstance(found, Decimal) else Decimal(repr(found)))


def _digit(number: Decimal) -> float:
    """Return the step of the last digit as written: 0.1 for 31.4, 1 for 31."""
    exponent = number.as_tuple().exponent
    return 10.0 ** min(max(exponent, -12), 0) if isinstance(exponent, int) else 1.0


def _time(found: object, shape: Shape) -> int | None:
    """Return a moment in UTC milliseconds."""
    if found is None:
        return None
    if isinstance(found, str) and not _NUMBER.fullmatch(found.strip()):
        return _iso(found, shape.at)
    value, unit, _ = _figure(found, shape.at)
    if unit:
        raise InputError(shape.at, shown(found), "a time", "send milliseconds since 1970 or an ISO time")
    if shape.clock == "ms" and _SECONDS[0] <= value < _SECONDS[1]:
        raise InputError(shape.at, f"{value:.0f}", "milliseconds since 1970", "it looks like seconds: multiply by 1000")
    ms = value * (1000.0 if shape.clock == "s" else 1.0)
    if not 0.0 <= ms <= _LATEST_MS:
        raise InputError(shape.at, shown(value), f"{shape.clock} since 1970", "check the probe's clock")
    return round(ms)


def _iso(text: str, field: str) -> int:
    allowed = "an ISO time with its zone, such as 2026-03-14T09:26:53Z"
    try:
        moment = datetime.fromisoformat(text.strip()) if len(text) <= _ISO_LETTERS else None
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise InputError(field, text, allowed, "send UTC, with a Z at the end")
    try:
        ms = moment.timestamp() * 1000.0
    except (OverflowError, ValueError):
        ms = -1.0
    if not 0.0 <= ms <= _LATEST_MS:
        raise InputError(field, text, allowed, "check the probe's clock")
    return round(ms)
