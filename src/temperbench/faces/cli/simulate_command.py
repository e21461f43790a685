"""What ``temperbench simulate`` does."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any

import click

from temperbench.app.results import Leg
from temperbench.app.run_json import path_columns, run_json
from temperbench.app.simulate_bowl import simulate_bowl
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.layout import percent, wrapped
from temperbench.faces.cli.output import counts, print_json, target, write
from temperbench.faces.cli.path_chart import marks_told, path_chart
from temperbench.faces.cli.plan_text import step_lines
from temperbench.faces.cli.run_plot import run_svg

__all__ = ["run"]


def run(
    *,
    job_file: str | None,
    bursts: str | None,
    as_json: bool,
    csv_file: str | None,
    plot: str | None,
    members: str,
    seed: str,
    **answers: Any,
) -> None:
    """Simulate a sequence of bursts and show where it leads.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    bursts : str | None
        The sequence, as written. [-]
    as_json : bool
        Whether to print JSON. [-]
    csv_file : str | None
        Where to write the path as a table. [-]
    plot : str | None
        Where to write the path as a drawing. [-]
    members : str
        Ensemble members. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the job. [-]
    """
    raw = raw_job(job_file, answers)
    member_count, start = counts(members, seed)
    table_path, plot_path = target(csv_file, ".csv", "--csv"), target(plot, ".svg", "--plot")
    with Waiting():
        found = simulate_bowl(raw, bursts or "", members=member_count, seed=start)
    columns = path_columns(found)
    if table_path is not None:
        write(table_path, _table(columns), "--csv")
    if plot_path is not None:
        write(plot_path, run_svg(columns, found.stop_c, found.limit_c).encode(), "--plot")
    if as_json:
        print_json(run_json(found))
        return
    chart = _chart(columns, found.stop_c, found.limit_c)
    told = _told(found.risk_lost, found.risk_scorch, found.scorch_c, member_count)
    click.echo("\n".join([*step_lines(found.steps), "", *chart, "", *wrapped(told, "")]))


def _chart(columns: Mapping[str, tuple[float, ...]], stop_c: float, limit_c: float) -> list[str]:
    leg = Leg(columns["t_s"], columns["low_c"], columns["mid_c"], columns["high_c"])
    named = {"=": f"stop {stop_c:.1f} °C", "-": f"limit {limit_c:.1f} °C"}
    return [*path_chart((leg,), {"=": (stop_c,), "-": (limit_c,)}), *wrapped(marks_told(named), "  ")]


def _told(lost: float, scorched: float, scorch_c: float, members: int) -> str:
    return (
        f"With these seconds and no reading, of {members} bowls like yours {percent(100 * lost)} lose their temper "
        f"and {percent(100 * scorched)} scorch (some part above {scorch_c:.1f} °C)."
    )


def _table(columns: Mapping[str, Sequence[float]]) -> bytes:
    """Return columns as a table with a head, figures with three decimals."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows([[f"{value:.3f}" for value in row] for row in zip(*columns.values(), strict=True)])
    return text.getvalue().encode()
