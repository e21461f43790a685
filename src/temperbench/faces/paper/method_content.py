"""What the card of a method says: every line and figure of its plan as text, ready for the page. No layout here."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import Any

from temperbench.app.results import MethodPlan, MethodStep, ReadsDo
from temperbench.faces.drawing.words import degrees, degrees_between, minute_band, minutes
from temperbench.faces.paper.other_unit import aims_in_f, range_in_f
from temperbench.faces.paper.press import square
from temperbench.faces.told.method_words import read_told, risks_told, step_time, time_told
from temperbench.faces.told.plan_words import (
    SMEAR_RESULTS,
    defaults_told,
    held_told,
    setting_test_told,
    workable_told,
)

__all__ = ["key_steps", "method_content"]


def method_content(plan: MethodPlan, made_on: date, version: str) -> dict[str, Any]:
    """Return the texts of the card of a method by their place on it.

    Parameters
    ----------
    plan : MethodPlan
        The plan. [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]

    Returns
    -------
    dict[str, Any]
        Plain lists, dictionaries, text and numbers. [-]
    """
    what, _, with_what = plan.title.partition(", ")
    by_eye = plan.thermometer == "none"
    about = [f"{line[:1].upper()}{line[1:]}." for line in setting_test_told(plan)]
    return {
        "what": what,
        "with_what": with_what,
        "total": f"{time_told(plan.total_min)} in all, {minutes(plan.hands_on_min.mid)} at the bowl",
        "steps": [_step(step, by_eye) for step in plan.steps],
        "arrives": "is about" if by_eye else "reads",
        "weigh": _weigh(plan),
        "also": aims_in_f(
            (
                *((name, at, None) for name, at in _aims(plan)),
                ("limit", plan.limit_c, None),
                ("work", plan.work_from_c, plan.work_to_c),
            )
        ),
        "risk": risks_told(plan),
        "over": max(plan.risk_lost, plan.risk_scorch) > plan.risk_asked,
        "table": {"reads": "it looks" if by_eye else "it reads", "by_eye": by_eye, "rows": _rows(plan, by_eye)},
        "rules": list(plan.rules),
        "after": _after(plan),
        "test": {"about": about, "results": [list(result) for result in SMEAR_RESULTS]},
        "faults": [[_sentence(f.seen), f.cause, f"{_sentence(f.do)}."] for f in plan.faults],
        "holds": [f"{'; '.join(line.strip().rstrip('.') for line in plan.holds_for)}."] if plan.holds_for else [],
        "washing": [f"{', '.join(plan.washing_up)}."] if plan.washing_up else [],
        "usual": list(defaults_told(plan)),
        "warnings": [w.text for w in sorted(plan.warnings, key=lambda w: w.code != "risk-above-asked")],
        "cautions": list(plan.cautions),
        "made": f"Made {made_on.day} {made_on:%B %Y} with temperbench {version}",
        "code": square(key_steps(plan, made_on, version)),
    }


def key_steps(plan: MethodPlan, made_on: date, version: str) -> str:
    """Return what a cook needs when the card is lost or smeared, as the plain text of the square code.

    Parameters
    ----------
    plan : MethodPlan
        The plan. [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]

    Returns
    -------
    str
        A few short lines. [-]
    """
    told = [f"{name} {degrees(at)}" for name, at in _aims(plan) if at is not None]
    test = plan.setting_test
    lines = [
        plan.title if len(plan.title) <= 120 else plan.title[:119] + "…",
        "; ".join([f"melt {plan.melt_g} g", *([f"portions {'/'.join(map(str, plan.portions_g))} g"]
                                              if plan.portions_g else [])]),
        ", ".join([*told, f"limit {degrees(plan.limit_c)}, work {degrees_between(plan.work_from_c, plan.work_to_c)}"]),
        f"{test.film} smear set by {test.pass_min:.1f} min, expected {test.low_min:.1f} to {test.high_min:.1f} min",
        f"temperbench {version}, {made_on.isoformat()}",
    ]  # fmt: skip
    return "\n".join(lines)


def _aims(plan: MethodPlan) -> tuple[tuple[str, float | None], ...]:
    return (("clear", plan.clear_c), ("draw down", plan.draw_down_c), ("lift", plan.lift_c))


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}".rstrip(".")


def _weigh(plan: MethodPlan) -> str:
    seed = "" if plan.seed_g is None else f", {plan.seed_g} g of seed"
    return f"Weigh out {plan.melt_g} g to melt{seed}."


def _step(step: MethodStep, by_eye: bool) -> dict[str, Any]:
    after = step.after_c
    alike = degrees(after.low) == degrees(after.high)
    ends = step.until and step.until_c is not None and not by_eye
    return {
        "do": step.do,
        "detail": step.detail,
        "grams": "" if step.amount_g is None else str(step.amount_g),
        "until": step.until if ends else "then",
        "target": degrees(step.until_c if ends and step.until_c is not None else after.mid),
        "aimed": bool(ends),
        "band": "" if alike else f"{degrees(after.low, unit=False)} to {degrees(after.high, unit=False)}",
        "takes": step_time(step),
        "off": not step.hands_on,
    }


def _rows(plan: MethodPlan, by_eye: bool) -> list[list[str]]:
    """Return the policy: a row with only a name opens a part of it."""
    found: list[list[str]] = []
    for when, rows in groupby(plan.reads_then, key=lambda row: row.when):
        found.append([_sentence(when), "", "", ""])
        found += [_row(row, by_eye) for row in rows]
    return found


def _row(row: ReadsDo, by_eye: bool) -> list[str]:
    label = (row.looks or read_told(row)) if by_eye else read_told(row)
    return [label, row.do, "" if by_eye else row.looks, range_in_f(row)]


def _after(plan: MethodPlan) -> list[dict[str, str]]:
    free, crystals = plan.workable, plan.crystals_pct_of_fat
    return [
        {
            "do": "Workable",
            "figure": minutes(free.mid),
            "band": minute_band(free.low, free.mid, free.high),
            "told": f"{workable_told(plan)}; {held_told(plan)}. Crystals at the end: {crystals.mid:.1f} % of the fat "
            f"({crystals.low:.1f} to {crystals.high:.1f}).",
        }
    ]
