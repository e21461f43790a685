"""A plan of keeping as the JSON that docs/json.md promises: stable keys, one rounding for each kind of figure."""

from __future__ import annotations

from temperbench.app.figures_json import band_json, maybe_rounded, risk_json, rounded, workable_json
from temperbench.app.plan_json import FORMAT
from temperbench.insight.keeping.result import ClearCheck, KeepPlan, KeepRow, KeepStep, Thickening, Track
from temperbench.insight.plan import Leg

__all__ = ["clear_json", "keep_json"]


def keep_json(plan: KeepPlan) -> dict[str, object]:
    """Return a plan of keeping as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    plan : KeepPlan
        A plan. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "title": plan.title,
        **{name: rounded(getattr(plan, name)) for name in ("minutes", "stop_c", "limit_c", "work_from_c", "work_to_c",
                                                        "scorch_c", "every_min", "kept_c", "thin_c")},
        "left_alone": _thickening(plan.left_alone),
        "table": [_row(row) for row in plan.table],
        "steps": [_step(step) for step in plan.steps],
        "path": {"temperature": _leg(plan.heat), "viscosity_ratio": _track(plan.ratio)},
        "held_min": workable_json(plan.held),
        "workable_share": risk_json(plan.workable_share),
        "risk_lost": risk_json(plan.risk_lost),
        "risk_scorch": risk_json(plan.risk_scorch),
        "risk_asked": risk_json(plan.risk_asked),
        "risk_members": plan.risk_members,
        "pauses": [
            {
                "every_min": rounded(p.every_min),
                "workable_share": risk_json(p.workable),
                "lasted_min": rounded(p.lasted_min),
            }
            for p in plan.pauses
        ],
        "refills": [
            {"at_min": rounded(r.at_min), "add_g": round(r.add_g), "at_c": rounded(r.at_c)} for r in plan.refills
        ],
        "used_up_min": maybe_rounded(plan.used_up_min),
        "alarms": [{"kind": a.kind, "at_min": rounded(a.at_min), "text": a.text} for a in plan.alarms],
        "stop_rules": list(plan.stop_rules),
        "clear": [{"at_c": rounded(row.at_c), "minutes": row.minutes} for row in plan.clear],
        "clear_rule": plan.clear_rule,
        "rules": list(plan.rules),
        "cautions": list(plan.cautions),
        "defaults_used": list(plan.defaults_used),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in plan.warnings],
        "sources": list(plan.sources),
    }  # fmt: skip


def clear_json(check: ClearCheck) -> dict[str, object]:
    """Return whether a bowl is cleared as plain figures and text.

    Parameters
    ----------
    check : ClearCheck
        A check. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {"format": FORMAT, "cleared": check.cleared, "left_pct_of_fat": band_json(check.left_pct_of_fat, 3),
            "text": check.text}  # fmt: skip


def _thickening(alone: Thickening) -> dict[str, object]:
    return {
        "path": {"temperature": _leg(alone.heat), "viscosity_ratio": _track(alone.ratio)},
        "thick_min": band_json(alone.thick_min), "cold_min": band_json(alone.cold_min),
        "workable_min": workable_json(alone.workable),
    }  # fmt: skip


def _row(row: KeepRow) -> dict[str, object]:
    return {
        "reads_from_c": maybe_rounded(row.reads_from_c),
        "reads_to_c": maybe_rounded(row.reads_to_c),
        "easy_s": row.easy_s, "thick_s": row.thick_s, "thick_g": row.thick_g,
    }  # fmt: skip


def _step(step: KeepStep) -> dict[str, object]:
    return {
        "at_min": rounded(step.at_min), "before_c": band_json(step.before_c), "after_c": band_json(step.after_c),
        "warm_s": band_json(step.warm_s, 0), "add_g": band_json(step.add_g, 0), "grams": round(step.grams),
        "viscosity_ratio": band_json(step.ratio, 2), "workable_share": risk_json(step.workable), "do": step.do,
    }  # fmt: skip


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {
        "t_s": [rounded(t) for t in leg.t_s], "low_c": [rounded(c) for c in leg.low_c],
        "mid_c": [rounded(c) for c in leg.mid_c],
        "high_c": [rounded(c) for c in leg.high_c],
    }  # fmt: skip


def _track(track: Track) -> dict[str, list[float]]:
    return {name: [rounded(v, 2) for v in getattr(track, name)] for name in ("t_s", "low", "mid", "high")}
