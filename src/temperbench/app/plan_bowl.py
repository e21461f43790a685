"""Use case: from what a cook knows to a burst plan."""

from __future__ import annotations

from collections.abc import Callable

from temperbench.app.check_job import check_job, own_names
from temperbench.app.job_fields import RawJob
from temperbench.app.results import BurstPlan
from temperbench.foundation.errors import InputError
from temperbench.insight.burst_plan import plan_bursts

__all__ = ["MEMBERS", "plan_bowl"]

MEMBERS = 512  # ensemble members a plan is made with unless somebody asks for more


def plan_bowl(
    raw: RawJob, *, members: int = MEMBERS, seed: int = 1, progress: Callable[[str], None] | None = None
) -> BurstPlan:
    """Return the plan of a bowl.

    Parameters
    ----------
    raw : RawJob
        What the person gave, unchecked. [-]
    members : int
        Ensemble members to plan with. [-]
    seed : int
        Start of the random numbers; the same seed gives the same plan. [-]
    progress : Callable[[str], None] | None
        Told in words what takes long, once per step. [-]

    Returns
    -------
    BurstPlan
        The plan with bands, reasons, warnings and sources. [-]
    """
    job = check_job(raw, "plan")
    if job.method != "microwave":
        remedy = "take the plan of the method instead"
        raise InputError(raw.place("method"), job.method, "microwave for a plan of bursts", remedy)
    with own_names(raw):
        return plan_bursts(job, members=members, seed=seed, progress=progress)
