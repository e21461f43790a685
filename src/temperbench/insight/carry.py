"""How far the fixed seconds of a card carry: other start temperatures, amounts, a hot oven, other stores."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.insight.plan import BurstStep, Carries, StoreRow
from temperbench.insight.policy import Aims, Policy, follow
from temperbench.insight.setup_job import Known
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, nominal
from temperbench.kitchen.settle import settle_states

__all__ = ["carries", "still", "together"]


def still(members: Members) -> Members:
    """Return the members with a thermometer that reads true and an eye that judges true."""
    zero = np.zeros(len(members))
    return dataclasses.replace(members, bias_c=zero, noise_c=zero, eye=zero, lag=zero, skin=zero)


def together(parts: list[Members]) -> Members:
    """Return several ensembles as one."""
    arrays: dict[str, Any] = {
        k: np.concatenate([getattr(p, k) for p in parts])
        for k, v in parts[0].__dict__.items()
        if isinstance(v, np.ndarray)
    }
    return dataclasses.replace(parts[0], **arrays)


def _fixed(bowls: Bowls, steps: tuple[BurstStep, ...], level: float) -> NDArray[np.float64]:
    """Solid share of the fat after the card's seconds without a reading."""
    for step in steps:
        bowls.burst(float(step.seconds), level)
        taking_out = min(float(step.rest_s), 0.5 * number("bowl.rest.handling"))
        bowls.stand(taking_out)
        bowls.stir(float(step.stir_s))
        bowls.stand(float(step.rest_s) - taking_out)
    return bowls.solid()


def _reach(offsets: NDArray[np.float64], good: NDArray[np.bool_]) -> tuple[float, float]:
    """Ends of the run of good offsets around zero."""
    middle = int(np.argmin(np.abs(offsets)))
    low = high = middle
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(offsets) - 1 and good[high + 1]:
        high += 1
    return float(offsets[low]), float(offsets[high])


def carries(known: Known, policy: Policy, aims: Aims, steps: tuple[BurstStep, ...]) -> Carries:
    """Return how far the seconds of the median path hold without readings, and the seconds for other stores."""
    setup, job = known.setup, known.job
    starts, shares = np.array(array("carry.start_offsets")), np.array(array("carry.mass_offsets"))
    parts = [nominal(setup, start=setup.start_c.mid + d) for d in starts]
    parts += [nominal(setup, mass=setup.mass_kg * (1.0 + s)) for s in shares]
    hot = nominal(setup, warmth=1.0)
    solid = _fixed(Bowls(together([*parts, hot])), steps, job.level)
    low, high = number("carry.least_solid"), number("carry.most_solid")
    good = (solid >= low) & (solid <= high)
    from_c, to_c = _reach(starts, good[: len(starts)])
    less, more = _reach(shares, good[len(starts) : len(starts) + len(shares)])
    stores = () if job.stock == "part-melted" else _stores(known, policy, aims)
    text = (
        f"These seconds alone hold for the same chocolate, oven and bowl, {setup.start_c.mid + from_c:.0f} to "
        f"{setup.start_c.mid + to_c:.0f} °C at the start, {job.grams * (1 + less):.0f} to "
        f"{job.grams * (1 + more):.0f} g, oven cold. Anything else: go by "
        f"{known.say.either('the readings', 'what is seen')}."
    )
    return Carries(
        setup.start_c.mid + from_c, setup.start_c.mid + to_c, job.grams * (1.0 + less), job.grams * (1.0 + more),
        round(100.0 * float(solid[-1]), 1), stores, text,
    )  # fmt: skip


def _stores(known: Known, policy: Policy, aims: Aims) -> tuple[StoreRow, ...]:
    """Seconds by the same readings from other stores; the first burst brings the bowl to the same place."""
    setup, level = known.setup, known.job.level
    temperatures = [*array("carry.stores")]
    grid = np.array(array("plan.bursts"))
    ensemble = still(together([nominal(setup), *(nominal(setup, start=t) for t in temperatures)]))
    marks = Bowls(ensemble).burst_marks(grid, level)
    settled = settle_states(
        marks.states, ensemble.zones, ensemble.rows, ensemble.curves, ensemble.air_c, number("plan.stir.last")
    )[:, :, 0]
    place = int(np.argmin(np.abs(grid - policy.first_s)))
    found = []
    for i, start in enumerate(temperatures):
        first = grid[int(np.argmin(np.abs(settled[i + 1] - settled[0, place])))]
        own = dataclasses.replace(policy, first_s=int(first))
        one = ensemble.take(np.array([i + 1]))
        run = follow(own, Bowls(one), aims, np.random.default_rng(0), level, keep=True)
        seconds = tuple(int(s.burst_s[0]) for s in run.stages if s.active[0] and s.burst_s[0] > 0.0)
        found.append(StoreRow(start, seconds, sum(seconds)))
    return tuple(found)
