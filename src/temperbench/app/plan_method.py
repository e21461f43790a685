"""Use case: from what a cook knows to the plan of any method but the microwave's bursts."""

from __future__ import annotations

from collections.abc import Callable

from temperbench.app.check_job import check_job, own_names
from temperbench.app.job_fields import RawJob, field_of
from temperbench.app.plan_bowl import MEMBERS
from temperbench.app.read_figure import read_word
from temperbench.app.results import MethodPlan
from temperbench.insight.methods.planners import plan_by_method

__all__ = ["method_of", "plan_method"]


def method_of(raw: RawJob) -> str:
    """Return the method that a job names, the microwave when it names none.

    Parameters
    ----------
    raw : RawJob
        What the person gave, unchecked. [-]

    Returns
    -------
    str
        One of the methods. [-]
    """
    asked = field_of("method")
    return read_word(raw.values.get("method", asked.words[0]), asked.words, raw.place("method"))


def plan_method(
    raw: RawJob, *, members: int = MEMBERS, seed: int = 1, progress: Callable[[str], None] | None = None
) -> MethodPlan:
    """Return the plan of a method.

    Parameters
    ----------
    raw : RawJob
        What the person gave, unchecked; its method is not the microwave, which `plan_bowl` plans. [-]
    members : int
        Ensemble members to plan with. [-]
    seed : int
        Start of the random numbers; the same seed gives the same plan. [-]
    progress : Callable[[str], None] | None
        Told in words what takes long, once per step. [-]

    Returns
    -------
    MethodPlan
        The plan with steps, bands, risks, faults and sources. [-]
    """
    job = check_job(raw, "plan")
    with own_names(raw):
        return plan_by_method(job, members=members, seed=seed, progress=progress)
