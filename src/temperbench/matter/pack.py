"""Reads the figures printed on a pack of chocolate and refuses what cannot be true together.

Every refusal is one `InputError` that names the field, its value, what is allowed beside the other figures, and
what to do. Figures are % of the chocolate, which is the same as g per 100 g.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from temperbench.foundation.errors import InputError, OutOfRange, one_of
from temperbench.foundation.evidence import array, number

__all__ = [
    "BUTTERS", "CHOCOLATES", "KINDS", "NUT_PASTES", "PANEL_KEYS", "Pack", "kind_row", "read_butter", "read_kind",
    "read_pack",
]  # fmt: skip

CHOCOLATES = ("dark", "milk", "white")
NUT_PASTES = ("gianduja", "praline")
KINDS = (*CHOCOLATES, *NUT_PASTES, "plant-milk", "caramelised", "coloured-butter")
BUTTERS = ("soft", "medium", "hard")
PANEL_KEYS = ("fat", "carbohydrate", "sugars", "protein", "fibre", "salt")
_COMPARE = "compare both figures with the pack"


@dataclass(frozen=True)
class Pack:
    """The figures of one pack that fit together; None is not printed. % of the chocolate."""

    cocoa: float | None
    fat: float | None
    milk_fat: float | None
    sugars: float | None


def read_kind(kind: object) -> str:
    """Return the kind of chocolate or of another mass that is tempered; compound coating is refused with its reason.

    Parameters
    ----------
    kind : object
        What was given. [-]

    Returns
    -------
    str
        One of `KINDS`. [-]
    """
    word = _word("kind", kind, KINDS)
    if "compound" in word or "coating" in word:
        why = "melt it and use it as its maker says, because it has no cocoa butter to temper"
        raise InputError("kind", word, ", ".join(KINDS), why)
    return one_of("kind", word, KINDS)


def kind_row(what: str, kind: str) -> str:
    """Return the id of the row that says something of a kind.

    Parameters
    ----------
    what : str
        Such as window, melt or scorch. [-]
    kind : str
        One of `KINDS`. [-]

    Returns
    -------
    str
        Id of the row. [-]
    """
    return f"composition.{what}.{kind}" if kind in CHOCOLATES else f"material.{what}.{kind}"


def read_butter(butter: object) -> str | None:
    """Return the hardness of the cocoa butter.

    Parameters
    ----------
    butter : object
        What was given; None when it is not known. [-]

    Returns
    -------
    str | None
        soft, medium, hard or None. [-]
    """
    return None if butter is None else one_of("butter", _word("butter", butter, BUTTERS), BUTTERS)


def read_pack(
    kind: str,
    *,
    cocoa_pct: object = None,
    fat_pct: object = None,
    milk_fat_pct: object = None,
    sugars_pct: object = None,
    panel: object = None,
) -> Pack:
    """Check the figures of a pack one by one and against each other.

    Parameters
    ----------
    kind : str
        dark, milk or white, from `read_kind`. [-]
    cocoa_pct, fat_pct, milk_fat_pct, sugars_pct : object
        Printed figures, % of the chocolate; None when not printed. [-]
    panel : object
        Nutrition panel: a table of g per 100 g with keys from `PANEL_KEYS`; None when there is none. [-]

    Returns
    -------
    Pack
        The figures, those of the panel used where nothing else was given. [-]
    """
    found = _read_panel(panel)
    given = Pack(
        cocoa=_figure("cocoa_pct", cocoa_pct, kind_row("accepted.cocoa", kind)),
        fat=_either("fat_pct", _figure("fat_pct", fat_pct, _fat_row(kind)), found.get("fat")),
        milk_fat=_figure("milk_fat_pct", milk_fat_pct),
        sugars=_either("sugars_pct", _figure("sugars_pct", sugars_pct), found.get("sugars")),
    )
    if fat_pct is None and given.fat is not None:
        _figure("panel.fat", given.fat, _fat_row(kind))
    _check_milk_fat(kind, given)
    _check_sugars(kind, given)
    _check_cocoa(kind, given)
    return given


def _named(value: object) -> object:
    """Return a value that is safe to show in a message: what is no text and no number is named by its kind."""
    if isinstance(value, str | bool | float) or value is None:
        return value
    if isinstance(value, int):
        return value if value.bit_length() < 64 else "a number of very many digits"
    return f"a {type(value).__name__}"


def _word(field: str, value: object, known: tuple[str, ...]) -> str:
    if not isinstance(value, str):
        raise InputError(field, _named(value), ", ".join(known), "choose one of these")
    return " ".join(value.lower().split())


def _figure(field: str, value: object, limits: str = "") -> float | None:
    """Return a printed figure as a float within its limits, 0 to 100 % when none are named; None stays None."""
    if value is None:
        return None
    low, high = array(limits) if limits else (0.0, 100.0)
    allowed = f"{low:g} to {high:g} %"
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(field, _named(value), allowed, "write a number, % of the chocolate")
    if not low <= value <= high:
        raise OutOfRange(field, _named(value), allowed, "read the figure per 100 g off the pack, or leave it out")
    return float(value)


def _read_panel(panel: object) -> dict[str, float]:
    if panel is None:
        return {}
    if not isinstance(panel, Mapping):
        raise InputError("panel", _named(panel), "a table of figures", "give fat, sugars and so on, each per 100 g")
    found = {}
    for key, value in panel.items():
        name = one_of("panel", key if isinstance(key, str) else repr(key), PANEL_KEYS)
        figure = _figure(f"panel.{name}", value)
        if figure is not None:
            found[name] = figure
    slack = number("composition.label.slack")
    parts = [found[key] for key in ("fat", "carbohydrate", "protein") if key in found]
    total = math.fsum([*parts, found.get("salt", 0.0)])
    if total > 100.0 + slack:
        remedy = "check each figure; fat, carbohydrate, protein and salt are parts of the same 100 g"
        raise InputError("panel", f"{total:g} g together", "up to 100 g per 100 g", remedy)
    least = number("composition.label.least_panel")
    if len(parts) == 3 and total < least:
        remedy = "give the column per 100 g, not the one per portion"
        raise InputError("panel", f"{total:g} g together", f"{least:g} to 100 g per 100 g", remedy)
    if "carbohydrate" in found and found.get("sugars", 0.0) > found["carbohydrate"] + slack:
        allowed = f"0 to {found['carbohydrate']:g} g, the carbohydrate they are part of"
        raise InputError("panel.sugars", found["sugars"], allowed, _COMPARE)
    return found


def _either(field: str, given: float | None, in_panel: float | None) -> float | None:
    """Return whichever of two figures for one thing is there, and refuse two that differ."""
    if given is None or in_panel is None:
        return in_panel if given is None else given
    slack = number("composition.label.slack")
    if abs(given - in_panel) > slack:
        allowed = f"{in_panel - slack:g} to {in_panel + slack:g} % beside {in_panel:g} in the panel"
        raise InputError(field, given, allowed, "give the figure once")
    return given


def _fat_row(kind: str) -> str:
    return "composition.accepted.fat" if kind in CHOCOLATES else f"material.accepted.fat.{kind}"


def _check_milk_fat(kind: str, pack: Pack) -> None:
    if pack.milk_fat is None:
        return
    share = number(kind_row("most_milk_fat_share", kind))
    usual = "composition.fat.dark" if kind in NUT_PASTES else kind_row("fat", kind)
    fat = 100.0 * number(usual) if pack.fat is None else pack.fat
    if pack.milk_fat <= share * fat:
        return
    allowed = f"0 to {share * fat:.1f} % beside {fat:g} % fat in {kind}{' chocolate' if kind in CHOCOLATES else ''}"
    remedy = "check that it is the fat of the milk and not the milk solids"
    if pack.milk_fat > fat:
        remedy = "milk fat is part of the total fat, so it cannot be more"
    elif kind == "dark":
        remedy = "with that much milk fat call it milk chocolate, because it is tempered as one"
    raise InputError("milk_fat_pct", pack.milk_fat, allowed, remedy)


def _check_sugars(kind: str, pack: Pack) -> None:
    """Sugars share the chocolate with its fat, and with its cocoa."""
    if pack.sugars is None:
        return
    slack = number("composition.label.slack")
    least_fat = array(_fat_row(kind))[0]
    others = {
        "cocoa": pack.cocoa,
        "fat": pack.fat,
        f"fat, the least of any {kind} chocolate": least_fat if pack.fat is None else None,
    }
    for name, other in others.items():
        if other is not None and pack.sugars + other > 100.0 + slack:
            allowed = f"0 to {100.0 - other:g} % beside {other:g} % {name}"
            raise InputError("sugars_pct", pack.sugars, allowed, _COMPARE)


def _check_cocoa(kind: str, pack: Pack) -> None:
    """The fat is cocoa butter, which the cocoa on the pack includes, milk fat, and little else."""
    if pack.cocoa is None or pack.fat is None or kind in (*NUT_PASTES, "plant-milk", "coloured-butter"):
        return  # there other fats count too
    other = number("composition.other_fat")
    share = number(kind_row("most_milk_fat_share", kind))
    milk_fat = share * pack.fat if pack.milk_fat is None else pack.milk_fat
    most = pack.cocoa + milk_fat + other
    if pack.fat > most:
        allowed = f"up to {most:.1f} % beside {pack.cocoa:g} % cocoa and {milk_fat:.1f} % milk fat"
        raise InputError("fat_pct", pack.fat, allowed, _COMPARE)
    if kind in ("white", "caramelised") and pack.cocoa > pack.fat + number("composition.label.slack"):
        allowed = f"up to {pack.fat:g} % beside {pack.fat:g} % fat, because white chocolate has cocoa butter only"
        raise InputError("cocoa_pct", pack.cocoa, allowed, _COMPARE)
