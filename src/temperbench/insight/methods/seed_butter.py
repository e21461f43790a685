"""Seeding with cocoa butter: about one per cent of powdered crystals, or of butter kept creamy, at 33 to 34 °C.

Both bring crystals of form VI, which the temperature of the bowl does not melt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.methods.melting import Melting, melted_run, melting_of
from temperbench.insight.methods.script import Run
from temperbench.insight.setup_job import Known
from temperbench.kitchen.outside import drawn_around, water_bath
from temperbench.kitchen.seeds import Seed

__all__ = ["ButterSeed", "butter_for", "cool_to", "play_butter", "ripened"]


@dataclass(frozen=True)
class ButterSeed:
    """Decision figures of seeding with cocoa butter."""

    melting: Melting
    add_c: float  # it goes in at this reading
    width_c: float  # and down to so much below it
    melt_g: float
    seed_g: float


def ripened(known: Known) -> bool:
    """Tell whether the seed is butter kept creamy rather than powder."""
    return known.job.seed_with == "ripened-butter"


def butter_for(known: Known) -> Iterator[ButterSeed]:
    """Give figures from bold to careful: less seed first, and for each amount the warmest reading first."""
    melting, kind = melting_of(known), known.chocolate.kind
    low, high = array(f"method.butter.at.{kind}")
    for share in array("method.butter.shares"):
        grams = share * known.job.grams
        grams = round(grams) if grams >= 3.0 else round(grams, 1)
        for add_c in (high, 0.5 * (low + high), low):
            yield ButterSeed(melting, add_c, number("method.butter.width"), known.job.grams - grams, grams)


def _seed_c(known: Known) -> tuple[float, float, float]:
    """Temperature of the seed: as told, or of the creamy butter's keeping place, or of the store."""
    half = number("bowl.start_known")
    if known.job.seed_c is not None:
        return known.job.seed_c - half, known.job.seed_c, known.job.seed_c + half
    if ripened(known):
        low, high = array("method.butter.ripened_c")
        return low, 0.5 * (low + high), high
    return known.start_c.low, known.start_c.mid, known.start_c.high


def play_butter(known: Known, figures: ButterSeed, members: int, entropy: list[int]) -> Run:
    """Carry bowls through melting, cooling and the seed, each by its own reading."""
    run = melted_run(known, figures.melting, figures.seed_g / 1000.0, members, entropy)
    cool_to(run, known, figures.add_c)
    seed_c = run.rng.triangular(*_seed_c(known), members)
    what = "creamy cocoa butter" if ripened(known) else "cocoa butter crystals"
    told = f"Sprinkle it over the surface and stir until nothing of it is seen, then {known.say.read}."
    run.begin("seed", f"Stir in {figures.seed_g:g} g of {what}", detail=told)
    run.put(figures.seed_g / 1000.0, seed_c, Seed.ripened_butter() if ripened(known) else Seed.butter_crystals())
    run.stir(number("method.butter.stir"))
    return run


def cool_to(run: Run, known: Known, celsius: float) -> None:
    """Stir down to a reading, the bowl in cool water until then."""
    told, m = known.job.bath_c, len(run)
    cool = run.bowls.air_c if told is None or told > celsius else np.full(m, told)
    run.begin("draw down", "Stir it down in cool water", detail=_COOL, until="falls to", until_c=celsius)
    around = drawn_around(m, run.rng)
    run.bowls.stand_in(water_bath(run.bowls.members, known.bowl.material, cool, None, around))
    run.until(lambda reading: reading <= celsius, number("method.cool.look"), number("method.cool.longest"))
    run.bowls.stand_on_bench()


_COOL = (
    "Off the heat, the bowl in water as cool as the room, well below its rim; scrape the wall all the time, where it "
    "sets first. Dry the bowl before anything goes in."
)
