"""How one device wants to see things: its theme and its units, and every text of the engine told in them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from temperbench.foundation.quantities import show_grams

__all__ = ["COOKIE", "Look", "commas_in", "look_of", "told", "unbroken"]

COOKIE = "temperbench_look"
_THEMES = ("auto", "light", "dark", "contrast")
_NUMBER = r"−?\d+(?:\.\d+)?"
_HEAT = re.compile(
    r"(?P<by>\b(?:by|within) (?:about )?)?"  # a difference, as is what is so much too high, low, warmer or cooler
    rf"(?P<one>{_NUMBER})(?: to (?P<other>{_NUMBER}))? (?P<unit>°C|K\b)"
    r"(?P<off>/min| (?:too|high|low|warmer|cooler)\b)?"
    rf"(?: \((?P<low>{_NUMBER}) to (?P<high>{_NUMBER})\))?"
)
_MASS = re.compile(r"(?<![\d.,])((?:\d+(?:\.\d+)? (?:\+|to) )*)(\d+(?:\.\d+)?) g(?![\w/])")
_BOUND = re.compile(r"(?<=\d) (?=(?:°C|°F|g|oz|s|min|h)(?!\w))|(?:(?<=\badd)|(?<=\bwarm)) (?=\d)")
_DECIMAL = re.compile(r"(?<![\w.])(\d+)\.(\d+)(?!\.?\w)")  # no address, no token, no version
_WORDS = re.compile(r">[^<]+<")


@dataclass(frozen=True)
class Look:
    """Theme, units and decimal mark of a device."""

    theme: str = "auto"
    fahrenheit: bool = False
    ounces: bool = False
    comma: bool = False

    @property
    def drawing(self) -> str:
        """Theme of drawings for a device that has not said which one it shows."""
        return "light" if self.theme == "auto" else self.theme

    def drawn(self, draw: Callable[[str], str]) -> str:
        """Return a drawing in this device's theme; where the device decides, by day and by night, and CSS shows one."""
        if self.theme != "auto":
            return self.drawing_of(draw(self.theme))
        day, night = self.drawing_of(draw("light")), self.drawing_of(draw("dark"))
        return f'<div class="by-day">{day}</div><div class="by-night">{night}</div>'

    def drawing_of(self, svg: str) -> str:
        """Return a drawing with this device's decimal mark in its words."""
        return commas_in(svg) if self.comma else svg

    def written(self, text: str) -> str:
        """Return a text with this device's decimal mark."""
        return _DECIMAL.sub(r"\1,\2", text) if self.comma else text

    def grams(self, value: float) -> str:
        """Write a mass in this device's unit."""
        return self.written(show_grams(value, ounces=self.ounces))


def look_of(cookies: Mapping[str, str]) -> Look:
    """Return the look a device has chosen; anything unknown counts as not chosen."""
    theme, _, rest = cookies.get(COOKIE, "").partition(".")
    heat, _, rest = rest.partition(".")
    mass, _, decimals = rest.partition(".")
    return Look(theme if theme in _THEMES else "auto", heat == "F", mass == "oz", decimals == "comma")


def commas_in(svg: str) -> str:
    """Return a drawing whose words have decimal commas; its coordinates stay as they are."""
    return _WORDS.sub(lambda found: _DECIMAL.sub(r"\1,\2", found[0]), svg)


def told(text: str, look: Look) -> str:
    """Return a text of the engine with its temperatures and masses in a device's units, and its decimal mark.

    Parameters
    ----------
    text : str
        Plain words with figures such as "32.1 °C (31.5 to 32.8)", "by 0.5 °C" for a difference, and "40 + 20 g". [-]
    look : Look
        The device's units. [-]

    Returns
    -------
    str
        The same words. [-]
    """
    if look.fahrenheit:
        text = _HEAT.sub(_fahrenheit, text)
    return look.written(_MASS.sub(_ounces, text) if look.ounces else text)


def unbroken(text: str) -> str:
    """Return a text whose lines break neither before a unit nor between "warm" or "add" and its figure."""
    return _BOUND.sub("\N{NO-BREAK SPACE}", text)


def _fahrenheit(found: re.Match[str]) -> str:
    apart = found["unit"] == "K" or found["by"] is not None or found["off"] is not None
    text = (found["by"] or "") + _in_f(found["one"], apart)
    text += (f" to {_in_f(found['other'], apart)}" if found["other"] else "") + " °F" + (found["off"] or "")
    return text + (f" ({_in_f(found['low'], apart)} to {_in_f(found['high'], apart)})" if found["low"] else "")


def _in_f(number: str, apart: bool) -> str:
    """Write a temperature, or how far two are apart, in °F."""
    value = float(number.replace("−", "-")) * 1.8 + (0.0 if apart else 32.0)
    return f"{value:.1f}".replace("-", "−")


def _ounces(found: re.Match[str]) -> str:
    before = re.sub(r"\d+(?:\.\d+)?", lambda m: show_grams(float(m[0]), ounces=True).removesuffix(" oz"), found[1])
    return before + show_grams(float(found[2]), ounces=True)
