"""Plans full melt and seed, whatever the seed is: buttons or chopped block in portions, a block, cocoa butter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from temperbench.foundation.evidence import array, number
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.assemble import Told, assemble
from temperbench.insight.methods.melting import Melting
from temperbench.insight.methods.method_plan import Fault, MethodPlan, ReadsDo
from temperbench.insight.methods.script import safest
from temperbench.insight.methods.seed import Portions, play_portions, portions_for
from temperbench.insight.methods.seed_block import BlockSeed, block_for, play_block
from temperbench.insight.methods.seed_butter import ButterSeed, butter_for, play_butter, ripened
from temperbench.insight.methods.told import cautions, common_faults, holds_for, washing_up
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures

__all__ = ["plan_seed"]

_SEED_WORDS = {
    "buttons": "in-temper buttons", "block": "one block of in-temper chocolate", "butter-crystals":
    "powdered cocoa butter crystals", "ripened-butter": "cocoa butter kept creamy",
}  # fmt: skip


def plan_seed(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan a full melt that is seeded; the same seed of the random numbers gives the same plan."""
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    say("Melting and seeding fresh bowls, to find the least seed that keeps both risks")
    if job.seed_with == "buttons":
        return _portions(known, at, members, seed)
    if job.seed_with == "block":
        return _block(known, at, members, seed)
    return _butter(known, at, members, seed)


def _portions(known: Known, at: Temperatures, members: int, seed: int) -> MethodPlan:
    safe = safest(
        known, at, (portions_for(known, at, left) for left in array("method.seed.left")),
        lambda figures, m, entropy: play_portions(known, figures, m, entropy), members, seed,
    )  # fmt: skip
    figures = safe.figures
    done = known.say.either(f"It reads {figures.aim_c:.1f} °C or less and no lump is left",
                            "No lump is left, and the last lumps were slow to go")  # fmt: skip
    told = replace(
        _told(known, at, figures.melting, _portion_faults(figures, known.say)), reads_then=_table(figures),
        melt_g=figures.melt_g, seed_g=figures.seed_g, portions_g=figures.portions_g,
        rules=(
            f"Weigh {figures.seed_g:.0f} g of seed and some spare: the table may ask for a little more.",
            f"{done}: stop, whatever is left of the seed.",
            "Stir without a pause after each portion: lumps on the wall do not melt.",
        ),
    )  # fmt: skip
    return assemble(known, at, safe, told, seed)


def _table(figures: Portions) -> tuple[ReadsDo, ...]:
    """The policy: what a reading after the second portion, and after each later one, tells to add."""
    when = "after the second portion, and after each later one"
    ends: list[float | None] = [None, *figures.edges_c, None]
    rows = []
    for (low, high), grams in zip(pairwise(ends), figures.add_g, strict=True):
        do = f"stir in {grams:.0f} g" if grams > 0.0 else "no more seed: stir the last lumps out"
        rows.append(ReadsDo(when, low, high, do, round(grams), looks=_looks(grams, figures)))
    return tuple(rows)


def _looks(grams: float, figures: Portions) -> str:
    """By eye: how soon the last portion went tells how warm the bowl still is."""
    third = figures.portions_g[0]
    if grams <= 0.0:
        return "lumps hardly melt any more"
    if grams < 0.7 * third:
        return "the portion took minutes to go"
    return "the portion was gone in about a minute" if grams < 1.4 * third else "the portion was gone at once"


def _portion_faults(figures: Portions, say: Telling) -> tuple[Fault, ...]:
    aim = figures.aim_c
    warm = say.either(f"still reads above {aim + 0.3:.1f} °C", "is still thin and not cool at the lip")
    return (
        Fault("lumps stay after five minutes of stirring", f"colder than {aim - 1.0:.0f} °C before they had gone",
              "warm by half a degree (3 s in the oven, or the bowl in warm water for 10 s), or sieve them out"),
        Fault(f"all seed is in and it {warm}", "melted hotter, or less seed than weighed",
              "stir in what the table says; without more seed, stir it down and test: it may have kept too little"),
    )  # fmt: skip


