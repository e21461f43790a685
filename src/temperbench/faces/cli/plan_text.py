"""A plan as text for a terminal of 80 columns: the same figures as the JSON and the card, with units and reasons."""

from __future__ import annotations

import textwrap

from temperbench.app.results import BurstPlan, BurstStep, Leg, RescueRow
from temperbench.faces.cli.layout import WIDTH, heading, listed, minutes_of, percent, titled, wrapped
from temperbench.faces.cli.path_chart import marks_told, path_chart
from temperbench.faces.drawing.words import minutes
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

__all__ = ["plan_text", "rescue_lines", "step_lines"]

_MOST_ROWS, _MOST_COLUMNS = 40, 8
_LABEL, _COLUMN = 18, 8  # characters of a reading, and at most of a column
_SHOWN_DOWN = 1.2  # of the longest time down to the window is drawn


def plan_text(plan: BurstPlan) -> str:
    """Return the whole plan as text.

    Parameters
    ----------
    plan : BurstPlan
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
        _bursts(plan),
        _reads(plan),
        _chart(plan),
        _after(plan),
        _rescue(plan),
        _carries(plan),
        titled("Holds for", plan.holds_for),
        titled("Taken as usual, because not given", defaults_told(plan)),
        titled("Cautions", plan.cautions),
        _sources(plan),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def step_lines(steps: tuple[BurstStep, ...], *, by_eye: bool = False) -> list[str]:
    """Return the steps of a path as a table.

    Parameters
    ----------
    steps : tuple[BurstStep, ...]
        Steps in their order. [-]
    by_eye : bool
        Whether nothing reads the bowl. [-]

    Returns
    -------
    list[str]
        A heading and a line for each step. [-]
    """
    then = "then about" if by_eye else "then reads"
    lines = [f"{'step':>5}{'burst':>9}{'pause':>7}{'stir':>7}   {then:<24}{'hottest':>9}{'solid fat':>11}"]
    for number, step in enumerate(steps, 1):
        burst = f"{step.seconds:.0f} s" if step.seconds else "none"
        reads = f"{step.mean_c:.1f} °C ({step.low_c:.1f} to {step.high_c:.1f})"
        lines.append(
            f"{number:>5}{burst:>9}{f'{step.rest_s:.0f} s':>7}{f'{step.stir_s:.0f} s':>7}   {reads:<24}"
            f"{f'{step.hottest_high_c:.1f} °C':>9}{percent(step.solid_pct_of_fat):>11}"
        )
    return lines


def rescue_lines(rows: tuple[RescueRow, ...], *, by_eye: bool = False) -> list[str]:
    """Return the rescue table: what to add at each reading, and what holds for all of them.

    Parameters
    ----------
    rows : tuple[RescueRow, ...]
        Rows from the coolest to the hottest bowl. [-]
    by_eye : bool
        Whether nothing reads the bowl. [-]

    Returns
    -------
    list[str]
        A line for each row with an amount, then sentences. [-]
    """
    told = rescue_told(rows)
    lines = [f"{'about' if by_eye else 'reads':>9}{'add buttons':>15}   in portions"] if told.rows else []
    lines += [f"{f'{row.at_c:.1f} °C':>9}{amount(row):>15}   {portions(row)}" for row in told.rows]
    for note in told.notes:
        lines += wrapped(note, "  ")
    return lines


def _by_eye(plan: BurstPlan) -> bool:
    return policy_table(plan, _MOST_ROWS, _MOST_COLUMNS).by_eye


def _rescue(plan: BurstPlan) -> list[str]:
    by_eye = _by_eye(plan)
    told = f"a bowl that got too hot, {'judged' if by_eye else 'read'} after stirring"
    return [*heading("Rescue", told), *rescue_lines(plan.rescue, by_eye=by_eye)]


def _aims(plan: BurstPlan) -> list[str]:
    rows = (
        ("stop", f"{plan.stop_c:.1f} °C", "melt up to here, stirred, and no further"),
        ("limit", f"{plan.limit_c:.1f} °C", "above it the stable crystals go"),
        ("work", f"{plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C", "stir down to here before you use it"),
        ("scorch", f"{plan.scorch_c:.1f} °C", "no part of the bowl may get this hot"),
    )
    return [f"  {name:<8}{figure:<18}{meaning}" for name, figure, meaning in rows]


def _bursts(plan: BurstPlan) -> list[str]:
    told = f"a usual run, {plan.total_burst_s} s of bursts in {minutes(plan.total_min)}; the table below decides"
    risks = (
        f"Chance of a lost temper {percent(100 * plan.risk_lost)}, of a scorch {percent(100 * plan.risk_scorch)} "
        f"(asked: at most {percent(100 * plan.risk_asked)}), over the whole run by the table below, measured on "
        f"{plan.risk_members} fresh simulated bowls."
    )
    by_eye = _by_eye(plan)
    pause = f"pause: to take the bowl out{'' if by_eye else ', let a thermometer settle,'} and put it back."
    return [
        *heading("Bursts", told),
        *step_lines(plan.bursts, by_eye=by_eye),
        *wrapped(pause, "  "),
        *wrapped(risks, "  "),
    ]


def _reads(plan: BurstPlan) -> list[str]:
    """Lay the policy out with a line for each reading, a column for each run of stages, and the look."""
    table = policy_table(plan, _MOST_ROWS, _MOST_COLUMNS)
    if not table.rows:
        return listed(plan.rules)
    told = "by what the bowl looks like after each stir" if table.by_eye else "by what the bowl reads after each stir"
    lines = [*heading("Next burst", told), *listed(plan.rules)]
    column = min(_COLUMN, (WIDTH - 2 - _LABEL) // len(table.columns))
    wide = max(len(row.label) for row in table.rows) if table.by_eye else _LABEL
    wide = min(wide, WIDTH - 2 - column * len(table.columns))
    lines += _columns(table, wide, column)
    room = WIDTH - 5 - wide - column * len(table.columns)
    looks_fit = max(len(row.looks) for row in table.rows) <= room
    above = ""
    for row in table.rows:
        *begin, last = textwrap.wrap(row.label, wide) or [""]
        cells = ["" if cell is None else f"{cell} s" if cell else "stir" for cell in row.cells]
        line = f"  {last:<{wide}}" + "".join(f"{cell:>{column}}" for cell in cells)
        look = row.looks if looks_fit and row.looks != above else ""
        lines += [f"  {part}" for part in begin]
        lines += wrapped(look, f"{line}   ") if look else [line]
        above = row.looks
    if table.joined:
        lines += wrapped("Lines joined to fit keep the shorter burst; --json has all of them.", "  ")
    return lines


def _columns(table: PolicyTable, wide: int, column: int) -> list[str]:
    """Return the head of the policy: the bursts after which each column holds."""
    names = [name.replace(" and later", " on") for name in table.columns]
    head = "".join(f"{name:>{column}}" for name in names)
    title = "after burst"
    if len(title) <= wide:
        return [f"  {title:<{wide}}{head}"]
    return [f"  {title}", f"  {'':<{wide}}{head}"]


def _sources(plan: BurstPlan) -> list[str]:
    if not plan.sources:
        return []
    told = "every figure has its row; temperbench sources ID shows it"
    return [*heading("Sources", told), *wrapped(", ".join(plan.sources), "  ")]


def _chart(plan: BurstPlan) -> list[str]:
    window = (plan.work_from_c, plan.work_to_c)
    down = _first_part(plan.down, _SHOWN_DOWN * 60.0 * plan.draw_down_min.high)
    drawn = path_chart((plan.up, down), {"=": window, "-": (plan.limit_c,)})
    named = {
        "-": f"limit {plan.limit_c:.1f} °C",
        "=": f"working window {plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C",
    }
    return [*heading("Path", "melting up to the stop, then stirring down"), *drawn, *wrapped(marks_told(named), "  ")]


def _first_part(leg: Leg, until_s: float) -> Leg:
    """Return a leg up to a time, so that a long wait in the window does not squash the way there."""
    kept = max(2, sum(t <= until_s for t in leg.t_s))
    return Leg(leg.t_s[:kept], leg.low_c[:kept], leg.mid_c[:kept], leg.high_c[:kept])


def _after(plan: BurstPlan) -> list[str]:
    crystals = plan.crystals_pct_of_fat
    how, times = setting_test_told(plan)
    rows = (
        ("stir down", f"{minutes_of(plan.draw_down_min)} {stir_down_told(plan)}"),
        ("crystals", f"{percent(crystals.mid)} of the fat at the stop ({crystals.low:.1f} to {crystals.high:.1f})"),
        ("setting test", f"{how};"),
        ("", times),
        *(("", f"{sees}: {do}") for sees, do in SMEAR_RESULTS),
        ("workable", f"{minutes_of(plan.workable)} {workable_told(plan)}"),
        ("held", held_told(plan)),
    )
    lines = heading("After the stop")
    for name, told in rows:
        lines += wrapped(told, f"  {name:<14}")
    return lines


def _carries(plan: BurstPlan) -> list[str]:
    lines = [*heading("How far it carries"), *wrapped(carries_told(plan), "  ")]
    if plan.carries.stores:
        by = "looks" if _by_eye(plan) else "readings"
        lines += wrapped(f"Stock from another store, by the same {by}:", "  ")
    for row in plan.carries.stores:
        seconds = " / ".join(f"{s:.0f}" for s in row.bursts_s)
        lines += wrapped(f"{seconds} s, together {row.total_burst_s:.0f} s", f"  at {row.start_c:.1f} °C   ")
    return lines
