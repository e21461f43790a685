"""How long one bowl with 1,000 particles keeps a cook waiting: update plus next advice, and what settles meanwhile."""

from __future__ import annotations

import time
from typing import Any

import numpy as np

from measure import say
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LiveRun

__all__ = ["live_turn"]

RUN = (
    ("burst", {"seconds": 45.0}, 50), ("stir", {"seconds": 20.0}, 75), ("reading", {"celsius": 28.9}, 80),
    ("lumps", {"level": "many"}, 84), ("burst", {"seconds": 22.0}, 112), ("stir", {"seconds": 20.0}, 136),
    ("reading", {"celsius": 31.2}, 141), ("lumps", {"level": "some"}, 145), ("burst", {"seconds": 8.0}, 160),
    ("stir", {"seconds": 25.0}, 190), ("reading", {"celsius": 32.0}, 196), ("lumps", {"level": "few"}, 200),
    ("burst", {"seconds": 4.0}, 210), ("stir", {"seconds": 40.0}, 255), ("reading", {"celsius": 32.2}, 260),
    ("flow", {"level": "thick"}, 264),
)  # fmt: skip


def live_turn(quick: bool) -> dict[str, Any]:
    """Return milliseconds of update plus advice, of a what-if, and of settling in the background.

    Besides the wall clock the processor time of all threads is kept: other work on the machine hardly moves it.
    """
    turns, spent, settles, asks = [], [], [], []
    for seed in range(2 if quick else 6):
        say(f"one live bowl, run {seed}" + ("" if seed else ", not counted: it loads and compiles"))
        run = LiveRun("bench", BowlJob("dark", 1000.0, 1000.0), 0, seed=seed, particles=100 if quick else 1000)
        for n, (kind, what, at) in enumerate(RUN):
            begun, before = time.perf_counter(), time.process_time()
            run.fold(Happening(str(n), kind, 1000 * at, **what))
            run.view()
            turns.append((kind, 1e3 * (time.perf_counter() - begun)))
            spent.append(1e3 * (time.process_time() - before))
            begun = time.perf_counter()
            run.what_if(5)
            asks.append(1e3 * (time.perf_counter() - begun))
            due, begun = run.filter.particles.due, time.perf_counter()
            run.settle()
            if due:
                settles.append(1e3 * (time.perf_counter() - begun))
        if seed == 0:
            turns, spent, settles, asks = [], [], [], []
    every = [ms for _, ms in turns]
    kinds = sorted({kind for kind, _ in turns})
    return {
        "particles": 100 if quick else 1000, "turns": len(every), "median_ms": float(np.median(every)),
        "p95_ms": float(np.percentile(every, 95)), "most_ms": max(every),
        "by_kind_p95_ms": {k: float(np.percentile([ms for kind, ms in turns if kind == k], 95)) for k in kinds},
        "cpu_p95_ms": float(np.percentile(spent, 95)), "cpu_most_ms": max(spent),
        "what_if_p95_ms": float(np.percentile(asks, 95)), "settle_median_ms": float(np.median(settles)),
        "settle_most_ms": max(settles),
    }  # fmt: skip
