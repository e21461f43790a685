"""Which planner plans which method; the microwave's bursts have a planner and a plan of their own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.method_plan import MethodPlan
from temperbench.insight.methods.plan_cold_bowl import plan_cold_bowl
from temperbench.insight.methods.plan_kettle import plan_kettle
from temperbench.insight.methods.plan_part_melt import plan_part_melt
from temperbench.insight.methods.plan_seed import plan_seed
from temperbench.insight.methods.plan_tabling import plan_tabling

__all__ = ["PLANNERS", "Planner", "plan_by_method"]

_ABOVE, _NEAR = "risk-above-asked", "risk-near-asked"
_PARTS = {2: "two", 3: "three", 4: "four"}


class Planner(Protocol):
    """What plans a method."""

    def __call__(
        self, job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
        learnt: Learnt | None = None,
    ) -> MethodPlan:  # fmt: skip
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
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan the method of a job; one that does not hold the risks asked also says what would."""
    plan = PLANNERS[job.method](job, members=members, seed=seed, progress=progress, learnt=learnt)
    if not any(warning.code == _ABOVE for warning in plan.warnings):
        return plan
    better = _what_holds(job, min(members, int(number("compare.members"))), seed, progress or (lambda _: None), learnt)
    warnings = (replace(w, text=f"{w.text} {better}") if w.code == _ABOVE else w for w in plan.warnings)
    return replace(plan, warnings=tuple(warnings))


def _what_holds(
    job: BowlJob, members: int, seed: int, say: Callable[[str], None], learnt: Learnt | None
) -> str:  # fmt: skip
    """Plan a half, a third and a quarter of the amount, and tell the first that holds both risks."""
    tried = []
    for parts, word in _PARTS.items():
        grams = job.grams / parts
        if grams < number(f"compare.least.{job.method}"):
            break
        say(f"The risk is above what was asked: trying {word} bowls of {grams:.0f} g")
        try:
            part = PLANNERS[job.method](replace(job, grams=grams), members=members, seed=seed, learnt=learnt)
        except InputError:
            continue
        if not any(warning.code in (_ABOVE, _NEAR) for warning in part.warnings):
            lost, scorched = 100 * part.risk_lost, 100 * part.risk_scorch
            return (
                f"{word.capitalize()} bowls of {grams:.0f} g, one after the other, each hold it: "
                f"{lost:.1f} % lost and {scorched:.1f} % scorched of {part.risk_members} simulated bowls."
            )
        tried.append(f"{grams:.0f} g")
    less = f"A bowl of {' or '.join(tried)} does not surely hold it either: take" if tried else "Take"
    return f"{less} another method; put them side by side to see which hold it."
