"""Members through one act of cook or oven: bursts with start delay and on-off cycle, stirring, standing, cooling.

The one compiled loop over members. Each on-interval of an oven that switches on and off pays the start delay again.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_layout import C_AIR, C_BENCH, C_POWER, CYCLE, DELAY
from temperbench.kitchen.bowl_solver import FAILED, SCRATCH_ROWS, advance_marks, warmth_after

__all__ = ["cycled_on_seconds", "run_bowls"]

_ROUND = 1e-9  # s


@kernel
def _segment(row: Array, level: float, delayed: bool, t: float, duration: float) -> tuple[float, bool]:
    """End of the stretch of an act that begins at ``t`` s, and whether the oven is on in it."""
    if not delayed:
        return duration, True
    cycled = level < 1.0 and row[CYCLE] > 0.0
    start = math.floor((t + _ROUND) / row[CYCLE]) * row[CYCLE] if cycled else 0.0
    stop = start + level * row[CYCLE] if cycled else duration
    begin = min(start + row[DELAY], stop)
    if t < begin - _ROUND:
        return min(duration, begin), False
    if t < stop - _ROUND:
        return min(duration, stop), True
    return min(duration, start + row[CYCLE]), False


@kernel
def run_bowls(
    y: Array, nz: int, rows: Array, curves: Array, u: Array, air: Array, durations: Array, marks: Array, delayed: bool,
    warmth: Array, tol: float, peak: Array, states: Array, peaks: Array, bad: NDArray[np.int64],
) -> None:  # fmt: skip
    """Carry each member through its own duration under the controls ``u``, in place; ``delayed``: it is a burst.

    ``states`` (m, marks, n) and ``peaks`` (m, marks, zones) take what is at the marks; ``bad`` flags who failed.
    """
    n = y.shape[1]
    ws, ends = np.empty((n + SCRATCH_ROWS, n)), np.empty((2, n), dtype=np.int64)
    most = marks.shape[0] + 1
    inside, some, tops = np.empty(most), np.empty((most, n)), np.empty((most, nz))
    off, on = u.copy(), u.copy()
    off[C_POWER] = 0.0
    level = u[C_POWER]
    for m in range(y.shape[0]):
        on[C_AIR], on[C_BENCH], off[C_AIR], off[C_BENCH] = air[m], air[m], air[m], air[m]
        on[C_POWER] = 1.0 if delayed and rows[m, CYCLE] > 0.0 else level
        duration = durations[m]
        if math.isnan(duration) or (delayed and math.isnan(rows[m, DELAY])):
            bad[m] = 1
            continue
        t, first = 0.0, 0
        while t < duration - _ROUND and bad[m] == 0:
            end, heating = _segment(rows[m], level, delayed, t, duration)
            count = 0
            while first + count < most - 1 and marks[first + count] <= end + _ROUND:
                inside[count] = max(0.0, marks[first + count] - t)
                count += 1
            inside[count] = end - t
            acts = on if heating else off
            if advance_marks(
                y[m], nz, rows[m], curves[m], acts, inside[: count + 1], warmth[m], tol, some, tops, peak[m], ws, ends
            ) == FAILED:  # fmt: skip
                bad[m] = 1
            states[m, first : first + count] = some[:count]
            peaks[m, first : first + count] = tops[:count]
            first += count
            warmth[m] = warmth_after(rows[m], warmth[m], acts[C_POWER] > 0.0, end - t)
            t = end
        if first < most - 1:
            bad[m] = 1


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
