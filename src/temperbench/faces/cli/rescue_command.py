"""What ``temperbench rescue`` does."""

from __future__ import annotations

from typing import Any

import click

from temperbench.app.plan_json import rescue_json
from temperbench.app.rescue_bowl import rescue_bowl
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.layout import wrapped
from temperbench.faces.cli.output import print_json
from temperbench.faces.cli.plan_text import rescue_lines

__all__ = ["run"]


def run(*, job_file: str | None, at: str | None, as_json: bool, **answers: Any) -> None:
    """Say how to save a bowl.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    at : str | None
        Stirred temperature of the bowl, as written. [-]
    as_json : bool
        Whether to print JSON. [-]
    **answers : Any
        Options of the job. [-]
    """
    raw = raw_job(job_file, answers)
    with Waiting():
        row = rescue_bowl(raw, at)
    if as_json:
        print_json(rescue_json(row))
    elif row.add_g is None:
        click.echo("\n".join(wrapped(row.advice, f"{row.at_c:.1f} °C   ")))
    else:
        click.echo("\n".join(rescue_lines((row,))))
