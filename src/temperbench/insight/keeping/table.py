"""The warming table: it reads so much and flows so, then so many seconds, or so much warm chocolate."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.keeping.heaters import Heater
from temperbench.insight.keeping.result import KeepRow
from temperbench.insight.keeping.start import make_even
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["KeepTable", "grams_to", "make_table", "rounded_grams", "table_rows"]

_OPEN = 1.0  # K: the last row, without a lower end, is taken as this wide


@dataclass(frozen=True)
class KeepTable:
    """Seconds of warming by row of readings, from warm to cold, for bowls that flow with ease and for thick ones."""

    kept_c: float
    thin_c: float
    most_c: float  # up to which warm chocolate may take a thick bowl
    cuts: tuple[float, ...]  # upper ends of the rows that warm; above the first nothing is warmed. [°C]
    easy_s: tuple[float, ...]
    thick_s: tuple[float, ...]
    early_c: float = 0.0  # K before the aim at which a watched warming ends, for what the wall still gives

    def aims(self, thick: NDArray[np.bool_]) -> Array:
        """Return the reading at which a watched warming of each bowl ends."""
        return np.asarray(np.where(thick, self.thin_c, self.kept_c) - self.early_c)

    def seconds(self, reads: Array, thick: NDArray[np.bool_]) -> Array:
        """Return the seconds of warming for each reading."""
        place = (reads[:, None] < np.array(self.cuts)).sum(axis=1)
        easy, slow = (np.array([0.0, *column]) for column in (self.easy_s, self.thick_s))
        return np.asarray(np.where(thick, slow[place], easy[place]))


def make_table(one: Bowls, heater: Heater, kept_c: float, thin_c: float, most_c: float) -> KeepTable:
    """Find the seconds of every row on the middle bowl: the longest warming that ends, stirred, at its aim.

    ``one`` and ``heater`` are of one member. A row is taken at the reading in its middle.
    """
    cuts = tuple(round(thin_c - edge, 1) for edge in array("keep.rows"))
    middles = np.array([0.5 * (a + b) for a, b in zip(cuts, (*cuts[1:], cuts[-1] - _OPEN), strict=True)])
    p = one.members
    thick, easy = (
        float(crystals_at_ratio(number(key), p.rows[:, FAT], p.kappa)[0])
        for key in ("bowl.thick_ratio", "plan.flows_ratio")
    )
    found = []
    early = 0.0
    for aim, crystals in ((kept_c, 0.5 * easy), (thin_c, thick)):
        ends, rose = _ends(one, heater, middles, crystals)
        fits = ends <= aim + number("keep.overheat")
        if heater.watched and fits.any():
            early = max(early, float(rose[fits].max()))
        found.append(tuple(float(max([0.0, *np.array(heater.grid)[row]])) for row in fits))
    return KeepTable(kept_c, thin_c, most_c, cuts, found[0], found[1], round(early, 1))


def _ends(one: Bowls, heater: Heater, starts: Array, crystals: float) -> tuple[Array, Array]:
    """Temperatures (starts, seconds) after warming and stirring from each start, and what the last stir added to them.

    Infinity without a heater. [°C]
    """
    grid = np.array(heater.grid)
    if heater.kind == "none":
        return np.full((len(starts), len(grid)), np.inf), np.zeros((len(starts), len(grid)))
    copies = np.zeros(len(starts) * len(grid), dtype=np.intp)
    bowls = one.only(copies)
    make_even(bowls, np.repeat(starts, len(grid)), crystals, 100.0 * crystals)
    heater.only(copies).warm(bowls, np.tile(grid, len(starts)))
    warmed = bowls.reading()
    bowls.stir(number("keep.stir"))
    shape = (len(starts), len(grid))
    return bowls.reading().reshape(shape), (bowls.reading() - warmed).reshape(shape)


def grams_to(reads: Array, aim_c: Array | float, warm_c: float, grams: Array) -> Array:
    """Grams of melted chocolate at ``warm_c`` that take bowls of ``grams`` from a reading to an aim, wall left out."""
    if warm_c <= float(np.max(aim_c)):
        return np.full_like(reads, np.inf)
    return np.asarray(np.maximum(0.0, aim_c - reads) / (warm_c - aim_c) * grams)


def rounded_grams(grams: Array) -> Array:
    """Round down to what a scale and a hurry allow: 10 g, below 100 g 5 g."""
    step = np.where(grams < 100.0, 5.0, 10.0)
    return np.asarray(step * np.floor(grams / step + 1e-9))


def table_rows(table: KeepTable, one: Bowls, warm_c: float | None) -> tuple[KeepRow, ...]:
    """Return the table as rows from warm to cold; grams for one bowl as full as now, when there is warm chocolate."""
    ends = (None, *table.cuts, None)
    kg = float(one.members.rows[0, MASS])
    rows: list[KeepRow] = []
    for place, (high, low) in enumerate(pairwise(ends)):
        easy, thick = (int((0.0, *column)[place]) for column in (table.easy_s, table.thick_s))
        grams = 0 if warm_c is None else _grams_of(high, low, table, kg, warm_c)
        last = rows[-1] if rows else None
        if last is not None and (last.easy_s, last.thick_s, last.thick_g) == (easy, thick, grams):
            rows[-1] = KeepRow(low, last.reads_to_c, easy, thick, grams)
        else:
            rows.append(KeepRow(low, high, easy, thick, grams))
    return tuple(rows)


def _grams_of(high: float | None, low: float | None, table: KeepTable, kg: float, warm_c: float) -> int:
    """Grams of warm chocolate for a thick bowl in the middle of a row; in the uppermost row, at its foot."""
    middle = low if high is None else high - 0.5 * _OPEN if low is None else 0.5 * (low + high)
    assert middle is not None, "a row has one end at least"
    wanted = grams_to(np.array([middle]), table.most_c, warm_c, np.array([1000.0 * kg]))
    return int(rounded_grams(np.minimum(wanted, 1000.0 * kg * number("keep.most_added")))[0])
