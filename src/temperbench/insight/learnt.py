"""What earlier runs and checks say of the things of a job, as spreads that take the place of what is assumed."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from temperbench.foundation.quantities import Spread
from temperbench.kitchen.setup import Setup

__all__ = ["FIGURES", "Learnt"]


@dataclass(frozen=True)
class Learnt:
    """Figures of a job's things beyond what was entered; None is not known better. Ends, as an ensemble draws them."""

    absorbed_w: Spread | None = None  # power that this bowl with this load takes from this oven. [W]
    bias_c: Spread | None = None  # of the thermometer. [°C]
    wall_share: Spread | None = None  # share of the power that the bowl's wall takes. [1]
    wall_heat: Spread | None = None  # of the bowl. [J/K]
    hardness: Spread | None = None  # of the cocoa butter: soft -1, medium 0, hard +1. [1]
    holds: tuple[str, ...] = ()  # where each comes from and what it holds for, in plain words

    def put_into(self, setup: Setup) -> Setup:
        """Return a set-up with what was learnt of oven, thermometer and chocolate in place of what was assumed.

        What was learnt of the bowl is part of the bowl already.
        """
        own = {name: getattr(self, name) for name in _OF_SETUP if getattr(self, name) is not None}
        if self.absorbed_w is not None:
            own |= {"delivered_w": self.absorbed_w, "coupling": Spread.exact(1.0)}
        return dataclasses.replace(setup, **own)


FIGURES = tuple(f.name for f in dataclasses.fields(Learnt) if f.name != "holds")
_OF_SETUP = ("bias_c", "hardness")
