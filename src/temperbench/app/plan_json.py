"""A plan as the JSON that docs/json.md promises: stable keys, one rounding for each kind of figure.

Temperatures, minutes and shares in % have one decimal, times of bursts are whole seconds, risks have three.
"""

from __future__ import annotations

from temperbench.app.results import (
    Band,
    BurstPlan,
    BurstStep,
    Carries,
    Leg,
    ReadsThen,
    RescueRow,
    StoreRow,
    Workable,
)

__all__ = ["FORMAT", "plan_json", "rescue_json", "step_json"]

FORMAT = 1  # grows when a key changes its meaning or goes; new keys do not count


def plan_json(plan: BurstPlan) -> dict[str, object]:
    """Return a plan as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    plan : BurstPlan
        A plan. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`; figures rounded as on screen and on paper. [-]
    """
    return {
        "format": FORMAT,
        "title": plan.title,
        "stop_c": _one(plan.stop_c),
        "limit_c": _one(plan.limit_c),
        "work_from_c": _one(plan.work_from_c),
        "work_to_c": _one(plan.work_to_c),
        "scorch_c": _one(plan.scorch_c),
        "bursts": [step_json(step) for step in plan.bursts],
        "total_burst_s": round(plan.total_burst_s),
        "total_min": _one(plan.total_min),
        "risk_lost": _risk(plan.risk_lost),
        "risk_scorch": _risk(plan.risk_scorch),
        "risk_asked": _risk(plan.risk_asked),
        "risk_members": plan.risk_members,
        "reads_then": [_reads(row) for row in plan.reads_then],
        "crystals_pct_of_fat": _band(plan.crystals_pct_of_fat),
        "draw_down_min": _band(plan.draw_down_min),
        "setting_test": {
            "film": plan.setting_test.film,
            "pass_min": _one(plan.setting_test.pass_min),
            "low_min": _one(plan.setting_test.low_min),
            "high_min": _one(plan.setting_test.high_min),
        },
        "workable_min": _workable(plan.workable),
        "held_min": _workable(plan.held),
        "rescue": [rescue_json(row) for row in plan.rescue],
        "carries": _carries(plan.carries),
        "path": {"up": _leg(plan.up), "down": _leg(plan.down)},
        "defaults_used": list(plan.defaults_used),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in plan.warnings],
        "rules": list(plan.rules),
        "cautions": list(plan.cautions),
        "holds_for": list(plan.holds_for),
        "sources": list(plan.sources),
    }


def rescue_json(row: RescueRow) -> dict[str, object]:
    """Return one row of the rescue table as plain figures and text.

    Parameters
    ----------
    row : RescueRow
        A row. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "at_c": _one(row.at_c),
        "add_g": row.add_g,
        "ends_c": _maybe(row.ends_c),
        "ends_pct_of_fat": _maybe(row.ends_pct_of_fat),
        "advice": row.advice,
        "portions_g": [round(grams) for grams in row.portions_g],
    }


def step_json(step: BurstStep) -> dict[str, object]:
    """Return one step of a path as plain figures.

    Parameters
    ----------
    step : BurstStep
        A step. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "seconds": round(step.seconds),
        "rest_s": round(step.rest_s),
        "stir_s": round(step.stir_s),
        "mean_c": _one(step.mean_c),
        "low_c": _one(step.low_c),
        "high_c": _one(step.high_c),
        "hottest_high_c": _one(step.hottest_high_c),
        "solid_pct_of_fat": _one(step.solid_pct_of_fat),
    }


def _one(value: float) -> float:
    return round(float(value), 1) + 0.0  # the sum turns -0.0 into 0.0


def _maybe(value: float | None) -> float | None:
    return None if value is None else _one(value)


def _risk(value: float) -> float:
    return round(float(value), 3)


def _band(band: Band) -> dict[str, float]:
    return {"low": _one(band.low), "mid": _one(band.mid), "high": _one(band.high)}


def _workable(time: Workable) -> dict[str, object]:
    return {"low": _one(time.low), "mid": _one(time.mid), "high": _one(time.high), "ends_by": time.ends_by}


def _reads(row: ReadsThen) -> dict[str, object]:
    return {
        "stage": row.stage,
        "reads_from_c": _maybe(row.reads_from_c),
        "reads_to_c": _maybe(row.reads_to_c),
        "seconds": round(row.seconds),
        "looks": row.looks,
    }


def _carries(carries: Carries) -> dict[str, object]:
    return {
        "start_low_c": _one(carries.start_low_c),
        "start_high_c": _one(carries.start_high_c),
        "grams_low": round(carries.grams_low),
        "grams_high": round(carries.grams_high),
        "hot_oven_solid_pct_of_fat": _one(carries.hot_oven_solid_pct_of_fat),
        "stores": [_store(row) for row in carries.stores],
        "text": carries.text,
    }


def _store(row: StoreRow) -> dict[str, object]:
    return {
        "start_c": _one(row.start_c),
        "bursts_s": [round(s) for s in row.bursts_s],
        "total_burst_s": round(row.total_burst_s),
    }


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {
        "t_s": [_one(t) for t in leg.t_s],
        "low_c": [_one(c) for c in leg.low_c],
        "mid_c": [_one(c) for c in leg.mid_c],
        "high_c": [_one(c) for c in leg.high_c],
        "hottest_c": [_one(c) for c in leg.hottest_c],
    }
