"""A figure with its spread, and the masses and temperatures people write: read from text, shown as text.

Inside the package everything is grams or kilograms and degrees Celsius; ounces, pounds and Fahrenheit live
here only. A decimal comma and a decimal point mean the same. What could be read in two ways is refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Self

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import row
from temperbench.foundation.units import Celsius, Gram

__all__ = [
    "ZERO_CELSIUS_K", "Spread", "parse_celsius", "parse_grams", "positive", "show_celsius", "show_grams",
    "spread_of",
]  # fmt: skip

# Definitions, exact: the international pound of 1959 and the Fahrenheit degree.
_GRAMS_PER = {"g": 1.0, "kg": 1000.0, "lb": 453.59237, "oz": 453.59237 / 16.0}
ZERO_CELSIUS_K = 273.15  # 0 °C on the absolute scale
# Ends of what the parsers take at all; each use checks its own, narrower range afterwards.
_HOTTEST_C = 1000.0
_HEAVIEST_G = 1.0e6

_MASS_WORDS = {
    "": "g", "g": "g", "gr": "g", "gram": "g", "grams": "g", "gramme": "g", "grammes": "g",
    "kg": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz",
}  # fmt: skip
_HEAT_WORDS = {
    "": "C", "c": "C", "°c": "C", "ºc": "C", "° c": "C", "º c": "C", "°": "C", "℃": "C", "degc": "C",
    "celsius": "C",
    "f": "F", "°f": "F", "ºf": "F", "° f": "F", "º f": "F", "℉": "F", "degf": "F", "fahrenheit": "F",
}  # fmt: skip
_WRITTEN = re.compile(r"([+-]?)([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(.*)", re.DOTALL)
_GROUPED = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")  # 1,000 or 1.000: a thousand to some, one to others
_LONGEST = 40


@dataclass(frozen=True)
class Spread:
    """A figure not known exactly: the likely value and the ends between which estimation may draw."""

    low: float
    mid: float
    high: float

    def __post_init__(self) -> None:
        """Refuse ends that do not enclose the middle, and anything that is not a finite number."""
        if not (self.low <= self.mid <= self.high and math.isfinite(self.low) and math.isfinite(self.high)):
            raise ValueError(f"a spread needs low <= mid <= high, all finite; got {self}")

    @classmethod
    def exact(cls, x: float) -> Self:
        """Return the spread of a figure taken as known."""
        return cls(x, x, x)

    @property
    def is_exact(self) -> bool:
        """Whether both ends are the middle."""
        return self.low == self.high

    def scaled(self, factor: float) -> Spread:
        """Return the spread with all three figures multiplied by a factor that is zero or more."""
        return Spread(self.low * factor, self.mid * factor, self.high * factor)


def spread_of(key: str) -> Spread:
    """Return a row of evidence as a spread; a row without an end has its value there.

    Parameters
    ----------
    key : str
        Id of a row with a single figure. [-]

    Returns
    -------
    Spread
        Low, value and high of the row, in the row's own unit. [-]
    """
    found = row(key)
    if isinstance(found.value, tuple):
        raise TypeError(f"{key} is a list and has no single spread")
    value = float(found.value)
    low = value if found.low is None else float(found.low)
    high = value if found.high is None else float(found.high)
    return Spread(low, value, high)


def positive(field: str, value: float, unit: str, remedy: str) -> float:
    """Return ``value`` when it is finite and above zero; raise `OutOfRange` otherwise."""
    if not 0.0 < value < math.inf:  # also catches not-a-number
        raise OutOfRange(field, value, f"any number of {unit} above 0", remedy)
    return value


def parse_celsius(text: str, field: str) -> Celsius:
    """Read a temperature such as ``31,5``, ``31.5 °C`` or ``88 F``. Without a unit it is degrees Celsius.

    Parameters
    ----------
    text : str
        What the person wrote. [-]
    field : str
        Name of the field for the error message. [-]

    Returns
    -------
    Celsius
        The temperature. [°C]
    """
    remedy = "write for example 31.5, 31,5 °C or 88 °F"
    _, value, unit = _split(text, field, _HEAT_WORDS, "a number, alone or with °C or °F", remedy)
    celsius = (value - 32.0) / 1.8 if unit == "F" else value
    if not -ZERO_CELSIUS_K <= celsius <= _HOTTEST_C:
        raise OutOfRange(field, text, f"{-ZERO_CELSIUS_K:g} to {_HOTTEST_C:g} °C", "check number and unit")
    return celsius


def parse_grams(text: str, field: str) -> Gram:
    """Read a mass such as ``850``, ``1,2 kg``, ``2 lb`` or ``12 oz``. Without a unit it is grams.

    ``1,000`` and ``1.000`` without a unit, in grams or in ounces are refused: they are a thousand to some and
    one to others.

    Parameters
    ----------
    text : str
        What the person wrote. [-]
    field : str
        Name of the field for the error message. [-]

    Returns
    -------
    Gram
        The mass, above zero. [g]
    """
    remedy = "write for example 850, 1.2 kg, 2 lb or 12 oz"
    digits, value, unit = _split(text, field, _MASS_WORDS, "a number, alone or with g, kg, oz or lb", remedy)
    if unit in ("g", "oz") and _GROUPED.fullmatch(digits):
        plain = re.sub(r"[.,]", "", digits)
        advice = f"write {plain} for the large one or {digits[:-2]} for the small one"
        raise InputError(field, text, "a number that can be read in one way only", advice)
    grams = value * _GRAMS_PER[unit]
    if not 0.0 < grams <= _HEAVIEST_G:
        raise OutOfRange(field, text, f"more than 0 and up to {_HEAVIEST_G:.0f} g", "check number and unit")
    return grams


def show_celsius(value: Celsius, *, fahrenheit: bool = False) -> str:
    """Write a temperature with its unit: one decimal in °C, whole degrees in °F.

    Parameters
    ----------
    value : Celsius
        Temperature. [°C]
    fahrenheit : bool
        Whether to write degrees Fahrenheit instead. [-]

    Returns
    -------
    str
        Text that `parse_celsius` reads back. [-]
    """
    written = f"{round(value * 1.8 + 32.0) + 0} °F" if fahrenheit else f"{round(value, 1) + 0.0:.1f} °C"
    return written.replace("-", "−")


def show_grams(value: Gram, *, ounces: bool = False) -> str:
    """Write a mass with its unit: whole grams from 10 g, one decimal below; ounces with one decimal.

    Parameters
    ----------
    value : Gram
        Mass. [g]
    ounces : bool
        Whether to write ounces instead. [-]

    Returns
    -------
    str
        Text that `parse_grams` reads back, unless the mass rounds to nothing. [-]
    """
    if ounces:
        return f"{value / _GRAMS_PER['oz']:.1f} oz"
    return f"{value:.0f} g" if value >= 10.0 else f"{value:.1f} g"


def _split(text: str, field: str, words: dict[str, str], allowed: str, remedy: str) -> tuple[str, float, str]:
    """Return the digits as written, their number and the unit meant; raise `InputError` for anything else."""
    tidy = " ".join(text.split()).replace("−", "-")
    found = _WRITTEN.fullmatch(tidy) if len(tidy) <= _LONGEST else None
    if found is None:
        raise InputError(field, text, allowed, remedy)
    sign, digits, rest = found.groups()
    unit = words.get(rest.strip().rstrip(".").lower())
    if unit is None:
        raise InputError(field, text, allowed, remedy)
    value = float(digits.replace(",", "."))
    return digits, -value if sign == "-" else value, unit
