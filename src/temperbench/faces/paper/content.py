"""What a card says: every line and figure of a plan as text, ready for the page. No layout here."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from temperbench.app.results import BurstPlan, BurstStep
from temperbench.faces.drawing.words import degrees, degrees_between, minute_band, minutes, unit_sign
from temperbench.faces.paper.other_unit import aims_in_f
from temperbench.faces.paper.press import square
from temperbench.faces.told.plan_words import (
    SMEAR_RESULTS,
    amount,
    carries_told,
    defaults_told,
    held_told,
    portions,
    rescue_told,
    setting_test_told,
    stir_down_told,
    workable_told,
)
from temperbench.faces.told.policy_table import PolicyTable, policy_table

__all__ = ["card_content", "key_figures"]

_MOST_ROWS = 10  # what a page holds at a size to be read from the bench
_MOST_COLUMNS = 8
_LOOKS_COLUMNS = 4  # columns up to which there is room for the looks
_UNIT_COLUMNS = 5  # columns up to which each cell has its unit


def card_content(plan: BurstPlan, made_on: date, version: str, *, fahrenheit: bool = False) -> dict[str, Any]:
    """Return the texts of a card by their place on it.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    dict[str, Any]
        Plain lists, dictionaries, text and numbers. [-]
    """
    rows = _MOST_ROWS if len(plan.bursts) <= _MOST_COLUMNS else _MOST_ROWS - 3  # a second row of bursts needs room
    table = policy_table(plan, rows, _MOST_COLUMNS, fahrenheit=fahrenheit, units=False)
    what, _, with_what = plan.title.partition(", ")
    return {
        "what": what,
        "with_what": with_what,
        "total": f"{plan.total_burst_s} s of oven in {minutes(plan.total_min)}, stirring included",
        "risk": _risk(plan),
        "steps": [_step(step, fahrenheit) for step in plan.bursts],
        "rest": _rest(plan.bursts, by_eye=table.by_eye),
        "pauses": len({step.rest_s for step in plan.bursts}) > 1,
        "arrives": "is at" if table.by_eye else "reads",
        "table": _table(table, fahrenheit),
        "rules": list(plan.rules),
        "after": _after(plan, fahrenheit),
        "test": _test(plan),
        "rescue": _rescue(plan, fahrenheit, table.by_eye),
        "holds": [*(f"{line}." for line in _one_line(plan.holds_for)), carries_told(plan)],
        "stores": [
            f"{degrees(row.start_c, fahrenheit)}: {' · '.join(map(str, row.bursts_s))} s, together "
            f"{row.total_burst_s} s"
            for row in plan.carries.stores
        ],
        "warnings": [warning.text for warning in plan.warnings],
        "usual": list(defaults_told(plan)),
        "cautions": list(plan.cautions),
        "made": f"Made {made_on.day} {made_on:%B %Y} with temperbench {version}{'' if fahrenheit else _in_f(plan)}",
        "code": square(key_figures(plan, made_on, version, fahrenheit=fahrenheit)),
    }


def key_figures(plan: BurstPlan, made_on: date, version: str, *, fahrenheit: bool = False) -> str:
    """Return the figures a cook needs when the card is lost or smeared, as the plain text of the square code.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        Five short lines. [-]
    """
    bursts = "/".join(str(step.seconds) for step in plan.bursts)
    reads = "/".join(degrees(step.mean_c, fahrenheit, unit=False) for step in plan.bursts)
    test = plan.setting_test
    return "\n".join(
        (
            plan.title if len(plan.title) <= 120 else plan.title[:119] + "…",
            f"bursts {bursts} s, then reads {reads} {unit_sign(fahrenheit)}",
            f"stop {degrees(plan.stop_c, fahrenheit)}, limit {degrees(plan.limit_c, fahrenheit)}, "
            f"work {degrees_between(plan.work_from_c, plan.work_to_c, fahrenheit)}",
            f"{test.film} smear set by {test.pass_min:.1f} min, expected {test.low_min:.1f} to {test.high_min:.1f} min",
            f"temperbench {version}, {made_on.isoformat()}",
        )
    )


def _in_f(plan: BurstPlan) -> str:
    """Return the temperatures to steer by in °F, where a line has room for them."""
    aims = (("stop", plan.stop_c, None), ("limit", plan.limit_c, None), ("work", plan.work_from_c, plan.work_to_c))
    return f". {aims_in_f(aims)}"


def _percent(value: float) -> str:
    return f"{value:.1f} %"


def _risk(plan: BurstPlan) -> str:
    return (
        f"Of {plan.risk_members} simulated bowls {_percent(100 * plan.risk_lost)} lost their temper, "
        f"{_percent(100 * plan.risk_scorch)} scorched (asked: at most {_percent(100 * plan.risk_asked)})."
    )


def _step(step: BurstStep, fahrenheit: bool) -> dict[str, str]:
    return {
        "burst": str(step.seconds) if step.seconds else "",
        "pause": f"{step.rest_s} s",
        "stir": f"{step.stir_s} s",
        "reads": degrees(step.mean_c, fahrenheit),
        "low": degrees(step.low_c, fahrenheit, unit=False),
        "high": degrees(step.high_c, fahrenheit, unit=False),
    }


def _rest(steps: Sequence[BurstStep], *, by_eye: bool) -> str:
    decides = f"A usual run; {'what you see' if by_eye else 'your reading'} decides."
    rests = {step.rest_s for step in steps}
    if len(rests) != 1 or not max(rests):
        return decides
    what = "take it out and put it back" if by_eye else "take it out, let the thermometer settle and put it back"
    return f"{decides} Allow {max(rests)} s a step to {what}."


def _one_line(lines: Sequence[str]) -> list[str]:
    """Return lines as one, with semicolons between them; none as none."""
    return ["; ".join(line.strip().rstrip(".") for line in lines)] if lines else []


def _table(table: PolicyTable, fahrenheit: bool) -> dict[str, object]:
    wide = len(table.columns) > _UNIT_COLUMNS
    looks = len(table.columns) <= _LOOKS_COLUMNS and any(row.looks for row in table.rows)
    return {
        "title": f"Stir, then {'look' if table.by_eye else 'read'}: the next burst{', in seconds' if wide else ''}",
        "reads": "looks" if table.by_eye else f"reads, {unit_sign(fahrenheit)}",
        "columns": list(table.columns),
        "by_eye": table.by_eye,
        "with_looks": looks,
        "cell_mm": _cell_mm(table, wide),
        "note": "Lines joined to fit keep the shorter burst; all of them on screen." if table.joined else "",
        "rows": [
            {"label": row.label, "looks": "" if above == row.looks else row.looks, "cells": _cells(row.cells, wide)}
            for row, above in zip(table.rows, ["", *(row.looks for row in table.rows)], strict=False)
        ],
    }


def _cell_mm(table: PolicyTable, wide: bool) -> float:
    """Return the width of a column that holds its longest time, in millimetres."""
    three_digits = any(cell is not None and cell > 99 for row in table.rows for cell in row.cells)
    return (10.0 if three_digits else 8.8) if wide else (14.8 if three_digits else 12.6)


def _cells(cells: Sequence[int | None], wide: bool) -> list[str]:
    return ["" if cell is None else f"{cell}{'' if wide else ' s'}" if cell else "stir" for cell in cells]


def _after(plan: BurstPlan, fahrenheit: bool) -> list[dict[str, str]]:
    down, free, crystals = plan.draw_down_min, plan.workable, plan.crystals_pct_of_fat
    return [
        {
            "do": "Stir down",
            "figure": minutes(down.mid),
            "band": minute_band(down.low, down.mid, down.high),
            "told": f"{stir_down_told(plan, fahrenheit=fahrenheit)}. Crystals at the stop: {_percent(crystals.mid)} of "
            f"the fat ({crystals.low:.1f} to {crystals.high:.1f}).",
        },
        {
            "do": "Workable",
            "figure": minutes(free.mid),
            "band": minute_band(free.low, free.mid, free.high),
            "told": f"{workable_told(plan)}; {held_told(plan, fahrenheit=fahrenheit)}.",
        },
    ]


def _test(plan: BurstPlan) -> dict[str, object]:
    about = [f"{line[:1].upper()}{line[1:]}." for line in setting_test_told(plan)]
    return {"about": about, "results": [list(result) for result in SMEAR_RESULTS]}


def _rescue(plan: BurstPlan, fahrenheit: bool, by_eye: bool) -> dict[str, object]:
    told = rescue_told(plan.rescue, fahrenheit=fahrenheit)
    rows = [[degrees(row.at_c, fahrenheit, unit=False), amount(row), portions(row)] for row in told.rows]
    return {
        "reads": f"{'about' if by_eye else 'reads'}, {unit_sign(fahrenheit)}",
        "rows": rows,
        "notes": list(told.notes),
    }
