"""The typed request behind a plan: what a cook can know about chocolate, oven, bowl, amount, store and room.

Plain SI-near figures with suffixes. Validation of ranges lives in `temperbench.app.check_job`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

__all__ = ["METHODS", "PART_MELTS", "SEEDS", "SLABS", "BowlJob", "own_fields", "unused_fields"]

METHODS = ("microwave", "bath", "cabinet", "seed", "tabling", "cold-bowl", "kettle")
PART_MELTS = ("microwave", "bath", "cabinet", "kettle")  # keep crystals of the stock; the others melt it fully first
SEEDS = ("buttons", "block", "butter-crystals", "ripened-butter")
SLABS = ("marble", "granite", "steel")


@dataclass(frozen=True)
class BowlJob:
    """Everything a plan needs. None means "not known": it becomes a range carried as uncertainty."""

    chocolate: str  # one of temperbench.matter.pack.KINDS
    grams: float
    oven_w: float | None = None  # the label's microwave output; the microwave method needs it
    cocoa_pct: float | None = None
    fat_pct: float | None = None  # total fat, % of chocolate
    milk_fat_pct: float | None = None  # % of chocolate
    sugars_pct: float | None = None
    nut_pct: float | None = None  # nuts of a nut paste, % of the whole
    butter: str | None = None  # soft, medium, hard
    stock: str = "buttons"  # buttons, block, set-bowl, part-melted, melted
    glossy: bool = True  # never softened, no bloom
    start_c: float | None = None
    oven_measured_w: float | None = None  # by the 1000 g water test
    oven_inverter: bool | None = None
    level: float = 1.0  # power level as a share of full power
    warm_oven: bool = False  # hot from earlier bowls
    bowl: str | None = None  # a material of the bowl table
    bowl_g: float | None = None
    bowl_l: float | None = None
    bowl_c: float | None = None
    room_c: float | None = None
    thermometer: str | None = None  # probe, infrared, none
    risk: float = 0.05  # for risk_lost and risk_scorch alike unless risk_scorch is given
    risk_scorch: float | None = None
    page: str = "A4"
    method: str = "microwave"  # one of METHODS
    melt_c: float | None = None  # stirred temperature of a full melt
    seed_with: str = "buttons"  # one of SEEDS
    seed_c: float | None = None  # the seed when it goes in
    people: int = 1  # who can help
    bath_c: float | None = None  # water under the bowl: warm for a part-melt, cold for cold-bowl stirring
    bath_l: float | None = None  # its water
    cabinet_c: float | None = None
    slab: str = "marble"  # one of SLABS
    slab_mm: float | None = None  # thickness
    slab_c: float | None = None
    slab_m2: float | None = None
    kettle_w: float | None = None  # heating power
    kettle_l: float | None = None  # what it holds
    kettle_wall_c: float | None = None  # the hottest its wall is let become
    kettle_stirs: bool | None = None  # whether a stirrer turns in it


# What each method reads of the fields that not every method reads; fields that stand in no row belong to all.
_OVEN = ("oven_w", "oven_measured_w", "oven_inverter", "level", "warm_oven")
_SLAB = ("slab", "slab_mm", "slab_c", "slab_m2")
_KETTLE = ("kettle_w", "kettle_l", "kettle_wall_c", "kettle_stirs")
_MELT = ("melt_c", "oven_w", "oven_measured_w", "cabinet_c")  # how a full melt is made
_READS = {
    "microwave": _OVEN,
    "bath": ("bath_c", "bath_l"),
    "cabinet": ("cabinet_c", "bath_c", "bath_l"),
    "seed": (*_MELT, "seed_with", "seed_c", "bath_c", "bath_l"),
    "tabling": (*_MELT, *_SLAB, "bath_c", "bath_l"),
    "cold-bowl": (*_MELT, "bath_c", "bath_l"),
    "kettle": _KETTLE,
}
_SPECIAL = frozenset(key for keys in _READS.values() for key in keys)


def own_fields(method: str) -> tuple[str, ...]:
    """Return the fields that a method reads and that not every method reads; none for a word that is no method."""
    return _READS.get(method, ())


def unused_fields(job: BowlJob) -> tuple[str, ...]:
    """Return the fields that were given and that the job's method does not read."""
    read = _READS[job.method]
    return tuple(
        f.name for f in fields(job) if f.name in _SPECIAL and f.name not in read and getattr(job, f.name) != f.default
    )