def _block(known: Known, at: Temperatures, members: int, seed: int) -> MethodPlan:
    sizes = array("method.block.shares"), array("method.block.left")
    safe = safest(
        known, at, (block_for(known, share, left) for share, left in zip(*sizes, strict=True)),
        lambda figures, m, entropy: play_block(known, figures, m, entropy),
        min(members, int(number("method.block.members"))), seed,
    )  # fmt: skip
    figures: BlockSeed = safe.figures
    when = "while the block goes round"
    rows = (
        ReadsDo(when, figures.aim_c, None, "go on stirring, the block under the surface", looks="its skin melts off"),
        ReadsDo(when, None, figures.aim_c, "take the block out, scrape it off, stir on", looks="it keeps its skin"),
    )  # fmt: skip
    out = known.say.either("reads", "keeps its skin, at about")
    faults = (
        Fault("it cools too slowly", "too small a block, or a warm room", "a second block, or the bowl in cool water"),
        Fault("the block falls apart", "too small a piece, or cracked", "stir the crumbs out above the aim, or sieve"),
    )
    told = replace(
        _told(known, at, figures.melting, faults), reads_then=rows, melt_g=figures.melt_g, seed_g=figures.block_g,
        portions_g=(figures.block_g,),
        rules=(
            f"Take the block out when it {out} {figures.aim_c:.1f} °C; set and dry, it serves again.",
            "One piece, glossy and never softened: crumbs cannot be taken out.",
        ),
    )  # fmt: skip
    return assemble(known, at, safe, told, seed)


def _butter(known: Known, at: Temperatures, members: int, seed: int) -> MethodPlan:
    safe = safest(
        known, at, butter_for(known), lambda figures, m, entropy: play_butter(known, figures, m, entropy), members,
        seed,
    )  # fmt: skip
    figures: ButterSeed = safe.figures
    what, add = _SEED_WORDS[known.job.seed_with], figures.add_c
    when = "while it cools"
    rows = (
        ReadsDo(when, add, None, "stir on, no seed yet: it would melt", looks="warm at the lip"),
        ReadsDo(when, add - figures.width_c, add, f"stir in {figures.seed_g:.0f} g of {what}", round(figures.seed_g),
                looks="cool at the lip, flows like cream"),
        ReadsDo(when, None, add - figures.width_c, "too cool: warm it by a degree, then add the seed",
                looks="begins to thicken"),
    )  # fmt: skip
    keep = "Keep the creamy butter at 33 to 34 °C and stir it before you weigh." if ripened(known) else (
        "Sieve the powder over the bowl so that no clump stays dry.")  # fmt: skip
    cool = "is no longer warm at the lip"
    faults = (
        Fault("specks of white fat", "the seed clumped, or the bowl was too cool",
              "sieve it, or warm by half a degree and stir"),
        Fault("no set in time", f"the seed went in above {add + 1.0:.0f} °C or had been warm",
              f"stir in the same amount again {known.say.either('at the right reading', f'when it {cool}')}"),
    )  # fmt: skip
    told = replace(
        _told(known, at, figures.melting, faults), reads_then=rows, melt_g=figures.melt_g, seed_g=figures.seed_g,
        washing_up=washing_up(known, figures.melting.how, "basin of cool water"),
        portions_g=(figures.seed_g,), draw_down_c=add,
        rules=(f"Add it when it {known.say.either('reads', f'{cool}, at about')} {add:.1f} °C, not before.", keep),
    )  # fmt: skip
    return assemble(known, at, safe, told, seed)


def _told(known: Known, at: Temperatures, melting: Melting, faults: tuple[Fault, ...]) -> Told:
    """Return what every seeded plan says."""
    glossy = f"the seed: {_SEED_WORDS[known.job.seed_with]}"
    glossy += "" if "butter" in known.job.seed_with else ", glossy and never softened"
    return Told(
        clear_c=melting.clear_c,
        faults=(*faults, *common_faults(at, known.say)),
        cautions=cautions(known, melting.how),
        holds_for=holds_for(known, f"melted to {melting.clear_c:.0f} °C and cleared; any stock, also bloomed", glossy),
        washing_up=washing_up(known, melting.how),
        defaults_used=(melting.default,) if melting.default else (),
        sources=("method.seed.left", "method.clear.hold", "crystals.sites_of_melted_down"),
    )  # fmt: skip
