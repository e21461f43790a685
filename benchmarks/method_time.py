"""How long the plan of each method takes, in a new process and in a running one: 1 kg of dark chocolate, 512 bowls."""

from __future__ import annotations

import json
import sys
import tempfile
import time
from typing import Any

import numpy as np

from measure import child, say

__all__ = ["methods"]

_SEEDS = ("buttons", "block", "butter-crystals", "ripened-butter")
_COMPILED_ANEW = "tabling"  # the method that needs the most kernels


def methods(quick: bool) -> dict[str, Any]:
    """Return the seconds of a plan by each method, warm and in a new process, and once with nothing compiled."""
    from temperbench.insight.methods.planners import PLANNERS

    members, calls = (64, 1) if quick else (512, 5)
    found: dict[str, Any] = {"members": members, "calls": calls, "seconds": {}, "new_process": {}, "import_s": {}}
    say("plans of every method")
    names = ["microwave"]
    for method in PLANNERS:
        names += [f"seed, {seed}" for seed in _SEEDS] if method == "seed" else [method]
    for name in names:
        work = _plan(name, members)
        found["seconds"][name] = _median(work, calls)
    for name in names[:1] if quick else names:
        found["new_process"][name], found["import_s"][name] = _process(name, members)
    if not quick:
        with tempfile.TemporaryDirectory() as folder:
            found["compiled_anew"] = {_COMPILED_ANEW: _process(_COMPILED_ANEW, members, NUMBA_CACHE_DIR=folder)[0]}
    return found


def _plan(name: str, members: int) -> Any:
    """Return a call that plans by a method."""
    from temperbench.insight.burst_plan import plan_bursts
    from temperbench.insight.job import BowlJob
    from temperbench.insight.methods.planners import PLANNERS

    if name == "microwave":
        bursts = BowlJob("dark", 1000.0, 1000.0)
        return lambda: plan_bursts(bursts, members=members)
    method, _, seed_with = name.partition(", ")
    job = BowlJob("dark", 1000.0, method=method, seed_with=seed_with or "buttons")
    return lambda: PLANNERS[method](job, members=members)


def _median(work: Any, calls: int) -> float:
    work()
    took = []
    for _ in range(calls):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return float(np.median(took))


def _process(name: str, members: int, **environment: str) -> tuple[float, float]:
    """Return the seconds of a process that imports the planner and plans once, and of the import in it."""
    begin = time.perf_counter()
    told = json.loads(child("method_time.py", name, str(members), limit_s=300.0, **environment))
    return time.perf_counter() - begin, float(told["import_s"])


def _once(name: str, members: int) -> dict[str, float]:
    begin = time.perf_counter()
    work = _plan(name, members)
    imported = time.perf_counter()
    work()
    return {"import_s": imported - begin, "first_s": time.perf_counter() - imported}


if __name__ == "__main__":
    print(json.dumps(_once(sys.argv[1], int(sys.argv[2]))))
