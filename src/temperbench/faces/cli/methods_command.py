"""What ``temperbench methods`` does: all methods side by side, as a table for a terminal of 80 columns."""

from __future__ import annotations

from typing import Any

import click

from temperbench.app.compare_fields import COMPARE_FIELDS
from temperbench.app.compare_methods import compare_methods, comparison_json
from temperbench.app.results import Comparison, MethodRow
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.job_options import given_of, raw_job
from temperbench.faces.cli.layout import wrapped
from temperbench.faces.cli.output import counts, print_json

__all__ = ["methods_text", "run"]

_NAME = 27
_BAR = 40  # characters of the longest bar


def run(*, job_file: str | None, as_json: bool, members: str, seed: str, **answers: Any) -> None:
    """Compare the methods and show them.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    as_json : bool
        Whether to print JSON. [-]
    members : str
        Bowls of each method. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the job and of the choice. [-]
    """
    raw, asked = raw_job(job_file, answers), given_of(COMPARE_FIELDS, answers)
    member_count, start = counts(members, seed)
    with Waiting() as waiting:
        found = compare_methods(raw, asked, members=member_count, seed=start, progress=waiting.tell)
    if as_json:
        print_json(comparison_json(found))
    else:
        click.echo(methods_text(found), nl=False)


def methods_text(found: Comparison) -> str:
    """Return a comparison as text.

    Parameters
    ----------
    found : Comparison
        A comparison. [-]

    Returns
    -------
    str
        Lines of at most 79 characters. [-]
    """
    blocks = [
        [found.title],
        wrapped(found.reason, "  "),
        _table(found),
        _bars(found),
        _because(found),
        [line for note in found.notes for line in wrapped(note, "  - ")],
        [line for warning in found.warnings for line in wrapped(warning.text, "  - ")],
        wrapped(f"Measured on {found.members} simulated bowls of each method; temperbench plan --method NAME has the "
                "steps.", "  "),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _possible(found: Comparison) -> list[MethodRow]:
    return [row for row in found.rows if row.why_not is None]


def _table(found: Comparison) -> list[str]:
    rows = _possible(found)
    if not rows:
        return []
    lines = [f"  {'':<{_NAME}}{'min in all':>10}{'at the bowl':>12}{'lost':>9}{'seed':>8}  skill"]
    for row in rows:
        total, hands = row.total_min, row.hands_on_min
        if total is None or hands is None or row.risk_lost is None:
            continue
        seed = "none" if row.seed_g is None else f"{row.seed_g} g"
        mark = "" if row.keeps_risks else " !"
        lines.append(
            f"  {row.name:<{_NAME}}{total.mid:>10.0f}{hands.mid:>12.0f}{f'{100 * row.risk_lost:.1f} %{mark}':>9}"
            f"{seed:>8}  {row.skill}"
        )
    if any(not row.keeps_risks for row in rows):
        lines += wrapped("! more than you asked for", "  ")
    return lines


def _bars(found: Comparison) -> list[str]:
    """Draw minutes as bars: # at the bowl, . waiting; all on one scale that a night does not squash."""
    rows = [row for row in _possible(found) if row.total_min and row.hands_on_min]
    if not rows:
        return []
    longest = max(min(row.total_min.mid, 120.0) for row in rows if row.total_min)
    lines = [f"MINUTES  # at the bowl, . waiting, > longer than {longest:.0f} min"]
    for row in rows:
        if row.total_min is None or row.hands_on_min is None:
            continue
        wide = round(_BAR * min(row.total_min.mid, longest) / longest)
        hands = min(wide, round(_BAR * row.hands_on_min.mid / longest))
        more = ">" if row.total_min.mid > longest else ""
        lines.append(f"  {row.name:<{_NAME}}{'#' * hands}{'.' * (wide - hands)}{more}")
    return lines


def _because(found: Comparison) -> list[str]:
    lines = ["WHY"]
    for row in found.rows:
        told = row.reason if row.why_not is None else f"not possible, because {row.why_not}"
        span = f" ({row.least_g / 1000.0:g} to {row.most_g / 1000.0:g} kg)" if row.why_not is None else ""
        lines += wrapped(f"{told}{span}", f"  {row.name:<{_NAME}}")
    return lines
