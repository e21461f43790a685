"""The simplest strong rival: an explicit Runge-Kutta pair, compiled like our own kernel, no matrix at all.

Bogacki and Shampine's 3(2) pair (Applied Mathematics Letters 2, 1989, 321-325) with the same error norm and the same
step control as our integrator. It wins wherever the bowl is not stiff and loses on members that are.
"""

from __future__ import annotations

import numpy as np

from equations import rates_into
from task import SCALE, STATES, Array, Task
from temperbench.foundation.compiled import kernel
from temperbench.kitchen.bowl_layout import C_AIR, C_BENCH
from temperbench.kitchen.many import over_chunks
from temperbench.kitchen.members import Members

__all__ = ["Explicit", "explicit_many"]

MOST_STEPS = 200_000
ROUND = 1e-9


@kernel
def _phase(y: Array, p: Array, curve: Array, u: Array, marks: Array, tol: float, k: Array, out: Array) -> int:
    """One phase with the states at its marks; the number of steps, or -1."""
    n = y.shape[0]
    t, steps, m, free = 0.0, 0, 0, 1.0
    rates_into(y, p, curve, u, k[0])
    while m < marks.shape[0] and steps < MOST_STEPS:
        steps += 1
        h = min(free, marks[m] - t)
        for i in range(n):
            k[4, i] = y[i] + 0.5 * h * k[0, i]
        rates_into(k[4], p, curve, u, k[1])
        for i in range(n):
            k[4, i] = y[i] + 0.75 * h * k[1, i]
        rates_into(k[4], p, curve, u, k[2])
        for i in range(n):
            k[4, i] = y[i] + h * (2.0 * k[0, i] + 3.0 * k[1, i] + 4.0 * k[2, i]) / 9.0
        rates_into(k[4], p, curve, u, k[3])
        worst = 0.0
        for i in range(n):
            e = h * abs(-5.0 / 72.0 * k[0, i] + k[1, i] / 12.0 + k[2, i] / 9.0 - k[3, i] / 8.0) / (tol * SCALE[i])
            if not e <= worst:
                worst = e
        if not worst < 1e8:
            worst = 1e8
        following = h * min(5.0, max(0.1, 0.9 * (worst + 1e-12) ** (-1.0 / 3.0)))
        if worst <= 1.0:
            t += h
            for i in range(n):
                y[i], k[0, i] = k[4, i], k[3, i]
            free = max(following, free) if h < free else following
            if marks[m] <= t + ROUND:
                out[m] = y
                m += 1
        else:
            free = following
    return steps if m == marks.shape[0] else -1


@kernel
def _all(y: Array, p: Array, curve: Array, us: Array, marks: Array, first: Array, tol: float, k: Array, out: Array
         ) -> int:  # fmt: skip
    steps = 0
    for i in range(us.shape[0]):
        a, b = int(first[i]), int(first[i + 1])
        done = _phase(y, p, curve, us[i], marks[a:b], tol, k, out[a:b])
        if done < 0:
            return -1
        steps += done
    return steps


@kernel
def _many(start: Array, rows: Array, curves: Array, air: Array, us: Array, marks: Array, first: Array, tol: float,
          out: Array) -> None:  # fmt: skip
    k, u = np.empty((5, STATES)), us.copy()
    for m in range(start.shape[0]):
        u[:, C_AIR] = air[m]
        u[:, C_BENCH] = air[m]
        _all(start[m].copy(), rows[m], curves[m], u, marks, first, tol, k, out[m])


def _flat(task: Task) -> tuple[Array, Array]:
    first = np.cumsum([0, *(len(m) for m in task.marks)]).astype(np.float64)
    return np.concatenate(task.marks), first


class Explicit:
    """One member on one core."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.p, self.curve, self.start = members.rows[which], members.curves[which], members.start[which]
        self.us = task.at(float(members.air_c[which]))
        self.marks, self.first = _flat(task)
        self.k = np.empty((5, STATES))
        self.steps = 0

    def run(self, tol: float) -> Array:
        """Return the states at the outputs. ``tol`` in K per step; other states scaled beside it."""
        out = np.empty((len(self.marks), STATES))
        self.steps = _all(self.start.copy(), self.p, self.curve, self.us, self.marks, self.first, tol, self.k, out)
        if self.steps < 0:
            raise ArithmeticError("more steps than allowed")
        return out


def explicit_many(members: Members, task: Task, tol: float, workers: int | None = None) -> Array:
    """Run an ensemble; return the states at the ends of the phases (m, phases, n)."""
    marks, first = _flat(task.ends_only())
    out = np.full((len(members), len(task.seconds), STATES), np.nan)

    def work(s: slice) -> None:
        _many(members.start[s], members.rows[s], members.curves[s], members.air_c[s], task.controls, marks, first, tol,
              out[s])  # fmt: skip

    over_chunks(work, len(members), workers)
    return out
