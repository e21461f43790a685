"""One well-mixed parcel of chocolate losing heat to air: a smear on paper or a knife, a sample cup, a held bowl.

The same rates as the bowl with one zone. `run_parcels` gives the states at chosen times, `time_to_solid` the moment
when the solid share of the fat passes a mark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_cycle import run_bowls
from temperbench.kitchen.bowl_layout import C_AIR, C_BENCH, state_size
from temperbench.kitchen.bowl_rates import bowl_rates
from temperbench.kitchen.bowl_solver import SCRATCH_ROWS, step_once
from temperbench.kitchen.bowls import controls
from temperbench.kitchen.many import over_chunks
from temperbench.matter.crystals import N5, NU, TEMP, X5, XU

__all__ = ["FILMS", "parcel_states", "run_parcels", "time_to_solid"]

FILMS = ("paper", "knife")
_SIZE = state_size(1)
_TOLERANCE = 0.005  # K per step: films are small, so accuracy is cheap


@kernel
def _set_time(
    y: Array,
    row: Array,
    curve: Array,
    u: Array,
    mark: float,
    longest: float,
    tol: float,
    ws: Array,
    ends: NDArray[np.int64],
    f: Array,
) -> float:
    """Step until the solid share reaches ``mark``; place it inside the step by the cubic through both ends."""
    n = y.shape[0]
    t, h = 0.0, 0.5
    bowl_rates(y, 1, row, curve, u, 0.0, f)
    solid, slope = y[X5] + y[X5 + 1] + y[XU], f[X5] + f[X5 + 1] + f[XU]
    if solid >= mark:
        return 0.0
    while t < longest:
        done, h_next = step_once(y, 1, row, curve, u, t, h, 0.0, tol, ws, ends)
        if not done:
            h = h_next
            if h < 1e-9:
                return math.nan
            continue
        bowl_rates(y, 1, row, curve, u, 0.0, f)
        after, slope_after = y[X5] + y[X5 + 1] + y[XU], f[X5] + f[X5 + 1] + f[XU]
        if after >= mark:
            low, high = 0.0, 1.0
            for _ in range(40):
                s = 0.5 * (low + high)
                value = (1 + 2 * s) * (1 - s) ** 2 * solid + s * (1 - s) ** 2 * h * slope
                value += s * s * (3 - 2 * s) * after + s * s * (s - 1) * h * slope_after
                if value < mark:
                    low = s
                else:
                    high = s
            return t + high * h
        t += h
        solid, slope, h = after, slope_after, min(h_next, 60.0)
    return math.inf if n > 0 else math.nan


@kernel
def _set_times(
    y: Array, rows: Array, curves: Array, u: Array, air: Array, mark: float, longest: float, tol: float, out: Array
) -> None:
    n = y.shape[1]
    ws, ends, f = np.empty((n + SCRATCH_ROWS, n)), np.empty((2, n), dtype=np.int64), np.empty(n)
    for m in range(y.shape[0]):
        u[C_AIR], u[C_BENCH] = air[m], air[m]
        out[m] = _set_time(y[m], rows[m], curves[m], u, mark, longest, tol, ws, ends, f)


def parcel_states(
    temperature: Array | float, stable: Array | float, sites: Array | float, unstable: Array | float = 0.0,
    unstable_sites: Array | float = 0.0,
) -> Array:  # fmt: skip
    """Return starting states (m, state) from temperatures (°C), crystals (kg/kg fat) and growth sites."""
    parts = np.broadcast_arrays(*map(np.atleast_1d, (temperature, stable, sites, unstable, unstable_sites)))
    y = np.zeros((len(parts[0]), _SIZE))
    y[:, TEMP], y[:, X5], y[:, N5], y[:, XU], y[:, NU] = parts
    y[:, -1] = y[:, TEMP]
    return y


def run_parcels(
    y: Array, rows: Array, curves: Array, air_c: Array, seconds: Sequence[float] | Array, shear: float = 0.0,
    tolerance: float = _TOLERANCE,
) -> Array:  # fmt: skip
    """Return the states (m, times, state) of parcels with loss ``top`` to air at given seconds."""
    marks = np.array(seconds, dtype=np.float64)
    states = np.zeros((len(y), len(marks), _SIZE))
    bad = np.zeros(len(y), dtype=np.int64)
    u, start = controls(shear=shear, contact=0), y.copy()

    durations, peak = np.full(len(y), marks[-1]), np.full((len(y), 1), -100.0)
    warmth, peaks = np.zeros(len(y)), np.zeros((len(y), len(marks), 1))

    def work(s: slice) -> None:
        run_bowls(start[s], 1, rows[s], curves[s], u, air_c[s], durations[s], marks, False, warmth[s], tolerance,
                  peak[s], states[s], peaks[s], bad[s])  # fmt: skip

    over_chunks(work, len(y))
    if bad.any():
        raise ArithmeticError("a parcel could not be integrated; please report the job that did it")
    return states


def time_to_solid(
    y: Array, rows: Array, curves: Array, air_c: Array, mark: float, longest_s: float, tolerance: float = _TOLERANCE
) -> Array:
    """Return the seconds until the solid share of the fat passes ``mark``; infinity when it takes longer. (m,)"""
    out = np.zeros(len(y))
    u, start = controls(contact=0), y.copy()

    def work(s: slice) -> None:
        _set_times(start[s], rows[s], curves[s], u.copy(), air_c[s], mark, longest_s, tolerance, out[s])

    over_chunks(work, len(y))
    return out
