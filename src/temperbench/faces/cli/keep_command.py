"""What ``temperbench keep`` does."""

from __future__ import annotations

from typing import Any

import click

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import keep_bowl
from temperbench.app.keep_fields import KEEP_FIELDS
from temperbench.app.keep_json import keep_json
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.cards import page_of, write_card
from temperbench.faces.cli.job_options import given_of, raw_job
from temperbench.faces.cli.keep_text import keep_text
from temperbench.faces.cli.output import counts, print_json, target, write
from temperbench.faces.drawing.keep_chart import keep_chart_svg, keep_height

__all__ = ["run"]

_PLOT_WIDTH = 960.0


def run(
    *, job_file: str | None, as_json: bool, card: str | None, plot: str | None, members: str, seed: str, **answers: Any
) -> None:
    """Plan how to keep a bowl and show it.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    as_json : bool
        Whether to print JSON. [-]
    card : str | None
        Where to write the card. [-]
    plot : str | None
        Where to write the drawing. [-]
    members : str
        Ensemble members. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the job and of keeping it. [-]
    """
    raw = raw_job(job_file, answers)
    keeping = _over_the_file(raw, given_of(KEEP_FIELDS, answers))
    member_count, start = counts(members, seed)
    plot_path, card_path = target(plot, ".svg", "--plot"), target(card, ".pdf", "--card")
    page = page_of(raw)
    with Waiting() as waiting:
        plan = keep_bowl(raw, keeping, members=member_count, seed=start, progress=waiting.tell)
    if plot_path is not None:
        drawn = keep_chart_svg(plan, _PLOT_WIDTH, keep_height(_PLOT_WIDTH, "light"), "light")
        write(plot_path, drawn.encode(), "--plot")
    if card_path is not None:
        write_card(card_path, plan, page)
    if as_json:
        print_json(keep_json(plan))
    else:
        click.echo(keep_text(plan), nl=False)


def _over_the_file(raw: RawJob, given: RawJob) -> RawJob:
    """Return what the section [keep] of the job file says, with the options laid over it."""
    filed = {f.key for f in KEEP_FIELDS if f.key in raw.values and f.key not in given.values}
    return RawJob(
        {**{key: raw.values[key] for key in filed}, **given.values},
        {**given.places, **{key: raw.place(key) for key in filed}},
    )
