"""Plans a part-melt of in-temper stock over a warm bath, or after a night in a warm cabinet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from temperbench.foundation.errors import OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.burst_plan import aims_of
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.assemble import Told, assemble
from temperbench.insight.methods.heat_table import HeatTable, heat_table, take_spells
from temperbench.insight.methods.method_plan import Fault, MethodPlan, ReadsDo
from temperbench.insight.methods.overnight import rest_in
from temperbench.insight.methods.script import Run, safest
from temperbench.insight.methods.told import cautions, common_faults, holds_for, washing_up
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.insight.wording import looks, stir_first, stop_by_look
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, latin, nominal, settled_solids, triangular
from temperbench.kitchen.outside import Around, cabinet, drawn_around, water_bath

__all__ = ["bath_c_of", "plan_part_melt"]


@dataclass(frozen=True)
class _Figures:
    """Decision figures of a part-melt."""

    first_c: float  # the bowl comes off the bath for the first time at this reading; cabinet: its setting
    table: HeatTable


def bath_c_of(known: Known) -> float:
    """Return the temperature of the bath: as told, or the middle of what is usual for the kind."""
    if known.job.bath_c is not None:
        return known.job.bath_c
    low, high = array(f"method.bath.{known.chocolate.kind}")
    return 0.5 * (low + high)


class _Bath:
    """One bath for each bowl, at a temperature known only so well; a small one cools while it is used."""

    def __init__(self, known: Known, members: int, rng: np.random.Generator) -> None:
        half = number("method.bath.known")
        at = bath_c_of(known)
        self.celsius = triangular(latin(rng, members, 1)[0], Spread(at - half, at, at + half))
        self.figures: Around = drawn_around(members, rng)
        self.material, self.litres = known.bowl.material, known.job.bath_l

    def put_on(self, bowls: Bowls) -> None:
        """Set the bowls on their baths."""
        bowls.stand_in(water_bath(bowls.members, self.material, self.celsius, self.litres, self.figures))


def plan_part_melt(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan a part-melt over a bath or in a cabinet; the same seed of the random numbers gives the same plan."""
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    say("Melting fresh bowls over the bath, and measuring the risks")
    overnight = job.method == "cabinet"
    table = _table(known, at, seed)
    if overnight:
        firsts = _cabinet_settings(known, at)
    else:
        firsts = tuple(round(at.stop_c - below, 1) for below in array("method.bath.below_stop"))
    play = _play_cabinet if overnight else _play_bath
    safe = safest(
        known, at, (_Figures(first, table) for first in firsts),
        lambda figures, m, entropy: play(known, at, figures, m, entropy), members, seed,
    )  # fmt: skip
    return assemble(known, at, safe, _told(known, at, safe.figures), seed)


def _table(known: Known, at: Temperatures, seed: int) -> HeatTable:
    rng = np.random.default_rng([seed, 5])
    m = int(number("method.bath.members"))
    bowls = Bowls(draw(known.setup, m, rng))
    return heat_table(bowls, aims_of(known, at), _Bath(known, m, rng).put_on, rng)


def _cabinet_settings(known: Known, at: Temperatures) -> tuple[float, ...]:
    """Return the settings of the cabinet to try, from bold to careful; refuse one that loses the crystals."""
    most = at.stop_c
    if known.job.cabinet_c is None:
        return tuple(round(2.0 * (most - below)) / 2.0 for below in array("method.cabinet.below_stop"))
    low = array("limit.cabinet_c")[0]
    if not low <= known.job.cabinet_c <= most:
        remedy = "a warmer night loses every crystal, so lower it, or melt fully and seed it"
        raise OutOfRange("cabinet_c", known.job.cabinet_c, f"{low:g} to {most:g} °C for a part-melt overnight", remedy)
    return (known.job.cabinet_c,)


def _play_bath(known: Known, at: Temperatures, figures: _Figures, members: int, entropy: list[int]) -> Run:
    rng = np.random.default_rng(entropy)
    run = Run(Bowls(draw(known.setup, members, rng)), rng)
    bath = _Bath(known, members, rng)
    at_c = bath_c_of(known)
    run.begin("melt", f"Melt over the bath of {at_c:.0f} °C, stirring", detail=_on_bath(known.say), until="rises to",
              until_c=figures.first_c)  # fmt: skip
    bath.put_on(run.bowls)
    run.until(lambda reading: reading >= figures.first_c, number("method.bath.look"), number("method.bath.longest"))
    _off(run, known.say)
    take_spells(run, figures.table, bath.put_on, _back(known.say), at.stop_c)
    return run


