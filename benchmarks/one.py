"""One bowl, one core: error against time of every solver over a range of tolerances."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Protocol

import numpy as np

from measure import say, timed
from ours import OneBowl
from peers_cvode import Library
from peers_explicit import Explicit
from peers_python import Odeint, SolveIvp, Sundae, reference
from task import TEMPERATURES, Array, Task, one_bowl, the_task
from temperbench.kitchen.members import Members

__all__ = ["OURS", "one"]

OURS = "temperbench"


class Solver(Protocol):
    """What is asked of a solver."""

    def run(self, tol: float) -> Array:
        """Return the states at the outputs."""


Maker = Callable[[Members, Task], Solver]
FINE = (0.1, 0.05, 0.02, 0.01, 5e-3, 2e-3, 1e-3, 3e-4, 1e-4, 1e-5)
QUICK = (0.01, 1e-3)


def _makers(quick: bool) -> dict[str, Maker]:
    from peers_jax import Diffrax

    found: dict[str, Maker] = {
        OURS: OneBowl,
        "explicit 3(2), compiled": Explicit,
        "CVODE library, compiled": Library,
        "CVODE by scikit-sundae": Sundae,
        "SciPy odeint (LSODA)": Odeint,
    }
    if not quick:
        found |= {f"SciPy solve_ivp {name}": partial(SolveIvp, name) for name in ("LSODA", "BDF", "RK23")}
    names = ("Bosh3",) if quick else ("Bosh3", "Tsit5", "Kvaerno3", "Kvaerno5")
    return found | {f"diffrax {name}": partial(Diffrax, name) for name in names}


def _curve(solver: Solver, wanted: Array, tols: tuple[float, ...], repeats: int, budget_s: float) -> list[dict]:
    points = []
    for tol in tols:
        point: dict[str, Any] = {"tol_K": tol}
        try:
            error = np.max(np.abs(solver.run(tol) - wanted)[:, TEMPERATURES])
            point |= {"error_K": float(error), **timed(partial(solver.run, tol), repeats, budget_s)}
            point["steps"] = int(getattr(solver, "steps", 0))
        except ArithmeticError as why:
            point["failed"] = str(why)
        points.append(point)
    return points


def one(quick: bool) -> dict[str, Any]:
    """Return points of every solver, with outputs every ten seconds and at the ends of phases, or at the ends only."""
    members, full = one_bowl(), the_task()
    last = np.cumsum([len(m) for m in full.marks]) - 1
    wanted = reference(members, full)
    found: dict[str, Any] = {"outputs": full.outputs, "phases": len(full.seconds), "grid": {}, "ends": {}}
    if not quick:
        other = reference(members, full, method="Radau")
        found["references_differ_K"] = float(np.max(np.abs(other - wanted)[:, TEMPERATURES]))
    tols, repeats, budget_s = (QUICK, 3, 0.1) if quick else (FINE, 20, 0.5)
    for name, maker in _makers(quick).items():
        say(f"one bowl: {name}")
        found["grid"][name] = _curve(maker(members, full), wanted, tols, repeats, budget_s)
        if not quick and not name.startswith("diffrax Kv"):
            ends = full.ends_only()
            found["ends"][name] = _curve(maker(members, ends), wanted[last], tols, repeats, budget_s / 2)
    return found
