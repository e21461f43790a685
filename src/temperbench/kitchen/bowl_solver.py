"""The compiled integrator of a bowl: an adaptive L-stable Rosenbrock method of order 4 with the exact Jacobian.

One phase = constant controls. `advance` moves one member through one phase; `advance_marks` does so and keeps the
state at given times. Both track the highest temperature each zone has seen.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import (
    ROS_A,
    ROS_ALPHA,
    ROS_C,
    ROS_GAMMA,
    ROS_GAMMA_SUM,
    ROS_STAGES,
    lu_factor,
    lu_solve,
)
from temperbench.kitchen.bowl_layout import C_POWER, DRIFT, DRIFT_TAU, POWER, REST_TAU
from temperbench.kitchen.bowl_rates import bowl_jacobian, bowl_rates
from temperbench.matter.crystals import N5, NU, PARCEL, TEMP

__all__ = ["FAILED", "SCRATCH_ROWS", "advance", "advance_marks", "state_error", "step_once", "warmth_after"]

FAILED = -1
SCRATCH_ROWS = 12  # rows of scratch that a step needs beside its matrix
_SOLID_SCALE = 0.02  # share of the fat that counts as much as one degree in the error norm
_SITE_SCALE = 2.0  # growth sites that count as much as one degree, plus their own size
_MAX_STEPS = 20000
_FIRST_STEP = 1.0  # s
_MARK_STEP = 2.0  # s, longest step where marks are closer than that
_ROUND = 1e-9  # s
_WORST = 1e8  # error at which the step shrinks as far as it may


@kernel
def warmth_after(p: NDArray[np.float64], warmth: float, on: bool, dt: float) -> float:
    """Warmth of the oven after ``dt`` s of use or rest: exponential in both."""
    after: float = warmth * math.exp(-dt / p[REST_TAU])
    if on:
        after = 1.0 - (1.0 - warmth) * math.exp(-dt / p[DRIFT_TAU])
    return after


@kernel
def _power_at(p: NDArray[np.float64], share: float, warmth: float, t: float) -> float:
    """Power of the oven ``t`` s into a phase. [W]"""
    watts: float = share * p[POWER] * (1.0 - p[DRIFT] * (1.0 - (1.0 - warmth) * math.exp(-t / p[DRIFT_TAU])))
    return watts


@kernel
def state_error(y: NDArray[np.float64], e: NDArray[np.float64], wall: int, size: int) -> float:
    """Largest part of an error, in degrees or as much; from ``wall`` on there are temperatures only."""
    worst = 0.0
    for i in range(size):
        c = i % PARCEL
        if i >= wall or c == TEMP:
            scaled = abs(e[i])
        elif c in (N5, NU):
            scaled = abs(e[i]) / (_SITE_SCALE + abs(y[i]))
        else:
            scaled = abs(e[i]) / _SOLID_SCALE
        if not scaled < _WORST:  # also true when it is not a number
            return _WORST
        worst = max(worst, scaled)
    return worst


@kernel
def _step(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    t: float, h: float, warmth: float, ws: NDArray[np.float64], ends: NDArray[np.int64],
) -> bool:  # fmt: skip
    """One step: the new state goes to the row of ``ws`` after the stages, the error estimate is the last stage."""
    n = y.shape[0]
    a, k, new, ft = ws[:n], ws[n : n + ROS_STAGES], ws[n + ROS_STAGES], ws[n + ROS_STAGES + 1]
    share = u[C_POWER]
    left = 1.0 - warmth
    watts = _power_at(p, share, warmth, t)
    bowl_jacobian(y, nz, p, curve, u, watts, a)
    g = 1.0 / (h * ROS_GAMMA)
    for i in range(n):
        for j in range(n):
            a[i, j] = -a[i, j]
        a[i, i] += g
    if not lu_factor(a, n, ends):
        return False
    slope = 0.0
    if watts > 0.0 and p[DRIFT] > 0.0:
        slope = -share * p[POWER] * p[DRIFT] * left * math.exp(-t / p[DRIFT_TAU]) / p[DRIFT_TAU]
    bowl_rates(y, nz, p, curve, u, watts, k[0])
    if slope != 0.0:
        bowl_rates(y, nz, p, curve, u, watts + slope, ft)  # linear in the power, so the difference is df/dt
        for i in range(n):
            ft[i] -= k[0, i]
    for s in range(ROS_STAGES):
        new[:] = y
        right = k[s]
        for j in range(s):
            weight = ROS_A[s, j]
            if weight != 0.0:
                for i in range(n):
                    new[i] += weight * k[j, i]
        if slope != 0.0 and s > 0:
            watts = _power_at(p, share, warmth, t + ROS_ALPHA[s] * h)
        if s > 0:
            bowl_rates(new, nz, p, curve, u, watts, right)
        for j in range(s):
            weight = ROS_C[s, j] / h
            for i in range(n):
                right[i] += weight * k[j, i]
        if slope != 0.0 and ROS_GAMMA_SUM[s] != 0.0:
            for i in range(n):
                right[i] += h * ROS_GAMMA_SUM[s] * ft[i]
        lu_solve(a, right, n, ends)
    for i in range(n):
        new[i] += k[ROS_STAGES - 1, i]
    return True


@kernel
def step_once(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    t: float, h: float, warmth: float, tol: float, ws: NDArray[np.float64], ends: NDArray[np.int64],
) -> tuple[bool, float]:  # fmt: skip
    """Try one step of ``h`` s from time ``t`` of the phase; say whether it was taken, and the step to try next."""
    n = y.shape[0]
    last = n + ROS_STAGES
    good = _step(y, nz, p, curve, u, t, h, warmth, ws, ends)
    err = state_error(ws[last], ws[last - 1], nz * PARCEL, ws.shape[1]) / tol if good else _WORST
    if not err < _WORST:
        err = _WORST
    if err <= 1.0:
        for i in range(n):
            y[i] = ws[last, i]
    return err <= 1.0, h * min(6.0, max(0.1, 0.9 * (err + 1e-12) ** -0.25))


@kernel
def advance(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    duration: float, warmth: float, tol: float, peak: NDArray[np.float64], ws: NDArray[np.float64],
    ends: NDArray[np.int64],
) -> int:  # fmt: skip
    """Move the state through one phase of ``duration`` s in place; return the number of steps, or `FAILED`.

    ``tol`` is the error per step in K (solids and sites scaled beside it); ``peak`` (zones,) rises to the highest
    temperature of each zone.
    """
    t, steps = 0.0, 0
    h = min(duration, _FIRST_STEP)
    while t < duration - _ROUND and steps < _MAX_STEPS:
        steps += 1
        h = min(h, duration - t)
        done, following = step_once(y, nz, p, curve, u, t, h, warmth, tol, ws, ends)
        if done:
            t += h
            for i in range(nz):
                peak[i] = max(peak[i], y[i * PARCEL + TEMP])
        h = following
    return steps if t >= duration - _ROUND else FAILED


@kernel
def advance_marks(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    marks: NDArray[np.float64], warmth: float, tol: float, states: NDArray[np.float64], peaks: NDArray[np.float64],
    peak: NDArray[np.float64], ws: NDArray[np.float64], ends: NDArray[np.int64],
) -> int:  # fmt: skip
    """As `advance`, up to the last mark, writing the state and the peaks at each mark (increasing times in s).

    Between the ends of a step the state is the cubic through values and rates at both ends.
    """
    n = y.shape[0]
    t, steps, m = 0.0, 0, 0
    h = _FIRST_STEP
    before, slope, after = ws[n + ROS_STAGES + 2], ws[n + ROS_STAGES + 3], ws[n + ROS_STAGES + 4]
    while m < marks.shape[0] and marks[m] <= _ROUND:
        states[m, :n] = y
        peaks[m, :nz] = peak
        m += 1
    while m < marks.shape[0] and steps < _MAX_STEPS:
        steps += 1
        gap = marks[m] - marks[m - 1] if m > 0 else marks[m]
        h = min(h, marks[-1] - t, max(_MARK_STEP, gap))  # the cubic between the ends must not span a melting onset
        before[:] = y
        done, following = step_once(y, nz, p, curve, u, t, h, warmth, tol, ws, ends)
        if done and marks[m] <= t + h + _ROUND:
            bowl_rates(before, nz, p, curve, u, _power_at(p, u[C_POWER], warmth, t), slope)
            bowl_rates(y, nz, p, curve, u, _power_at(p, u[C_POWER], warmth, t + h), after)
            while m < marks.shape[0] and marks[m] <= t + h + _ROUND:
                s = (marks[m] - t) / h
                for i in range(n):
                    v = (1.0 + 2.0 * s) * (1.0 - s) ** 2 * before[i] + s * s * (3.0 - 2.0 * s) * y[i]
                    states[m, i] = v + h * s * (1.0 - s) * ((1.0 - s) * slope[i] - s * after[i])
                for i in range(nz):
                    peaks[m, i] = max(peak[i], states[m, i * PARCEL + TEMP])
                m += 1
        if done:
            t += h
            for i in range(nz):
                peak[i] = max(peak[i], y[i * PARCEL + TEMP])
        h = following
    return steps if m == marks.shape[0] else FAILED
