"""The results of planning, as the faces see them: the same frozen classes, by the only door the faces use."""

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

__all__ = [
    "Band", "BurstPlan", "BurstStep", "Carries", "Leg", "ReadsThen", "RescueRow", "SettingTest", "StoreRow",
    "Warning_", "Workable",
]  # fmt: skip
