"""How long the plan of each method takes in a running process: 1 kg of dark chocolate, 512 bowls."""

from __future__ import annotations

import time
from typing import Any

import numpy as np

from measure import say

__all__ = ["methods"]

_SEEDS = ("buttons", "block", "butter-crystals", "ripened-butter")


def methods(quick: bool) -> dict[str, Any]:
    """Return the seconds of a plan by each method, all of it compiled before; the median of a few calls."""
    from temperbench.insight.burst_plan import plan_bursts
    from temperbench.insight.job import BowlJob
    from temperbench.insight.methods.planners import PLANNERS

    members, calls = (64, 1) if quick else (512, 5)
    found: dict[str, Any] = {"members": members, "calls": calls, "seconds": {}}
    say("plans of every method")
    job = BowlJob("dark", 1000.0, 1000.0)
    found["seconds"]["microwave"] = _median(lambda: plan_bursts(job, members=members), calls)
    for method, planner in PLANNERS.items():
        for seed_with in _SEEDS if method == "seed" else ("buttons",):
            name = f"seed, {seed_with}" if method == "seed" else method
            asked = BowlJob("dark", 1000.0, method=method, seed_with=seed_with)
            found["seconds"][name] = _median(lambda p=planner, a=asked: p(a, members=members), calls)
    return found


def _median(work: Any, calls: int) -> float:
    work()
    took = []
    for _ in range(calls):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return float(np.median(took))
