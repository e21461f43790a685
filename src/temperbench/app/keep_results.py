"""Results of keeping a bowl in temper, as the faces see them: the same frozen classes, by their only door."""

from temperbench.insight.keeping.result import (
    Alarm,
    ClearCheck,
    ClearRow,
    KeepPlan,
    KeepRow,
    KeepStep,
    LiveKeeping,
    PauseRow,
    Refill,
    Thickening,
    Track,
)

__all__ = [
    "Alarm", "ClearCheck", "ClearRow", "KeepPlan", "KeepRow", "KeepStep", "LiveKeeping", "PauseRow", "Refill",
    "Thickening", "Track",
]  # fmt: skip
