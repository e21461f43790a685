"""The frozen result of planning a bowl: what every face renders. Numbers with bands, reasons, warnings, sources."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["Band", "BurstPlan", "BurstStep", "Carries", "Leg", "ReadsThen", "RescueRow", "SettingTest", "StoreRow",
           "Warning_", "Workable"]  # fmt: skip


@dataclass(frozen=True)
class Band:
    """A forecast: the median and the 5 % and 95 % points of the ensemble."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True)
class BurstStep:
    """One step of the median path: a burst, the stand, the stir, and what the bowl is after it."""

    seconds: int  # full-power seconds on the oven's timer; 0 means stir only
    rest_s: int
    stir_s: int
    mean_c: float  # stirred temperature after the step, median
    low_c: float
    high_c: float
    hottest_high_c: float  # 95 % point of the hottest zone at any time in the step
    solid_pct_of_fat: float  # median share of the fat that is still crystals after the step


@dataclass(frozen=True)
class ReadsThen:
    """One row of the policy: after burst ``stage``, a reading in this range means a burst of ``seconds``."""

    stage: int  # number of bursts already done
    reads_from_c: float | None  # None: no lower end, or judged by eye
    reads_to_c: float | None  # None: no upper end, or judged by eye
    seconds: int  # 0: stir only
    looks: str  # what the bowl looks like, in words; the key of the row when there is no thermometer


@dataclass(frozen=True)
class SettingTest:
    """The smear: on what, and how long until it should have set in this room. [min]"""

    film: str  # "paper" or "knife"
    pass_min: float
    low_min: float
    high_min: float


@dataclass(frozen=True)
class Workable:
    """How long the bowl stays workable, and what ends it ("too thick" or "too cold"). [min]"""

    low: float
    mid: float
    high: float
    ends_by: str


@dataclass(frozen=True)
class RescueRow:
    """An overheated bowl at ``at_c``: in-temper buttons to stir in, and where that ends."""

    at_c: float
    add_g: int | None  # None: full melt and seed instead
    ends_c: float | None
    ends_pct_of_fat: float | None
    advice: str
    portions_g: tuple[int, ...] = ()  # what to stir in one after the other, each until it is gone


@dataclass(frozen=True)
class StoreRow:
    """The median seconds of the whole plan when the stock comes from a store at ``start_c``."""

    start_c: float
    bursts_s: tuple[int, ...]
    total_burst_s: int


@dataclass(frozen=True)
class Carries:
    """How far the fixed seconds of the card carry before readings are needed again."""

    start_low_c: float
    start_high_c: float
    grams_low: float
    grams_high: float
    hot_oven_solid_pct_of_fat: float  # where the fixed seconds end when the oven is hot from earlier bowls
    stores: tuple[StoreRow, ...]
    text: str


@dataclass(frozen=True)
class Warning_:
    """A caution with its reason; ``code`` is stable, ``text`` is for people."""

    code: str
    text: str


@dataclass(frozen=True)
class Leg:
    """One leg of the temperature path for the chart: times from its own start and bands of the stirred mean."""

    t_s: tuple[float, ...]
    low_c: tuple[float, ...]
    mid_c: tuple[float, ...]
    high_c: tuple[float, ...]
    hottest_c: tuple[float, ...] = ()  # 95 % point of the hottest zone (up leg only)


@dataclass(frozen=True)
class BurstPlan:
    """A whole part-melt plan in the microwave oven, as shown on screen, on paper and as JSON."""

    title: str  # "1000 g dark chocolate, 1000 W oven, plastic bowl"
    stop_c: float
    limit_c: float
    work_from_c: float
    work_to_c: float
    scorch_c: float
    bursts: tuple[BurstStep, ...]
    total_burst_s: int
    total_min: float  # whole run up to the stop, stirring included
    risk_lost: float
    risk_scorch: float
    risk_asked: float
    risk_members: int  # fresh members on which the risks were measured
    reads_then: tuple[ReadsThen, ...]
    crystals_pct_of_fat: Band
    draw_down_min: Band  # minutes of stirring from the stop to the top of the working window
    setting_test: SettingTest
    workable: Workable  # unheated
    held: Workable  # kept inside the window
    rescue: tuple[RescueRow, ...]
    carries: Carries
    up: Leg
    down: Leg
    defaults_used: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    sources: tuple[str, ...]  # ids of evidence rows behind the plan
    rules: tuple[str, ...] = field(default=())  # when to stop, and what overrides the table
    cautions: tuple[str, ...] = field(default=())
    holds_for: tuple[str, ...] = field(default=())  # plain lines: what this card holds for
