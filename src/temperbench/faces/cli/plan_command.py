"""What ``temperbench plan`` does."""

from __future__ import annotations

from datetime import date
from importlib import import_module
from typing import Any

import click

from temperbench import __version__
from temperbench.app.job_fields import RawJob, field_of
from temperbench.app.method_json import method_json
from temperbench.app.plan_bowl import plan_bowl
from temperbench.app.plan_json import plan_json
from temperbench.app.plan_method import method_of, plan_method
from temperbench.app.read_figure import read_word
from temperbench.app.results import BurstPlan
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.method_text import method_text
from temperbench.faces.cli.output import counts, print_json, target, write
from temperbench.faces.cli.plan_text import plan_text
from temperbench.foundation.errors import InputError

__all__ = ["run"]


def run(*, job_file: str | None, as_json: bool, card: str | None, members: str, seed: str, **answers: Any) -> None:
    """Plan a bowl and show the plan.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    as_json : bool
        Whether to print JSON. [-]
    card : str | None
        Where to write the card. [-]
    members : str
        Ensemble members. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the job. [-]
    """
    raw = raw_job(job_file, answers)
    member_count, start = counts(members, seed)
    card_path = target(card, ".pdf", "--card")
    if method_of(raw) != "microwave":
        _show_method(raw, member_count, start, card, as_json=as_json)
        return
    with Waiting() as waiting:
        plan = plan_bowl(raw, members=member_count, seed=start, progress=waiting.tell)
    if card_path is not None:
        write(card_path, _card(plan, raw), "--card")
    if as_json:
        print_json(plan_json(plan))
    else:
        click.echo(plan_text(plan), nl=False)


def _show_method(raw: RawJob, members: int, seed: int, card: str | None, *, as_json: bool) -> None:
    """Plan any method but the microwave's bursts, and show it."""
    if card is not None:
        remedy = "print the text, or plan the microwave"
        raise InputError("--card", card, "the card of a plan for the microwave", remedy)
    with Waiting() as waiting:
        plan = plan_method(raw, members=members, seed=seed, progress=waiting.tell)
    if as_json:
        print_json(method_json(plan))
    else:
        click.echo(method_text(plan), nl=False)


def _card(plan: BurstPlan, raw: RawJob) -> bytes:
    """Set the card; the typesetter is loaded only for this."""
    asked = field_of("page")
    page = read_word(raw.values.get("page", asked.words[0]), asked.words, raw.place("page"))
    set_card = import_module("temperbench.faces.paper.card").card_pdf
    return bytes(set_card(plan, page=page, made_on=date.today(), version=__version__))
