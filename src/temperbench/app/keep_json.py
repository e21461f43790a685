"""A plan of keeping as the JSON that docs/json.md promises: stable keys, one rounding for each kind of figure."""

from __future__ import annotations

from temperbench.app.plan_json import FORMAT
from temperbench.insight.keeping.result import ClearCheck, KeepPlan, KeepRow, KeepStep, Thickening, Track
from temperbench.insight.plan import Band, Leg, Workable

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
        **{name: _one(getattr(plan, name)) for name in ("minutes", "stop_c", "limit_c", "work_from_c", "work_to_c",
                                                        "scorch_c", "every_min", "kept_c", "thin_c")},
        "left_alone": _thickening(plan.left_alone),
        "table": [_row(row) for row in plan.table],
        "steps": [_step(step) for step in plan.steps],
        "path": {"temperature": _leg(plan.heat), "viscosity_ratio": _track(plan.ratio)},
        "held_min": _workable(plan.held),
        "workable_share": _risk(plan.workable_share),
        "risk_lost": _risk(plan.risk_lost),
        "risk_scorch": _risk(plan.risk_scorch),
        "risk_asked": _risk(plan.risk_asked),
        "risk_members": plan.risk_members,
        "pauses": [
            {"every_min": _one(p.every_min), "workable_share": _risk(p.workable), "lasted_min": _one(p.lasted_min)}
            for p in plan.pauses
        ],
        "refills": [{"at_min": _one(r.at_min), "add_g": round(r.add_g), "at_c": _one(r.at_c)} for r in plan.refills],
        "used_up_min": None if plan.used_up_min is None else _one(plan.used_up_min),
        "alarms": [{"kind": a.kind, "at_min": _one(a.at_min), "text": a.text} for a in plan.alarms],
        "stop_rules": list(plan.stop_rules),
        "clear": [{"at_c": _one(row.at_c), "minutes": row.minutes} for row in plan.clear],
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
    return {"format": FORMAT, "cleared": check.cleared, "left_pct_of_fat": _band(check.left_pct_of_fat, 3),
            "text": check.text}  # fmt: skip


def _one(value: float, digits: int = 1) -> float:
    return round(float(value), digits) + 0.0  # the sum turns -0.0 into 0.0


def _risk(value: float) -> float:
    return round(float(value), 3)


def _band(band: Band, digits: int = 1) -> dict[str, float]:
    return {"low": _one(band.low, digits), "mid": _one(band.mid, digits), "high": _one(band.high, digits)}


def _workable(time: Workable) -> dict[str, object]:
    return {"low": _one(time.low), "mid": _one(time.mid), "high": _one(time.high), "ends_by": time.ends_by}


def _thickening(alone: Thickening) -> dict[str, object]:
    return {
        "path": {"temperature": _leg(alone.heat), "viscosity_ratio": _track(alone.ratio)},
        "thick_min": _band(alone.thick_min), "cold_min": _band(alone.cold_min),
        "workable_min": _workable(alone.workable),
    }  # fmt: skip


def _row(row: KeepRow) -> dict[str, object]:
    return {
        "reads_from_c": None if row.reads_from_c is None else _one(row.reads_from_c),
        "reads_to_c": None if row.reads_to_c is None else _one(row.reads_to_c),
        "easy_s": row.easy_s, "thick_s": row.thick_s, "thick_g": row.thick_g,
    }  # fmt: skip


def _step(step: KeepStep) -> dict[str, object]:
    return {
        "at_min": _one(step.at_min), "before_c": _band(step.before_c), "after_c": _band(step.after_c),
        "warm_s": _band(step.warm_s, 0), "add_g": _band(step.add_g, 0), "grams": round(step.grams),
        "viscosity_ratio": _band(step.ratio, 2), "workable_share": _risk(step.workable), "do": step.do,
    }  # fmt: skip


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {
        "t_s": [_one(t) for t in leg.t_s], "low_c": [_one(c) for c in leg.low_c], "mid_c": [_one(c) for c in leg.mid_c],
        "high_c": [_one(c) for c in leg.high_c],
    }  # fmt: skip


def _track(track: Track) -> dict[str, list[float]]:
    return {name: [_one(v, 2) for v in getattr(track, name)] for name in ("t_s", "low", "mid", "high")}