def _off(run: Run, say: Telling) -> None:
    """Take the bowls off the heat, dry them, stir."""
    run.bowls.stand_on_bench()
    run.begin("melt", "Take it off, dry the foot, stir until even", detail=f"Stir first, then {say.read}.")
    run.stir(number("plan.stir.near"))


def _play_cabinet(known: Known, at: Temperatures, figures: _Figures, members: int, entropy: list[int]) -> Run:
    rng = np.random.default_rng(entropy)
    run = Run(Bowls(draw(known.setup, members, rng)), rng)
    half, night = number("method.cabinet.known"), spread_of("method.cabinet.night")
    cube = latin(rng, members, 2)
    air: Array = triangular(cube[0], Spread(figures.first_c - half, figures.first_c, figures.first_c + half))
    bath = _Bath(known, members, rng)
    run.begin("melt", f"Overnight in the cabinet at {figures.first_c:.1f} °C, covered", hands_on=False,
              detail=_NIGHT)  # fmt: skip
    stands_in = cabinet(run.bowls.members, air, figures=bath.figures, bed=True)
    hours: Array = triangular(cube[1], night)
    for _ in range(_LOOKS):
        run.passes(3600.0 / _LOOKS * hours, lambda bowls, took: rest_in(bowls, stands_in, took))
    _off(run, known.say)
    take_spells(run, figures.table, bath.put_on, _back(known.say), at.stop_c)
    return run


_LOOKS = 8  # points of a night on the path
_NIGHT = "Buttons no deeper than a hand, no draught, no water in the cabinet."


def _on_bath(say: Telling) -> str:
    return f"Water below the boil and below the rim; scrape the wall all the time; {say.read} every half minute."


def _back(say: Telling) -> str:
    return (
        "Back on the bath for the seconds the table tells, stirring there too; off, dry the foot, stir a minute, "
        f"{say.read}. The last time stir until no lump is left."
    )


def _told(known: Known, at: Temperatures, figures: _Figures) -> Told:
    overnight = known.job.method == "cabinet"
    bath = bath_c_of(known)
    first = "the cabinet" if overnight else "the bath"
    defaults = []
    if overnight and known.job.cabinet_c is None:
        defaults.append(f"Cabinet: {figures.first_c:.1f} °C, to within {number('method.cabinet.known'):.0f} K.")
    if known.job.bath_c is None:
        defaults.append(f"Bath: {bath:.0f} °C, to within {number('method.bath.known'):.0f} K.")
    size = "kept at its temperature" if known.job.bath_l is None else f"{known.job.bath_l:g} L, off the heat"
    return Told(
        lift_c=at.stop_c, melt_g=known.job.grams, reads_then=_rows(known, figures),
        rules=(
            stop_by_look(known.say),
            f"Never leave it on the bath without stirring; it comes off at {at.stop_c:.1f} °C at the latest.",
            stir_first(known.say),
        ),
        faults=(
            Fault("it stays thick and lumpy", f"{first} is cooler than it says", "measure it; go on by the table"),
            Fault("a skin at the wall, grey later", "a hot wall, and nobody stirred", "scrape it in, make the test"),
            *common_faults(at, known.say),
        ),
        cautions=cautions(known, "bath"), washing_up=washing_up(known, "bath"),
        holds_for=holds_for(
            known, f"bath {bath:.0f} °C, {size}",
            *([f"cabinet {figures.first_c:.1f} °C, 8 to 14 h"] if overnight else []),
            "in-temper stock, glossy and never softened",
        ),
        defaults_used=tuple(defaults), sources=(f"method.bath.{known.chocolate.kind}", "around.film.water",
                                                "around.bath.under"),
    )  # fmt: skip


def _rows(known: Known, figures: _Figures) -> tuple[ReadsDo, ...]:
    """The policy: what a reading off the bath, after stirring, tells."""
    one = nominal(known.setup)
    table = figures.table
    ends: list[float | None] = [None, *(round(e, 1) for e in table.edges_c), None]
    found: list[ReadsDo] = []
    for (low, high), seconds in zip(pairwise(ends), table.seconds, strict=True):
        middle = (high - 1.0) if low is None and high is not None else (low or 0.0) + 0.2
        solid = float(settled_solids(one.rows, one.curves, np.array([middle]))[0])
        do = f"back on the bath for {seconds} s, off, stir" if seconds else "stay off: stir until no lump is left"
        if found and found[-1].seconds == seconds:
            found[-1] = ReadsDo(found[-1].when, found[-1].reads_from_c, high, do, None, seconds, found[-1].looks)
        else:
            found.append(ReadsDo("off the bath, after stirring", low, high, do, None, seconds, looks(solid)))
    return tuple(found)
