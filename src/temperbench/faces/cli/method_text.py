"""A plan of any method as text for a terminal of 80 columns: what a cook works from at the bench."""

from __future__ import annotations

import textwrap
from itertools import groupby

from temperbench.app.results import MethodPlan, MethodStep
from temperbench.faces.cli.layout import WIDTH, heading, minutes_of, percent, titled, wrapped
from temperbench.faces.cli.path_chart import marks_told, path_chart
from temperbench.faces.drawing.words import minutes, minutes_between
from temperbench.faces.told.method_words import SEEN_BY, read_told, step_time, time_told
from temperbench.faces.told.plan_words import SMEAR_RESULTS

__all__ = ["method_text"]

_LABEL = 20


def method_text(plan: MethodPlan) -> str:
    """Return the whole plan of a method as text.

    Parameters
    ----------
    plan : MethodPlan
        A plan. [-]

    Returns
    -------
    str
        Lines of at most 79 characters. [-]
    """
    blocks = [
        textwrap.wrap(plan.title, WIDTH),
        _aims(plan),
        titled("Warnings", tuple(warning.text for warning in plan.warnings)),
        titled("Rules", plan.rules),
        _steps(plan),
        _reads(plan),
        _risks(plan),
        _chart(plan),
        _after(plan),
        _faults(plan),
        titled("Washing-up", (", ".join(plan.washing_up),)),
        titled("Holds for", plan.holds_for),
        titled("Taken as usual, because not given", plan.defaults_used),
        titled("Cautions", plan.cautions),
        _sources(plan),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _aims(plan: MethodPlan) -> list[str]:
    rows: list[tuple[str, str, str]] = []
    if plan.clear_c is not None:
        rows.append(("clear", f"{plan.clear_c:.1f} °C", "melt up to here, so that no old crystal is left"))
    if plan.draw_down_c is not None:
        rows.append(("draw down", f"{plan.draw_down_c:.1f} °C", "cool to here before you go on"))
    if plan.lift_c is not None:
        rows.append(("lift", f"{plan.lift_c:.1f} °C", "warm up to here, stirred, and no further"))
    rows += [
        ("work", f"{plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C", "use it here"),
        ("limit", f"{plan.limit_c:.1f} °C", "above it the stable crystals go"),
        ("scorch", f"{plan.scorch_c:.1f} °C", "no part of the bowl may get this hot"),
    ]
    lines = [f"  {name:<11}{figure:<18}{meaning}" for name, figure, meaning in rows]
    amounts = f"{plan.melt_g} g to melt" + ("" if plan.seed_g is None else f", {plan.seed_g} g of seed to weigh out")
    if len(plan.portions_g) > 1:
        amounts += f", in portions of {' + '.join(str(g) for g in plan.portions_g)} g"
    times = f"{time_told(plan.total_min)} in all, {minutes_of(plan.hands_on_min)} with your hands on it"
    return [*lines, *wrapped(amounts, "  amount     "), *wrapped(times, "  time       ")]


def _steps(plan: MethodPlan) -> list[str]:
    lines = heading("Steps", "of a usual run, with the bands of all bowls")
    for number, step in enumerate(plan.steps, 1):
        lines += wrapped(step.do, f"{number:>3}. ")
        lines += wrapped(f"{_takes(step)}; {_until(step, plan.thermometer == 'none')}", "       ")
        lines += wrapped(step.detail, "       ") if step.detail else []
    return lines


def _takes(step: MethodStep) -> str:
    amount = "" if step.amount_g is None else f"usually {step.amount_g} g; "
    return f"{amount}{step_time(step)}{'' if step.hands_on else ', hands off'}"


def _until(step: MethodStep, by_eye: bool) -> str:
    after = step.after_c
    reads = f"{after.mid:.1f} °C"
    reads += f" ({after.low:.1f} to {after.high:.1f})" if after.low != after.high else ""
    told = f"{reads}, crystals {percent(step.crystals_pct_of_fat.mid)} of the fat"
    if step.until and step.until_c is not None:
        return f"until it {step.until} {'about ' if by_eye else ''}{step.until_c:.1f} °C, then {told}"
    return f"then it {'is about' if by_eye else 'reads'} {told}"


def _reads(plan: MethodPlan) -> list[str]:
    lines: list[str] = []
    by_eye = plan.thermometer == "none"
    name = "It looks" if by_eye else "It reads"
    for when, rows in groupby(plan.reads_then, key=lambda row: row.when):
        lines += ["", *heading(name, when)] if lines else heading(name, when)
        for row in rows:
            label = row.looks if by_eye else read_told(row)
            told = row.do if by_eye or not row.looks else f"{row.do} ({row.looks})"
            lines += wrapped(told, f"  {label:<{_LABEL}}  ")
    return lines


def _risks(plan: MethodPlan) -> list[str]:
    told = (
        f"Chance of a lost temper {percent(100 * plan.risk_lost)}, of a scorch {percent(100 * plan.risk_scorch)} "
        f"(asked: at most {percent(100 * plan.risk_asked)}), by the steps and table above, "
        f"{SEEN_BY[plan.thermometer]}, measured on {plan.risk_members} fresh simulated bowls."
    )
    return [*heading("Risks"), *wrapped(told, "  ")]


def _chart(plan: MethodPlan) -> list[str]:
    window = (plan.work_from_c, plan.work_to_c)
    drawn = path_chart((plan.path,), {"=": window, "-": (plan.limit_c,)})
    named = {
        "-": f"limit {plan.limit_c:.1f} °C",
        "=": f"working window {plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C",
    }
    phases = ", ".join(f"{p.name} {minutes(p.from_s / 60.0)} to {minutes(p.to_s / 60.0)}" for p in plan.phases)
    return [*heading("Path"), *drawn, *wrapped(marks_told(named), "  "), *wrapped(f"{phases}.", "  ")]


def _after(plan: MethodPlan) -> list[str]:
    crystals, test = plan.crystals_pct_of_fat, plan.setting_test
    film = "a knife" if test.film == "knife" else test.film
    times = f"set by {test.pass_min:.1f} min = enough crystals; expected {test.low_min:.1f} to {test.high_min:.1f} min"
    held = f"{minutes_between(plan.held.low, plan.held.mid, plan.held.high)} when kept at {plan.work_to_c:.1f} °C"
    rows = (
        ("crystals", f"{percent(crystals.mid)} of the fat ({crystals.low:.1f} to {crystals.high:.1f})"),
        ("setting test", f"a thin smear on {film}, in this room, never in the fridge;"),
        ("", times),
        *(("", f"{sees}: {do}") for sees, do in SMEAR_RESULTS),
        ("workable", f"{minutes_of(plan.workable)} unheated, then {plan.workable.ends_by}"),
        ("held", f"{held}, then {plan.held.ends_by}"),
    )
    lines = heading("In temper")
    for name, told in rows:
        lines += wrapped(told, f"  {name:<14}")
    return lines


def _faults(plan: MethodPlan) -> list[str]:
    lines = heading("When it goes wrong") if plan.faults else []
    for fault in plan.faults:
        lines += wrapped(f"{fault.seen}: {fault.cause}", "  - ")
        lines += wrapped(fault.do, "      do: ")
    return lines


def _sources(plan: MethodPlan) -> list[str]:
    told = "every figure has its row; temperbench sources ID shows it"
    return [*heading("Sources", told), *wrapped(", ".join(plan.sources), "  ")] if plan.sources else []
