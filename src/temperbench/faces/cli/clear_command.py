"""What ``temperbench clear`` does."""

from __future__ import annotations

from typing import Any

import click

from temperbench.app.keep_bowl import check_memory
from temperbench.app.keep_json import clear_json
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.layout import wrapped
from temperbench.faces.cli.output import print_json

__all__ = ["run"]


def run(*, job_file: str | None, at: str | None, minutes: str | None, as_json: bool, **answers: Any) -> None:
    """Say whether chocolate has lost its old crystals.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    at : str | None
        What it was held at, as written. [-]
    minutes : str | None
        How long, as written. [-]
    as_json : bool
        Whether to print JSON. [-]
    **answers : Any
        Options of the job. [-]
    """
    raw = raw_job(job_file, answers)
    with Waiting():
        found = check_memory(raw, at, minutes)
    if as_json:
        print_json(clear_json(found))
        return
    left = found.left_pct_of_fat
    told = f"Left by the model: {left.mid:.2f} % of the fat ({left.low:.2f} to {left.high:.2f})."
    click.echo("\n".join([*wrapped(found.text, ""), *wrapped(told, "")]))
