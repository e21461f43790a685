"""Use case: what a given sequence of bursts does to a bowl."""

from __future__ import annotations

import re

from temperbench.app.check_job import check_job, own_names
from temperbench.app.job_fields import RawJob
from temperbench.app.plan_bowl import MEMBERS
from temperbench.app.read_figure import Phrase
from temperbench.foundation.errors import InputError, NotGiven, OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.insight.simulate import SimulatedRun, simulate_run

__all__ = ["read_bursts", "simulate_bowl"]

_MOST_STEPS = 60
_PART = re.compile(r"\d{1,6}(?:\.\d{1,3})?s?", re.ASCII)
_ALLOWED = "steps of BURST/STIR or BURST/STAND/STIR in seconds"


def simulate_bowl(
    raw: RawJob, bursts: str, *, members: int = MEMBERS, seed: int = 1, place: str = "--bursts"
) -> SimulatedRun:
    """Return the run of a bowl through a sequence of bursts, with bands.

    Parameters
    ----------
    raw : RawJob
        What the person gave, unchecked. [-]
    bursts : str
        Steps as `read_bursts` takes them. [-]
    members : int
        Ensemble members. [-]
    seed : int
        Start of the random numbers. [-]
    place : str
        Name of the field of the sequence for a message. [-]

    Returns
    -------
    SimulatedRun
        Path, steps and the two risks. [-]
    """
    job = check_job(raw, "simulate")
    steps = read_bursts(bursts, place)
    with own_names(raw):
        return simulate_run(job, steps, members=members, seed=seed)


def read_bursts(text: str, place: str) -> tuple[tuple[float, float, float], ...]:
    """Read a sequence such as ``60/20, 15/20, 10/5/30``: burst and stir, or burst, stand and stir, in seconds.

    A step of one number has the usual stir after it; a burst of 0 is a stir without a burst.

    Parameters
    ----------
    text : str
        Steps with commas, semicolons or blanks between them. [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    tuple[tuple[float, float, float], ...]
        Burst, stand and stir of each step in seconds. [-]
    """
    words = [word for word in re.split(r"[;,\s]+", text) if word]
    if not words:
        remedy = f'add for example {place} "60/20 15/20 10/60"'
        raise NotGiven(place, Phrase("nothing"), _ALLOWED, remedy)
    if len(words) > _MOST_STEPS:
        raise OutOfRange(place, Phrase(f"{len(words)} steps"), f"1 to {_MOST_STEPS} steps", "shorten it")
    return tuple(_step(word, place) for word in words)


def _step(word: str, place: str) -> tuple[float, float, float]:
    parts = word.split("/")
    if len(parts) > 3 or not all(_PART.fullmatch(part) for part in parts):
        raise InputError(place, word, _ALLOWED, "write whole seconds with a stroke between them")
    low, high = array("limit.burst_s")
    seconds = [float(part.rstrip("s")) for part in parts]
    for value in seconds:
        if not low <= value <= high:
            raise OutOfRange(place, word, f"{low:g} to {high:g} s for each part", "shorten that part")
    if len(seconds) == 1:
        return seconds[0], 0.0, number("usual.stir_s")
    if len(seconds) == 2:
        return seconds[0], 0.0, seconds[1]
    return seconds[0], seconds[1], seconds[2]
