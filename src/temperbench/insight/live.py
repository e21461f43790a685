"""Words of the live bowl: what can happen to it, and the frozen view that every face shows after each happening."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.insight.keeping.result import LiveKeeping
from temperbench.insight.plan import Band, Leg, RescueRow

__all__ = [
    "ADDITIONS",
    "FILMS",
    "FLOWS",
    "HAPPENINGS",
    "LEFT",
    "LOOKS",
    "LUMPS",
    "MOVES",
    "SCRAPING",
    "Countdown",
    "Doubt",
    "Happening",
    "LiveView",
    "Move",
    "ReadingShown",
    "WhatIf",
]  # fmt: skip

HAPPENINGS = (
    "burst",  # seconds: the oven ran so many seconds on its timer
    "stir",  # seconds; level SCRAPING when hard at the wall
    "stand",  # seconds
    "reading",  # celsius, thermometer
    "lumps",  # level: one of LUMPS
    "flow",  # level: one of FLOWS
    "added",  # grams, celsius, seed: one of ADDITIONS, in-temper buttons when None; or material "melted"
    "block out",  # what is left of a block was taken out again
    "melted",  # celsius, grams: so much melted fully, every crystal gone, and it reads so; the rest was kept back
    "bath",  # seconds over water at celsius, stirred unless level is "left"; cold or ice water too
    "cabinet",  # seconds in a warm cabinet at celsius, left alone
    "kettle",  # seconds in a holding kettle set to celsius, stirred
    "tabled",  # grams on the slab, spread for seconds (None: as long as it took), kept moving minutes, read celsius
    "moved",  # to another bowl: material, grams, celsius
    "test",  # minutes (None: not set, and then seconds waited), look: one of LOOKS, film
    "taken",  # grams that left the bowl
    "finished",
    "undo",  # of: id of the happening that did not happen
    "corrected",  # of: id; the rest of the payload replaces it
)
LUMPS = ("many", "some", "few", "none")
FLOWS = ("with ease", "thick", "hardly")
FILMS = ("paper", "knife")  # what a smear is made on; the first one when not told
LOOKS = ("sheen", "dull", "lines", "soft")
ADDITIONS = ("buttons", "block", "butter-crystals", "ripened-butter", "melted")
LEFT = "left"  # the level of a bath that was not stirred
SCRAPING = "scraping"  # the level of a stir with the spatula hard at the cold wall
MOVES = (
    "burst", "stir", "wait", "draw down", "test", "ready", "rescue", "warm", "thin", "full melt", "finished", "melt",
    "seed", "block out", "bath", "cabinet", "kettle", "table", "chill", "lift",
)  # fmt: skip


@dataclass(frozen=True)
class Happening:
    """One thing that happened to a bowl, as the cook pressed it."""

    id: str  # made by the device; the same id twice is one happening
    kind: str  # one of HAPPENINGS
    pressed_ms: int  # UTC, when the cook pressed
    seconds: float | None = None
    celsius: float | None = None
    grams: float | None = None
    minutes: float | None = None
    level: str | None = None
    thermometer: str | None = None
    look: str | None = None
    film: str | None = None
    material: str | None = None
    of: str | None = None
    seed: str | None = None


@dataclass(frozen=True)
class Move:
    """The one next move: verb and figure, why, what it risks, and what would change it."""

    kind: str  # one of MOVES
    headline: str  # "Burst 12 s", "Stir 30 s", "Test now", "Stir in 40 g"
    reason: str
    changes_mind: str
    seconds: int | None = None
    grams: int | None = None
    portions_g: tuple[int, ...] = ()
    risk_lost: float = 0.0
    risk_scorch: float = 0.0
    celsius: float | None = None  # of the bath, the cabinet, the slab's layer, the set-point or the full melt
    seed: str | None = None  # what goes in, one of ADDITIONS
    level: str | None = None  # how it is done: SCRAPING


@dataclass(frozen=True)
class Countdown:
    """A clock that runs on the device: what for, from when to when (UTC ms)."""

    label: str
    from_ms: int
    until_ms: int


@dataclass(frozen=True)
class Doubt:
    """A reading that does not fit: what it is, the likeliest explanations, most likely first."""

    text: str
    explanations: tuple[str, ...]
    check: bool = False  # the thermometer may be off: the two-point check would tell


@dataclass(frozen=True)
class ReadingShown:
    """One reading for the chart: seconds since the start, value, half width of its error."""

    t_s: float
    celsius: float
    error_c: float
    thermometer: str


@dataclass(frozen=True)
class WhatIf:
    """What a burst of so many seconds would do, stirred to the end."""

    seconds: int
    ends_c: Band
    solid_pct_of_fat: Band
    risk_lost: float
    risk_scorch: float


@dataclass(frozen=True)
class LiveView:
    """Everything a page shows of a running bowl."""

    run_id: str
    title: str
    happenings: int  # how many are folded in, undone ones included
    started_ms: int
    state: str  # "heating", "seeding", "drawing down", "in temper", "lost", "finished"
    move: Move
    now_c: Band
    hottest_c: float  # 95 % point
    solid_pct_of_fat: Band
    stop_c: float
    limit_c: float
    work_from_c: float
    work_to_c: float
    scorch_c: float
    path: Leg  # from the start until now: band of the stirred mean
    ahead: Leg  # the next quarter of an hour if the bowl is stirred and left
    readings: tuple[ReadingShown, ...]
    countdown: Countdown | None
    doubt: Doubt | None
    test_pass_min: dict[str, float]  # by when a smear of a good bowl has set in this room, on each of FILMS
    workable_min: Band
    rescue: RescueRow | None
    learnt: tuple[str, ...]  # plain words; empty until something was learnt
    effective: int  # effective number of particles
    keeping: LiveKeeping | None = None  # once it is smooth and near its window, and in temper as far as is known
    stops: bool = True  # heating ends at stop_c: a part-melt; a bowl that is melted fully begins far above it
