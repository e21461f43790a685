"""Ensembles: the loosest tolerance at which every member is right to 0.02 K, and the time at that tolerance."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np

from measure import once, say, timed
from one import OURS
from ours import run_many
from peers_cvode import library_many
from peers_explicit import explicit_many
from peers_python import Odeint, Sundae, reference
from task import ENOUGH_K, STATES, TEMPERATURES, Array, Task, ensemble, the_task
from temperbench.kitchen.many import cores
from temperbench.kitchen.members import Members

__all__ = ["looped", "many"]

TIGHT_K = 1e-6
TOLS = (0.03, 0.01, 5e-3, 2e-3, 1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5, 1e-5)
FROM = 4  # loops through Python and diffrax begin at this one: looser ones never were enough
BATCH = 8  # members in step: found best among 1, 8, 32 and all

Run = Callable[[float], Array]


def looped(kind: type[Odeint] | type[Sundae], members: Members, task: Task, tol: float) -> Array:
    """Run a one-bowl solver over the members in a loop; states at the ends of the phases, or not a number."""
    out = np.full((len(members), len(task.seconds), STATES), np.nan)
    ends = task.ends_only()
    for i in range(len(members)):
        try:
            out[i] = kind(members, ends, i).run(tol)
        except ArithmeticError:
            continue
    return out


def _worst(states: Array, wanted: Array) -> dict[str, float]:
    per_member = np.abs(states - wanted)[:, :, TEMPERATURES].max(axis=(1, 2))
    return {
        "error_K": float(np.max(per_member)) if np.isfinite(per_member).all() else float("inf"),
        "error_p99_K": float(np.nanpercentile(per_member, 99)), "error_median_K": float(np.nanmedian(per_member)),
    }  # fmt: skip


def _good_enough(run: Run, wanted: Array, tols: tuple[float, ...]) -> dict[str, Any]:
    """Go from loose to tight until the worst member is right to `ENOUGH_K`; every error and time on the way."""
    curve: list[dict[str, float]] = []
    first_s = 0.0
    for tol in tols:
        start = time.perf_counter()
        states, took = once(partial(run, tol))
        first_s = first_s or time.perf_counter() - start
        curve.append({"tol_K": tol, "median_s": took, **_worst(states, wanted)})
        if curve[-1]["error_K"] <= ENOUGH_K:
            break
    last = {key: value for key, value in curve[-1].items() if key != "median_s"}
    return {"curve": curve, "first_call_s": first_s, **last}


def _row(members: int, cores: int, took: float) -> dict[str, float]:
    """A time taken once, where repeats would take minutes."""
    return {"members": members, "cores": cores, "median_s": took, "q1_s": took, "q3_s": took, "repeats": 1}


def _compiled(members: Members, task: Task, wanted: Array, quick: bool) -> dict[str, Any]:
    """Ours and the compiled rivals, on each number of cores, and over the number of members."""
    found: dict[str, Any] = {}
    runs = {OURS: run_many, "explicit 3(2), compiled": explicit_many, "CVODE library, compiled": library_many}
    for name, run in runs.items():
        say(f"{len(members)} bowls: {name}")
        best = _good_enough(partial(run, members, task, workers=1), wanted, TOLS)
        rows = []
        for size in [len(members)] if quick else [100, len(members), 10_000]:
            some = members.take(np.arange(size)) if size <= len(members) else ensemble(size)
            for workers in sorted({1, cores()}):
                work = partial(run, some, task, best["tol_K"], workers=workers)
                if size > len(members):
                    rows.append(_row(size, workers, once(work)[1]))
                else:
                    spent = timed(work, 20, 0.2 if quick else 3.0)
                    rows.append({"members": size, "cores": workers, **spent})
        found[name] = {"rows": rows, **best}
    return found


def _through_python(members: Members, task: Task, wanted: Array) -> dict[str, Any]:
    found: dict[str, Any] = {}
    some = np.arange(min(len(members), 200))
    for name, kind in {"SciPy odeint (LSODA), loop": Odeint, "CVODE by scikit-sundae, loop": Sundae}.items():
        say(f"{len(members)} bowls: {name}")
        tols = TOLS[FROM:]
        guess = _good_enough(partial(looped, kind, members.take(some), task), wanted[some], tols)
        best = _good_enough(partial(looped, kind, members, task), wanted, tols[tols.index(guess["tol_K"]) :])
        found[name] = {**best, "rows": [_row(len(members), 1, best["curve"][-1]["median_s"])]}
    return found


def _diffrax(members: Members, task: Task, wanted: Array) -> dict[str, Any]:
    """`lax.map` over small batches in as many threads as there are cores, and plain `vmap` over all members."""
    from peers_jax import Diffrax

    found: dict[str, Any] = {}
    ends, few = task.ends_only(), members.take(np.arange(min(len(members), 100)))
    plans = [
        ("diffrax Bosh3, batches of 8", "Bosh3", BATCH, members), ("diffrax Bosh3, vmap", "Bosh3", 0, members),
        ("diffrax Tsit5, batches of 8", "Tsit5", BATCH, few), ("diffrax Kvaerno3, vmap", "Kvaerno3", 0, few),
    ]  # fmt: skip
    for name, solver, batch, which in plans:
        say(f"{len(which)} bowls: {name}")
        threads = cores() if batch else 1
        one = Diffrax(solver, which, ends, None, batch or len(which))
        run = partial(one.run_many, threads=threads)
        settled = found.get("diffrax Bosh3, batches of 8")  # plain vmap takes the same steps
        tols = (settled["tol_K"],) if settled and solver == "Bosh3" else TOLS[FROM:]
        best = _good_enough(run, wanted[: len(which)], tols)
        compiled = len(best["curve"]) == 1  # then the only call so far was the one that compiled
        took = once(partial(run, best["tol_K"]))[1] if compiled else best["curve"][-1]["median_s"]
        found[name] = {**best, "rows": [_row(len(which), threads, took)]}
    return found


def many(quick: bool) -> dict[str, Any]:
    """Return what every solver needs for an ensemble that is right to `ENOUGH_K` on its worst member."""
    members, task = ensemble(16 if quick else 1000), the_task()
    say(f"{len(members)} bowls: reference")
    wanted = run_many(members, task, TIGHT_K)
    checked = range(0, len(members), 16 if quick else 100)
    ends = task.ends_only()
    apart = [np.abs(reference(members, ends, i) - wanted[i])[:, TEMPERATURES].max() for i in checked]
    found: dict[str, Any] = {"members": len(members), "reference_error_K": float(max(apart))}
    found["solvers"] = _compiled(members, task, wanted, quick)
    if not quick:
        found["solvers"] |= _through_python(members, task, wanted) | _diffrax(members, task, wanted)
    return found
