"""Jobs, policies and fates: what every table that runs bowls has in common."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.insight import burst_plan
from temperbench.insight.job import BowlJob
from temperbench.insight.plan import BurstPlan
from temperbench.insight.policy import Aims, Policy
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["HANDLING", "KINDS", "THERMOMETERS", "Case", "Fates", "case", "default_job", "fates", "plan", "run_fixed",
           "stir_after"]  # fmt: skip

KINDS = ("dark", "milk", "white")
THERMOMETERS = ("probe", "infrared", "none")
PASTY = 0.10  # of the fat still solid after the last stir: does not flow as a tempered bowl should
HANDLING = number("bowl.rest.handling")
PLAN_MEMBERS = 512


@dataclass(frozen=True)
class Case:
    """A job with what is known of it, what it is steered to, and its policy."""

    job: BowlJob
    known: Known
    at: Temperatures
    aims: Aims
    policy: Policy


@dataclass(frozen=True)
class Fates:
    """Shares of bowls that came to grief in one way or another, and the minutes the run took."""

    lost: float  # under 0.5 % of the fat stable crystals
    scorched: float  # a zone passed the alarm
    pasty: float  # over 10 % of the fat solid
    lumpy: float  # the most solid zone still too solid to disperse
    thick: float  # viscosity over twice that without crystals
    failed: float  # lost, scorched or pasty
    minutes: float  # median
    solid: tuple[float, float, float]  # 5, 50, 95 %
    members: int


def default_job(kind: str = "dark", thermometer: str = "probe", grams: float = 1000.0) -> BowlJob:
    """Return the job of the tables: an oven labelled 1000 W, a thin plastic bowl, stock and room at 20 °C."""
    return BowlJob(kind, grams, 1000.0, bowl="plastic", room_c=20.0, start_c=20.0, thermometer=thermometer)


@cache
def case(job: BowlJob) -> Case:
    """Return the policy that `plan_bursts` follows for a job, with the ensemble of its default size."""
    known = know(job)
    at = temperatures(known)
    aims = burst_plan.aims_of(known, at)
    policy, _ = burst_plan.safe_policy(known, aims, PLAN_MEMBERS, 1)
    return Case(job, known, at, aims, policy)


@cache
def plan(job: BowlJob) -> BurstPlan:
    """Return the plan a cook gets for a job."""
    return burst_plan.plan_bursts(job, members=PLAN_MEMBERS, seed=1)


def run_fixed(bowls: Bowls, bursts: list[float], stirs: list[float]) -> float:
    """Give every bowl the same bursts and stirs, without a reading; return the seconds it takes."""
    for burst, stir in zip(bursts, stirs, strict=True):
        bowls.burst(burst)
        bowls.stand(HANDLING / 2)
        bowls.stir(stir)
        bowls.stand(HANDLING / 2)
    return sum(bursts) + sum(stirs) + HANDLING * len(bursts)


def stir_after(bursts: list[float]) -> list[float]:
    """Return the stirs of a fixed sequence: short ones, a long one before the last, the longest at the end."""
    lumpy, near, last = (number(f"plan.stir.{k}") for k in ("lumpy", "near", "last"))
    return [*[lumpy] * max(0, len(bursts) - 2), *([near] if len(bursts) > 1 else []), last]


def fates(bowls: Bowls, scorch_c: float, seconds: NDArray[np.float64] | float) -> Fates:
    """Judge bowls at the end of a run."""
    p: Members = bowls.members
    lost = (bowls.stable() < number("bowl.lost")) | (bowls.bad > 0)  # what could not be computed counts as lost
    scorched = bowls.peak.max(axis=1) > scorch_c
    solid = bowls.solid()
    pasty = solid > PASTY
    thick = solid > crystals_at_ratio(number("bowl.thick_ratio"), p.rows[:, FAT], p.kappa)
    low, mid, high = np.quantile(solid, [0.05, 0.5, 0.95])
    return Fates(
        lost=float(np.mean(lost)),
        scorched=float(np.mean(scorched)),
        pasty=float(np.mean(pasty)),
        lumpy=float(np.mean(bowls.lumpiest() > number("bowl.soft"))),
        thick=float(np.mean(thick)),
        failed=float(np.mean(lost | scorched | pasty)),
        minutes=float(np.median(seconds)) / 60.0,
        solid=(float(low), float(mid), float(high)),
        members=len(p),
    )
