"""A plan as the JSON that docs/json.md promises: stable keys, one rounding for each kind of figure.

Temperatures, minutes and shares in % have one decimal, times of bursts are whole seconds, risks have three.
"""

from __future__ import annotations

from temperbench.app.figures_json import band_json, maybe_rounded, risk_json, rounded, workable_json
from temperbench.app.results import (
    BurstPlan,
    BurstStep,
    Carries,
    Leg,
    ReadsThen,
    RescueRow,
    StoreRow,
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
        "stop_c": rounded(plan.stop_c),
        "limit_c": rounded(plan.limit_c),
        "work_from_c": rounded(plan.work_from_c),
        "work_to_c": rounded(plan.work_to_c),
        "scorch_c": rounded(plan.scorch_c),
        "bursts": [step_json(step) for step in plan.bursts],
        "total_burst_s": round(plan.total_burst_s),
        "total_min": rounded(plan.total_min),
        "risk_lost": risk_json(plan.risk_lost),
        "risk_scorch": risk_json(plan.risk_scorch),
        "risk_asked": risk_json(plan.risk_asked),
        "risk_members": plan.risk_members,
        "reads_then": [_reads(row) for row in plan.reads_then],
        "crystals_pct_of_fat": band_json(plan.crystals_pct_of_fat),
        "draw_down_min": band_json(plan.draw_down_min),
        "setting_test": {
            "film": plan.setting_test.film,
            "pass_min": rounded(plan.setting_test.pass_min),
            "low_min": rounded(plan.setting_test.low_min),
            "high_min": rounded(plan.setting_test.high_min),
        },
        "workable_min": workable_json(plan.workable),
        "held_min": workable_json(plan.held),
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
        "at_c": rounded(row.at_c),
        "add_g": row.add_g,
        "ends_c": maybe_rounded(row.ends_c),
        "ends_pct_of_fat": maybe_rounded(row.ends_pct_of_fat),
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
        "mean_c": rounded(step.mean_c),
        "low_c": rounded(step.low_c),
        "high_c": rounded(step.high_c),
        "hottest_high_c": rounded(step.hottest_high_c),
        "solid_pct_of_fat": rounded(step.solid_pct_of_fat),
    }


def _reads(row: ReadsThen) -> dict[str, object]:
    return {
        "stage": row.stage,
        "reads_from_c": maybe_rounded(row.reads_from_c),
        "reads_to_c": maybe_rounded(row.reads_to_c),
        "seconds": round(row.seconds),
        "looks": row.looks,
    }


def _carries(carries: Carries) -> dict[str, object]:
    return {
        "start_low_c": rounded(carries.start_low_c),
        "start_high_c": rounded(carries.start_high_c),
        "grams_low": round(carries.grams_low),
        "grams_high": round(carries.grams_high),
        "hot_oven_solid_pct_of_fat": rounded(carries.hot_oven_solid_pct_of_fat),
        "stores": [_store(row) for row in carries.stores],
        "text": carries.text,
    }


def _store(row: StoreRow) -> dict[str, object]:
    return {
        "start_c": rounded(row.start_c),
        "bursts_s": [round(s) for s in row.bursts_s],
        "total_burst_s": round(row.total_burst_s),
    }


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {
        "t_s": [rounded(t) for t in leg.t_s],
        "low_c": [rounded(c) for c in leg.low_c],
        "mid_c": [rounded(c) for c in leg.mid_c],
        "high_c": [rounded(c) for c in leg.high_c],
        "hottest_c": [rounded(c) for c in leg.hottest_c],
    }
