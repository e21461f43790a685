"""A run in which part of each bowl lies on a slab: poured, spread, gathered, scraped up and returned."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.methods.feel import thickened
from temperbench.insight.methods.script import Run
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.slab import Slabs
from temperbench.matter.crystals import TEMP

__all__ = ["SlabRun", "slabs_of"]


class SlabRun(Run):
    """Bowls beside their slabs: what lies on the stone is what is read, and what the path shows."""

    slabs: Slabs
    poured: Bowls | None
    on_slab: NDArray[np.bool_]
    grams: float  # in a bowl, as weighed

    @classmethod
    def beside(cls, run: Run, slabs: Slabs) -> SlabRun:
        """Go on with a run, everything still in the bowls, beside these slabs."""
        other = cls.__new__(cls)
        other.__dict__.update(run.__dict__)
        other.slabs, other.poured, other.on_slab = slabs, None, np.zeros(len(run), dtype=np.bool_)
        other.grams = 1000.0 * float(np.median(run.bowls.members.rows[:, MASS]))
        return other

    def pour(self, share: float, who: NDArray[np.bool_], seconds: float, grams: float) -> None:
        """Pour this share of the bowls of ``who``, told as so many grams, onto their slabs, which takes so long."""
        self.stand(np.where(who, seconds, 0.0))
        self.poured = self.bowls.pour_out(np.where(who, share, 0.0))
        self.on_slab = who.copy()
        self.records[-1].grams = np.where(who, grams, 0.0)
        self.note()

    def work(self, seconds: Array, *, gathered: bool = False) -> None:
        """Spread and gather what lies on the slabs, or keep it gathered and turned over; the rest stands by."""
        poured = self._on_stone()

        def act(bowls: Bowls, took: Array) -> None:
            bowls.stand(took)
            self.slabs.work_poured(poured, took, gathered=gathered)

        self.passes(seconds, act)

    def back(self, seconds: float) -> None:
        """Scrape up what lies on the slabs and let it slide back into the bowls, which takes so long."""
        poured = self._on_stone()
        self.stand(np.where(self.on_slab, seconds, 0.0))
        self.bowls.pour_back(poured)
        self.poured, self.on_slab = None, np.zeros(len(self), dtype=np.bool_)
        self.note()

    def _on_stone(self) -> Bowls:
        if self.poured is None:
            raise ValueError("nothing lies on the slab; pour first")
        return self.poured

    def temperature(self) -> Array:
        """Return the temperature of what lies on the slab, or else of the bowl. [°C]"""
        if self.poured is None:
            return super().temperature()
        return np.where(self.on_slab, self.poured.zone(TEMP)[:, 0], super().temperature())

    def stable(self) -> Array:
        """Return the stable crystals of what lies on the slab, or else of the bowl. [1]"""
        if self.poured is None:
            return super().stable()
        return np.where(self.on_slab, self.poured.stable(), super().stable())

    def look(self) -> Array:
        """Read what lies on the slab, or else the bowl, with each member's own thermometer. [°C]"""
        if self.poured is None:
            return super().look()
        reading = np.where(self.on_slab, self.poured.read_thermometer(self.rng), np.nan)
        self.records[-1].reading_c = np.where(self.on_slab, reading, self.records[-1].reading_c)
        return reading

    def thickened(self) -> NDArray[np.bool_]:
        """Tell on which slabs a cook feels by the scraper that the crystals have made the chocolate thick."""
        return np.asarray(self.on_slab & thickened(self._on_stone(), number("tabling.thick_ratio"), self.rng))


def slabs_of(run: Run) -> Slabs:
    """Return the slabs of a run that has some."""
    if not isinstance(run, SlabRun):
        raise TypeError("this run has no slabs")
    return run.slabs
