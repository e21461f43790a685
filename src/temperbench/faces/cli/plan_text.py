"""A plan as text for a terminal of 80 columns: the same figures as the JSON and the card, with units and reasons."""

from __future__ import annotations

import re
import textwrap
from itertools import pairwise

from temperbench.app.results import Band, BurstPlan, BurstStep, Leg, ReadsThen, RescueRow, Workable
from temperbench.faces.cli.path_chart import marks_told, path_chart

__all__ = ["percent", "plan_text", "rescue_lines", "step_lines", "wrapped"]

_WIDTH = 79
_STAGES_A_TABLE = 4
_SHOWN_DOWN = 1.2  # of the longest time down to the window is drawn
_PORTIONS = "Stir in one portion after the other, each until it is gone; then make the setting test."
_LAST_DIGIT = 0.1  # of the thermometers: 32.0 to 32.5 is written 32.0 to 32.4, as on the card
_WITH_UNIT = re.compile(r"(\d) (?=(?:°C|g|kg|W|L|s|min)\b|%)")


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
        textwrap.wrap(plan.title, _WIDTH),
        _aims(plan),
        _titled("Warnings", tuple(warning.text for warning in plan.warnings)),
        [*_heading("Bursts", f"median path: {plan.total_burst_s} s of bursts, {plan.total_min:.1f} min in all"),
         *step_lines(plan.bursts), *_risks(plan)],
        [*_reads(plan.reads_then), *_listed(plan.rules)],
        _chart(plan),
        _after(plan),
        [*_heading("Rescue", "a bowl that got too hot, read after stirring"), *rescue_lines(plan.rescue)],
        _carries(plan),
        _titled("Holds for", plan.holds_for),
        _titled("Taken as usual, because not given", plan.defaults_used),
        _titled("Cautions", plan.cautions),
        _sources(plan),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def step_lines(steps: tuple[BurstStep, ...]) -> list[str]:
    """Return the steps of a path as a table.

    Parameters
    ----------
    steps : tuple[BurstStep, ...]
        Steps in their order. [-]

    Returns
    -------
    list[str]
        A heading and a line for each step. [-]
    """
    lines = [f"{'step':>5}{'burst':>9}{'stand':>7}{'stir':>7}   {'then reads':<24}{'hottest':>9}{'solid fat':>11}"]
    for number, step in enumerate(steps, 1):
        burst = f"{step.seconds:.0f} s" if step.seconds else "none"
        reads = f"{step.mean_c:.1f} °C ({step.low_c:.1f} to {step.high_c:.1f})"
        lines.append(
            f"{number:>5}{burst:>9}{f'{step.rest_s:.0f} s':>7}{f'{step.stir_s:.0f} s':>7}   {reads:<24}"
            f"{f'{step.hottest_high_c:.1f} °C':>9}{percent(step.solid_pct_of_fat):>11}"
        )
    return lines


def rescue_lines(rows: tuple[RescueRow, ...]) -> list[str]:
    """Return rows of the rescue table, each advice once.

    Parameters
    ----------
    rows : tuple[RescueRow, ...]
        Rows from the coolest to the hottest bowl. [-]

    Returns
    -------
    list[str]
        A line for each row, and the advice after the last row it belongs to. [-]
    """
    lines: list[str] = []
    for number, row in enumerate(rows):
        lines += wrapped(_added(row), f"  at {row.at_c:.1f} °C   ")
        advice = _PORTIONS if len(row.portions_g) > 1 else row.advice
        after = rows[number + 1] if number + 1 < len(rows) else None
        if after is None or advice != (_PORTIONS if len(after.portions_g) > 1 else after.advice):
            lines += wrapped(advice, "    ")
    return lines


def _added(row: RescueRow) -> str:
    if row.add_g is None:
        return "no amount of buttons will do"
    if row.add_g == 0:
        return "add nothing"
    portions = f" as {' + '.join(f'{grams:.0f}' for grams in row.portions_g)} g" if len(row.portions_g) > 1 else ""
    ends = f"{_shown(row.ends_c, '°C')}, {_shown(row.ends_pct_of_fat, '%')} crystals"
    return f"add {row.add_g:>4} g{portions}: ends at {ends}"


