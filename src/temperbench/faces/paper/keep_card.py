"""The card of keeping a bowl in temper: what to do at every look, when to stop, on one page to hang above the bowl."""

from __future__ import annotations

from typing import Any

from temperbench.app.keep_results import KeepPlan, KeepRow
from temperbench.faces.drawing.keep_chart import keep_caption, keep_chart_svg
from temperbench.faces.drawing.words import degrees, degrees_between, minutes
from temperbench.faces.paper.plain_card import Drawing, PlainCard
from temperbench.faces.told.keep_words import alone_told, asks_told, kept_told, memory_told, pause_told, reads_told

__all__ = ["keep_card"]

_CHART_HEIGHTS = (196.0, 184.0, 172.0, 160.0, 150.0, 142.0, 134.0)
# What is cut when not all fits at the lowest chart, the least needed first.
_CUTS = (
    ("usual", 0), ("pauses", 0), ("memory", 0), ("refills", 0), ("warnings", 2), ("rules", 4), ("alarms", 2),
    ("stop_rules", 1), ("warnings", 1), ("cautions", 1), ("rules", 0), ("alarms", 0), ("stop_rules", 0),
    ("warnings", 0), ("cautions", 0),
)  # fmt: skip


def keep_card(plan: KeepPlan, unit: bool) -> PlainCard:
    """Return what stands on the card of a plan of keeping."""
    window = degrees_between(plan.work_from_c, plan.work_to_c, unit)
    back, thin = degrees(plan.kept_c, unit), degrees(plan.thin_c, unit)
    key = (
        f"look every {plan.every_min:g} min, back to {back}, thick to {thin}",
        f"never above {degrees(plan.stop_c, unit)}, limit {degrees(plan.limit_c, unit)}, work {window}",
        f"reads, then s easy/thick: {', '.join(_short(row, unit) for row in plan.table)}",
    )
    drawing = Drawing(
        keep_caption(plan, fahrenheit=unit),
        _CHART_HEIGHTS,
        lambda width, height: keep_chart_svg(plan, width, height, "print", fahrenheit=unit),
    )
    return PlainCard(_content(plan, unit), "keep.typ", _CUTS, key, drawing)


def _short(row: KeepRow, unit: bool) -> str:
    """Return a row of the table by its lower end, such as "32.6 4/6"."""
    reads = "below" if row.reads_from_c is None else degrees(row.reads_from_c, unit, unit=False)
    return f"{reads} {row.easy_s}/{row.thick_s}"


def _content(plan: KeepPlan, unit: bool) -> dict[str, Any]:
    what, _, with_what = plan.title.partition(", ")
    risks = f"lost temper {100 * plan.risk_lost:.1f} %, scorched {100 * plan.risk_scorch:.1f} %"
    over = max(plan.risk_lost, plan.risk_scorch) > plan.risk_asked
    return {
        "title": plan.title,
        "what": what,
        "with_what": with_what,
        "total": f"for {minutes(plan.minutes)}",
        "aims": [
            ["look every", f"{plan.every_min:g} min"],
            ["flows with ease: to", degrees(plan.kept_c, unit)],
            ["thick: to", degrees(plan.thin_c, unit)],
            ["never above", degrees(plan.stop_c, unit)],
            ["crystals gone above", degrees(plan.limit_c, unit)],
        ],
        "works": f"Worked at {degrees_between(plan.work_from_c, plan.work_to_c, unit)}. {kept_told(plan)}.",
        "over": over,
        "risk": f"Of {plan.risk_members} simulated bowls: {risks} ({'MORE than ' if over else ''}asked: at most "
        f"{100 * plan.risk_asked:.1f} %).",
        "rows": [
            [reads_told(row, unit), asks_told(row.easy_s, 0), asks_told(row.thick_s, row.thick_g)] for row in plan.table
        ],
        "dense": any(row.thick_g for row in plan.table),
        "rules": list(plan.rules),
        "alone": [list(line) for line in alone_told(plan)],
        "alarms": [[f"{alarm.at_min:.0f} min", alarm.text] for alarm in plan.alarms],
        "stop_rules": list(plan.stop_rules),
        "refills": [f"{refill.add_g:.0f} g at {refill.at_min:.0f} min" for refill in plan.refills],
        "refill_at": degrees(plan.refills[0].at_c, unit) if plan.refills else "",
        "memory": [plan.clear_rule, memory_told(plan)],
        "pauses": [f"{every}: {told}" for every, told in pause_told(plan)] if len(plan.pauses) > 1 else [],
        "usual": [line.rstrip(".") for line in plan.defaults_used],
        "warnings": [warning.text for warning in plan.warnings],
        "cautions": list(plan.cautions),
    }
