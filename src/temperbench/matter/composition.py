"""What a chocolate is, as far as its pack tells, and the temperatures its kind is used at.

What the pack does not tell becomes a range carried as uncertainty, said in plain words in ``defaults_used``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Celsius
from temperbench.matter.materials import NAMES, check_nuts, doubts, material_fat
from temperbench.matter.pack import CHOCOLATES, Pack, kind_row, read_butter, read_kind, read_pack

__all__ = [
    "Chocolate",
    "chocolate_from_pack",
    "full_melt",
    "practice_ceiling",
    "scorch_alarm",
    "working_window",
]

_NOTHING = Spread(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Chocolate:
    """One chocolate as the engine needs it: figures with their spreads, and what had to be taken as typical."""

    kind: str  # one of temperbench.matter.pack.KINDS
    fat: Spread  # total fat, kg per kg chocolate
    milk_fat_share: Spread  # milk fat, kg per kg total fat
    butter: str | None  # hardness of the cocoa butter: soft, medium, hard; None is not known
    growth_factor: Spread  # speed of crystal growth relative to plain cocoa butter
    oil_share: Spread = _NOTHING  # oil of nuts or plants, kg per kg total fat
    cp: Spread | None = None  # specific heat where it is not that of chocolate, J/(kg·K)
    defaults_used: tuple[str, ...] = ()  # in plain words
    warnings: tuple[tuple[str, str], ...] = ()  # stable code, text for people
    sources: tuple[str, ...] = ()  # ids of the rows behind the defaults

    @property
    def soft_share(self) -> Spread:
        """Milk fat and oil together, kg per kg total fat: what thins the cocoa butter out."""
        milk, oil = self.milk_fat_share, self.oil_share
        if oil.high == 0.0:
            return milk
        most = number("material.most_soft")
        return Spread(*(min(m + o, most) for m, o in ((milk.low, oil.low), (milk.mid, oil.mid), (milk.high, oil.high))))

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return NAMES[self.kind]


def working_window(kind: str) -> tuple[Celsius, Celsius]:
    """Return the temperatures between which a kind is worked.

    Parameters
    ----------
    kind : str
        One of `temperbench.matter.pack.KINDS`. [-]

    Returns
    -------
    tuple[Celsius, Celsius]
        From and to. [°C]
    """
    return _pair("window", kind)


def practice_ceiling(kind: str) -> tuple[Celsius, Celsius]:
    """Return what cooks say a kind must never pass if the temper is to survive.

    Parameters
    ----------
    kind : str
        One of `temperbench.matter.pack.KINDS`. [-]

    Returns
    -------
    tuple[Celsius, Celsius]
        The lower and the higher of the figures in use. [°C]
    """
    return _pair("ceiling", kind)


def full_melt(kind: str) -> tuple[Celsius, Celsius]:
    """Return the temperatures to which a kind is brought to melt every crystal.

    Parameters
    ----------
    kind : str
        One of `temperbench.matter.pack.KINDS`. [-]

    Returns
    -------
    tuple[Celsius, Celsius]
        From and to. [°C]
    """
    return _pair("melt", kind)


def scorch_alarm(kind: str) -> Celsius:
    """Return the temperature that no part of the bowl may pass at any time.

    Parameters
    ----------
    kind : str
        One of `temperbench.matter.pack.KINDS`. [-]

    Returns
    -------
    Celsius
        Alarm temperature. [°C]
    """
    return number(kind_row("scorch", read_kind(kind)))


def chocolate_from_pack(
    kind: str,
    *,
    cocoa_pct: float | None = None,
    fat_pct: float | None = None,
    milk_fat_pct: float | None = None,
    sugars_pct: float | None = None,
    nut_pct: float | None = None,
    butter: str | None = None,
    panel: dict[str, float] | None = None,
    baking_drops: bool = False,
) -> Chocolate:
    """Return a chocolate from what is printed on its pack; figures that contradict each other are refused.

    Parameters
    ----------
    kind : str
        One of `temperbench.matter.pack.KINDS`. [-]
    cocoa_pct : float | None
        Cocoa printed on the pack, % of the chocolate. [-]
    fat_pct : float | None
        Total fat, % of the chocolate. [-]
    milk_fat_pct : float | None
        Milk fat, % of the chocolate. [-]
    sugars_pct : float | None
        Sugars, % of the chocolate; used to refuse figures that do not fit and to narrow an unknown fat. [-]
    nut_pct : float | None
        Nuts of a nut paste, % of the whole. [-]
    butter : str | None
        Hardness of the cocoa butter: soft, medium or hard. [-]
    panel : dict[str, float] | None
        Nutrition panel, g per 100 g: fat, carbohydrate, sugars, protein, fibre, salt. [-]
    baking_drops : bool
        Whether these are drops made to keep their shape in the oven. [-]

    Returns
    -------
    Chocolate
        The chocolate, with what was taken as typical and what to be warned of. [-]
    """
    kind, butter = read_kind(kind), read_butter(butter)
    pack = read_pack(
        kind, cocoa_pct=cocoa_pct, fat_pct=fat_pct, milk_fat_pct=milk_fat_pct, sugars_pct=sugars_pct, panel=panel
    )
    check_nuts(kind, nut_pct)
    if kind not in CHOCOLATES:
        return _material(kind, pack, nut_pct, butter)
    return _plain(kind, pack, butter, bool(baking_drops))


def _plain(kind: str, pack: Pack, butter: str | None, baking_drops: bool) -> Chocolate:
    """Return a dark, milk or white chocolate."""
    fat, fat_row, of_what = _fat(kind, pack, baking_drops)
    share, share_row, of_which = _milk_fat_share(kind, pack, fat)
    told = [f"total fat {_percent(fat)}, typical of {of_what}"] if fat_row else []
    told += [f"milk fat {_percent(share)} of the fat, typical of {of_which}"] if share_row else []
    if butter is None:
        told.append("cocoa butter of unknown hardness: medium (soft to hard)")
    growth = f"kinetics.growth_factor.{kind}"
    return Chocolate(kind, fat, share, butter, spread_of(growth), defaults_used=tuple(told),
                     warnings=_warnings(fat, baking_drops),
                     sources=tuple(row for row in (fat_row, share_row, growth) if row))  # fmt: skip


def _material(kind: str, pack: Pack, nut_pct: float | None, butter: str | None) -> Chocolate:
    """Return a mass that is not plain chocolate."""
    softened = material_fat(kind, pack, nut_pct)
    milk, told, rows = spread_of(f"material.milk.{kind}"), list(softened.told), list(softened.sources)
    if pack.milk_fat is not None:
        part = _printed(pack.milk_fat)
        milk = Spread(part.low / softened.fat.high, part.mid / softened.fat.mid, part.high / softened.fat.low)
    else:
        rows.append(f"material.milk.{kind}")
        if not milk.is_exact:
            told.append(f"milk fat {_percent(milk)} of the fat, typical of {NAMES[kind]}")
    if butter is None:
        told.append("cocoa butter of unknown hardness: medium (soft to hard)")
    growth, heat = f"material.growth.{kind}", f"material.cp.{kind}"
    cp = spread_of(heat) if kind == "coloured-butter" else None
    made = Chocolate(kind, softened.fat, milk, butter, spread_of(growth), softened.oil_share, cp, tuple(told), (),
                     tuple(dict.fromkeys([*rows, growth])))  # fmt: skip
    return replace(made, warnings=doubts(kind, made.soft_share))


def _pair(what: str, kind: str) -> tuple[float, float]:
    low, high = array(kind_row(what, read_kind(kind)))
    return low, high


def _percent(share: Spread) -> str:
    low, mid, high = (f"{100.0 * x:.0f}" for x in (share.low, share.mid, share.high))
    return f"{mid} % ({low} to {high})"


def _fat(kind: str, pack: Pack, baking_drops: bool) -> tuple[Spread, str, str]:
    """Return the total fat, the row it is typical by ("" when the pack tells it), and of what it is typical."""
    if pack.fat is not None:
        return _printed(pack.fat), "", ""
    row, of_what = f"composition.fat.{kind}", f"{kind} chocolate"
    if baking_drops:
        row, of_what = "composition.fat.drops", "baking drops"
    typical = spread_of(row)
    cocoa, fats = (array(f"composition.fat.by_cocoa.{part}") for part in ("cocoa", "fat"))
    if kind == "dark" and not baking_drops and pack.cocoa is not None and pack.cocoa >= cocoa[0]:
        row, of_what = "composition.fat.by_cocoa.fat", f"dark chocolate with {pack.cocoa:g} % cocoa"
        mid, either_way = float(np.interp(pack.cocoa, cocoa, fats)), number("composition.fat.by_cocoa.spread")
        typical = Spread((mid - either_way) / 100.0, mid / 100.0, (mid + either_way) / 100.0)
    if pack.sugars is None:
        return typical, row, of_what
    return _beside_sugars(typical, pack.sugars), row, of_what


def _beside_sugars(typical: Spread, sugars: float) -> Spread:
    """Narrow a typical fat to what the sugars leave room for; refuse sugars that leave less than its low end."""
    room = (100.0 - sugars) / 100.0
    if room >= typical.high:
        return typical
    if room < typical.low:
        allowed = f"0 to {100.0 * (1.0 - typical.low):.0f} % beside the fat such a chocolate has"
        raise InputError("sugars_pct", sugars, allowed, "check the figure, or give the total fat of the panel too")
    return Spread(typical.low, min(typical.mid, 0.5 * (typical.low + room)), room)


def _printed(percent: float) -> Spread:
    """Return a printed figure as a share with the spread of its rounding."""
    rounding = number("composition.label.rounding")
    return Spread(max(percent - rounding, 0.0) / 100.0, percent / 100.0, (percent + rounding) / 100.0)


def _milk_fat_share(kind: str, pack: Pack, fat: Spread) -> tuple[Spread, str, str]:
    """Return milk fat over total fat, the row it is typical by ("" when the pack tells it), and of what."""
    if pack.milk_fat is not None:
        part = _printed(pack.milk_fat)
        return Spread(part.low / fat.high, part.mid / fat.mid, part.high / fat.low), "", ""
    row, of_what = f"composition.milk_fat_share.{kind}", f"{kind} chocolate"
    typical = spread_of(row)
    if kind != "white" or pack.cocoa is None or pack.fat is None:
        return typical, row, of_what
    # The cocoa of a white chocolate is all cocoa butter, and its pack tells the least of it: the rest is milk fat.
    cocoa = pack.cocoa / 100.0
    most = max(fat.high - cocoa, 0.0) / fat.high
    if most >= typical.high:
        return typical, row, of_what
    mid = min(typical.mid, max(fat.mid - cocoa, 0.0) / fat.mid)
    return Spread(min(typical.low, 0.5 * mid), mid, most), row, f"{of_what} with {pack.cocoa:g} % cocoa butter"


def _warnings(fat: Spread, baking_drops: bool) -> tuple[tuple[str, str], ...]:
    found = []
    if baking_drops:
        text = (
            "Baking drops are made with less fat, to keep their shape in the oven: they melt thick and pour "
            "badly. Use them in dough, or choose a couverture."
        )
        found.append(("baking-drops", text))
    thin = number("composition.fat.thin")
    if fat.mid < thin:
        text = (
            f"With {100.0 * fat.mid:.0f} % fat, under {100.0 * thin:.0f} %, this chocolate is thick even when well "
            "tempered. Thin it with cocoa butter for shells and dipping, or choose a couverture."
        )
        found.append(("low-fat", text))
    return tuple(found)
