"""Our own engine on the task: the compiled kernel for one bowl, the class of the package for ensembles."""

from __future__ import annotations

import inspect
from typing import Any

import numpy as np
from numpy.typing import NDArray

from task import NZ, STATES, Array, Task
from temperbench.foundation.compiled import kernel
from temperbench.kitchen import bowls
from temperbench.kitchen.bowl_solver import FAILED, SCRATCH_ROWS, advance, advance_marks
from temperbench.kitchen.members import Members

__all__ = ["OneBowl", "ends", "run_many", "scratch"]


def scratch() -> tuple[NDArray[Any], ...]:
    """Return the working arrays the integrator wants after ``peak``, in its own order."""
    known = {
        "ws": lambda: np.zeros((STATES + SCRATCH_ROWS, STATES)),
        "ends": lambda: np.zeros((2, STATES), dtype=np.int64),
    }
    names = list(inspect.signature(advance).parameters)
    return tuple(known[name]() for name in names[names.index("peak") + 1 :])


@kernel
def ends(y: Array, nz: int, p: Array, curve: Array, us: Array, seconds: Array, tol: float, peak: Array, out: Array,
          work: tuple[Array, ...]) -> int:  # fmt: skip
    """All phases, states kept at the end of each; the number of steps."""
    steps = 0
    for k in range(seconds.shape[0]):
        done = advance(y, nz, p, curve, us[k], seconds[k], 0.0, tol, peak, *work)
        if done == FAILED:
            return FAILED
        steps += done
        out[k] = y
    return steps


@kernel
def _grid(y: Array, nz: int, p: Array, curve: Array, us: Array, marks: Array, first: Array, tol: float, peak: Array,
          out: Array, peaks: Array, work: tuple[Array, ...]) -> int:  # fmt: skip
    """All phases, states kept at every mark; the number of steps."""
    steps = 0
    for k in range(us.shape[0]):
        a, b = int(first[k]), int(first[k + 1])
        done = advance_marks(y, nz, p, curve, us[k], marks[a:b], 0.0, tol, out[a:b], peaks[a:b], peak, *work)
        if done == FAILED:
            return FAILED
        steps += done
    return steps


class OneBowl:
    """One member on one core; `run` returns the states at the outputs."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.p, self.curve, self.start = members.rows[which], members.curves[which], members.start[which]
        self.us, self.seconds = task.at(float(members.air_c[which])), task.seconds
        self.marks = np.concatenate(task.marks)
        self.first = np.cumsum([0, *(len(m) for m in task.marks)]).astype(np.float64)
        self.only_ends = task.outputs == len(task.seconds)
        self.work = scratch()
        self.steps = 0

    def run(self, tol: float) -> Array:
        """Return the states at the outputs. ``tol`` in K per step."""
        y, peak = self.start.copy(), np.full(NZ, -100.0)
        out = np.empty((len(self.marks), STATES))
        if self.only_ends:
            self.steps = ends(y, NZ, self.p, self.curve, self.us, self.seconds, tol, peak, out, self.work)
        else:
            peaks = np.empty((len(self.marks), NZ))
            self.steps = _grid(y, NZ, self.p, self.curve, self.us, self.marks, self.first, tol, peak, out, peaks,
                               self.work)  # fmt: skip
        if self.steps == FAILED:
            raise ArithmeticError("the integrator gave up")
        return out


def run_many(members: Members, task: Task, tol: float, workers: int | None = None) -> Array:
    """Run an ensemble by the class everything else in the package uses; states at the ends of phases (m, phases, n).

    Members that failed are not a number from there on.
    """
    many = bowls.Bowls(members, tolerance=tol, workers=workers)
    out = np.empty((len(members), len(task.seconds), STATES))
    for k, seconds in enumerate(task.seconds):
        many.phase(task.controls[k].copy(), float(seconds))
        out[:, k] = many.y
    out[many.bad > 0] = np.nan
    return out
