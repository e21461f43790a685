"""Cold-bowl stirring: the melted bowl is stirred and scraped in cold water until shear has made crystals.

No seed. Each simulated bowl goes by its own readings: in the water until it is near the turn, then in and out for some
seconds at a time; kept at the turn, always stirred, for its minutes or until it has become thick; then lifted over warm
water into the working window.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.methods.dips import Water, lift, lifting_water
from temperbench.insight.methods.feel import thickened
from temperbench.insight.methods.melting import Melting, melted_nominal, melted_run, melting_of
from temperbench.insight.methods.script import Run
from temperbench.insight.methods.turn import turn_of
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import triangular
from temperbench.kitchen.outside import Around, drawn_around, middle_around

__all__ = ["ColdBowl", "cold_bowl_for", "play_cold_bowl"]


@dataclass(frozen=True)
class ColdBowl:
    """What is decided before the bowl goes into the water, and what the water is."""

    melting: Melting
    water_c: Spread
    litres: float | None  # None: ice keeps it cold
    turn_c: float  # reading down to which it is cooled
    dip_s: float  # seconds in the water at a time once it is near the turn
    keep_s: float  # how long it is then stirred there
    lift_from_c: float  # a bowl that reads less afterwards is lifted ...
    lift_c: float  # ... to this
    defaults_used: tuple[str, ...] = ()


def cold_bowl_for(known: Known, at: Temperatures) -> ColdBowl:
    """Return water and turn of a job; water in which the middle bowl never comes down is refused."""
    job = known.job
    turn = turn_of(known.chocolate.kind, at).mid
    warmest = turn - number("cold.least_gap")
    if job.bath_c is not None and job.bath_c > warmest:
        allowed = f"up to {warmest:g} °C for {job.chocolate} chocolate"
        raise OutOfRange("bath_c", job.bath_c, allowed, "take cold water or ice water")
    told: list[str] = []
    water, litres = _water_of(known, told)
    iced = litres is None
    found = ColdBowl(
        melting_of(known), water, litres, turn, number("cold.dip.ice" if iced else "cold.dip"), 0.0, at.work_from_c,
        0.5 * (at.work_from_c + at.work_to_c), tuple(told),
    )  # fmt: skip
    one = Run(Bowls(melted_nominal(known, found.melting, 0.0), workers=1), np.random.default_rng(0))
    pool = Water(known.bowl.material, np.full(1, water.mid), litres, middle_around(1))
    if _chill(one, pool, found, known.say)[0]:
        raise InputError(
            "bath_l", litres, "water that takes the heat of this much chocolate",
            f"the bowl stays above {turn:g} °C in it, so take more or colder water, or put ice in",
        )  # fmt: skip
    return found


def _water_of(known: Known, told: list[str]) -> tuple[Spread, float | None]:
    """Return temperature and amount of the water; ice keeps water cold that is given as ice water."""
    job = known.job
    water = spread_of("cold.water")
    if job.bath_c is None:
        told.append(f"Cold water: {water.mid:.0f} °C ({water.low:.0f} to {water.high:.0f}), from the tap.")
    else:
        off = number("cold.water_known")
        water = Spread(max(0.0, job.bath_c - off), job.bath_c, job.bath_c + off)
    if job.bath_c is not None and job.bath_c <= number("cold.ice_below"):
        return Spread.exact(job.bath_c), None
    if job.bath_l is not None:
        return water, job.bath_l
    litres = round(number("cold.water_per_kg") * job.grams / 1000.0, 1)
    told.append(f"Cold water: {litres:g} L, not changed.")
    return water, litres


def play_cold_bowl(known: Known, at: Temperatures, f: ColdBowl, members: int, entropy: list[int]) -> Run:
    """Carry newly drawn bowls through melting, cold water and lifting, each by its own readings."""
    run = melted_run(known, f.melting, 0.0, members, entropy)
    around: Around = drawn_around(members, run.rng)
    water = triangular(run.rng.random(members), f.water_c)
    _chill(run, Water(known.bowl.material, water, f.litres, around), f, known.say)
    lift(run, lifting_water(known, run.bowls, at, around), f.lift_from_c, f.lift_c, known.say)
    return run


def _chill(run: Run, water: Water, f: ColdBowl, say: Telling) -> NDArray[np.bool_]:
    """Play cooling and stirring at the turn, from the full melt on; return who neither came there nor thickened."""
    shear, every, most = number("cold.shear"), number("cold.look"), 60.0 * number("cold.longest")
    near = f.turn_c + number("cold.near")
    run.begin("chill", "Stir in the cold water", detail=_COOL, until="falls to", until_c=near)
    left = run.until(
        lambda reading: (reading <= near) | _thick(run), every, most, lambda bowls, took: water.dip(bowls, took, shear)
    )
    run.begin("chill", f"In and out of the water, {f.dip_s:.0f} s at a time", detail=_dipped(say), until="falls to",
              until_c=f.turn_c)  # fmt: skip
    dips = _dips(water, f.dip_s, shear)
    left |= run.until(lambda reading: (reading <= f.turn_c) | _thick(run), every, most, dips, ~left)
    run.begin("chill", f"Stir on at {f.turn_c:.1f} °C for {f.keep_s / 60.0:.0f} min", detail=_kept(say))
    kept, going = 0.0, np.ones(len(run), dtype=np.bool_)
    while going.any() and kept < f.keep_s:
        going &= ~_thick(run)
        warm = going & (run.look() > f.turn_c + number("cold.again_above"))
        run.passes(np.where(warm, every, 0.0), dips)
        run.passes(np.where(going & ~warm, every, 0.0), lambda bowls, took: bowls.stir(took, shear=shear))
        kept += every
    return left


def _thick(run: Run) -> NDArray[np.bool_]:
    """Tell in which bowls a cook feels the chocolate thicken by its crystals."""
    return thickened(run.bowls, number("cold.thick_ratio"), run.rng)


def _dips(water: Water, dip_s: float, shear: float) -> Callable[[Bowls, Array], None]:
    """Return an act of some seconds in the water and the rest of the time off it, stirred and scraped throughout."""

    def act(bowls: Bowls, took: Array) -> None:
        inside = np.minimum(took, dip_s)
        water.dip(bowls, inside, shear)
        bowls.stir(took - inside, shear=shear)

    return act


_COOL = "Scrape wall and bottom without a pause: what sits still at the wall sets there in lumps."


def _dipped(say: Telling) -> str:
    return f"Wipe the foot, stir off the water and {say.read} each time: the wall is colder than the chocolate."


def _kept(say: Telling) -> str:
    above = say.either("it reads above", "it runs freely again")
    return f"Off the water unless {above}; scrape and stir all the time until it begins to thicken."
