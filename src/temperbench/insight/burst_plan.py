"""The burst planner: from a job to the frozen plan that every face shows."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import after_stop, quantile_band, setting_test
from temperbench.insight.by_eye import least_of_each_look
from temperbench.insight.carry import carries, still
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.plan import BurstPlan, BurstStep, Leg, ReadsThen, Warning_
from temperbench.insight.policy import Aims, Outcome, Policy, follow, make_policy
from temperbench.insight.rescue import rescue_table
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.insight.wording import cautions, holds_for, looks, rules, title
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, nominal, settled_solids

__all__ = ["POLICY_MEMBERS", "aims_of", "plan_bursts", "safe_policy"]

_LOW, _HIGH = 0.05, 0.95
_ATTEMPTS, _TIGHTEN = 3, 0.7
POLICY_MEMBERS = 256  # bowls that find the policy; risks are measured on others


def aims_of(known: Known, at: Temperatures) -> Aims:
    """Return what the run is steered to and what it may risk."""
    job = known.job
    scorch = job.risk if job.risk_scorch is None else job.risk_scorch
    by_eye = not known.say.reads
    read = 0.0 if by_eye else number("plan.read_after_taus") * known.thermometer.tau_s.mid
    return Aims(at.stop_c, at.scorch_c, number("bowl.lost"), job.risk, scorch, by_eye, read)


def plan_bursts(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> BurstPlan:  # fmt: skip
    """Plan a part-melt in the microwave oven.

    At most `POLICY_MEMBERS` bowls find the policy and ``members`` fresh ones measure what it achieves; the same seed
    gives the same plan. Raises `temperbench.foundation.errors.InputError` for a job that cannot be.
    """
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    aims = aims_of(known, at)
    say("Finding the bursts, and measuring the risks on fresh bowls")
    policy, fresh = safe_policy(known, aims, members, seed)
    middle = follow(policy, Bowls(still(nominal(known.setup))), aims, np.random.default_rng(0), job.level, keep=True)
    steps = _steps(middle, fresh, policy)
    say("Drawing down, setting test, rescue")
    after = after_stop(fresh.bowls, at, known.chocolate.kind)
    test = setting_test(fresh.bowls.members, nominal(known.setup), after, at, np.random.default_rng([seed, 9]))
    carry = carries(known, policy, aims, steps)
    seconds = sum(s.seconds for s in steps)
    warnings = (*known.warnings, *_plan_warnings(fresh, aims, known.say))
    reads = _reads_then(policy, known, aims, fresh)
    if aims.by_eye:
        reads = least_of_each_look(reads, lambda row: (row.stage, row.looks), lambda row: row.seconds)
    return BurstPlan(
        title=title(job, known), **dataclasses.asdict(at), bursts=steps, total_burst_s=seconds,
        total_min=round(sum(s.seconds + s.rest_s + s.stir_s for s in steps) / 60.0, 1),
        risk_lost=float(fresh.lost.mean()), risk_scorch=float(fresh.scorched.mean()), risk_asked=job.risk,
        risk_members=members, reads_then=reads,
        crystals_pct_of_fat=quantile_band(100.0 * fresh.bowls.stable(), 1), draw_down_min=after.draw_down_min,
        setting_test=test, workable=after.workable, held=after.held, rescue=rescue_table(known, at), carries=carry,
        up=_up(middle, fresh, policy), down=after.down, defaults_used=known.defaults_used, warnings=warnings,
        sources=known.sources, rules=rules(known.say), cautions=cautions(job), holds_for=holds_for(job, known),
    )  # fmt: skip


def safe_policy(known: Known, aims: Aims, members: int, seed: int) -> tuple[Policy, Outcome]:
    """Find a policy that keeps both risks on fresh members; plan more carefully while it does not."""
    level = known.job.level
    careful = aims
    sure_lost, sure_scorch = (r - math.sqrt(r * (1.0 - r) / members) for r in (aims.risk_lost, aims.risk_scorch))
    for attempt in range(_ATTEMPTS):
        rng = np.random.default_rng([seed, attempt, 0])
        policy = make_policy(Bowls(draw(known.setup, min(members, POLICY_MEMBERS), rng)), careful, rng, level)
        rng = np.random.default_rng([seed, attempt, 1])
        fresh = follow(policy, Bowls(draw(known.setup, members, rng)), aims, rng, level, keep=True)
        lost, scorch = float(fresh.lost.mean()), float(fresh.scorched.mean())
        if lost <= sure_lost and scorch <= sure_scorch:  # a standard error below: so many members show no more
            break
        careful = dataclasses.replace(
            careful,
            risk_lost=careful.risk_lost * min(1.0, _TIGHTEN * aims.risk_lost / max(lost, 1e-9)),
            risk_scorch=careful.risk_scorch * min(1.0, _TIGHTEN * aims.risk_scorch / max(scorch, 1e-9)),
        )
    return policy, fresh


def _quantiles(values: Array) -> tuple[float, float, float]:
    low, mid, high = np.quantile(values, [_LOW, 0.5, _HIGH])
    return float(low), float(mid), float(high)


def _steps(middle: Outcome, fresh: Outcome, policy: Policy) -> tuple[BurstStep, ...]:
    """Steps of the middle member's path, with bands of the fresh members after as many steps."""
    found = []
    for k, own in enumerate(s for s in middle.stages if s.active[0]):
        stage = fresh.stages[min(k, len(fresh.stages) - 1)]
        low, mid, high = _quantiles(stage.after_c)
        hottest = float(np.quantile(stage.hottest_c, _HIGH))
        rest = round(float(policy.rests(own.stir_s)[0]))
        found.append(
            BurstStep(int(own.burst_s[0]), rest, int(own.stir_s[0]), round(mid, 2), round(low, 2), round(high, 2),
                      round(hottest, 1), round(100.0 * float(np.median(stage.solid)), 1))
        )  # fmt: skip
    return tuple(found)


