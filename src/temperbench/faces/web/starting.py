"""The start page's questions: the methods to choose from, what each asks, what is proposed, and errors in its words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from temperbench.app.remembered import METHODS_USED
from temperbench.faces.web.looks import Look
from temperbench.foundation.errors import InputError, NotGiven
from temperbench.foundation.quantities import parse_grams

__all__ = ["KINDS", "METHODS", "OWN", "SEEDS", "Proposed", "in_form_words", "method_of"]

METHODS = {
    "microwave": ("Microwave", "bursts; keeps the crystals of glossy stock"),
    "bath": ("Warm bath", "glossy stock, part-melted over warm water"),
    "cabinet": ("Warm cabinet", "glossy stock, part-melted overnight"),
    "kettle": ("Holding kettle", "glossy stock, stirred at a set-point"),
    "seed": ("Melt, then seed", "any stock; with buttons, a block or butter"),
    "tabling": ("Tabling", "any stock; part of it is cooled on a slab"),
    "cold-bowl": ("Cold bowl", "any stock; stirred over cold water, no seed"),
}
SEEDS = {
    "buttons": ("Buttons", "in temper, glossy"),
    "block": ("A block", "taken out when it has done"),
    "butter-crystals": ("Cocoa butter crystals", "a powder, about 1 %"),
    "ripened-butter": ("Creamy cocoa butter", "ripened and kept warm"),
}
KINDS = {
    "dark": ("Dark", ""), "milk": ("Milk", "contains milk"), "white": ("White", "contains milk"),
    "gianduja": ("Gianduja", "contains nuts"), "praline": ("Praliné", "contains nuts, with cocoa butter"),
    "plant-milk": ("Plant-milk", "see the pack for its allergens"),
    "caramelised": ("Caramelised white", "contains milk"), "coloured-butter": ("Coloured cocoa butter", "fat only"),
}  # fmt: skip
OWN = {  # what each method asks: the name on the form and the key of the job it answers
    "microwave": {"oven_w": "oven_w"},
    "bath": {"bath_c": "bath_c", "bath_l": "bath_l"},
    "cabinet": {"cabinet_c": "cabinet_c"},
    "kettle": {"kettle_w": "kettle_w", "kettle_l": "kettle_l", "kettle_wall_c": "kettle_wall_c",
               "kettle_stirs": "kettle_stirs"},
    "seed": {"seed_with": "seed_with", "seed_c": "seed_c", "melt_c": "melt_c"},
    "tabling": {"slab": "slab", "slab_mm": "slab_mm", "slab_m2": "slab_m2", "slab_c": "slab_c", "melt_c": "melt_c"},
    "cold-bowl": {"cold_c": "bath_c", "melt_c": "melt_c"},
}  # fmt: skip
_AMOUNT_G = 1000.0
_OUNCE_G = 28.349523125
_METHOD_SEED = " (method seed)"


def method_of(form: Mapping[str, str]) -> str:
    """Return the method that was chosen; the microwave when none was, and any word as it is, to be refused by name."""
    return form.get("method", "").strip()[:40] or next(iter(METHODS))


@dataclass(frozen=True)
class Proposed:
    """What stands in the fields before a cook changes anything: what was just typed, or else what was used last."""

    given: Mapping[str, str]
    last: Mapping[str, object]

    @property
    def method(self) -> str:
        """The method that is chosen."""
        known = self.given.get("method") or str(self.last.get("method") or "")
        return known if known in METHODS else method_of({})

    def of(self, method: str, name: str, otherwise: str = "") -> str:
        """Return what stands in a field that one method asks."""
        if name in self.given:
            return self.given[name]
        used = self.last.get(METHODS_USED)
        own = used.get(method) if isinstance(used, Mapping) else None
        value = own.get(OWN[method].get(name, name)) if isinstance(own, Mapping) else None
        return otherwise if value in (None, "") else str(value)

    def grams(self, look: Look) -> str:
        """Return the amount as the device's unit shows it."""
        if self.given.get("grams"):
            return self.given["grams"]
        try:
            grams = parse_grams(str(self.last.get("grams", _AMOUNT_G)), "Amount")
        except InputError:
            grams = _AMOUNT_G
        return f"{grams / _OUNCE_G:.1f}" if look.ounces else f"{grams:.0f}"


def in_form_words(trouble: InputError) -> InputError:
    """Return a trouble with the job as a page says it: fields to fill in and methods to choose, not options.

    Parameters
    ----------
    trouble : InputError
        As the check of a job raised it. [-]

    Returns
    -------
    InputError
        The same field, value and range, with a remedy for this form. [-]
    """
    if isinstance(trouble, NotGiven) and trouble.remedy.startswith("add --"):
        return NotGiven(trouble.field, trouble.value, trouble.allowed, "fill it in below")
    remedy = trouble.remedy.replace(_METHOD_SEED, f", which is the method “{METHODS['seed'][0]}”")
    if remedy == trouble.remedy:
        return trouble
    kind = NotGiven if isinstance(trouble, NotGiven) else InputError
    return kind(trouble.field, trouble.value, trouble.allowed, remedy)
