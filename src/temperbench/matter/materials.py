"""Masses that are tempered like chocolate: nut pastes, plant-milk and caramelised chocolate, coloured cocoa butter.

To the model they differ in how much of their fat is soft. Nut oil counts as milk fat does: it is liquid, thins the
cocoa butter out and moves its curve down. What that leaves open is said in the warnings, and in docs/model.md.
"""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.matter.pack import NUT_PASTES, Pack

__all__ = ["ALLERGENS", "NAMES", "Softened", "check_nuts", "doubts", "material_fat"]

NAMES = {
    "dark": "dark chocolate", "milk": "milk chocolate", "white": "white chocolate", "gianduja": "gianduja",
    "praline": "praliné", "plant-milk": "plant-milk chocolate", "caramelised": "caramelised white chocolate",
    "coloured-butter": "coloured cocoa butter",
}  # fmt: skip
ALLERGENS = {
    "gianduja": "Holds nuts, often milk and soya: name the nut on every label; own bowl, spatula and moulds, "
    "and nut masses last in the day.",
    "praline": "Holds nuts, often milk, soya or sesame: name the nut on every label; own bowl, spatula and moulds, "
    "and nut masses last in the day.",
    "plant-milk": "May hold oats (gluten), nuts, soya or coconut: read the pack. Free of milk only where nothing with "
    "milk touched bowl, tools and moulds.",
    "caramelised": "Holds milk, and soya as a rule.",
    "coloured-butter": "Colours for food only, within the maker's dose; some need a warning on the label. May carry "
    "milk or soya from the line.",
}


@dataclass(frozen=True)
class Softened:
    """Fat of a mass, how much of it is an oil that is neither cocoa butter nor milk fat, and what was typical."""

    fat: Spread  # kg per kg
    oil_share: Spread  # kg oil per kg fat
    told: tuple[str, ...]  # in plain words
    sources: tuple[str, ...]


def check_nuts(kind: str, nut_pct: float | None) -> None:
    """Refuse a nut share where there are no nuts, and one with which nothing is cast.

    Parameters
    ----------
    kind : str
        Kind of mass. [-]
    nut_pct : float | None
        Nuts, % of the whole. [-]
    """
    if nut_pct is None:
        return
    if kind not in NUT_PASTES:
        allowed = f"nothing for {NAMES[kind]}, which has no nut paste in it"
        raise InputError("nut_pct", nut_pct, allowed, "call the mass gianduja or praline, or leave it out")
    low, high = array("material.accepted.nuts")
    if not low <= nut_pct <= high:
        remedy = "count the nuts alone, without the sugar of the paste"
        raise OutOfRange("nut_pct", nut_pct, f"{low:g} to {high:g} %", remedy)


def material_fat(kind: str, pack: Pack, nut_pct: float | None) -> Softened:
    """Return the fat of a mass and the share of it that is oil, from its pack and its nuts, or typical of its kind.

    Parameters
    ----------
    kind : str
        A kind that is not dark, milk or white. [-]
    pack : Pack
        Figures of the pack. [-]
    nut_pct : float | None
        Nuts, % of the whole. [-]

    Returns
    -------
    Softened
        Fat, oil share, what was taken as typical. [-]
    """
    if kind in NUT_PASTES:
        return _nut_paste(kind, pack, nut_pct)
    oil, row = spread_of(f"material.oil.{kind}"), f"material.oil.{kind}"
    told = [] if oil.is_exact else [f"oil {_percent(oil)} of the fat, typical of {NAMES[kind]}"]
    if pack.fat is not None:
        return Softened(_printed(pack.fat), oil, tuple(told), (row,))
    fat, fat_row = spread_of(f"material.fat.{kind}"), f"material.fat.{kind}"
    return Softened(fat, oil, (f"total fat {_percent(fat)}, typical of {NAMES[kind]}", *told), (fat_row, row))


