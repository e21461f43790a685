"""Use case: trouble with a bowl whose run is in the book. What the run tells is taken from it; what is said wins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from temperbench.app.find_trouble import MEMBERS, RawTrouble, find_trouble
from temperbench.app.job_fields import RawJob
from temperbench.app.results import Happening, Trouble
from temperbench.insight.live_run import counting
from temperbench.insight.trouble.from_run import told_by_run
from temperbench.insight.trouble.table import sign_named

__all__ = ["Runs", "trouble_of_run"]


class _Step(Protocol):
    @property
    def happening(self) -> Happening:
        """What the cook pressed."""


class _Record(Protocol):
    @property
    def happenings(self) -> Sequence[_Step]:
        """In the order they were pressed."""


class Runs(Protocol):
    """What is asked of the kitchen that keeps the runs."""

    def job_of(self, run_id: str) -> Mapping[str, object]:
        """Return the answers of a run's job; raise `KeyError` for an unknown id."""

    def run_record(self, run_id: str) -> _Record:
        """Return a whole run; raise `KeyError` for an unknown id."""


def trouble_of_run(
    kitchen: Runs, run_id: str, told: RawTrouble, now_ms: int, *, members: int = MEMBERS, seed: int = 1
) -> Trouble:
    """Return what is wrong with a bowl of the book; raise `KeyError` when there is none of this id.

    Parameters
    ----------
    kitchen : Runs
        The kitchen. [-]
    run_id : str
        The run. [-]
    told : RawTrouble
        What the person sees; its figures replace those of the run. [-]
    now_ms : int
        Now, UTC in milliseconds. [-]
    members : int
        Simulated bowls for each way a run can go. [-]
    seed : int
        Start of the random numbers. [-]

    Returns
    -------
    Trouble
        The answer. [-]
    """
    answers = kitchen.job_of(run_id)
    happenings = counting([step.happening for step in kitchen.run_record(run_id).happenings])
    known = told_by_run(happenings, now_ms, str(answers.get("method", "microwave")))
    denied = {sign_named(word.strip()) for text in told.not_seen for word in text.split(",")}
    signs = [sign for sign in known.signs if sign not in denied]
    merged = RawTrouble(
        seen=[*told.seen, *signs], not_seen=told.not_seen,
        hottest=_first(told.hottest, known.hottest_c), reads=_first(told.reads, known.reads_c),
        minutes=_first(told.minutes, known.minutes), set_in=_first(told.set_in, known.set_min),
        not_set_by=_first(told.not_set_by, known.not_set_min), film=_first(told.film, known.film), found=told.found,
        places=told.places,
    )  # fmt: skip
    return find_trouble(RawJob({"method": "microwave", **answers}), merged, members=members, seed=seed)


def _first(said: object, known: object) -> object:
    return known if said is None else said
