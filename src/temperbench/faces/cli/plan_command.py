"""What ``temperbench plan`` does."""

from __future__ import annotations

from datetime import date
from importlib import import_module
from typing import Any

import click

from temperbench import __version__
from temperbench.app.job_fields import RawJob
from temperbench.app.method_json import method_json
from temperbench.app.plan_bowl import plan_bowl
from temperbench.app.plan_json import plan_json
from temperbench.app.plan_method import method_of, plan_method
from temperbench.app.results import BurstPlan, MethodPlan
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.cards import page_of
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.method_text import method_text
from temperbench.faces.cli.output import counts, print_json, target, write
from temperbench.faces.cli.plan_text import plan_text

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
        with Waiting() as waiting:
            planned = plan_method(raw, members=member_count, seed=start, progress=waiting.tell)
        shape, text = method_json(planned), method_text(planned)
        found: BurstPlan | MethodPlan = planned
    else:
        with Waiting() as waiting:
            plan = plan_bowl(raw, members=member_count, seed=start, progress=waiting.tell)
        shape, text = plan_json(plan), plan_text(plan)
        found = plan
    if card_path is not None:
        write(card_path, _card(found, raw), "--card")
    if as_json:
        print_json(shape)
    else:
        click.echo(text, nl=False)


def _card(plan: BurstPlan | MethodPlan, raw: RawJob) -> bytes:
    """Set the card; the typesetter is loaded only for this."""
    page = page_of(raw)
    paper = import_module("temperbench.faces.paper")
    set_card = paper.card_pdf if isinstance(plan, BurstPlan) else paper.method_card_pdf
    return bytes(set_card(plan, page=page, made_on=date.today(), version=__version__))
