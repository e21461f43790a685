"""Choosing how a bowl is kept: how often to look, and where to warm it to, by trying it on many bowls."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.heaters import Heater, heater_of
from temperbench.insight.keeping.result import PauseRow
from temperbench.insight.keeping.run import Kept, keep
from temperbench.insight.keeping.start import bowls_in_temper, middle_in_temper
from temperbench.insight.keeping.table import KeepTable, make_table
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowls import Bowls

__all__ = ["CHOOSERS", "Choice", "Measured", "choose", "measured"]

CHOOSERS = 64  # bowls a way of keeping is tried on; its risks are measured on others
_ATTEMPTS = 4


@dataclass(frozen=True)
class Choice:
    """One way of keeping, and what it gave on the bowls it was tried on."""

    every_min: float
    table: KeepTable
    workable: float  # share of bowls that lasted
    lasted_min: float  # mean
    lost: float
    scorched: float


@dataclass(frozen=True)
class Measured:
    """The way of keeping that was chosen, what it gave on fresh bowls, and what other pauses gave when tried."""

    choice: Choice
    kept: Kept
    pauses: tuple[PauseRow, ...]


def choose(
    known: Known, ask: KeepAsk, at: Temperatures, minutes: float, seed: int
) -> tuple[list[Choice], list[Choice]]:
    """Try ways of keeping, the longest pauses first; return the safe ones, best first, and all that were tried.

    The search ends with the longest pause that keeps `keep.sure` of the bowls workable, by a standard error of so many
    bowls. Of the tables that do, the coolest is best; where none does, the one that
    keeps them longest.
    """
    rng = np.random.default_rng([seed, 20])
    bowls = bowls_in_temper(known, ask, at, CHOOSERS, rng)
    heater = heater_of(ask, known, CHOOSERS, rng)
    one, single = middle_in_temper(known, ask, at), heater_of(ask, known, 1)
    pauses = sorted(array("keep.every") if ask.every_min is None else (ask.every_min,), reverse=True)
    tables = _tables(ask, at, one, single)
    tried: list[Choice] = []
    for every in pauses:
        for table in tables:
            rng = np.random.default_rng([seed, 21])
            kept = keep(bowls.copy(), heater, table, ask, minutes, every, at.scorch_c, rng)
            tried.append(_choice(kept, every, table, minutes))
        if any(c.workable >= _sure() and c.every_min == every for c in _safe(tried, known)):
            break
    safe = _safe(tried, known)
    if not safe:
        return [min(tried, key=lambda c: (c.lost + c.scorched, -c.lasted_min))], tried
    return sorted(safe, key=_order), tried


def _sure() -> float:
    """Share of the bowls a table is tried on that must stay workable: a standard error above what is wanted."""
    sure = number("keep.sure")
    return sure + math.sqrt(sure * (1.0 - sure) / CHOOSERS)


def _order(choice: Choice) -> tuple[float, ...]:
    """Sort key: sure ones first, among them long pauses and cool tables; the others by how long they keep bowls."""
    cool = (choice.table.thin_c, choice.table.kept_c)
    if choice.workable >= _sure():
        return (0.0, -choice.every_min, *cool)
    return (1.0, -round(choice.lasted_min), -choice.every_min, *cool)


def _tables(ask: KeepAsk, at: Temperatures, one: Bowls, single: Heater) -> list[KeepTable]:
    gap = at.stop_c - at.work_to_c
    most = at.stop_c - number("keep.below_stop")
    found = []
    for kept_share in array("keep.kept_share"):
        for thin_share in array("keep.thin_share"):
            kept_c, thin_c = (round(at.work_to_c + share * gap, 1) for share in (kept_share, thin_share))
            if thin_c > kept_c:
                found.append(make_table(one, single, kept_c, thin_c, most))
    return found if ask.warm_with != "none" else found[:1]


def _choice(kept: Kept, every: float, table: KeepTable, minutes: float) -> Choice:
    ends = kept.ends_min()
    return Choice(
        every, table, float((ends > minutes - 1e-9).mean()), float(np.minimum(ends, minutes).mean()),
        float(np.isfinite(kept.lost_min).mean()), float(kept.scorched.mean()),
    )  # fmt: skip


def _safe(tried: list[Choice], known: Known) -> list[Choice]:
    """Those whose risks are half a standard error of so many bowls below what was asked; fresh bowls decide."""
    job = known.job
    scorch = job.risk if job.risk_scorch is None else job.risk_scorch
    most_lost, most_scorched = (risk - 0.5 * math.sqrt(risk * (1.0 - risk) / CHOOSERS) for risk in (job.risk, scorch))
    return [c for c in tried if c.lost <= max(0.0, most_lost) and c.scorched <= max(0.0, most_scorched)]


def measured(known: Known, ask: KeepAsk, at: Temperatures, minutes: float, members: int, seed: int) -> Measured:
    """Choose a way of keeping and measure it on fresh bowls; a more careful one when it risks more than was asked."""
    choices, tried = choose(known, ask, at, minutes, seed)
    scorch = known.job.risk if known.job.risk_scorch is None else known.job.risk_scorch
    for attempt in range(_ATTEMPTS):
        choice = choices[0]
        rng = np.random.default_rng([seed, 22, attempt])
        bowls = bowls_in_temper(known, ask, at, members, rng)
        heater = heater_of(ask, known, members, rng)
        kept = keep(bowls, heater, choice.table, ask, minutes, choice.every_min, at.scorch_c, rng)
        if np.isfinite(kept.lost_min).mean() <= known.job.risk and kept.scorched.mean() <= scorch:
            break
        cooler = [c for c in choices[1:] if _cooler(c.table, choice.table)]
        if not cooler:
            break
        choices = cooler
    return Measured(choice, kept, _pauses(_safe(tried, known) or tried))


def _pauses(tried: list[Choice]) -> tuple[PauseRow, ...]:
    """The best that each pause gave."""
    found = []
    for every in sorted({c.every_min for c in tried}):
        best = max((c for c in tried if c.every_min == every), key=lambda c: (c.workable, c.lasted_min))
        found.append(PauseRow(every, best.workable, round(best.lasted_min, 1)))
    return tuple(found)


def _cooler(one: KeepTable, other: KeepTable) -> bool:
    return one.kept_c <= other.kept_c and one.thin_c <= other.thin_c and one != other
