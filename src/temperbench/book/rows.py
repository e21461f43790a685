"""The rows of the book as frozen objects: what a caller hands in, and what comes back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from temperbench.book.checks import Json
from temperbench.foundation.units import Gram

__all__ = ["Entry", "Finding", "KitVersion", "Lot", "LotOnShelf", "Run", "StockMove", "Stored", "StoredEntry", "Thing"]


@dataclass(frozen=True)
class Run:
    """One bowl from start to end."""

    id: str  # made by the device
    title: str
    job: Mapping[str, Json]
    state: str = "running"
    words: str = ""  # what else it shall be found by: chocolate, lot codes
    created_ms: int = 0  # filled by the book
    happenings: int = 0  # how many are stored; filled by the book


@dataclass(frozen=True)
class Entry:
    """One happening as a device sends it."""

    id: str  # made by the device; the same id twice is one happening
    kind: str
    pressed_ms: int  # UTC
    payload: Mapping[str, Json] = field(default_factory=dict)
    device: str = ""
    advice: Mapping[str, Json] = field(default_factory=dict)  # what was on screen when it was pressed


@dataclass(frozen=True)
class StoredEntry(Entry):
    """One happening as the book keeps it."""

    run_id: str = ""
    seq: int = 0  # 1, 2, 3 … in each run, in the order of arrival
    arrived_ms: int = 0


@dataclass(frozen=True)
class Stored:
    """The receipt of one row: it is on the disk. ``new`` is False when its id was there before."""

    id: str
    seq: int
    new: bool


@dataclass(frozen=True)
class Thing:
    """A piece of kit: oven, bowl, thermometer."""

    id: str
    kind: str
    name: str
    state: str = "in use"
    created_ms: int = 0  # filled by the book


@dataclass(frozen=True)
class KitVersion:
    """What was learnt, or entered, about a thing at one moment, with the conditions it holds for."""

    id: str
    thing_id: str
    learnt: Mapping[str, Json]
    conditions: Mapping[str, Json]
    learnt_ms: int
    source: str = "entered"  # a word: entered, trial, run
    run_id: str | None = None
    version: int = 0  # 1, 2, 3 … for each thing; filled by the book
    arrived_ms: int = 0  # filled by the book


@dataclass(frozen=True)
class Lot:
    """A delivery of chocolate."""

    id: str
    code: str  # as printed on the pack
    name: str
    composition: Mapping[str, Json]
    received_ms: int
    best_before_ms: int | None = None  # 00:00 UTC of the date printed on the pack
    allergens: tuple[str, ...] = ()
    price_minor: int | None = None  # for a kilogram, in the currency's smallest coin
    currency: str | None = None


@dataclass(frozen=True)
class LotOnShelf:
    """A lot and what is left of it."""

    lot: Lot
    stock_g: Gram


@dataclass(frozen=True)
class StockMove:
    """Chocolate that came, was taken, or was found missing or left over at a count."""

    id: str
    lot_id: str
    grams: Gram  # negative when it leaves the shelf
    reason: str  # a word: received, taken, counted, thrown away
    pressed_ms: int
    device: str = ""
    run_id: str | None = None
    seq: int = 0  # 1, 2, 3 … for each lot; filled by the book
    arrived_ms: int = 0  # filled by the book


@dataclass(frozen=True)
class Finding:
    """Something the integrity check found wrong."""

    table: str
    id: str
    text: str
