"""Achieved risks: the plans carried out on fresh bowls that no step of the planning has seen."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from temperbench.insight.policy import follow
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw
from validation_tables.cases import KINDS, THERMOMETERS, Case, Fates, case, default_job, fates
from validation_tables.page import interval, percent, table

__all__ = ["measured", "risk_line", "risk_table"]

BLOCK = 10_000  # bowls at a time: memory stays small


def measured(found: Case, members: int, seed: int) -> tuple[int, int, Fates]:
    """Return how many fresh bowls were lost and scorched, and the fates of the last block."""
    lost = scorched = done = 0
    while done < members:
        block = min(BLOCK, members - done)
        rng = np.random.default_rng([seed, done])
        out = follow(found.policy, Bowls(draw(found.known.setup, block, rng)), found.aims, rng, found.job.level)
        lost, scorched, done = lost + int(out.lost.sum()), scorched + int(out.scorched.sum()), done + block
        last = fates(out.bowls, found.at.scorch_c, out.seconds)
    return lost, scorched, last


def _share(hits: int, of: int, digits: int) -> str:
    low, high = interval(hits, of)
    return f"{percent(hits / of, digits)} ({percent(low, digits)} to {percent(high, digits)})"


def risk_line(kind: str, thermometer: str, size: int) -> tuple[str, ...]:
    """Return the line of one job: shares with their intervals, whether both keep what was asked, and the price."""
    found = case(default_job(kind, thermometer))
    lost, scorched, f = measured(found, size, seed=size)
    kept = "yes" if max(lost, scorched) / size <= found.aims.risk_lost else "**no**"
    return (
        kind, {"none": "by eye"}.get(thermometer, thermometer), f"{size}", _share(lost, size, 2),
        _share(scorched, size, 2), kept, percent(f.pasty), percent(f.thick), f"{f.minutes:.1f}",
    )  # fmt: skip


def risk_table(sizes: tuple[int, ...], say: Callable[[str], None] = lambda _: None) -> str:
    """Return achieved risks for every kind and thermometer; the later sizes for the default job only."""
    lines = []
    for kind in KINDS:
        for thermometer in THERMOMETERS:
            default = (kind, thermometer) == (KINDS[0], THERMOMETERS[0])
            for size in sizes if default else sizes[:1]:
                began = time.perf_counter()
                lines.append(risk_line(kind, thermometer, size))
                say(f"{kind}, {thermometer}: {size} bowls in {time.perf_counter() - began:.0f} s")
    head = ("Kind", "Thermometer", "Bowls", "Lost", "Scorched", "Both within 5 %", "Pasty", "Thick", "Minutes")
    return table(head, lines)
