"""The four temperatures of a bowl: stop, limit and working window, from the chocolate's own solid-fat curve."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import Known, know
from temperbench.kitchen.members import Members, nominal, settled_solids
from temperbench.matter.composition import scorch_alarm, working_window
from temperbench.matter.pack import NUT_PASTES

__all__ = ["Temperatures", "limit_of", "temperature_at_solid", "temperatures"]


@dataclass(frozen=True)
class Temperatures:
    """Where to stop heating, where the crystals go, where to work, where it scorches. [°C]"""

    stop_c: float
    limit_c: float
    work_from_c: float
    work_to_c: float
    scorch_c: float


def temperature_at_solid(members: Members, solid: float) -> NDArray[np.float64]:
    """Return the temperature at which each settled member still has this solid share of its fat. [°C]"""
    low, high = np.full(len(members), 20.0), np.full(len(members), 40.0)
    for _ in range(40):
        middle = 0.5 * (low + high)
        more = settled_solids(members.rows, members.curves, middle) > solid
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.asarray(0.5 * (low + high))


def temperatures(known: Known) -> Temperatures:
    """Return the temperatures of a job's chocolate, middle values of everything unknown."""
    one = nominal(known.setup)
    stop = float(temperature_at_solid(one, number("bowl.stop.left"))[0])
    limit = float(temperature_at_solid(one, number("bowl.limit.left"))[0])
    low, high = _window(known.chocolate.kind, round(stop, 1))
    return Temperatures(round(stop, 1), round(limit, 1), low, high, scorch_alarm(known.chocolate.kind))


def _window(kind: str, stop_c: float) -> tuple[float, float]:
    """Return the working window of practice; of a nut paste that which its own fat gives, below its own stop."""
    if kind not in NUT_PASTES:
        return working_window(kind)
    low, high = array("material.below_stop")
    return round(stop_c - low, 1), round(stop_c - high, 1)


def limit_of(job: BowlJob) -> float:
    """Return the limit of a job's chocolate, whatever bowl and oven are named with it. [°C]"""
    bare = replace(job, method="cabinet", bowl=None, bowl_g=None, bowl_l=None, bowl_c=None, start_c=None)
    return temperatures(know(bare)).limit_c
