"""Checks of what belongs to one method: what it works with, how warm its seed, bath, cabinet and full melt may be."""

from __future__ import annotations

from temperbench.app.job_fields import RawJob
from temperbench.app.read_figure import Phrase, safe_to_show
from temperbench.foundation.errors import NotGiven, OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.insight.job import BowlJob
from temperbench.matter.composition import scorch_alarm

__all__ = ["check_full_melt", "check_method"]


def check_full_melt(job: BowlJob, raw: RawJob) -> None:
    """Check a job that melts its stock fully: any stock will do, also bloomed; only a melted one needs its reading.

    Parameters
    ----------
    job : BowlJob
        The typed request. [-]
    raw : RawJob
        What the person gave. [-]
    """
    low, high = array("limit.start_c.melted")
    if job.stock == "melted" and job.start_c is None:
        allowed = f"{low:g} to {high:g} °C for melted chocolate"
        raise NotGiven(raw.place("start_c"), Phrase("nothing"), allowed, "stir the bowl and measure it")
    hottest = scorch_alarm(job.chocolate)
    if job.start_c is not None and job.start_c >= hottest:
        allowed = f"below {hottest:g} °C for {job.chocolate} chocolate"
        remedy = "chocolate this hot is scorched, so throw it away and start with other stock"
        raise OutOfRange(raw.place("start_c"), safe_to_show(raw.values["start_c"]), allowed, remedy)


def check_method(job: BowlJob, raw: RawJob) -> None:
    """Refuse figures that a method cannot work with; what it does not read at all is a warning of the plan.

    Parameters
    ----------
    job : BowlJob
        The typed request. [-]
    raw : RawJob
        What the person gave. [-]
    """
    low = array("limit.melt_c")[0]
    most = scorch_alarm(job.chocolate) - number("limit.melt_c.below_scorch")
    _between(raw, "melt_c", job.melt_c, (low, most), f"a full melt of {job.chocolate} chocolate",
             "some part is always hotter than the stirred reading")  # fmt: skip
    if job.method == "cold-bowl":
        _between(raw, "bath_c", job.bath_c, array("limit.bath_c.cold"), "cold-bowl stirring",
                 "take cold water or ice water")  # fmt: skip
    if job.method in ("bath", "cabinet"):
        _between(raw, "bath_c", job.bath_c, array("limit.bath_c.warm"), "a part-melt over a bath",
                 "cooler water does not melt it and hotter water scorches it at the wall")  # fmt: skip
    if job.method != "seed":
        return
    if job.seed_with == "butter-crystals":
        _between(raw, "seed_c", job.seed_c, array("limit.seed_c.butter"), "cocoa butter crystals",
                 "keep the powder cool, since it cakes when warm")  # fmt: skip
    elif job.seed_with == "ripened-butter":
        _between(raw, "seed_c", job.seed_c, array("limit.seed_c.ripened"), "cocoa butter kept creamy",
                 "keep it where it stays creamy, half set and half melted")  # fmt: skip
    else:
        ends = (array("limit.seed_c")[0], number("limit.start_c.solid"))
        _between(raw, "seed_c", job.seed_c, ends, "solid in-temper seed",
                 "seed this warm has softened and seeds nothing, so take some from a cooler place")  # fmt: skip


def _between(raw: RawJob, key: str, value: float | None, ends: tuple[float, ...], what: str, remedy: str) -> None:
    low, high = ends
    if value is not None and not low <= value <= high:
        allowed = f"{low:g} to {high:g} °C for {what}"
        raise OutOfRange(raw.place(key), safe_to_show(raw.values[key]), allowed, remedy)
