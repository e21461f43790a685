"""Which method? Every method planned for the same chocolate, side by side, with what speaks for and against each."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.insight.burst_plan import plan_bursts
from temperbench.insight.job import PART_MELTS, SEEDS, BowlJob
from temperbench.insight.methods.choice import SKILLS
from temperbench.insight.methods.method_plan import MethodPlan
from temperbench.insight.methods.planners import PLANNERS
from temperbench.insight.plan import Band, BurstPlan, Warning_
from temperbench.insight.setup_job import METHOD_WORDS, know

__all__ = ["Comparison", "MethodRow", "compare"]

_NEEDS = {
    "microwave": ("oven",), "bath": ("bath",), "cabinet": ("cabinet", "bath"), "tabling": ("slab",), "cold-bowl": (),
    "kettle": ("kettle",), "seed": (),
}  # fmt: skip
_SEED_NEEDS = {
    "buttons": "seed-buttons", "block": "seed-buttons", "butter-crystals": "butter-crystals",
    "ripened-butter": "ripened-butter",
}  # fmt: skip
_SEED_TOLD = {
    "buttons": "seed with buttons", "block": "seed with a block", "butter-crystals": "seed with butter crystals",
    "ripened-butter": "seed with creamy butter",
}  # fmt: skip
_RARE = ("cabinet", "slab", "kettle", "butter-crystals", "ripened-butter")
_SHORT = {
    "microwave": "microwave", "bath": "warm bath", "cabinet": "cabinet overnight", "tabling": "tabling",
    "cold-bowl": "cold bowl", "kettle": "kettle",
}  # fmt: skip


@dataclass(frozen=True)
class MethodRow:
    """One method for the same chocolate; figures are None where it is not possible."""

    name: str  # "seed with buttons"
    method: str
    seed_with: str | None
    why_not: str | None  # None: it is possible
    total_min: Band | None
    hands_on_min: Band | None
    risk_lost: float | None
    risk_scorch: float | None
    crystals_pct_of_fat: Band | None
    seed_g: int | None
    keeps_risks: bool
    skill: str  # one of SKILLS
    least_g: float
    most_g: float  # for so many people
    washing_up: tuple[str, ...]
    reason: str  # what speaks for it beside the others


@dataclass(frozen=True)
class Comparison:
    """All methods side by side, the advised one first, those that are not possible last."""

    title: str
    best: str | None  # name of the advised row
    reason: str
    rows: tuple[MethodRow, ...]
    notes: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    members: int


def compare(
    job: BowlJob, *, have: Sequence[str] = (), minutes: float | None = None, skill: str = "practised",
    members: int | None = None, seed: int = 1, progress: Callable[[str], None] | None = None,
) -> Comparison:  # fmt: skip
    """Plan every method and put them side by side; ``have`` is the kit at hand, everything when empty."""
    say = progress or (lambda _: None)
    m = int(number("compare.members")) if members is None else members
    rows, warnings = [], []
    for method in ("microwave", *PLANNERS):
        for seed_with in SEEDS if method == "seed" else (None,):
            say(f"Planning: {_name(method, seed_with)}")
            row, told = _row(job, method, seed_with, (have, minutes, skill), m, seed)
            rows.append(row)
            warnings += [w for w in told if w.code in ("low-fat", "baking-drops")]
    ordered = _ordered([dataclasses.replace(row, reason=_reason(row, rows)) for row in rows], anything=not have)
    best = ordered[0] if ordered[0].why_not is None else None
    return Comparison(
        title=f"{job.grams:.0f} g {know(_for(job, 'seed', None)).chocolate.name}: which method?",
        best=None if best is None else best.name, reason=_advice(best, anything=not have),
        rows=tuple(ordered), notes=_notes(job), warnings=tuple(dict.fromkeys(warnings)), members=m,
    )  # fmt: skip


def _name(method: str, seed_with: str | None) -> str:
    return _SHORT[method] if seed_with is None else _SEED_TOLD[seed_with]


def _for(job: BowlJob, method: str, seed_with: str | None) -> BowlJob:
    """Return the same chocolate as a job of a method, without the figures that only other methods read."""
    other = dataclasses.replace(job, method=method, seed_with=seed_with or job.seed_with)
    if method == "microwave" and job.oven_w is None:
        other = dataclasses.replace(other, oven_w=number("usual.oven_w"))
    warm = job.bath_c is not None and job.bath_c > number("limit.start_c.solid")
    if job.bath_c is not None and warm == (method == "cold-bowl"):
        other = dataclasses.replace(other, bath_c=None)
    if method == "seed" and seed_with in ("butter-crystals", "ripened-butter"):
        other = dataclasses.replace(other, seed_c=None)
    return other


def _row(
    job: BowlJob, method: str, seed_with: str | None, asked: tuple[Sequence[str], float | None, str], members: int,
    seed: int,
) -> tuple[MethodRow, tuple[Warning_, ...]]:  # fmt: skip
    have, minutes, skill = asked
    level = SKILLS[int(number(f"compare.skill.{method}")) - 1]
    row = MethodRow(
        name=_name(method, seed_with), method=method, seed_with=seed_with, why_not=None, total_min=None,
        hands_on_min=None, risk_lost=None, risk_scorch=None, crystals_pct_of_fat=None, seed_g=None, keeps_risks=False,
        skill=level, least_g=number(f"compare.least.{method}"), most_g=number(f"compare.most.{method}") * job.people,
        washing_up=(), reason="",
    )  # fmt: skip
    reason = _not_possible(job, row, have, skill)
    if reason is not None:
        return dataclasses.replace(row, why_not=reason), ()
    try:
        plan = _planned(_for(job, method, seed_with), members, seed)
    except InputError as error:
        return dataclasses.replace(row, why_not=error.remedy), ()
    found = _filled(row, plan, job)
    if minutes is not None and found.total_min is not None and found.total_min.high > minutes:
        late = f"it takes {found.total_min.mid:.0f} min, up to {found.total_min.high:.0f}, and you have {minutes:.0f}"
        found = dataclasses.replace(found, why_not=late)
    return found, plan.warnings


def _planned(job: BowlJob, members: int, seed: int) -> BurstPlan | MethodPlan:
    if job.method == "microwave":
        return plan_bursts(job, members=members, seed=seed)
    return PLANNERS[job.method](job, members=members, seed=seed)


def _not_possible(job: BowlJob, row: MethodRow, have: Sequence[str], skill: str) -> str | None:
    """Say why a method is out of the question before it is planned, or return None."""
    needs = _NEEDS[row.method] if row.seed_with is None else (_SEED_NEEDS[row.seed_with],)
    missing = " and ".join(_THINGS[thing] for thing in needs if have and thing not in have)
    hands = "one person" if job.people == 1 else f"{job.people} people"
    part_melt, skilled = row.method in PART_MELTS, SKILLS.index(row.skill) > SKILLS.index(skill)
    found = (
        (part_melt and not job.glossy, "your stock is bloomed or was soft: only a full melt will do"),
        (part_melt and job.stock == "melted", "your stock is melted already: it has no crystals left to keep"),
        (bool(missing), f"it needs {missing}"),
        (job.grams > row.most_g, f"{job.grams / 1000.0:g} kg are too much: {hands} can do {row.most_g / 1000.0:g} kg"),
        (job.grams < row.least_g, f"{job.grams:g} g are too little: it begins at {row.least_g:g} g"),
        (skilled, f"it needs {'practised hands' if row.skill == 'practised' else 'some practice'}"),
    )
    return next((told for holds, told in found if holds), None)


_THINGS = {
    "oven": "a microwave oven", "bath": "a water bath", "cabinet": "a warm cabinet", "slab": "a slab",
    "ice": "cold water or ice", "kettle": "a holding kettle", "seed-buttons": "in-temper chocolate as seed",
    "butter-crystals": "cocoa butter crystals", "ripened-butter": "cocoa butter kept creamy",
}  # fmt: skip


def _filled(row: MethodRow, plan: BurstPlan | MethodPlan, job: BowlJob) -> MethodRow:
    scorch = job.risk if job.risk_scorch is None else job.risk_scorch
    kept = plan.risk_lost <= job.risk and plan.risk_scorch <= scorch
    if isinstance(plan, MethodPlan):
        total, hands, seed_g, washing = plan.total_min, plan.hands_on_min, plan.seed_g, plan.washing_up
    else:
        down = plan.draw_down_min
        total = hands = Band(*(round(plan.total_min + d, 1) for d in (down.low, down.mid, down.high)))
        seed_g, washing = None, ("bowl", "spatula", "thermometer")
    return dataclasses.replace(
        row, total_min=total, hands_on_min=hands, risk_lost=plan.risk_lost, risk_scorch=plan.risk_scorch,
        crystals_pct_of_fat=plan.crystals_pct_of_fat, seed_g=seed_g, keeps_risks=kept, washing_up=washing,
    )  # fmt: skip


def _possible(rows: Sequence[MethodRow]) -> list[MethodRow]:
    return [row for row in rows if row.why_not is None and row.total_min is not None and row.hands_on_min is not None]


def _reason(row: MethodRow, rows: Sequence[MethodRow]) -> str:
    """Say what a row is best or worst at among those that are possible."""
    if row.why_not is not None or row.total_min is None or row.hands_on_min is None:
        return row.why_not or ""
    among = _possible(rows)
    found = []
    if row.total_min.mid <= min(r.total_min.mid for r in among if r.total_min):
        found.append("the quickest")
    if row.hands_on_min.mid <= min(r.hands_on_min.mid for r in among if r.hands_on_min):
        found.append("the least time at the bowl")
    if row.total_min.mid > 3.0 * row.hands_on_min.mid:
        found.append("most of its time needs nobody")
    if row.method not in PART_MELTS:
        found.append("takes any stock, also bloomed")
    if row.seed_g is not None:
        found.append(f"needs {row.seed_g} g of seed")
    if not row.keeps_risks:
        found.append("does not keep the risk you asked for")
    if len(row.washing_up) > 4:
        found.append("the most to wash up")
    return ", ".join(found) or "no seed, no slab: one bowl"


def _ordered(rows: Sequence[MethodRow], *, anything: bool) -> list[MethodRow]:
    """Put first what keeps both risks with the least time at the bowl; then what does not; then what cannot be.

    ``anything``: the kit was not told, so that what few kitchens have comes after what all have.
    """

    def key(row: MethodRow) -> tuple[bool, bool, bool, float, float]:
        hands = row.hands_on_min.mid if row.hands_on_min else 0.0
        total = row.total_min.mid if row.total_min else 0.0
        needs = _NEEDS[row.method] if row.seed_with is None else (_SEED_NEEDS[row.seed_with],)
        rare = anything and any(thing in _RARE for thing in needs)
        return row.why_not is not None, not row.keeps_risks, rare, hands, total

    return sorted(rows, key=key)


def _advice(best: MethodRow | None, *, anything: bool) -> str:
    if best is None or best.hands_on_min is None:
        return "None of them: see why not, and change amount, kit, time or stock."
    kept = "keeps both risks" if best.keeps_risks else "comes nearest to the risk you asked for"
    among = " of what every kitchen has" if anything else ""
    return f"{best.name} {kept} with the least time at the bowl{among}, {best.hands_on_min.mid:.0f} min."


def _notes(job: BowlJob) -> tuple[str, ...]:
    found = []
    if not job.glossy:
        found.append("Your stock is bloomed or was soft: only a full melt will do, whatever comes after it.")
    if job.oven_w is None:
        found.append(f"Microwave: planned with an oven of {number('usual.oven_w'):.0f} W, since none was told.")
    found.append(f"Part-melts ({', '.join(METHOD_WORDS[m] for m in PART_MELTS)}) keep the crystals of glossy stock.")
    return tuple(found)
