"""What a cook says about a bowl that is to be kept in temper."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.insight.job import BowlJob

__all__ = ["HEATERS", "REFILLS", "TEMPERED", "KeepAsk"]

TEMPERED = ("part-melted", "seeded")  # how the bowl came into temper; decides crystals and growth sites
HEATERS = ("microwave", "heat-gun", "bath", "none")
REFILLS = ("melted", "in-temper")


@dataclass(frozen=True)
class KeepAsk:
    """A bowl in temper, how long it is wanted, what leaves it and what there is to keep it with. None: not known."""

    job: BowlJob  # chocolate, grams in the bowl now, bowl, room, thermometer, oven
    minutes: float  # how long it is wanted
    tempered: str = "part-melted"  # one of TEMPERED
    at_c: float | None = None  # what it reads now; the top of the working window when not said
    flows: str = "with ease"  # as in `temperbench.insight.live.FLOWS`
    every_min: float | None = None  # minutes between two looks; planned when not said
    warm_with: str = "microwave"  # one of HEATERS
    gun_w: float | None = None
    bath_c: float | None = None
    leaves_g_h: float = 0.0  # chocolate used, grams an hour
    returns_share: float = 0.0  # of it that comes back
    returns_c: float | None = None
    refill_g: float = 0.0  # chocolate at hand to thin and refill with
    refill_c: float | None = None
    refill: str = "melted"  # one of REFILLS
