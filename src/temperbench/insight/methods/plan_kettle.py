"""Plans a part-melt in a holding kettle: a thermostat brings in-temper stock up to the stop and down into the window.

The kettle is any kettle: power, volume, stirrer, the hottest its wall is let become. Its own sensor is taken to read
the chocolate; the cook's thermometer tells when it is done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.assemble import Told, assemble
from temperbench.insight.methods.method_plan import Fault, MethodPlan, ReadsDo
from temperbench.insight.methods.script import Run, safest
from temperbench.insight.methods.told import cautions, common_faults, holds_for, washing_up
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.bowl_shape import chocolate_volume
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw
from temperbench.kitchen.outside import drawn_around, kettle_jacket

__all__ = ["plan_kettle"]


@dataclass(frozen=True)
class _Kettle:
    """A kettle as taken, with what was not told as usual."""

    watts: float
    litres: float
    wall_c: float | None
    stirs: bool
    defaults: tuple[str, ...]


@dataclass(frozen=True)
class _Figures:
    """Decision figures: the set-point while it melts, and the hottest jacket."""

    set_c: float
    wall_c: float


def plan_kettle(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan a part-melt in a holding kettle; the same seed of the random numbers gives the same plan."""
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    kettle = _kettle(job, at)
    say("Melting fresh kettles on their thermostats, and measuring the risks")
    few = min(members, int(number("method.kettle.members")))
    safe = safest(
        known, at, _candidates(kettle, at),
        lambda figures, m, entropy: _play(known, kettle, figures, m, entropy), few, seed,
    )  # fmt: skip
    return assemble(known, at, safe, _told(known, at, kettle, safe.figures), seed)


def _candidates(kettle: _Kettle, at: Temperatures) -> Iterator[_Figures]:
    """Give figures from bold to careful: a cooler jacket overshoots less; where it is told, a lower set-point."""
    if kettle.wall_c is not None:
        for below in array("method.kettle.below_stop"):
            yield _Figures(round(at.stop_c - below, 1), kettle.wall_c)
        return
    for above in array("method.kettle.jacket_above"):
        yield _Figures(at.stop_c, round(at.stop_c + above, 1))


def _kettle(job: BowlJob, at: Temperatures) -> _Kettle:
    kilograms, told = job.grams / 1000.0, []
    watts = number("method.kettle.watts_per_kg") * kilograms if job.kettle_w is None else job.kettle_w
    if job.kettle_w is None:
        told.append(f"Kettle: {watts:.0f} W of heat.")
    litres = number("method.kettle.room_above") * kilograms if job.kettle_l is None else job.kettle_l
    if job.kettle_l is None:
        told.append(f"Kettle: holds {litres:.1f} L.")
    least = chocolate_volume(job.grams)
    if litres < least:
        raise OutOfRange("kettle_l", litres, f"at least {least:.1f} L for {job.grams:.0f} g",
                         "melt less, or take a larger kettle")  # fmt: skip
    wall = job.kettle_wall_c
    if wall is not None and wall <= at.stop_c:
        raise OutOfRange("kettle_wall_c", wall, f"above {at.stop_c:.1f} °C, the stop of this chocolate",
                         "a wall that cool does not melt it")  # fmt: skip
    if job.kettle_stirs is None:
        told.append("Stirrer of the kettle: taken as turning all along.")
    return _Kettle(watts, litres, wall, job.kettle_stirs is not False, tuple(told))


def _play(known: Known, kettle: _Kettle, figures: _Figures, members: int, entropy: list[int]) -> Run:
    rng = np.random.default_rng(entropy)
    run = Run(Bowls(draw(known.setup, members, rng)), rng)
    around = drawn_around(members, rng)
    run.bowls.stand_in(kettle_jacket(run.bowls.members, kettle.litres, run.bowls.temperature(), 0.0, around))
    every, longest = number("method.kettle.look"), number("method.kettle.longest")
    heat = _Heat(figures, kettle)
    name = f"Set-point {figures.set_c:.1f} °C, wall at most {figures.wall_c:.0f} °C; fill and stir"
    run.begin(
        "melt", name, hands_on=not kettle.stirs, detail=_filled(known.say), until="rises to", until_c=figures.set_c
    )
    near = figures.set_c - number("method.kettle.near")
    run.until(lambda reading: (reading >= near) & ~run.lumpy(), every, longest, heat.holds)
    run.bowls.stand_on_bench()
    return run


class _Heat:
    """A thermostat that looks at chocolate and jacket as often as the cook looks."""

    def __init__(self, figures: _Figures, kettle: _Kettle) -> None:
        self.set_c, self.wall_c, self.watts = figures.set_c, figures.wall_c, kettle.watts

    def holds(self, bowls: Bowls, took: Array) -> None:
        """Heat where the chocolate is below the set-point and the jacket below its limit."""
        wanted = (bowls.reading() < self.set_c) & (bowls.outside_c() < self.wall_c)
        bowls.heat_with(np.where(wanted, self.watts, 0.0))
        bowls.stir(took)


def _filled(say: Telling) -> str:
    judge = say.either("Read with your own thermometer, not the display", "Go by what you see, not by the display")
    return f"Buttons, not blocks; the stirrer on as soon as it can turn. {judge}."


def _told(known: Known, at: Temperatures, kettle: _Kettle, figures: _Figures) -> Told:
    when, near = "when the kettle has reached its set-point", number("method.kettle.near")
    trust = known.say.either("check it against your thermometer before you trust it", "go by what you see")
    rows = (
        ReadsDo(when, None, figures.set_c - 2.0, "wait; when it stays so, raise the wall limit by 2 °C", looks="lumpy"),
        ReadsDo(when, figures.set_c - 2.0, figures.set_c - near, "wait and stir", looks="few lumps"),
        ReadsDo(when, figures.set_c - near, at.limit_c, "no lump: out of the jacket, stir it down", looks="smooth"),
        ReadsDo(when, at.limit_c, None, "heat off, stir in in-temper buttons as a rescue plan tells", looks="thin"),
    )
    return Told(
        lift_c=figures.set_c, melt_g=known.job.grams, reads_then=rows,
        rules=(
            f"The set-point never passes {at.stop_c:.1f} °C: a kettle left above loses the crystals, however slowly.",
            f"Then out of the warm jacket: into a cool dry bowl, or water of {at.work_from_c - 1.0:.0f} °C into the "
            "jacket; left as it is, it cools for most of an hour and thickens.",
            f"Its display is not its chocolate: {trust}.",
        ),
        faults=(
            Fault("thick at the wall, thin in the middle", "the stirrer does not scrape", "scrape by hand every time"),
            Fault("it thickens while it is held", "crystals grow at one temperature",
                  "set-point up by 0.5 °C at a time, or add warm melted chocolate, as a plan of keeping tells"),
            *common_faults(at, known.say),
        ),
        cautions=cautions(known), washing_up=washing_up(known),
        holds_for=holds_for(
            known, f"kettle of {kettle.litres:.1f} L and {kettle.watts:.0f} W, wall up to {figures.wall_c:.0f} °C, "
            f"{'stirrer turning' if kettle.stirs else 'stirred by hand all along'}",
            "in-temper stock, glossy and never softened",
        ),
        defaults_used=kettle.defaults, sources=("around.kettle.jacket", "around.kettle.loss", "around.kettle.band"),
    )  # fmt: skip
