"""Which planner plans which method; the microwave's bursts have a planner and a plan of their own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from temperbench.insight.job import BowlJob
from temperbench.insight.methods.method_plan import MethodPlan
from temperbench.insight.methods.plan_cold_bowl import plan_cold_bowl
from temperbench.insight.methods.plan_kettle import plan_kettle
from temperbench.insight.methods.plan_part_melt import plan_part_melt
from temperbench.insight.methods.plan_seed import plan_seed
from temperbench.insight.methods.plan_tabling import plan_tabling

__all__ = ["PLANNERS", "Planner", "plan_by_method"]


class Planner(Protocol):
    """What plans a method."""

    def __call__(
        self, job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None
    ) -> MethodPlan:
        """Return the plan; the same seed of the random numbers gives the same plan."""


PLANNERS: dict[str, Planner] = {
    "bath": plan_part_melt,
    "cabinet": plan_part_melt,
    "seed": plan_seed,
    "tabling": plan_tabling,
    "cold-bowl": plan_cold_bowl,
    "kettle": plan_kettle,
}


def plan_by_method(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None
) -> MethodPlan:
    """Plan the method of a job."""
    return PLANNERS[job.method](job, members=members, seed=seed, progress=progress)
