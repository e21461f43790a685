"""Plans cold-bowl and ice-bath stirring: how long in the water, how long at the turn, what a reading means."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from temperbench.foundation.evidence import array, number
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.assemble import Told, assemble
from temperbench.insight.methods.cold_bowl import ColdBowl, cold_bowl_for, play_cold_bowl
from temperbench.insight.methods.dips import lift_told
from temperbench.insight.methods.method_plan import Fault, MethodPlan, ReadsDo
from temperbench.insight.methods.script import Run, safest
from temperbench.insight.methods.told import cautions, common_faults, holds_for, washing_up
from temperbench.insight.plan import Warning_
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import Temperatures, temperatures

__all__ = ["plan_cold_bowl"]

_FEW = 0.05  # share of bowls below which a step is not told
_SLOW = ("plastic", "polycarbonate", "silicone")


def plan_cold_bowl(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan a full melt stirred down in cold water without seed; the same seed of the random numbers, the same plan.

    Raises `temperbench.foundation.errors.InputError` for water that cannot cool the chocolate.
    """
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    first = cold_bowl_for(known, at)
    say("Stirring fresh bowls in cold water, to find how long they have to be stirred at the turn")
    tried = (replace(first, keep_s=60.0 * minutes) for minutes in array("cold.keep"))
    safe = safest(known, at, tried, lambda f, m, entropy: play_cold_bowl(known, at, f, m, entropy), members, seed)
    return assemble(known, at, safe, _told(known, at, safe.figures, safe.run), seed)


def _told(known: Known, at: Temperatures, f: ColdBowl, run: Run) -> Told:
    """Return what the plan says of itself."""
    lifts = bool(run.records[-1].phase == "lift" and run.records[-1].active.mean() >= _FEW)
    melted_by = f.melting.how
    water = "ice water" if f.litres is None else f"{f.litres:.1f} L of water at {f.water_c.mid:.0f} °C"
    return Told(
        clear_c=f.melting.clear_c, draw_down_c=f.turn_c, lift_c=f.lift_c if lifts else None, melt_g=known.job.grams,
        reads_then=_reads_then(known, at, f), faults=(*_faults(at, f), *common_faults(at, known.say)), rules=_rules(f),
        cautions=cautions(known, melted_by), holds_for=holds_for(known, f"the bowl in {water} up to the chocolate"),
        washing_up=washing_up(known, melted_by), warnings=_warnings(known, run, f),
        defaults_used=tuple(t for t in (f.melting.default, *f.defaults_used) if t),
        sources=("crystals.nucleation", "cold.shear", "cold.water", "cold.dip", "around.film.water"),
    )  # fmt: skip


def _reads_then(known: Known, at: Temperatures, f: ColdBowl) -> tuple[ReadsDo, ...]:
    """The policy as a table."""
    near, again = round(f.turn_c + number("cold.near"), 1), round(f.turn_c + number("cold.again_above"), 1)
    minutes = f"{f.keep_s / 60.0:.0f} min"
    dip, read = round(f.dip_s), known.say.read
    cool, kept, end = "while it cools", "while it is stirred at the turn", "when its minutes are over"
    return (
        ReadsDo(cool, near, None, "stir and scrape on in the water", seconds=round(number("cold.look")),
                looks="runs off the spatula like cream"),
        ReadsDo(cool, f.turn_c, near, f"{dip} s in the water, stir off it, {read} again", seconds=dip,
                looks="cool to the finger, runs more slowly"),
        ReadsDo(cool, None, f.turn_c, f"off the water: stir on for {minutes}", seconds=round(f.keep_s),
                looks="first lustre gone, a trail stays for a moment"),
        ReadsDo(kept, again, None, f"{dip} s in the water, then on as before", seconds=dip, looks="runs freely again"),
        ReadsDo(kept, None, again, f"stir on off the water until its {minutes} are over",
                looks="thickens little by little"),
        ReadsDo(end, f.lift_from_c, None, "make the setting test and use it", looks="flows with ease, even"),
        ReadsDo(end, None, f.lift_from_c, lift_told(at, f.lift_c, known.say), seconds=round(number("dip.warm")),
                looks="thick, leaves a trail"),
    )  # fmt: skip


def _faults(at: Temperatures, f: ColdBowl) -> tuple[Fault, ...]:
    return (
        Fault("a set skin at the wall or the bottom", "not scraped, or the water too cold",
              "out of the water; scrape it into the warm middle and stir until it is gone, or melt again"),
        Fault(f"it falls well below {f.turn_c - 2.0:.0f} °C", "out of the water too late: the wall cools it on",
              "it makes unstable crystals too: lift it over warm water, they go first; the stable ones stay"),
        Fault("it thickens at once", "cold, and many crystals of all kinds",
              f"lift it to {f.lift_c:.1f} °C a few seconds at a time and stir; thin again means unstable ones"),
        Fault("no thickening, and the smear does not set", "few crystals: cocoa butters differ in how soon they start",
              f"cool to {f.turn_c:.1f} °C again and stir there as long as before, or stir in a few in-temper buttons"),
        Fault("water got into the bowl", "too full a basin, or a wet foot when it was poured",
              "it seizes and will not come back: keep it for ganache or baking"),
        Fault(f"lifted above {at.limit_c:.1f} °C", "left over the warm water",
              "the crystals are gone: cool and stir at the turn again"),
    )  # fmt: skip


def _rules(f: ColdBowl) -> tuple[str, ...]:
    return (
        "Scrape the wall all the time it is in the water: no pause, no phone.",
        f"Take it out above the turn: the wall goes on cooling. Then {f.dip_s:.0f} s at a time.",
        "It thickens clearly: lift it, whatever the clock says.",
        "In temper is what sets in the setting test, not what was cooled far enough.",
    )


def _warnings(known: Known, run: Run, f: ColdBowl) -> tuple[Warning_, ...]:
    """Say what of bowl and water slows it down."""
    found = []
    if known.bowl.material in _SLOW or known.bowl.material == "glass":
        found.append(
            Warning_("slow-wall", f"Heat goes slowly through {known.bowl.material}: a thin steel bowl halves the time "
                     "in the water and the time of the lift.")
        )  # fmt: skip
    cooled = [r for r in run.records if r.phase == "chill"]
    late = float((cooled[1].after_c > f.turn_c + number("cold.near")).mean())
    if late > _FEW:
        found.append(
            Warning_("water-gets-warm", f"In {100 * late:.0f} % of kitchens this water warms up before the chocolate "
                     "has come down: change it, take more, or put ice in.")
        )  # fmt: skip
    return tuple(found)
