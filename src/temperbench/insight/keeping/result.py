"""The frozen results of keeping a bowl in temper: what every face renders."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.insight.plan import Band, Leg, Warning_, Workable

__all__ = ["Alarm", "ClearCheck", "ClearRow", "KeepPlan", "KeepRow", "KeepStep", "LiveKeeping", "PauseRow", "Refill",
           "Thickening", "Track"]  # fmt: skip


@dataclass(frozen=True)
class Track:
    """A figure over time as a band: the median and the 5 % and 95 % points of the ensemble."""

    t_s: tuple[float, ...]
    low: tuple[float, ...]
    mid: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Thickening:
    """A bowl that is stirred and left: temperature, thickness, and when it is too thick or too cold. [min]"""

    heat: Leg
    ratio: Track  # viscosity over that without crystals, shown up to `keep.most_ratio`
    thick_min: Band
    cold_min: Band
    workable: Workable  # the earlier of the two, and which


@dataclass(frozen=True)
class KeepRow:
    """One row of the table: what the bowl reads, and what to do then when it flows with ease, and when it is thick."""

    reads_from_c: float | None  # None: no lower end
    reads_to_c: float | None  # None: no upper end
    easy_s: int  # seconds of warming; 0: stir only
    thick_s: int
    thick_g: int  # grams of warm melted chocolate instead, when there is any; 0: none


@dataclass(frozen=True)
class KeepStep:
    """One look at the bowl, as the middle bowl goes, with bands of the others."""

    at_min: float
    before_c: Band
    after_c: Band
    warm_s: Band
    add_g: Band
    grams: float  # in the bowl afterwards, middle bowl
    ratio: Band  # viscosity over that without crystals, afterwards
    workable: float  # share of bowls workable until now
    do: str  # what the middle bowl asks for


@dataclass(frozen=True)
class PauseRow:
    """What a pause between looks gives, with the best of the tables tried: other pauses than the one planned."""

    every_min: float
    workable: float  # share of bowls still workable at the end
    lasted_min: float  # mean


@dataclass(frozen=True)
class Refill:
    """Chocolate that the middle bowl is topped up or thinned with."""

    at_min: float
    add_g: float
    at_c: float


@dataclass(frozen=True)
class Alarm:
    """Something to be reminded of: when, and what to do. ``kind`` is stable."""

    kind: str  # "look", "thick", "cold", "refill", "used up", "stop"
    at_min: float
    text: str


@dataclass(frozen=True)
class LiveKeeping:
    """How a live bowl in temper goes on if it is left, and what it asks for now."""

    thick_min: Band  # minutes from now, at most as far as was looked
    cold_min: Band
    ends_by: str  # "too thick" or "too cold", whichever comes first in most bowls
    due: bool  # something is to be done now
    warm_s: int  # seconds of a burst now; 0: none, or no oven
    warm_to_c: float | None  # stirred temperature to warm it to now
    add_g: int  # grams of warm melted chocolate that would thin it instead
    look_min: float  # minutes until the next look
    stop: bool  # no longer to be kept
    lines: tuple[str, ...]  # the same in words


@dataclass(frozen=True)
class ClearRow:
    """How long stirred chocolate needs at a temperature until the model has no old crystals left. None: not in 2 h."""

    at_c: float
    minutes: float | None


@dataclass(frozen=True)
class ClearCheck:
    """Whether a bowl that was warmed has lost its old crystals."""

    cleared: bool  # by practice and by the model
    left_pct_of_fat: Band
    text: str


@dataclass(frozen=True)
class KeepPlan:
    """How to keep a bowl in temper."""

    title: str
    minutes: float  # as long as it is wanted, or until it is used up
    stop_c: float
    limit_c: float
    work_from_c: float
    work_to_c: float
    scorch_c: float
    left_alone: Thickening
    every_min: float
    kept_c: float  # a bowl that flows with ease is warmed back to this
    thin_c: float  # a thick one to this
    table: tuple[KeepRow, ...]
    steps: tuple[KeepStep, ...]
    heat: Leg  # before and after each look
    ratio: Track
    held: Workable  # workable with correction, at most as long as it was wanted
    workable_share: float  # of bowls still workable at the end
    risk_lost: float
    risk_scorch: float
    risk_asked: float
    risk_members: int
    pauses: tuple[PauseRow, ...]
    refills: tuple[Refill, ...]
    used_up_min: float | None  # when it runs out; None: not before the end
    alarms: tuple[Alarm, ...]
    stop_rules: tuple[str, ...]
    clear: tuple[ClearRow, ...]
    clear_rule: str
    rules: tuple[str, ...]
    cautions: tuple[str, ...]
    defaults_used: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    sources: tuple[str, ...]
