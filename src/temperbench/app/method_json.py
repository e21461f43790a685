"""A plan of any method as the JSON that docs/json.md promises: stable keys, one rounding for each kind of figure."""

from __future__ import annotations

from temperbench.app.figures_json import band_json, maybe_rounded, rounded, workable_json
from temperbench.app.plan_json import FORMAT
from temperbench.app.results import Leg, MethodPlan, MethodStep, ReadsDo, SettingTest

__all__ = ["method_json"]


def method_json(plan: MethodPlan) -> dict[str, object]:
    """Return a plan of a method as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    plan : MethodPlan
        A plan. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "title": plan.title,
        "method": plan.method,
        "clear_c": maybe_rounded(plan.clear_c),
        "draw_down_c": maybe_rounded(plan.draw_down_c),
        "lift_c": maybe_rounded(plan.lift_c),
        **{key: rounded(getattr(plan, key)) for key in ("work_from_c", "work_to_c", "limit_c", "scorch_c")},
        "melt_g": plan.melt_g,
        "seed_g": plan.seed_g,
        "portions_g": list(plan.portions_g),
        "steps": [_step(step) for step in plan.steps],
        "reads_then": [_reads(row) for row in plan.reads_then],
        "rules": list(plan.rules),
        "faults": [{"seen": fault.seen, "cause": fault.cause, "do": fault.do} for fault in plan.faults],
        **{key: round(getattr(plan, key), 3) for key in ("risk_lost", "risk_scorch", "risk_asked")},
        "risk_members": plan.risk_members,
        "thermometer": plan.thermometer,
        **{key: band_json(getattr(plan, key)) for key in _BANDS},
        "setting_test": _test(plan.setting_test),
        "workable_min": workable_json(plan.workable),
        "held_min": workable_json(plan.held),
        "washing_up": list(plan.washing_up),
        "path": _leg(plan.path),
        "phases": [
            {"name": phase.name, "from_s": round(phase.from_s), "to_s": round(phase.to_s)} for phase in plan.phases
        ],
        "defaults_used": list(plan.defaults_used),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in plan.warnings],
        "cautions": list(plan.cautions),
        "holds_for": list(plan.holds_for),
        "sources": list(plan.sources),
    }


_BANDS = ("crystals_pct_of_fat", "total_min", "hands_on_min", "draw_down_min")


def _test(test: SettingTest) -> dict[str, object]:
    minutes = {key: rounded(getattr(test, key)) for key in ("pass_min", "low_min", "high_min")}
    return {"film": test.film, **minutes}


def _step(step: MethodStep) -> dict[str, object]:
    return {
        "phase": step.phase,
        "do": step.do,
        "detail": step.detail,
        "amount_g": step.amount_g,
        "seconds": band_json(step.seconds),
        "until": step.until,
        "until_c": maybe_rounded(step.until_c),
        "after_c": band_json(step.after_c),
        "crystals_pct_of_fat": band_json(step.crystals_pct_of_fat),
        "hands_on": step.hands_on,
    }


def _reads(row: ReadsDo) -> dict[str, object]:
    return {
        "when": row.when,
        "reads_from_c": maybe_rounded(row.reads_from_c),
        "reads_to_c": maybe_rounded(row.reads_to_c),
        "do": row.do,
        "amount_g": row.amount_g,
        "seconds": row.seconds,
        "looks": row.looks,
    }


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {name: [rounded(v) for v in getattr(leg, name)] for name in ("t_s", "low_c", "mid_c", "high_c", "hottest_c")}
