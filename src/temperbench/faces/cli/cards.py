"""Cards that commands write: on which paper, and set by the typesetter, which is loaded only for that."""

from __future__ import annotations

from datetime import date
from importlib import import_module
from pathlib import Path

from temperbench import __version__
from temperbench.app.curve_results import CurveReading
from temperbench.app.job_fields import RawJob, field_of
from temperbench.app.keep_results import KeepPlan
from temperbench.app.read_figure import read_word
from temperbench.app.results import Trouble
from temperbench.faces.cli.output import write

__all__ = ["page_of", "write_card"]


def page_of(raw: RawJob) -> str:
    """Return the paper that a job asks for.

    Parameters
    ----------
    raw : RawJob
        The job. [-]

    Returns
    -------
    str
        "A4" or "Letter". [-]
    """
    asked = field_of("page")
    return read_word(raw.values.get("page", asked.words[0]), asked.words, raw.place("page"))


def write_card(path: Path, answer: KeepPlan | CurveReading | Trouble, page: str) -> None:
    """Set an answer as a card and write it.

    Parameters
    ----------
    path : Path
        Checked path. [-]
    answer : KeepPlan | CurveReading | Trouble
        What stands on it. [-]
    page : str
        "A4" or "Letter". [-]
    """
    paper = import_module("temperbench.faces.paper")
    issue = paper.Issue(page, date.today(), __version__)
    write(path, bytes(paper.answer_card_pdf(answer, issue)), "--card")
