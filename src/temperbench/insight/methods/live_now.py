"""A live bowl of a method as its next move is judged by: belief, progress, and how far it has come on its method."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.advice import Progress
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.live import Happening
from temperbench.insight.policy import Aims
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowl_layout import GONE_AT, MASS
from temperbench.kitchen.bowls import Bowls

__all__ = ["Course", "Now", "course_of", "now_of"]


@dataclass(frozen=True)
class Course:
    """How far a bowl has come on its method, read off its happenings since it was last fully melted."""

    melted: bool = False
    added: int = 0  # portions of seed
    stirred: int = 0  # times since the last of them
    block_in: bool = False
    block_out: bool = False
    tabled: int = 0  # rounds on the slab
    chilled: bool = False
    lifted: bool = False


def course_of(happenings: Sequence[Happening], room_c: float) -> Course:
    """Read the course off the happenings that count."""
    course = Course()
    for h in happenings:
        if h.kind == "melted":
            course = Course(melted=True)
        elif h.kind == "added" and h.seed == "block":
            course = replace(course, block_in=True, block_out=False)
        elif h.kind == "added" and h.seed != "melted":
            course = replace(course, added=course.added + 1, stirred=0)
        elif h.kind == "stir":
            course = replace(course, stirred=course.stirred + 1)
        elif h.kind == "block out":
            course = replace(course, block_in=False, block_out=True)
        elif h.kind == "tabled":
            course = replace(course, tabled=course.tabled + 1, lifted=False)
        elif h.kind == "bath":
            cold = h.celsius is not None and h.celsius < room_c
            course = replace(course, chilled=course.chilled or cold, lifted=not cold)
    return course


@dataclass(frozen=True)
class Now:
    """Everything a move is judged by."""

    f: BowlFilter
    at: Temperatures
    aims: Aims
    progress: Progress
    course: Course
    bowls: Bowls  # the advisers
    heat: float  # middle of the stirred temperature. [°C]
    lost: float  # chance that the bowl, stirred on, has too few crystals

    @property
    def say(self) -> Telling:
        """How it is told."""
        return self.f.say

    @property
    def grams(self) -> float:
        """Chocolate in the middle bowl. [g]"""
        return 1000.0 * float(np.median(self.bowls.members.rows[:, MASS]))

    @property
    def smooth(self) -> bool:
        """Whether no lump is left, by the cook's word or by belief."""
        few = float((self.bowls.lumpiest() < self.bowls.members.rows[:, GONE_AT]).mean())
        return self.progress.smooth or few > number("live.sure")

    @property
    def enough(self) -> bool:
        """Whether there surely are enough crystals."""
        return float((self.bowls.stable() > number("bowl.enough")).mean()) > number("live.sure")

    @property
    def seed_c(self) -> float:
        """Temperature of chocolate that goes in: as told, or of the store. [°C]"""
        told = self.f.known.job.seed_c
        return self.f.known.start_c.mid if told is None else told


def now_of(f: BowlFilter, at: Temperatures, aims: Aims, progress: Progress, happenings: Sequence[Happening]) -> Now:
    """Return what a move is judged by, by the advisers of the filter."""
    bowls = f.advisers()
    stirred = bowls.copy()
    stirred.stir(number("plan.stir.near"))
    lost = float((stirred.stable() < aims.lost).mean())
    course = course_of(happenings, float(np.median(bowls.members.air_c)))
    return Now(f, at, aims, progress, course, bowls, float(np.median(bowls.temperature())), lost)