def _reads_then(policy: Policy, known: Known, aims: Aims, fresh: Outcome) -> tuple[ReadsThen, ...]:
    """The reading table, for as many stages as one bowl in twenty needs."""
    one = nominal(known.setup)
    edges = policy.edges_c
    ends: list[float | None] = [None, *edges, None]
    middles = [edges[0] - 1.0, *[0.5 * (a + b) for a, b in pairwise(edges)], edges[-1] + 0.2]
    stages = max(1, sum(1 for s in fresh.stages[1:] if s.active.mean() >= _LOW))
    rows = []
    for stage in range(1, min(stages, len(policy.table)) + 1):
        if stage > 1 and policy.table[stage - 1] == policy.table[stage - 2]:
            continue  # the table of the stage before goes on
        for r, seconds in enumerate(policy.table[stage - 1]):
            solid = float(settled_solids(one.rows, one.curves, np.array([middles[r]]))[0])
            low, high = (None, None) if aims.by_eye else (ends[r], ends[r + 1])
            rows.append(ReadsThen(stage, _tenth(low), _tenth(high), seconds, looks(solid)))
    return tuple(rows)


def _tenth(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


def _up(middle: Outcome, fresh: Outcome, policy: Policy) -> Leg:
    """Path of the stirred mean: start, end of burst, end of stir of every step, on the middle member's clock."""
    clock, points = 0.0, []
    for k, own in enumerate(s for s in middle.stages if s.active[0]):
        stage = fresh.stages[min(k, len(fresh.stages) - 1)]
        if k == 0:
            points.append((0.0, *_quantiles(stage.before_c), float(np.quantile(stage.before_c, _HIGH))))
        hottest = float(np.quantile(stage.hottest_c, _HIGH))
        burst, stir = float(own.burst_s[0]), float(own.stir_s[0])
        if burst > 0.0:
            points.append((clock + burst, *_quantiles(stage.burst_c), hottest))
        clock += burst + stir + float(policy.rests(own.stir_s)[0])
        points.append((clock, *_quantiles(stage.after_c), float(np.quantile(stage.after_c, _HIGH))))
    t, low, mid, high, hot = (tuple(round(float(v), 3) for v in column) for column in zip(*points, strict=True))
    return Leg(t, low, mid, high, hot)


def _plan_warnings(fresh: Outcome, aims: Aims, say: Telling) -> list[Warning_]:
    found = []
    lost, scorch = float(fresh.lost.mean()), float(fresh.scorched.mean())
    if lost > aims.risk_lost or scorch > aims.risk_scorch:
        found.append(
            Warning_(
                "risk-above-asked",
                f"{say.either('With this thermometer and', 'By eye, and with')} what is known of the oven, "
                f"{100 * lost:.0f} % of bowls lose their crystals and {100 * scorch:.0f} % scorch; measure the oven or "
                "use a checked probe to do better.",
            )
        )
    unsteady = float(np.mean(fresh.bowls.lumpiest() > number("bowl.soft")))
    if unsteady > _LOW:
        found.append(
            Warning_(
                "may-stay-lumpy", f"About {100 * unsteady:.0f} % of bowls end with lumps: sieve, or add a short burst."
            )
        )
    return found
