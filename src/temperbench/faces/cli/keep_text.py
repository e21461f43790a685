"""A plan of keeping as text for a terminal of 80 columns: the same figures as the JSON, with units and reasons."""

from __future__ import annotations

import math
import textwrap

from temperbench.app.keep_results import KeepPlan, KeepStep
from temperbench.faces.cli.layout import WIDTH, heading, percent, titled, wrapped
from temperbench.faces.cli.path_chart import marks_told, path_chart
from temperbench.faces.drawing.words import minutes
from temperbench.faces.told.keep_words import alone_told, asks_told, kept_told, memory_told, pause_told, reads_told

__all__ = ["keep_text"]

_MOST_STEPS = 14


def keep_text(plan: KeepPlan) -> str:
    """Return a whole plan of keeping as text.

    Parameters
    ----------
    plan : KeepPlan
        A plan. [-]

    Returns
    -------
    str
        Lines of at most 79 characters. [-]
    """
    blocks = [
        textwrap.wrap(plan.title, WIDTH),
        _in_short(plan),
        titled("Warnings", tuple(warning.text for warning in plan.warnings)),
        _left_alone(plan),
        _table(plan),
        _course(plan),
        _chart(plan),
        _pauses(plan),
        _refills(plan),
        _alarms(plan),
        titled("When to stop", plan.stop_rules),
        _clear(plan),
        titled("Taken as usual, because not given", plan.defaults_used),
        titled("Cautions", plan.cautions),
        ["SOURCES  every figure has its row; temperbench sources ID shows it",
         *wrapped(", ".join(plan.sources), "  ")],
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _in_short(plan: KeepPlan) -> list[str]:
    lines = wrapped(f"every {minutes(plan.every_min)}: stir, read, judge, and do what the table says", "  look      ")
    lines += wrapped(kept_told(plan), "  workable  ")
    risks = (
        f"chance of a lost temper {percent(100 * plan.risk_lost)}, of a scorch {percent(100 * plan.risk_scorch)} "
        f"(asked: at most {percent(100 * plan.risk_asked)}), measured on {plan.risk_members} fresh simulated bowls"
    )
    return [*lines, *wrapped(risks, "  risks     ")]


def _left_alone(plan: KeepPlan) -> list[str]:
    lines = heading("Left alone", "stirred now and then, no correction")
    for name, after in alone_told(plan):
        lines += wrapped(after, f"  {name:<11}")
    return lines


def _table(plan: KeepPlan) -> list[str]:
    lines = heading("What to do", "by what the bowl reads and how it runs off the spatula")
    lines += [line for rule in plan.rules for line in wrapped(rule, "  - ")]
    lines.append(f"  {'it reads':<20}{'flows with ease':<20}{'thick':<24}")
    for row in plan.table:
        lines.append(
            f"  {reads_told(row):<20}{asks_told(row.easy_s, 0):<20}{asks_told(row.thick_s, row.thick_g):<24}".rstrip()
        )
    return lines


def _course(plan: KeepPlan) -> list[str]:
    """Show the looks of the middle bowl, as many as fit, with what nine of ten bowls read."""
    every = max(1, math.ceil(len(plan.steps) / _MOST_STEPS))
    shown = plan.steps[::every]
    told = "what one usual bowl asks for; readings are those of nine of ten bowls"
    lines = [*heading("Course", told), f"{'min':>6}{'reads':>15}{'then':>15}{'thick':>7}{'in bowl':>9}   does"]
    for step in shown:
        lines += _step_lines(step)
    if every > 1:
        lines += wrapped(f"Every {every}. look is shown; --json has all of them.", "  ")
    return lines + wrapped("thick: viscosity over that of the same bowl without crystals; too thick at 2.", "  ")


def _step_lines(step: KeepStep) -> list[str]:
    before, after = (f"{band.low:.1f}-{band.high:.1f}" for band in (step.before_c, step.after_c))
    ratio = f"{step.ratio.mid:.1f}"
    head = f"{step.at_min:6.0f}{before:>15}{after:>15}{ratio:>7}{step.grams:7.0f} g   "
    return wrapped(step.do, head)


def _chart(plan: KeepPlan) -> list[str]:
    drawn = path_chart((plan.heat,), {"=": (plan.work_from_c, plan.work_to_c), "-": (plan.limit_c,)})
    named = {
        "-": f"limit {plan.limit_c:.1f} °C",
        "=": f"working window {plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C",
    }
    return [*heading("Path", "warmed at every look"), *drawn, *wrapped(marks_told(named), "  ")]


def _pauses(plan: KeepPlan) -> list[str]:
    if len(plan.pauses) < 2:
        return []
    lines = heading("Other pauses", "each with the table that suits it best")
    for every, told in pause_told(plan):
        lines += wrapped(told, f"  {every:<15}")
    return lines


def _refills(plan: KeepPlan) -> list[str]:
    if not plan.refills:
        return []
    total = sum(refill.add_g for refill in plan.refills)
    told = f"{len(plan.refills)} times, {total:.0f} g in all, at {plan.refills[0].at_c:.0f} °C"
    each = ", ".join(f"{refill.add_g:.0f} g at {refill.at_min:.0f} min" for refill in plan.refills)
    return [*heading("Refills", told), *wrapped(each, "  ")]


def _alarms(plan: KeepPlan) -> list[str]:
    lines = heading("Alarms")
    for alarm in plan.alarms:
        lines += wrapped(alarm.text, f"  {alarm.at_min:>4.0f} min  ")
    return lines


def _clear(plan: KeepPlan) -> list[str]:
    lines = [*heading("Memory"), *wrapped(plan.clear_rule, "  ")]
    return lines + wrapped(memory_told(plan), "  ")
