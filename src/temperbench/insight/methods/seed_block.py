"""Seeding with one block that is stirred around, melts at its surface, and is taken out by the reading."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.methods.melting import Melting, melted_nominal, melted_run, melting_of
from temperbench.insight.methods.script import Run
from temperbench.insight.methods.seed import handy, seed_spread_c
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import temperature_at_solid
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal
from temperbench.kitchen.seeds import Seed

__all__ = ["BlockSeed", "block_for", "play_block"]


_ROUNDS = 2  # of bringing what is melted and what melts off the block to the whole


@dataclass(frozen=True)
class BlockSeed:
    """Decision figures of seeding with a block."""

    melting: Melting
    aim_c: float  # the block comes out at this reading
    melt_g: float
    block_g: float  # the piece that goes in


def block_for(known: Known, share: float, left: float) -> BlockSeed:
    """Return the block of this share of the whole for a reading at which, in balance, this share of the fat is solid.

    The middle bowl tells how much of it melts off before, and so how much to melt at the start.
    """
    melting = melting_of(known)
    aim = round(float(temperature_at_solid(nominal(known.setup), left)[0]), 1)
    block = handy(share * known.job.grams)
    used = 0.5 * block
    for _ in range(_ROUNDS):
        bowls = Bowls(melted_nominal(known, melting, used / 1000.0), workers=1)
        bowls.add(block / 1000.0, seed_spread_c(known)[1], Seed.block())
        passed, look = 0.0, number("method.block.look")
        while bowls.reading()[0] > aim and passed < number("method.block.longest"):
            bowls.stir(look)
            passed += look
        used = block - 1000.0 * float(bowls.take_block_out()[0])
    return BlockSeed(melting, aim, handy(known.job.grams - used), block)


def play_block(known: Known, figures: BlockSeed, members: int, entropy: list[int]) -> Run:
    """Carry bowls through melting and the block, each until its own reading tells to take it out."""
    kept_back = known.job.grams - figures.melt_g
    run = melted_run(known, figures.melting, kept_back / 1000.0, members, entropy)
    low, mid, high = seed_spread_c(known)
    seed_c = run.rng.triangular(low, mid, high, members) if high > low else np.full(members, mid)
    run.begin("seed", f"Stir the {figures.block_g:.0f} g block around", until="falls to",
              detail=f"One glossy piece, kept moving under the surface; {known.say.read} every minute.",
              until_c=figures.aim_c)  # fmt: skip
    run.put(figures.block_g / 1000.0, seed_c, Seed.block())
    run.until(lambda reading: reading <= figures.aim_c, number("method.block.look"), number("method.block.longest"))
    out = run.bowls.take_block_out()
    told = f"Scrape it off, let it set on paper, weigh what is left: it serves again. Then {known.say.read}."
    run.begin("seed", "Take the block out and stir until smooth", detail=told)
    run.records[-1].grams = 1000.0 * out
    run.stir(number("plan.stir.near"))
    return run
