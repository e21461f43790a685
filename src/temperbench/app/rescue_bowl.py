"""Use case: an overheated bowl, and what to stir in to save it."""

from __future__ import annotations

from temperbench.app.check_job import check_at, check_job, own_names
from temperbench.app.job_fields import RawJob
from temperbench.app.results import RescueRow
from temperbench.insight.rescue import rescue_rows

__all__ = ["rescue_bowl"]


def rescue_bowl(raw: RawJob, at: object, *, place: str = "--at") -> RescueRow:
    """Return what to add to a bowl that reads ``at`` after stirring.

    Parameters
    ----------
    raw : RawJob
        What the person gave; only chocolate and grams are needed. [-]
    at : object
        Stirred temperature of the bowl: a number in °C, or text with its unit. [-]
    place : str
        Name of the field of that temperature for a message. [-]

    Returns
    -------
    RescueRow
        Grams of in-temper buttons and where they lead, or the advice to melt fully and seed. [-]
    """
    job = check_job(raw, "rescue")
    at_c = check_at(at, place)
    with own_names(raw):
        return rescue_rows(job, at_c)
