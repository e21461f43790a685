"""What ``temperbench trouble`` does."""

from __future__ import annotations

from typing import Any

import click

from temperbench.app.find_trouble import RawTrouble, find_trouble
from temperbench.app.trouble_json import trouble_json
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.cards import page_of, write_card
from temperbench.faces.cli.job_options import raw_job
from temperbench.faces.cli.output import counts, print_json, target
from temperbench.faces.cli.trouble_text import signs_text, trouble_text

__all__ = ["run"]

_TOLD = ("seen", "not_seen", "hottest", "reads", "minutes", "set_in", "not_set_by", "film", "found")


def run(
    *, job_file: str | None, signs: bool, as_json: bool, card: str | None, members: str, seed: str, **answers: Any
) -> None:
    """Say what is wrong with a bowl.

    Parameters
    ----------
    job_file : str | None
        Path of the job file. [-]
    signs : bool
        Whether to list what can be told instead. [-]
    as_json : bool
        Whether to print JSON. [-]
    card : str | None
        Where to write the card. [-]
    members : str
        Bowls for each way a run can go. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the job, and what was seen. [-]
    """
    if signs:
        click.echo(signs_text(), nl=False)
        return
    told = RawTrouble(**{name: answers.pop(name) for name in _TOLD})
    raw = raw_job(job_file, answers)
    card_path, page = target(card, ".pdf", "--card"), page_of(raw)
    count, start = counts(members, seed)
    with Waiting():
        found = find_trouble(raw, told, members=count, seed=start)
    if card_path is not None:
        write_card(card_path, found, page)
    if as_json:
        print_json(trouble_json(found))
    else:
        click.echo(trouble_text(found), nl=False)
