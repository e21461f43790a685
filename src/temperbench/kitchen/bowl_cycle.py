"""Bursts below full power in an oven that switches on and off: segments of waiting, heating and pausing.

Each on-interval pays the start delay again. Above, `temperbench.kitchen.bowls` sees one burst.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_layout import CYCLE, DELAY
from temperbench.kitchen.bowl_solver import FAILED, advance_marks, warmth_after

__all__ = ["cycled_burst", "cycled_on_seconds"]

_ROUND = 1e-9  # s


@kernel
def cycled_burst(
    y: Array, nz: int, row: Array, curve: Array, u: Array, off: Array, level: float, duration: float, marks: Array,
    warmth: float, tol: float, states: Array, peaks: Array, peak: Array, ws: Array, ends: NDArray[np.int64],
    inside: Array, some: Array, tops: Array,
) -> tuple[int, float]:  # fmt: skip
    """Advance one member through a burst of timer seconds; return `FAILED` or 0, and the warmth of the oven after it.

    ``u`` are the controls while on, ``off`` while off; ``inside``, ``some`` and ``tops`` hold the marks, states and
    peaks of one segment and need one place more than there are marks.
    """
    n = y.shape[0]
    t, m, bad = 0.0, 0, 0
    while t < duration - _ROUND:
        start = math.floor((t + _ROUND) / row[CYCLE]) * row[CYCLE]
        stop = start + level * row[CYCLE]
        begin = min(start + row[DELAY], stop)
        on = begin - _ROUND <= t < stop - _ROUND
        end = min(duration, begin if t < begin - _ROUND else stop if on else start + row[CYCLE])
        count = 0
        while m + count < marks.shape[0] and marks[m + count] <= end + _ROUND:
            inside[count] = max(0.0, marks[m + count] - t)
            count += 1
        inside[count] = end - t
        acts = u if on else off
        done = advance_marks(y, nz, row, curve, acts, inside[: count + 1], warmth, tol, some, tops, peak, ws, ends)
        if done == FAILED:
            bad = FAILED
        for k in range(count):
            for i in range(n):
                states[m + k, i] = some[k, i]
            for i in range(nz):
                peaks[m + k, i] = tops[k, i]
        m += count
        warmth = warmth_after(row, warmth, on, end - t)
        t = end
    return bad, warmth


def cycled_on_seconds(seconds: Array, level: float, cycle: Array, delay: Array) -> Array:
    """Heating seconds of bursts of timer seconds.

    ``seconds`` (k,), ``cycle`` and ``delay`` (m,); returns (m, k). A cycle of 0 means continuous at ``level``.
    """
    out = level * np.maximum(0.0, seconds[None, :] - delay[:, None])
    if level >= 1.0 or not (cycle > 0.0).any():
        return out
    total = np.zeros_like(out)
    for k in range(int(seconds.max() / cycle[cycle > 0.0].min()) + 1):
        on = np.minimum(seconds[None, :] - k * cycle[:, None], level * cycle[:, None])
        total += np.maximum(0.0, on - delay[:, None])
    return np.where(cycle[:, None] > 0.0, total, out)
