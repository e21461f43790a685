"""All members of an ensemble at once, on all cores."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np

__all__ = ["cores", "over_chunks"]


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


_POOL = ThreadPoolExecutor(max_workers=cores())


def over_chunks(work: Callable[[slice], None], m: int, workers: int | None = None) -> None:
    """Call ``work`` on slices that cover ``range(m)``, one thread per core; kernels release the interpreter lock."""
    n = min(workers or cores(), m)
    if n <= 1:
        work(slice(0, m))
        return
    parts = n * (4 if m >= 64 * n else 1)  # small parts even out members that need more steps
    cuts = np.linspace(0, m, parts + 1).astype(int)
    slices = [slice(int(a), int(b)) for a, b in pairwise(cuts)]
    if workers is None:
        list(_POOL.map(work, slices))
        return
    with ThreadPoolExecutor(max_workers=n) as pool:
        list(pool.map(work, slices))
