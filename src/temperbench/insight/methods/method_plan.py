"""The frozen result of planning any method but the microwave's bursts: what every face renders."""

from __future__ import annotations

from dataclasses import dataclass, field

from temperbench.insight.plan import Band, Leg, SettingTest, Warning_, Workable

__all__ = ["PHASES", "Fault", "MethodPlan", "MethodStep", "PathPhase", "ReadsDo"]

PHASES = ("clear", "draw down", "seed", "table", "chill", "melt", "lift", "keep")  # trade words for parts of a path


@dataclass(frozen=True)
class MethodStep:
    """One step of the median run: what to do, how long it takes, what the bowl reads and holds after it."""

    phase: str  # one of PHASES
    do: str  # short imperative: "Stir in the first portion"
    detail: str  # how, and what to watch
    amount_g: int | None  # what goes in or out, median
    seconds: Band
    until: str  # "falls to", "rises to", or "" when it ends by the clock or by the look
    until_c: float | None  # the reading that ends the step
    after_c: Band  # stirred temperature after it
    crystals_pct_of_fat: Band  # stable crystals after it
    hands_on: bool  # whether somebody stands at the bowl


@dataclass(frozen=True)
class ReadsDo:
    """One row of the policy: at this point, a reading in this range means this."""

    when: str  # "after the second portion is gone"
    reads_from_c: float | None  # None: no lower end, or judged by eye
    reads_to_c: float | None  # None: no upper end, or judged by eye
    do: str
    amount_g: int | None = None
    seconds: int | None = None
    looks: str = ""  # the key of the row when there is no thermometer


@dataclass(frozen=True)
class Fault:
    """What may be seen, why, and what to do."""

    seen: str
    cause: str
    do: str


@dataclass(frozen=True)
class PathPhase:
    """A named stretch of the median path, on the path's own clock."""

    name: str  # one of PHASES
    from_s: float
    to_s: float


@dataclass(frozen=True)
class MethodPlan:
    """A whole plan of one method, as shown on screen, on paper and as JSON."""

    title: str
    method: str
    clear_c: float | None  # stirred temperature of the full melt; None where crystals of the stock are kept
    draw_down_c: float | None  # reading down to which it is cooled before it is lifted; None where it is not
    lift_c: float | None  # reading to which it is warmed again; None where it is not
    work_from_c: float
    work_to_c: float
    limit_c: float  # above it the stable crystals go
    scorch_c: float
    steps: tuple[MethodStep, ...]
    portions_g: tuple[int, ...]  # what goes in or out one after the other
    seed_g: int | None  # all seed together; None for methods without
    melt_g: int  # what is melted at the start
    reads_then: tuple[ReadsDo, ...]
    faults: tuple[Fault, ...]
    risk_lost: float
    risk_scorch: float
    risk_asked: float
    risk_members: int  # fresh members on which the risks were measured
    thermometer: str  # what read the bowls when the risks were measured
    crystals_pct_of_fat: Band  # stable crystals when the method ends
    total_min: Band  # from the first step to the working window
    hands_on_min: Band
    path: Leg  # the whole temperature path, from the first step on into keeping
    phases: tuple[PathPhase, ...]
    draw_down_min: Band  # from the end of the method to the top of the working window; 0 when it ends there
    setting_test: SettingTest
    workable: Workable  # unheated
    held: Workable  # kept inside the window
    washing_up: tuple[str, ...]
    defaults_used: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    sources: tuple[str, ...]  # ids of evidence rows behind the plan
    rules: tuple[str, ...] = field(default=())  # when to stop, and what overrides the table
    cautions: tuple[str, ...] = field(default=())
    holds_for: tuple[str, ...] = field(default=())
