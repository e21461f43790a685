"""How long a whole plan takes: a new process with nothing compiled, a new process, and a call in a running one."""

from __future__ import annotations

import json
import sys
import tempfile
import time
from typing import Any

import numpy as np

from measure import child, say

__all__ = ["plan"]


def plan(quick: bool) -> dict[str, Any]:
    """Return the seconds of a plan of 1 kg of dark chocolate with 512 members, or why there are none."""
    say("a whole plan")
    found: dict[str, Any] = {}
    try:
        found["warm"] = _process(1, "1") if quick else _process(3, "4")
        if not quick:
            with tempfile.TemporaryDirectory() as folder:
                found["cold"] = _process(1, "4", NUMBA_CACHE_DIR=folder)
    except (OSError, ValueError, RuntimeError) as why:
        return {"skipped": str(why)}
    return found


def _process(repeats: int, calls: str, **environment: str) -> dict[str, float]:
    found = []
    for _ in range(repeats):
        start = time.perf_counter()
        told = json.loads(child("plan_time.py", calls, limit_s=300.0, **environment))
        found.append((time.perf_counter() - start, told))
    if "skipped" in found[0][1]:
        raise RuntimeError(found[0][1]["skipped"])
    best = min(found, key=lambda pair: pair[0])
    return {"process_s": best[0], **best[1], "processes": repeats}


def _here(plans: int) -> dict[str, Any]:
    start = time.perf_counter()
    try:
        from temperbench.insight.burst_plan import plan_bursts
        from temperbench.insight.job import BowlJob
    except ImportError as why:
        return {"skipped": f"the planner cannot be imported yet ({why})"}
    imported = time.perf_counter()
    job = BowlJob(chocolate="dark", grams=1000.0, oven_w=1000.0)
    calls = []
    try:
        for _ in range(plans):
            begin = time.perf_counter()
            plan_bursts(job)
            calls.append(time.perf_counter() - begin)
    except (TypeError, AttributeError, KeyError) as why:
        return {"skipped": f"the planner does not run ({type(why).__name__}: {why})"}
    return {
        "import_s": imported - start, "first_call_s": calls[0], "call_median_s": float(np.median(calls[1:] or calls)),
        "later_s": sum(calls[1:]),
    }  # fmt: skip


if __name__ == "__main__":
    print(json.dumps(_here(int(sys.argv[1]))))
