"""What a given sequence of bursts does to a bowl: no policy, the same seconds for every member."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.job import BowlJob
from temperbench.insight.plan import BurstStep
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw

__all__ = ["SimulatedRun", "simulate_run"]

_LOW, _HIGH = 0.05, 0.95


@dataclass(frozen=True)
class SimulatedRun:
    """Path and end of a given sequence: bands at the times ``t_s`` (start, after each burst, after each stir)."""

    t_s: tuple[float, ...]
    low_c: tuple[float, ...]
    mid_c: tuple[float, ...]
    high_c: tuple[float, ...]
    hottest_high_c: tuple[float, ...]
    solid_low: tuple[float, ...]  # % of fat
    solid_mid: tuple[float, ...]
    solid_high: tuple[float, ...]
    steps: tuple[BurstStep, ...]
    risk_lost: float
    risk_scorch: float
    stop_c: float
    limit_c: float
    scorch_c: float


def simulate_run(
    job: BowlJob, bursts: Sequence[tuple[float, float, float]], members: int = 512, seed: int = 1
) -> SimulatedRun:
    """Run every member through bursts of (burst, stand, stir) seconds and return bands and risks."""
    known = know(job)
    aims = temperatures(known)
    bowls = Bowls(draw(known.setup, members, np.random.default_rng(seed)))
    points: list[tuple[float, ...]] = []
    steps: list[BurstStep] = []
    clock = 0.0

    def note() -> None:
        heat = np.quantile(bowls.temperature(), [_LOW, 0.5, _HIGH])
        solid = 100.0 * np.quantile(bowls.solid(), [_LOW, 0.5, _HIGH])
        hottest = float(np.quantile(bowls.zone(5).max(axis=1), _HIGH))
        points.append((clock, *heat.tolist(), hottest, *solid.tolist()))

    note()
    for burst, stand, stir in bursts:
        before = bowls.peak.copy()
        bowls.peak[:] = -100.0
        bowls.burst(burst, job.level)
        clock += burst
        note()
        bowls.stand(stand)
        bowls.stir(stir)
        clock += stand + stir
        note()
        hottest = float(np.quantile(bowls.peak.max(axis=1), _HIGH))
        bowls.peak = np.maximum(bowls.peak, before)
        low, mid, high = np.quantile(bowls.reading(), [_LOW, 0.5, _HIGH])
        steps.append(
            BurstStep(
                round(burst), round(stand), round(stir), float(mid), float(low), float(high), hottest, points[-1][6]
            )
        )
    t, low_c, mid_c, high_c, hottest_c, solid_low, solid_mid, solid_high = zip(*points, strict=True)
    lost = bowls.stable() < number("bowl.lost")
    scorched = bowls.peak.max(axis=1) > aims.scorch_c
    return SimulatedRun(
        t_s=t, low_c=low_c, mid_c=mid_c, high_c=high_c, hottest_high_c=hottest_c, solid_low=solid_low,
        solid_mid=solid_mid, solid_high=solid_high, steps=tuple(steps), risk_lost=float(lost.mean()),
        risk_scorch=float(scorched.mean()), stop_c=aims.stop_c, limit_c=aims.limit_c, scorch_c=aims.scorch_c,
    )  # fmt: skip
