"""How one device wants to see things: its theme and its units, and every text of the engine told in them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from temperbench.foundation.quantities import show_grams

__all__ = ["COOKIE", "Look", "look_of", "told"]

COOKIE = "temperbench_look"
_THEMES = ("auto", "light", "dark", "contrast")
_STEP_C = 10.0  # texts about a bowl write differences below this and temperatures above it
_HEAT = re.compile(r"(−?\d+(?:\.\d+)?)(?: (to) (−?\d+(?:\.\d+)?))? °C(?: \((−?\d+(?:\.\d+)?) to (−?\d+(?:\.\d+)?)\))?")
_MASS = re.compile(r"(?<![\d.,])(\d+(?:\.\d+)?) g(?![\w/])")


@dataclass(frozen=True)
class Look:
    """Theme and units of a device."""

    theme: str = "auto"
    fahrenheit: bool = False
    ounces: bool = False

    @property
    def drawing(self) -> str:
        """Theme of drawings for a device that has not said which one it shows."""
        return "light" if self.theme == "auto" else self.theme

    def drawn(self, draw: Callable[[str], str]) -> str:
        """Return a drawing in this device's theme; where the device decides, by day and by night, and CSS shows one."""
        if self.theme != "auto":
            return draw(self.theme)
        return f'<div class="by-day">{draw("light")}</div><div class="by-night">{draw("dark")}</div>'

    def grams(self, value: float) -> str:
        """Write a mass in this device's unit."""
        return show_grams(value, ounces=self.ounces)


def look_of(cookies: Mapping[str, str]) -> Look:
    """Return the look a device has chosen; anything unknown counts as not chosen."""
    theme, _, rest = cookies.get(COOKIE, "").partition(".")
    heat, _, mass = rest.partition(".")
    return Look(theme if theme in _THEMES else "auto", heat == "F", mass == "oz")


def told(text: str, look: Look) -> str:
    """Return a text of the engine with its temperatures and masses in a device's units.

    Parameters
    ----------
    text : str
        Plain words with figures such as "32.1 °C (31.5 to 32.8)" and "40 g". [-]
    look : Look
        The device's units. [-]

    Returns
    -------
    str
        The same words. [-]
    """
    if look.fahrenheit:
        text = _HEAT.sub(_fahrenheit, text)
    return _MASS.sub(lambda m: show_grams(float(m[1]), ounces=True), text) if look.ounces else text


def _fahrenheit(found: re.Match[str]) -> str:
    one, _, other, low, high = found.groups()
    text = _in_f(one) + (f" to {_in_f(other)}" if other else "") + " °F"
    return text + (f" ({_in_f(low)} to {_in_f(high)})" if low else "")


def _in_f(number: str) -> str:
    celsius = float(number.replace("−", "-"))
    value = celsius * 1.8 + (32.0 if celsius >= _STEP_C else 0.0)
    return f"{value:.1f}".replace("-", "−")
