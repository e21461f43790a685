"""Robustness: what share of random but plausible bowls finishes, conserves heat and keeps every fraction in 0 to 1.

Forty random set-ups (stock, milk fat, mass, power per mass, temperatures, bowls), many members of each, all through
the same twenty minutes. Heat is checked on an insulated copy of each member, where what the oven gave must be what
chocolate and wall hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np

from many import BATCH, looped
from measure import once, say
from one import OURS
from ours import run_many
from peers_cvode import library_many
from peers_explicit import explicit_many
from peers_python import Odeint, Sundae
from task import NZ, SETUP, Array, Task, plain, the_task
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import C_POWER, MASS, POWER, SHARE, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT
from temperbench.kitchen.members import Members, draw
from temperbench.kitchen.setup import STOCKS, Setup
from temperbench.matter.crystals import CP, FAT, H_5, H_6, H_U, PARCEL, TEMP, X5, X6, XU

__all__ = ["plausible", "robust"]

SETUPS = 40
SLACK = 1e-4  # of the fat: what a fraction may lie outside 0 to 1
LEAK = 1e-4  # of the oven's heat: what may be missing
_x = Spread.exact


def _about(mid: float, part: float) -> Spread:
    return Spread(mid * (1.0 - part), mid, mid * (1.0 + part))


def _setup(rng: np.random.Generator) -> Setup:
    mass = float(np.exp(rng.uniform(np.log(0.3), np.log(3.0))))
    size = mass ** (2.0 / 3.0)
    start, air = rng.uniform(8.0, 27.0), rng.uniform(14.0, 30.0)
    return replace(
        SETUP, fat=_about(rng.uniform(0.28, 0.45), 0.05), milk_share=_x(rng.choice([0.0, rng.uniform(0.0, 0.25)])),
        growth_factor=_about(rng.uniform(0.3, 1.0), 0.1), mass_kg=mass, stock=str(rng.choice(STOCKS)),
        start_c=Spread(start - 1.0, start, start + 1.0), air_c=Spread(air - 1.0, air, air + 1.0),
        delivered_w=_about(mass * rng.uniform(250.0, 1100.0), 0.15), wall_share=_about(rng.uniform(0.0, 0.3), 0.3),
        wall_heat=_about(size * rng.uniform(120.0, 1200.0), 0.1), wall_c=Spread(air - 2.0, air, air + 2.0),
        inside_m2=_about(0.05 * size, 0.1), top_m2=0.025 * size,
    )  # fmt: skip


def plausible(m: int, seed: int = 7) -> Members:
    """Return about ``m`` members of `SETUPS` random set-ups."""
    rng = np.random.default_rng(seed)
    parts = [plain(draw(_setup(rng), max(1, m // SETUPS), rng)) for _ in range(min(SETUPS, m))]
    names = [f.name for f in fields(Members) if f.name != "zones"]
    return Members(**{name: np.concatenate([getattr(p, name) for p in parts]) for name in names})


def _heat(members: Members, y: Array) -> Array:
    """Enthalpy of chocolate and wall (m,). [J]"""
    rows = members.rows
    total = rows[:, WALL_HEAT] * y[:, -1]
    for i in range(NZ):
        o = i * PARCEL
        bound = rows[:, H_5] * y[:, o + X5] + rows[:, H_6] * y[:, o + X6] + rows[:, H_U] * y[:, o + XU]
        total = total + rows[:, SHARE + i] * rows[:, MASS] * (rows[:, CP] * y[:, o + TEMP] - rows[:, FAT] * bound)
    return np.asarray(total)


def _insulated(members: Members) -> Members:
    rows = members.rows.copy()
    rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    return replace(members, rows=rows)


def _judge(run: Callable[[Members], Array], members: Members, task: Task) -> dict[str, Any]:
    states, took = once(lambda: run(members))
    finished = np.isfinite(states).all(axis=(1, 2))
    solids = np.stack([states[:, :, i * PARCEL + c] for i in range(NZ) for c in (X5, X6, XU)])
    below, above = -solids.min(axis=(0, 2)), solids.max(axis=(0, 2)) - 1.0
    kept = finished & (below <= SLACK) & (above <= SLACK)
    closed = _insulated(members)
    ends = run(closed)[:, -1]
    given = members.rows[:, POWER] * float((task.controls[:, C_POWER] * task.seconds).sum())
    missing = np.abs(_heat(closed, ends) - _heat(closed, members.start) - given) / given
    held = np.isfinite(missing) & (missing <= LEAK)
    return {
        "members": len(members), "per_bowl_s": took / len(members),
        "finish": float(finished.mean()), "heat": float(held.mean()),
        "fractions": float(kept.mean()), "all": float((finished & held & kept).mean()),
        "worst_leak": float(np.nanmax(missing)), "worst_below": float(np.nanmax(np.maximum(below, above))),
    }  # fmt: skip


def robust(quick: bool, tols: dict[str, float]) -> dict[str, Any]:
    """Return the shares of each solver; ``tols`` are the tolerances found good enough for the ensemble."""
    task = the_task()
    most, some, few = (40, 20, 10) if quick else (10_000, 1000, 200)
    plans: dict[str, tuple[int, Callable[[Members], Array]]] = {
        OURS: (most, lambda m: run_many(m, task, tols[OURS])),
        f"{OURS}, tolerance of plans": (most, lambda m: run_many(m, task, number("bowl.step_tolerance"))),
    }
    for name, run in {"explicit 3(2), compiled": explicit_many,
                      "CVODE library, compiled": library_many}.items():  # fmt: skip
        plans[name] = (some, lambda m, run=run, name=name: run(m, task, tols[name]))
    loops = {} if quick else {"SciPy odeint (LSODA), loop": Odeint, "CVODE by scikit-sundae, loop": Sundae}
    for name, kind in loops.items():
        plans[name] = (few, lambda m, kind=kind, name=name: looped(kind, m, task, tols[name]))
    if not quick:
        plans["diffrax Bosh3, batches of 8"] = (few, lambda m: _diffrax(m, task, tols["diffrax Bosh3, batches of 8"]))
    found = {}
    for name, (m, run) in plans.items():
        say(f"robustness: {name}")
        found[name] = {"tol_K": tols.get(name, number("bowl.step_tolerance")), **_judge(run, plausible(m), task)}
    return found


def _diffrax(members: Members, task: Task, tol: float) -> Array:
    from peers_jax import Diffrax

    return Diffrax("Bosh3", members, task.ends_only(), None, BATCH).run_many(tol)
