"""Timing with spread, and what has to be told beside a time: machine, versions, and what else the machine was doing."""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from temperbench.kitchen.many import cores

__all__ = ["HERE", "child", "machine", "once", "say", "timed", "versions", "with_load"]

HERE = Path(__file__).resolve().parent
Result = TypeVar("Result")
_START = time.perf_counter()
PACKAGES = ("temperbench", "numpy", "numba", "llvmlite", "scipy", "scikit-sundae", "jax", "jaxlib", "diffrax",
            "particles", "matplotlib")  # fmt: skip


def once(work: Callable[[], Result]) -> tuple[Result, float]:
    """Return the result and the seconds of one call: wall clock, or processor time where that is less.

    It is less when one thread worked and was made to wait by other processes; with several threads wall clock is.
    """
    wall, spent = time.perf_counter(), time.process_time()
    result = work()
    return result, min(time.perf_counter() - wall, time.process_time() - spent)


def timed(work: Callable[[], Any], repeats: int, budget_s: float) -> dict[str, float]:
    """Return median and quartiles of the seconds ``work`` takes: so many repeats, fewer once the budget is spent.

    One call before them is not counted.
    """
    work()
    found: list[float] = []
    end = time.perf_counter() + budget_s
    while len(found) < repeats and (len(found) < 3 or time.perf_counter() < end):
        found.append(once(work)[1])
    q1, median, q3 = np.percentile(found, [25, 50, 75])
    return {"median_s": float(median), "q1_s": float(q1), "q3_s": float(q3), "repeats": len(found)}


def _busy_s() -> tuple[float, float]:
    """Seconds all cores have worked since the machine started, and those of this process and its finished children."""
    tick = os.sysconf("SC_CLK_TCK")
    try:
        with open("/proc/stat", encoding="ascii") as stat:
            user, nice, system, _idle, _wait, irq, soft, steal = map(int, stat.readline().split()[1:9])
    except OSError:  # not Linux
        return float("nan"), 0.0
    own = os.times()
    return (user + nice + system + irq + soft + steal) / tick, sum(own[:4])


def with_load(work: Callable[[], Result]) -> tuple[Result, dict[str, Any]]:
    """Return the result, and when it was measured, how long it took and how many cores other processes kept busy."""
    start, (all_before, own_before) = time.perf_counter(), _busy_s()
    result = work()
    all_after, own_after = _busy_s()
    took = max(time.perf_counter() - start, 1e-3)
    busy = max(0.0, (all_after - all_before - own_after + own_before) / took)
    return result, {"date": datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC"), "took_s": took, "others": busy}


def machine() -> dict[str, Any]:
    """Return processor, cores, system and Python, without any name or path of the machine."""
    model = platform.processor() or platform.machine()
    try:
        for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                model = line.split(":", 1)[1].strip()
                break
    except OSError:
        pass
    return {
        "processor": model, "architecture": platform.machine(), "cores": cores(), "system": platform.system(),
        "python": platform.python_version(),
    }  # fmt: skip


def versions() -> dict[str, str]:
    """Return the versions of what is compared."""
    found = {}
    for package in PACKAGES:
        try:
            found[package] = version(package)
        except PackageNotFoundError:
            found[package] = "from the source folder" if package == "temperbench" else "not installed"
    return found


def child(script: str, *arguments: str, limit_s: float, **environment: str) -> str:
    """Run a script of this folder in a process of its own; return what it printed."""
    done = subprocess.run(
        [sys.executable, "-W", "ignore", str(HERE / script), *arguments],
        env={**os.environ, **environment}, capture_output=True, text=True, timeout=limit_s, check=True,
    )  # fmt: skip
    return done.stdout.strip()


def say(text: str) -> None:
    """Tell on standard error what is being measured, and when in seconds after the start."""
    print(f"{time.perf_counter() - _START:6.0f} s  {text}", file=sys.stderr, flush=True)
