"""Solvers called from Python on the task: SciPy's and scikit-sundae's, with the compiled equations and Jacobian."""

from __future__ import annotations

import warnings

import numpy as np
from scipy.integrate import odeint, solve_ivp
from sksundae.cvode import CVODE

from equations import Bound, jacobian, jacobian_into, rates, rates_into
from task import SCALE, Array, Task
from temperbench.kitchen.members import Members

__all__ = ["Odeint", "SolveIvp", "Sundae", "reference"]

TIGHT = 1e-11
MOST_STEPS = 20000


class Odeint:
    """`scipy.integrate.odeint`: LSODA with the least Python around it."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.b = Bound(members, task, which)
        self.times = [np.append(0.0, marks) for marks in task.marks]

    def run(self, tol: float) -> Array:
        """Return the states at the outputs. ``tol`` in K, as absolute tolerance; other states scaled beside it."""
        b, y, out = self.b, self.b.start, []
        for u, times in zip(b.us, self.times, strict=True):
            found, told = odeint(rates, y, times, args=(b.p, b.curve, u), Dfun=jacobian, rtol=0.0,
                                 atol=tol * SCALE, full_output=True, tcrit=times[-1:], mxstep=MOST_STEPS)  # fmt: skip
            if told["message"] != "Integration successful.":
                raise ArithmeticError(told["message"])
            out.append(found[1:])
            y = found[-1]
        return np.concatenate(out)


class SolveIvp:
    """`scipy.integrate.solve_ivp` with one of its methods."""

    def __init__(self, method: str, members: Members, task: Task, which: int = 0) -> None:
        self.b, self.method = Bound(members, task, which), method
        self.more = {"jac": self.b.jac} if method in ("LSODA", "BDF", "Radau") else {}

    def run(self, tol: float) -> Array:
        """Return the states at the outputs. ``tol`` in K, as absolute tolerance; other states scaled beside it."""
        b, y, out = self.b, self.b.start, []
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # that rtol is below what it takes: it then uses the least it takes
            for u, seconds, marks in zip(b.us, b.task.seconds, b.task.marks, strict=True):
                b.u = u
                found = solve_ivp(b.f, (0.0, seconds), y, method=self.method, t_eval=marks, rtol=1e-13,
                                  atol=tol * SCALE, **self.more)  # fmt: skip
                if not found.success:
                    raise ArithmeticError(found.message)
                out.append(found.y.T)
                y = found.y[:, -1]
        return np.concatenate(out)


class Sundae:
    """`sksundae.cvode.CVODE`, one solver object, initialised again at every phase."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.b = Bound(members, task, which)
        self.solvers: dict[float, CVODE] = {}

    def _solver(self, tol: float) -> CVODE:
        b = self.b

        def f(_t: float, y: Array, yp: Array) -> None:
            rates_into(y, b.p, b.curve, b.u, yp)

        def jac(_t: float, y: Array, _yp: Array, out: Array) -> None:
            jacobian_into(y, b.p, b.curve, b.u, out)

        if tol not in self.solvers:
            self.solvers[tol] = CVODE(f, jacfn=jac, rtol=1e-15, atol=tol * SCALE, max_num_steps=MOST_STEPS)
        return self.solvers[tol]

    def run(self, tol: float) -> Array:
        """Return the states at the outputs. ``tol`` in K, as absolute tolerance; other states scaled beside it."""
        b, y, solver, out = self.b, self.b.start, self._solver(tol), []
        for u, marks in zip(b.us, b.task.marks, strict=True):
            b.u = u
            found = solver.solve(np.append(0.0, marks) if len(marks) > 1 else np.array([0.0, marks[0]]), y)
            if not found.success:
                raise ArithmeticError(found.message)
            out.append(found.y[-len(marks) :])
            y = found.y[-1]
        return np.concatenate(out)


def reference(members: Members, task: Task, which: int = 0, method: str = "DOP853") -> Array:
    """Return the states at the outputs with an error far below any that is compared."""
    return SolveIvp(method, members, task, which).run(TIGHT)