def _nut_paste(kind: str, pack: Pack, nut_pct: float | None) -> Softened:
    """Add nut oil and cocoa butter; a printed fat stands, and the nuts say how much of it is oil."""
    nuts, rows, told = spread_of(f"material.nuts.{kind}"), ["material.nut_fat"], []
    if nut_pct is None:
        rows.append(f"material.nuts.{kind}")
        told.append(f"nuts {_percent(nuts)}, typical of {NAMES[kind]}")
    else:
        nuts = _printed(nut_pct)
    nut_fat, other = spread_of("material.nut_fat"), spread_of(f"material.cocoa_butter.{kind}")
    oil = Spread(nuts.low * nut_fat.low, nuts.mid * nut_fat.mid, nuts.high * nut_fat.high)
    if pack.fat is not None:
        fat = _printed(pack.fat)
        _check_oil(oil, fat, nut_pct, kind)
        share = Spread(oil.low / fat.high, min(oil.mid / fat.mid, 1.0), min(oil.high / fat.low, 1.0))
    else:
        rows.append(f"material.cocoa_butter.{kind}")
        butter = _butter(kind, nuts, other)
        fat = Spread(nuts.low * nut_fat.mid + butter.low, oil.mid + butter.mid, nuts.high * nut_fat.mid + butter.high)
        told.append(f"total fat {_percent(fat)}, of nuts and {NAMES['dark'] if kind == 'gianduja' else 'cocoa butter'}")
        share = Spread(*(o / (o + butter.mid) for o in (oil.low, oil.mid, oil.high)))
    most = number("material.most_soft")
    if share.low > most:
        allowed = f"nuts whose oil is at most {100.0 * most:.0f} % of the fat"
        raise InputError("nut_pct", nut_pct, allowed, "add cocoa butter, or use it as a filling that does not set")
    share = Spread(share.low, min(share.mid, most), min(share.high, most))
    told.append(f"nut oil {_percent(share)} of the fat")
    return Softened(fat, share, tuple(told), tuple(rows))


def _butter(kind: str, nuts: Spread, other: Spread) -> Spread:
    """Cocoa butter in the whole: that of the chocolate beside the nuts, or what was added to a paste."""
    if kind == "praline":
        return other
    return Spread(other.low * (1.0 - nuts.high), other.mid * (1.0 - nuts.mid), other.high * (1.0 - nuts.low))


def _check_oil(oil: Spread, fat: Spread, nut_pct: float | None, kind: str) -> None:
    if oil.low <= fat.high:
        return
    if nut_pct is None:
        allowed = f"{100.0 * oil.low:.0f} % and more, the oil of its nuts alone"
        raise InputError("fat_pct", 100.0 * fat.mid, allowed, f"check the figure, or give the nuts of the {kind}")
    allowed = f"nuts with no more than the {100.0 * fat.mid:g} % fat of the whole"
    raise InputError("nut_pct", nut_pct, allowed, "check both figures against the recipe")


def doubts(kind: str, soft: Spread) -> tuple[tuple[str, str], ...]:
    """Return what is doubtful about a mass, as codes and texts.

    Parameters
    ----------
    kind : str
        Kind of mass. [-]
    soft : Spread
        Soft fat over all fat. [-]

    Returns
    -------
    tuple[tuple[str, str], ...]
        Stable code and text for people. [-]
    """
    found = []
    trusted = number("material.trusted_soft")
    if soft.mid > trusted:
        text = (
            f"About {100.0 * soft.mid:.0f} % of the fat is soft. How far it moves the melting is known up to "
            f"{100.0 * trusted:.0f} % and carried on from there: the temperatures given may be off by a degree or two, "
            "so trust the setting test."
        )
        found.append(("soft-fat", text))
    if kind in NUT_PASTES:
        low, high = array(f"material.window.{kind}")
        text = f"Practice casts nut pastes at {low:.0f} to {high:.0f} °C; the window here follows from this one's fat."
        found.append(("nut-window", text))
    if kind == "plant-milk":
        text = "Plant-milk chocolates differ from maker to maker in fat and oil: the window on the pack comes first."
        found.append(("plant-milk", text))
    if kind == "caramelised":
        text = "Caramelised white chocolate has lost water and is stiffer than white: thin it with cocoa butter."
        found.append(("stiff-white", text))
    if kind == "coloured-butter":
        text = (
            "Pure cocoa butter has no sugar to start crystals on, and little mass to hold its warmth: stir and judge "
            "it often, and work small amounts. Part-melted it holds many crystals and thickens within minutes in its "
            "window; melted fully and seeded with butter crystals it stays thin for longer."
        )
        found.append(("fat-alone", text))
    return tuple(found)


def _percent(share: Spread) -> str:
    low, mid, high = (f"{100.0 * x:.0f}" for x in (share.low, share.mid, share.high))
    return f"{mid} % ({low} to {high})"


def _printed(percent: float) -> Spread:
    """Return a printed figure as a share with the spread of its rounding."""
    rounding = number("composition.label.rounding")
    return Spread(max(percent - rounding, 0.0) / 100.0, percent / 100.0, min(percent + rounding, 100.0) / 100.0)