def percent(value: float) -> str:
    """Return a share that is already in percent, with its unit.

    Parameters
    ----------
    value : float
        Share in percent. [-]

    Returns
    -------
    str
        One decimal and the sign. [-]
    """
    return f"{value:.1f} %"


def wrapped(text: str, first: str) -> list[str]:
    """Wrap text at the screen's width, keeping each figure with its unit.

    Parameters
    ----------
    text : str
        Sentences. [-]
    first : str
        What the first line begins with; the others are set in as far. [-]

    Returns
    -------
    list[str]
        Lines. [-]
    """
    kept = _WITH_UNIT.sub("\\1\N{NO-BREAK SPACE}", text)
    indent = " " * len(first)
    lines = textwrap.wrap(kept, _WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def _listed(items: tuple[str, ...]) -> list[str]:
    return [line for item in items for line in wrapped(item, "  - ")]


def _shown(value: float | None, unit: str) -> str:
    return "unknown" if value is None else f"{value:.1f} {unit}"


def _heading(name: str, told: str = "") -> list[str]:
    return [f"{name.upper()}  {told}".rstrip()]


def _titled(name: str, items: tuple[str, ...]) -> list[str]:
    return [*_heading(name), *_listed(items)] if items else []


def _band(band: Band | Workable, unit: str) -> str:
    return f"{band.mid:.1f} {unit} ({band.low:.1f} to {band.high:.1f})"


def _aims(plan: BurstPlan) -> list[str]:
    rows = (
        ("stop", f"{plan.stop_c:.1f} °C", "melt up to here, stirred, and no further"),
        ("limit", f"{plan.limit_c:.1f} °C", "above it the stable crystals go"),
        ("work", f"{plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C", "stir down to here before you use it"),
        ("scorch", f"{plan.scorch_c:.1f} °C", "no part of the bowl may get this hot"),
    )
    return [f"  {name:<8}{figure:<18}{meaning}" for name, figure, meaning in rows]


def _risks(plan: BurstPlan) -> list[str]:
    text = (
        f"Chance of a lost temper {percent(100 * plan.risk_lost)}, of a scorch {percent(100 * plan.risk_scorch)} "
        f"(asked: at most {percent(100 * plan.risk_asked)}), over the whole run with the readings below, "
        f"measured on {plan.risk_members} fresh members of the ensemble."
    )
    return wrapped(text, "  ")


def _reading(row: ReadsThen) -> str:
    """Name a row of the policy by its reading; by its look when it has none."""
    if row.reads_from_c is None and row.reads_to_c is None:
        return row.looks
    if row.reads_from_c is None:
        return f"below {row.reads_to_c:.1f} °C"
    if row.reads_to_c is None:
        return f"from {row.reads_from_c:.1f} °C up"
    return f"{row.reads_from_c:.1f} to {row.reads_to_c - _LAST_DIGIT:.1f} °C"


def _reads(rows: tuple[ReadsThen, ...]) -> list[str]:
    """Lay the policy out with a line for each reading, a column for each number of bursts done, and the look."""
    stages = sorted({row.stage for row in rows})
    names = [f"{a}" if b == a + 1 else f"{a}-{b - 1}" for a, b in pairwise(stages)]
    named = list(zip(stages, [*names, *(f"{stage} on" for stage in stages[-1:])], strict=True))
    lines = _heading("Next burst", "by what the bowl reads or looks like after each stir") if rows else []
    for at in range(0, len(stages), _STAGES_A_TABLE):
        lines += _reads_table(rows, dict(named[at : at + _STAGES_A_TABLE]))
    return lines


def _reads_table(rows: tuple[ReadsThen, ...], stages: dict[int, str]) -> list[str]:
    """Lay out some columns of the policy, named by the bursts after which they hold."""
    looks = {_reading(row): "" if _reading(row) == row.looks else row.looks for row in rows}
    cells = {(row.stage, _reading(row)): f"{row.seconds} s" if row.seconds else "stir" for row in rows}
    wide = 18 if any(looks.values()) else 30  # the look beside the reading, or in its place
    lines = [f"  {'after burst':<{wide}}" + "".join(f"{name:>7}" for name in stages.values())]
    above = ""
    for name, look in looks.items():
        *begin, last = textwrap.wrap(name, wide) or [""]
        told = "".join(f"{cells.get((stage, name), ''):>7}" for stage in stages)
        lines += [f"  {part}" for part in begin]
        first = f"  {last:<{wide}}{told}  "
        lines += wrapped(look, f"{first} ") if look and look != above else [first.rstrip()]
        above = look
    return lines


def _sources(plan: BurstPlan) -> list[str]:
    if not plan.sources:
        return []
    told = "every figure has its row; temperbench sources ID shows it"
    return [*_heading("Sources", told), *wrapped(", ".join(plan.sources), "  ")]


def _chart(plan: BurstPlan) -> list[str]:
    window = (plan.work_from_c, plan.work_to_c)
    down = _first_part(plan.down, _SHOWN_DOWN * 60.0 * plan.draw_down_min.high)
    drawn = path_chart((plan.up, down), {"=": window, "-": (plan.limit_c,)})
    named = {
        "-": f"limit {plan.limit_c:.1f} °C",
        "=": f"working window {plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C",
    }
    return [*_heading("Path", "melting up to the stop, then stirring down"), *drawn, *wrapped(marks_told(named), "  ")]


def _first_part(leg: Leg, until_s: float) -> Leg:
    """Return a leg up to a time, so that a long wait in the window does not squash the way there."""
    kept = max(2, sum(t <= until_s for t in leg.t_s))
    return Leg(leg.t_s[:kept], leg.low_c[:kept], leg.mid_c[:kept], leg.high_c[:kept])


def _after(plan: BurstPlan) -> list[str]:
    test = plan.setting_test
    smear = "a film on a knife" if test.film == "knife" else f"a smear on {test.film}"
    window = f"{plan.work_from_c:.1f} to {plan.work_to_c:.1f} °C"
    rows = (
        ("stir down", f"{_band(plan.draw_down_min, 'min')} until it reads {plan.work_to_c:.1f} °C"),
        ("crystals", f"{_band(plan.crystals_pct_of_fat, '%')} of the fat"),
        ("setting test", f"in temper when {smear} has set within {test.pass_min:.1f} min; this bowl should take "
                         f"{test.low_min:.1f} to {test.high_min:.1f} min"),
        ("workable", f"{_band(plan.workable, 'min')} unheated, then {plan.workable.ends_by}"),
        ("held", f"{_band(plan.held, 'min')} kept at {window}, then {plan.held.ends_by}"),
    )  # fmt: skip
    lines = _heading("After the stop")
    for name, told in rows:
        lines += wrapped(told, f"  {name:<14}")
    return lines


def _carries(plan: BurstPlan) -> list[str]:
    carries = plan.carries
    told = (
        f"The fixed seconds hold from {carries.start_low_c:.1f} to {carries.start_high_c:.1f} °C at the start and from "
        f"{carries.grams_low:.0f} to {carries.grams_high:.0f} g. In an oven hot from earlier bowls they would leave "
        f"{percent(carries.hot_oven_solid_pct_of_fat)} of the fat solid."
    )
    lines = [*_heading("How far it carries"), *wrapped(told, "  "), *wrapped(carries.text, "  ")]
    for row in carries.stores:
        seconds = " / ".join(f"{s:.0f}" for s in row.bursts_s)
        store = f"  store {row.start_c:>5.1f} °C   "
        lines += wrapped(f"{seconds} s, together {row.total_burst_s:.0f} s", store)
    return lines
