"""Tabling: part of the melted chocolate is worked on a slab until it has crystals, and goes back into the rest.

Each simulated bowl goes by its own readings: spread and gathered until it reads the turn, then kept moving for some
minutes (spread again whenever it reads more, scraped up at once when it has become thick), then back and stirred
through. A bowl that still reads too near its limit goes onto the slab again; one below the working window is lifted
over warm water. How much is poured, in how many rounds, follows from the middle bowl; how long it is kept moving is the
shortest that keeps both risks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import spread_of
from temperbench.insight.methods.dips import lift, lifting_water
from temperbench.insight.methods.melting import Melting, melted_nominal, melted_run, melting_of
from temperbench.insight.methods.script import Run
from temperbench.insight.methods.slab_run import SlabRun
from temperbench.insight.methods.turn import turn_of
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.outside import drawn_around
from temperbench.kitchen.slab import SlabSetup, draw_slabs, middle_slabs, slab_from
from temperbench.matter.thermal import chocolate_bulk

__all__ = ["Tabling", "play_tabling", "pour_for", "slab_of"]


@dataclass(frozen=True)
class Tabling:
    """What is decided before anybody pours."""

    melting: Melting
    slab: SlabSetup
    share: float  # of the bowl that goes onto the slab in a round
    cooling_rounds: int  # rounds that only cool, before the one that makes crystals
    turn_c: float  # reading at which it is spread no longer
    keep_s: float  # how long it is then kept moving
    back_c: float  # a bowl that reads more after its return goes onto the slab again
    lift_from_c: float  # one that reads less is lifted ...
    lift_c: float  # ... to this


def slab_of(known: Known, at: Temperatures) -> SlabSetup:
    """Return the slab of a job; one as warm as the turn is refused."""
    job = known.job
    turn = turn_of(known.chocolate.kind, at)
    warmest = turn.low - number("tabling.least_gap")
    thickness = None if job.slab_mm is None else job.slab_mm / 1000.0
    slab = slab_from(job.slab, thickness, job.slab_m2, job.slab_c, known.room_c)
    if slab.start_c.mid > warmest:
        allowed = f"up to {warmest:g} °C for {known.chocolate.name}"
        remedy = "cool it with a wrapped ice pack, dry it, and tell its temperature"
        raise OutOfRange("slab_c", slab.start_c.mid, allowed, remedy)
    return slab


def pour_for(known: Known, at: Temperatures, slab: SlabSetup) -> Tabling:
    """Return pour and rounds with which the middle bowl comes back nearest to the top of the working window."""
    low, usual, high = spread_of("tabling.share").low, spread_of("tabling.share").mid, spread_of("tabling.share").high
    most = chocolate_bulk().density * number("slab.fill") * slab.area_m2.mid * number("tabling.deepest")
    fits = most / (known.job.grams / 1000.0)
    start = Tabling(melting_of(known), slab, usual, 0, turn_of(known.chocolate.kind, at).mid,
                    60.0 * number("tabling.keep_usual"), round(at.limit_c - number("tabling.back_below_limit"), 1),
                    at.work_from_c, 0.5 * (at.work_from_c + at.work_to_c))  # fmt: skip
    shares = [s for s in (low, 0.5 * (low + usual), usual, high) if s <= fits] or [fits]
    found: list[tuple[float, Tabling]] = []
    for cooling in range(int(number("tabling.most_rounds"))):
        pours = [replace(start, share=share, cooling_rounds=cooling) for share in shares]
        ends = [(pour, *_middle_end(known, pour)) for pour in pours]
        found += [(end, pour) for pour, end, warm in ends if not warm]
        if any(end <= at.work_to_c + number("tabling.near_enough") for end, _ in found):
            break
    if not found or min(end for end, _ in found) > start.back_c:
        raise InputError(
            "slab_m2", slab.area_m2.mid, "a slab that takes the heat of this much chocolate",
            f"it stays above {start.turn_c:g} °C on it: take a larger or cooler slab, or temper less at a time",
        )  # fmt: skip
    return min(found, key=lambda f: abs(f[0] - at.work_to_c))[1]


def _middle_end(known: Known, f: Tabling) -> tuple[float, bool]:
    """Temperature of the middle bowl after its return, and whether it never came to the turn on the slab."""
    one = melted_nominal(known, f.melting, 0.0)
    run = SlabRun.beside(Run(Bowls(one, workers=1), np.random.default_rng(0)), middle_slabs(f.slab, one.air_c))
    warm = _table(run, replace(f, back_c=np.inf), known.say)
    return float(run.temperature()[0]), bool(warm[0])


def play_tabling(known: Known, f: Tabling, members: int, entropy: list[int]) -> SlabRun:
    """Carry newly drawn bowls and slabs through melting, tabling and lifting, each by its own readings."""
    run = melted_run(known, f.melting, 0.0, members, entropy)
    around = drawn_around(members, run.rng)
    beside = SlabRun.beside(run, draw_slabs(f.slab, run.bowls.members.air_c, run.rng))
    _table(beside, f, known.say)
    lift(beside, lifting_water(known, beside.bowls, temperatures(known), around), f.lift_from_c, f.lift_c, known.say)
    return beside


def _table(run: SlabRun, f: Tabling, say: Telling) -> NDArray[np.bool_]:
    """Play the rounds on the slab, from the full melt to the last return; return who never came to the turn."""
    everyone = np.ones(len(run), dtype=np.bool_)
    warm = np.zeros(len(run), dtype=np.bool_)
    for k in range(f.cooling_rounds):
        warm |= _round(run, f, everyone, 0.0, f"Round {k + 1}: ", say)
    going, k = everyone, 0
    while going.any() and k < int(number("tabling.most_rounds")):
        word = "Once more: " if k > 0 else f"Round {f.cooling_rounds + 1}: " if f.cooling_rounds > 0 else ""
        warm |= _round(run, f, going, f.keep_s, word, say)
        going = going & (run.look() > f.back_c)
        k += 1
    return warm


def _round(
    run: SlabRun, f: Tabling, who: NDArray[np.bool_], keep_s: float, word: str, say: Telling
) -> NDArray[np.bool_]:  # fmt: skip
    """One round: pour, spread to the turn, keep moving, return, stir through; return who never came to the turn."""
    grams = round(f.share * run.grams / 10.0) * 10.0
    run.begin("table", _said(word, f"Pour {grams:.0f} g onto the slab"), detail=f"{_lies(f, grams)} {_POUR}")
    run.pour(f.share, who, number("tabling.pour"), grams)
    run.begin("table", _said(word, "Spread and gather"), detail=_spreading(say), until="falls to", until_c=f.turn_c)
    left = _spread(run, f, who)
    if keep_s > 0.0:
        run.begin("table", _said(word, f"Keep it moving for {keep_s / 60.0:.0f} min"), detail=_keeping(say))
        _keep(run, f, who & ~left, keep_s)
    run.begin("table", _said(word, "Scrape it back into the bowl and stir through"), detail=_returning(say))
    run.back(number("tabling.return"))
    run.stir(np.where(who, number("tabling.remix"), 0.0))
    return left


def _lies(f: Tabling, grams: float) -> str:
    """Say how much of the slab it covers, and how thick it lies there, by the middle of everything."""
    rho, area = chocolate_bulk().density, f.slab.area_m2.mid
    deep = max(number("slab.layer"), grams / 1000.0 / (rho * number("slab.fill") * area))
    covered = grams / 1000.0 / (rho * deep * area)
    return f"Spread about {1000.0 * deep:.0f} mm thick it covers {100.0 * covered:.0f} % of the slab."


def _said(word: str, do: str) -> str:
    return do if not word else word + do[0].lower() + do[1:]


def _spread(run: SlabRun, f: Tabling, who: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Spread and gather until it reads the turn or has become thick; return who never got there."""
    every, passed = number("tabling.look"), 0.0
    going = who.copy()
    while going.any() and passed < 60.0 * number("tabling.longest"):
        going &= (run.look() > f.turn_c) & ~run.thickened()
        run.work(np.where(going, every, 0.0))
        passed += every
    return going


def _keep(run: SlabRun, f: Tabling, who: NDArray[np.bool_], keep_s: float) -> None:
    """Keep it moving for its minutes, spread only where it reads above the turn, or until it is thick."""
    every, kept = number("tabling.look"), 0.0
    going = who.copy()
    while going.any() and kept < keep_s:
        going &= ~run.thickened()
        warm = going & (run.look() > f.turn_c + number("tabling.spread_above"))
        run.work(np.where(warm, every, 0.0))
        run.work(np.where(going & ~warm, every, 0.0), gathered=True)
        kept += every


_POUR = "The rest stays in its bowl, covered, off the heat."


def _spreading(say: Telling) -> str:
    return (
        "Spread with the palette knife, gather with the scraper, without a pause, so that nothing sets at the edges; "
        f"{say.either('read in', 'look at')} the gathered heap."
    )


def _keeping(say: Telling) -> str:
    warm = say.either("reads above the turn", "runs freely again")
    return (
        f"Gathered, turned over all the time; spread it again when it {warm}. It thickens: scrape it up at once when "
        "it holds the shape of the knife."
    )


def _returning(say: Telling) -> str:
    return f"No crumb that has set goes back with it. Stir until no streak is left, then {say.read}."
