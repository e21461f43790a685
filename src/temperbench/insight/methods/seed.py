"""Full melt, then seed with in-temper chocolate: heat balance and solids solved together, portions by readings.

The seed cools the bowl, melts down to what the common temperature leaves solid, and leaves its crystals. Two portions
go in as weighed; how much of the rest follows is told by the reading once they are gone.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.methods.melting import Melting, melted_nominal, melted_run, melting_of
from temperbench.insight.methods.script import Run
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperature_at_solid
from temperbench.kitchen.bowl_layout import WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, nominal, settled_solids
from temperbench.kitchen.settle import balance
from temperbench.matter.crystals import CP, FAT, H_5

__all__ = ["Portions", "handy", "needed_seed", "play_portions", "portions_for", "seed_spread_c"]

_ROUNDS = 4  # of bringing the three portions to the same size
_HALVINGS = 40


@dataclass(frozen=True)
class Portions:
    """Decision figures of seeding in portions."""

    melting: Melting
    aim_c: float  # the bowl ends here, stirred, with what the seed leaves
    melt_g: float
    seed_g: float  # weighed out
    portions_g: tuple[float, float, float]
    edges_c: tuple[float, ...]  # lower ends of the rows of the reading table but the first, ascending
    add_g: tuple[float, ...]  # what to add in each row


def handy(grams: float) -> float:
    """Round an amount as people weigh it: to 1, 5, 10 or 50 g."""
    step = 1.0 if grams < 30.0 else 5.0 if grams < 500.0 else 10.0 if grams < 3000.0 else 50.0
    return float(step * round(grams / step))


def seed_spread_c(known: Known) -> tuple[float, float, float]:
    """Return the temperature of the seed: as told, or as the store."""
    if known.job.seed_c is None:
        return known.start_c.low, known.start_c.mid, known.start_c.high
    half = number("bowl.start_known")
    return known.job.seed_c - half, known.job.seed_c, known.job.seed_c + half


def _mixed(one: Members, kilograms: float, reads_c: float, seed_kg: float, seed_c: float) -> float:
    """Temperature after stirring ``seed_kg`` into a bowl in balance that reads ``reads_c``, until even. [°C]"""
    row, curve = one.rows[0], one.curves[0]
    there, coming = (float(settled_solids(one.rows, one.curves, np.array([c]))[0]) for c in (reads_c, seed_c))
    total = kilograms + seed_kg
    latent = row[FAT] * row[H_5]
    heat = kilograms * (row[CP] * reads_c - latent * there) + seed_kg * (row[CP] * seed_c - latent * coming)
    enthalpy = (heat + row[WALL_HEAT] * reads_c) / total
    solid = (kilograms * there + seed_kg * coming) / total
    return float(balance(enthalpy, solid, row[CP] + row[WALL_HEAT] / total, row, curve)[0])


def needed_seed(one: Members, kilograms: float, reads_c: float, aim_c: float, seed_c: float) -> float:
    """Return the in-temper chocolate that brings a bowl from a reading to the aim, by the middle of everything. [kg]"""
    if reads_c <= aim_c:
        return 0.0
    low, high = 0.0, kilograms
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        warm = _mixed(one, kilograms, reads_c, middle, seed_c) > aim_c
        low, high = (middle, high) if warm else (low, middle)
    return high


def portions_for(known: Known, at: Temperatures, left: float, aim_c: float | None = None) -> Portions:
    """Return portions and table for an aim at which this share of the fat is left solid, by the middle of everything.

    The middle bowl goes through them; the portions are those with which it needs all of what was weighed out.
    """
    melting = melting_of(known)
    total = known.job.grams / 1000.0
    seed_c = seed_spread_c(known)[1]
    aim = float(temperature_at_solid(nominal(known.setup), left)[0]) if aim_c is None else aim_c
    aim = round(min(aim, at.limit_c), 1)
    seed = 0.2 * total
    for _ in range(_ROUNDS):
        one = melted_nominal(known, melting, seed)
        bowls = Bowls(one, workers=1)
        for _ in range(2):
            bowls.add(seed / 3.0, seed_c)
            bowls.stir(number("method.seed.portion_stir"))
        rest = needed_seed(one, total - seed / 3.0, float(bowls.reading()[0]), aim, seed_c)
        seed = min(2.0 * seed / 3.0 + rest, number("method.seed.most") * total)
    grams = handy(1000.0 * seed)
    third = handy(grams / 3.0)
    edges = tuple(round(aim + float(e), 1) for e in array("method.seed.rows"))
    ends = [*edges, edges[-1] + 2.0]
    in_bowl = total - third / 1000.0
    add = [handy(1000.0 * needed_seed(one, in_bowl, 0.5 * (a + b), aim, seed_c)) for a, b in pairwise(ends)]
    melt = known.job.grams - grams
    return Portions(melting, aim, melt, grams, (third, third, grams - 2.0 * third), edges, (0.0, *add))


def _table_grams(figures: Portions, reading: Array) -> Array:
    """Return what the table tells to add at each reading. [g]"""
    rows = np.searchsorted(np.array(figures.edges_c), reading, side="right")
    return np.asarray(np.array(figures.add_g)[rows])


def play_portions(known: Known, figures: Portions, members: int, entropy: list[int]) -> Run:
    """Carry bowls through melting and seeding, each by its own readings."""
    run = melted_run(known, figures.melting, figures.seed_g / 1000.0, members, entropy)
    low, mid, high = seed_spread_c(known)
    seed_c = run.rng.triangular(low, mid, high, members) if high > low else np.full(members, mid)
    say = known.say
    gone, longest = number("method.seed.look"), number("method.seed.longest")
    for word, grams in zip(("first", "second"), figures.portions_g[:2], strict=True):
        run.begin("seed", f"Stir in the {word} portion, {grams:.0f} g", detail=_gone(say))
        run.put(grams / 1000.0, seed_c)
        run.until(lambda _: ~run.lumpy(), gone, longest)
    for word in ("third", "fourth"):
        told = _table_grams(figures, run.look())
        run.begin("seed", f"{say.read.capitalize()}; stir in what the table says ({word} portion)",
                  detail=f"Stir without a pause until no lump is left; then {say.read} again.", until="falls to",
                  until_c=figures.aim_c)  # fmt: skip
        run.put(told / 1000.0, seed_c)
        run.until(lambda _: ~run.lumpy(), gone, longest, only=told > 0.0)
    run.begin("seed", "Stir the last lumps out", detail=_last(say))
    run.stir(number("plan.stir.last"))
    return run


def _gone(say: Telling) -> str:
    return f"Stir without a pause until no lump is left, scraping the wall; then {say.read}."


def _last(say: Telling) -> str:
    there = say.either("it reads the aim or a little less", "the last lumps were slow to go")
    return f"No lump left and {there}: it is seeded. Lumps left after this stay: sieve them out."
