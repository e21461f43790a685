"""Observed order of convergence: fixed steps through a minute in which no switch of the equations is crossed."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from equations import jacobian
from measure import say
from ours import OneBowl, scratch
from task import NZ, TEMPERATURES, Array, ensemble, one_bowl, the_task
from temperbench.kitchen.bowl_solver import step_once

__all__ = ["order", "stiffness"]

HALVINGS = 7
LONG_S = 60.0
ANYTHING = 1e6  # an error per step that always passes


def _through(bowl: OneBowl, start: Array, u: Array, steps: int) -> Array:
    y, work, h = start.copy(), scratch(), LONG_S / steps
    for i in range(steps):
        taken, _ = step_once(y, NZ, bowl.p, bowl.curve, u, i * h, h, 0.0, ANYTHING, *work)
        if not taken:
            raise ArithmeticError("a step was refused")
    return y


def order() -> dict[str, Any]:
    """Return steps, errors and the slopes between them; the method's own order is 4."""
    say("order of convergence")
    task = the_task()
    bowl = OneBowl(one_bowl(), task.ends_only())
    states = bowl.run(1e-9)
    k = len(task.seconds) - 5  # a long stand in the draw-down, after its restart has died away
    u = bowl.us[k]
    start = _through(bowl, states[k - 1], u, 256)
    wanted = _through(bowl, start, u, 2 ** (HALVINGS + 3))
    steps = [2**i for i in range(HALVINGS)]
    errors = [float(np.max(np.abs(_through(bowl, start, u, n) - wanted)[TEMPERATURES])) for n in steps]
    slopes = [float(np.log2(a / b)) for a, b in pairwise(errors)]
    return {"step_s": [LONG_S / n for n in steps], "error_K": errors, "order": slopes}


def stiffness(members: int) -> dict[str, float]:
    """Return the fastest rate of the equations, the largest eigenvalue of the Jacobian by size, along paths. [1/s]

    The middle bowl's largest and median over its twenty minutes, and the largest of some drawn bowls.
    """
    task, middle, drawn = the_task(), one_bowl(), ensemble(members)

    def along(bowl: OneBowl) -> Array:
        states, us = bowl.run(1e-3), np.repeat(bowl.us, [len(m) for m in task.marks], axis=0)
        found = [jacobian(y, 0.0, bowl.p, bowl.curve, u) for y, u in zip(states, us, strict=True)]
        return np.abs(np.linalg.eigvals(np.array(found))).max(axis=1)

    own = along(OneBowl(middle, task))
    most = max(float(along(OneBowl(drawn, task, i)).max()) for i in range(len(drawn)))
    return {"middle_max": float(own.max()), "middle_median": float(np.median(own)), "drawn_max": most}
