"""Results of planning and of a running bowl, as the faces see them: the same frozen classes, by their only door."""

from temperbench.insight.live import (
    FLOWS,
    HAPPENINGS,
    LOOKS,
    LUMPS,
    MOVES,
    Countdown,
    Doubt,
    Happening,
    LiveView,
    Move,
    ReadingShown,
    WhatIf,
)
from temperbench.insight.methods.compare import Comparison, MethodRow
from temperbench.insight.methods.method_plan import Fault, MethodPlan, MethodStep, PathPhase, ReadsDo
from temperbench.insight.plan import (
    Band,
    BurstPlan,
    BurstStep,
    Carries,
    Leg,
    ReadsThen,
    RescueRow,
    SettingTest,
    StoreRow,
    Warning_,
    Workable,
)
from temperbench.insight.trouble.ask import CauseFound, CheckFirst, OutcomeLeads, Trouble

__all__ = [
    "FLOWS", "HAPPENINGS", "LOOKS", "LUMPS", "MOVES", "Band", "BurstPlan", "BurstStep", "Carries", "CauseFound",
    "CheckFirst", "Comparison", "Countdown", "Doubt", "Fault", "Happening", "Leg", "LiveView", "MethodPlan",
    "MethodRow", "MethodStep", "Move", "OutcomeLeads", "PathPhase", "ReadingShown", "ReadsDo", "ReadsThen",
    "RescueRow", "SettingTest", "StoreRow", "Trouble", "Warning_", "WhatIf", "Workable",
]  # fmt: skip
