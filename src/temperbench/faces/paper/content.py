"""What a card says: every line and figure of a plan as text, ready for the page. No layout here."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

import segno

from temperbench.app.results import BurstPlan, BurstStep
from temperbench.faces.drawing.words import degrees, degrees_between, minutes, minutes_between, unit_sign
from temperbench.faces.paper.matrix import Matrix, MatrixRow, matrix_of
from temperbench.foundation.quantities import show_grams

__all__ = ["card_content", "key_figures"]

_WIDE_TABLE = 5  # stages above which the cells leave the unit to the heading


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
    table = matrix_of(plan, fahrenheit=fahrenheit)
    what, _, with_what = plan.title.partition(", ")
    code = io.BytesIO()
    segno.make(key_figures(plan, made_on, version, fahrenheit=fahrenheit), error="l", micro=False).save(
        code, kind="svg", border=0, xmldecl=False
    )
    return {
        "what": what,
        "with_what": with_what,
        "total": f"{plan.total_burst_s} s of oven in {minutes(plan.total_min)}, stirring included",
        "risk": _risk(plan),
        "steps": [_step(step, fahrenheit) for step in plan.bursts],
        "rest": _rest(plan.bursts),
        "arrives": "is at" if table.by_eye else "reads",
        "matrix": _matrix(table),
        "after": _after(plan, fahrenheit),
        "rescue": _rescue(plan, fahrenheit),
        "holds": _holds(plan, fahrenheit),
        "stores": [
            [degrees(row.start_c, fahrenheit), " · ".join(map(str, row.bursts_s)) + " s", f"{row.total_burst_s} s"]
            for row in plan.carries.stores
        ],
        "warnings": _mind(plan),
        "cautions": list(plan.cautions),
        "made": f"Made {made_on.day} {made_on:%B %Y} with temperbench {version}",
        "code": code.getvalue().decode("utf-8"),
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
            f"{test.film} smear sets in {minutes_between(test.low_min, test.pass_min, test.high_min)}",
            f"temperbench {version}, {made_on.isoformat()}",
        )
    )


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
        "stir": f"{step.stir_s} s",
        "reads": degrees(step.mean_c, fahrenheit),
        "low": degrees(step.low_c, fahrenheit, unit=False),
        "high": degrees(step.high_c, fahrenheit, unit=False),
    }


def _rest(steps: Sequence[BurstStep]) -> str:
    rests = sorted({step.rest_s for step in steps if step.rest_s})
    if not rests:
        return ""
    span = f"{rests[0]}" if len(rests) == 1 else f"{rests[0]} to {rests[-1]}"
    return f"Let it stand {span} s, then stir."


def _matrix(table: Matrix) -> dict[str, object]:
    wide = len(table.columns) > _WIDE_TABLE
    note = "Framed: the way the bowl is expected to go." if any(any(row.planned) for row in table.rows) else ""
    if table.joined:
        note = f"{note} Lines joined to fit keep the shorter burst; all of them on screen.".strip()
    return {
        "title": f"Stir and {'look' if table.by_eye else 'read'}: the next burst{', in seconds' if wide else ''}",
        "columns": list(table.columns),
        "by_eye": table.by_eye,
        "note": note,
        "rows": [_matrix_row(row, "" if wide else " s") for row in table.rows],
    }


def _matrix_row(row: MatrixRow, unit: str) -> dict[str, object]:
    texts = ["" if cell is None else f"{cell}{unit}" if cell else "stir" for cell in row.cells]
    cells = [{"text": text, "planned": planned} for text, planned in zip(texts, row.planned, strict=True)]
    return {"label": row.label, "looks": row.looks, "cells": cells}


def _after(plan: BurstPlan, fahrenheit: bool) -> list[dict[str, str]]:
    down, test, free, held = plan.draw_down_min, plan.setting_test, plan.workable, plan.held
    window = degrees_between(plan.work_from_c, plan.work_to_c, fahrenheit)
    crystals = plan.crystals_pct_of_fat
    return [
        {
            "do": "Stir down",
            "figure": minutes(down.mid),
            "band": f"({down.low:.1f} to {down.high:.1f})",
            "told": f"from {degrees(plan.stop_c, fahrenheit)} to {degrees(plan.work_to_c, fahrenheit)}. "
            f"At the stop {_percent(crystals.mid)} of the fat ({crystals.low:.1f} to {crystals.high:.1f}) is crystals.",
        },
        {
            "do": "Setting test",
            "figure": minutes(test.pass_min),
            "band": f"({test.low_min:.1f} to {test.high_min:.1f})",
            "told": f"until a thin smear on {_film(test.film)} has set in this room, never in the fridge.",
        },
        {
            "do": "Workable",
            "figure": minutes(free.mid),
            "band": f"({free.low:.1f} to {free.high:.1f})",
            "told": f"unheated, then {free.ends_by}. Kept at {window}: "
            f"{minutes_between(held.low, held.mid, held.high)}, then {held.ends_by}.",
        },
    ]


def _film(film: str) -> str:
    return "a knife" if film == "knife" else film


def _rescue(plan: BurstPlan, fahrenheit: bool) -> dict[str, object]:
    """Return the rescue rows; the advice that the rows with an amount share stands once below them."""
    rows = []
    for row in plan.rescue:
        ends = [
            "" if row.ends_c is None else degrees(row.ends_c, fahrenheit),
            "" if row.ends_pct_of_fat is None else _percent(row.ends_pct_of_fat),
        ]
        amount = "" if row.add_g is None else show_grams(row.add_g)
        rows.append({"at": degrees(row.at_c, fahrenheit), "add": amount, "ends": ends, "advice": row.advice})
    notes = list(dict.fromkeys(row.advice for row in plan.rescue if row.add_g is not None and row.advice))
    return {"rows": rows, "notes": notes}


def _holds(plan: BurstPlan, fahrenheit: bool) -> list[str]:
    carries = plan.carries
    return [
        *plan.holds_for,
        f"{degrees_between(carries.start_low_c, carries.start_high_c, fahrenheit)} at the start, "
        f"{carries.grams_low:.0f} to {carries.grams_high:.0f} g. {carries.text}".strip(),
        f"In an oven hot from earlier bowls these seconds leave {_percent(carries.hot_oven_solid_pct_of_fat)} "
        "of the fat solid.",
    ]


def _mind(plan: BurstPlan) -> list[str]:
    texts = [warning.text for warning in plan.warnings]
    if plan.defaults_used:
        texts.append(f"Taken as usual, because not given: {', '.join(plan.defaults_used)}.")
    return texts
