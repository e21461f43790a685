"""How much of a core's arithmetic the kernel uses: operations counted, time measured, peak measured.

The operations are counted by running the very source of the kernels, uncompiled, on numbers that count what is done to
them. The peak is NumPy's matrix product on one core in double precision, which keeps the wide multiply-add units busy.
Run by itself this module is one of those processes.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np

from equations import many_jacobians, many_rates
from measure import child, say, timed
from ours import OneBowl, ends
from task import STATES, one_bowl, the_task
from temperbench.kitchen import bowl_solver

__all__ = ["Counting", "flops"]

DONE: Counter[str] = Counter()
SIZE, TRIES, CALLS = 1536, 8, 50


class Counting:
    """A float that counts additions, products, quotients and functions."""

    __array_ufunc__ = None
    __slots__ = ("x",)

    def __init__(self, x: float) -> None:
        self.x = float(x)

    def __float__(self) -> float:
        return self.x

    def __neg__(self) -> Counting:
        return Counting(-self.x)

    def __abs__(self) -> Counting:
        return Counting(abs(self.x))

    def __hash__(self) -> int:
        return hash(self.x)


def _two(kind: str, name: str, turned: bool) -> None:
    plain = getattr(float, f"__{'r' if turned else ''}{name}__")

    def operation(self: Counting, other: Any) -> Counting:
        DONE[kind] += 1
        return Counting(plain(self.x, float(other)))

    setattr(Counting, f"__{'r' if turned else ''}{name}__", operation)


for _kind, _name in (("add", "add"), ("add", "sub"), ("mul", "mul"), ("div", "truediv"), ("function", "pow")):
    _two(_kind, _name, False)
    _two(_kind, _name, True)


def _compared(name: str) -> None:
    plain = getattr(float, f"__{name}__")
    setattr(Counting, f"__{name}__", lambda self, other: plain(self.x, float(other)))


for _name in ("lt", "le", "gt", "ge", "eq", "ne"):
    _compared(_name)


class _Math:
    """The functions of `math` the kernels call, counted."""

    def __init__(self, real: Any) -> None:
        self.real = real

    def __getattr__(self, name: str) -> Any:
        function = getattr(self.real, name)

        def counted(*values: Any) -> Counting:
            DONE["function"] += 1
            return Counting(function(*map(float, values)))

        return counted if callable(function) else function


def _counting(a: np.ndarray) -> np.ndarray:
    out = np.empty(a.shape, dtype=object)
    for i, x in np.ndenumerate(a):
        out[i] = Counting(x)
    return out


def _called(kind: str, function: Callable[..., None]) -> Callable[..., None]:
    """Count the calls of a function of the integrator."""

    def counted(*given: Any) -> None:
        DONE[kind] += 1
        function(*given)

    return counted


def count(tol: float) -> dict[str, Any]:
    """Return the operations of one bowl of the task, ends of phases only. Needs the compiler switched off."""
    for name, module in list(sys.modules.items()):
        if name.startswith("temperbench.") and getattr(module, "math", None) is math:
            module.math = _Math(math)
    for name, kind in {"bowl_rates": "rates", "bowl_jacobian": "jacobian"}.items():
        setattr(bowl_solver, name, _called(kind, getattr(bowl_solver, name)))
    bowl = OneBowl(one_bowl(), the_task().ends_only())
    for name in ("p", "curve", "start", "us"):
        setattr(bowl, name, _counting(getattr(bowl, name)))
    bowl.work = tuple(_counting(a) if a.dtype == np.float64 else a for a in bowl.work)
    peak, out = np.full(3, -100.0), np.empty((len(bowl.seconds), len(bowl.start)), dtype=object)
    DONE.clear()
    steps = ends(bowl.start.copy(), 3, bowl.p, bowl.curve, bowl.us, bowl.seconds, tol, peak, out, bowl.work)
    return {"steps": steps, **DONE}


def peak() -> float:
    """Return the operations per second of a matrix product on one core, the best of a few."""
    a = np.random.default_rng(1).random((SIZE, SIZE))
    best = np.inf
    for _ in range(TRIES):
        start = time.process_time()
        a @ a
        best = min(best, time.process_time() - start)
    return float(2.0 * SIZE**3 / best)


def _parts(tol: float) -> dict[str, float]:
    """Return the compiled time of one run, and seconds of one call of the rates and of the Jacobian along its path."""
    bowl = OneBowl(one_bowl(), the_task().ends_only())
    run = timed(partial(bowl.run, tol), 50, 1.0)
    states, jac = bowl.run(tol), np.zeros((STATES, STATES))
    found = {"run_s": run["median_s"]}
    for name, loop in {"rates_s": many_rates, "jacobian_s": many_jacobians}.items():
        spent = timed(partial(loop, CALLS, states, bowl.p, bowl.curve, bowl.us, jac), 20, 0.5)
        found[name] = spent["median_s"] / CALLS / len(states)
    return found


def flops(tol: float) -> dict[str, Any]:
    """Return counts, rates and the share of the peak, for a run of the task with outputs at the ends of phases."""
    say("counting operations")
    done = json.loads(child("flops.py", "count", str(tol), limit_s=200.0, NUMBA_DISABLE_JIT="1"))
    one = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
    top = float(child("flops.py", "peak", limit_s=100.0, **one))
    each = done["add"] + done["mul"] + done["div"] + done["function"]
    parts = _parts(tol)
    rate = each / parts["run_s"]
    return {**done, **parts, "tol_K": tol, "operations": each, "per_step": each / done["steps"], "rate": rate,
            "peak": top, "share": rate / top}  # fmt: skip


if __name__ == "__main__":
    print(json.dumps(count(float(sys.argv[2]))) if sys.argv[1] == "count" else peak())
