"""The typed request behind a plan: what a cook can know about chocolate, oven, bowl, amount, store and room.

Plain SI-near figures with suffixes. Validation of ranges lives in `temperbench.app.check_job`.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BowlJob"]


@dataclass(frozen=True)
class BowlJob:
    """Everything a burst plan needs. None means "not known": it becomes a range carried as uncertainty."""

    chocolate: str  # dark, milk, white
    grams: float
    oven_w: float  # the label's microwave output
    cocoa_pct: float | None = None
    fat_pct: float | None = None  # total fat, % of chocolate
    milk_fat_pct: float | None = None  # % of chocolate
    sugars_pct: float | None = None
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
