"""Plans tabling: how much goes onto the slab, how long it is kept moving, what a reading means, what can go wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.after_stop import quantile_band
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.methods.assemble import Told, assemble
from temperbench.insight.methods.dips import lift_told
from temperbench.insight.methods.method_plan import Fault, MethodPlan, ReadsDo
from temperbench.insight.methods.script import Run, safest
from temperbench.insight.methods.slab_run import slabs_of
from temperbench.insight.methods.tabling import Tabling, play_tabling, pour_for, slab_of
from temperbench.insight.methods.told import cautions, common_faults, holds_for, washing_up
from temperbench.insight.plan import Warning_
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.slab import Slabs, SlabSetup

__all__ = ["plan_tabling"]

_FEW = 0.05  # share of bowls below which a step is not told


def plan_tabling(
    job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None,
    learnt: Learnt | None = None,
) -> MethodPlan:  # fmt: skip
    """Plan a full melt that is tabled; the same seed of the random numbers gives the same plan.

    Raises `temperbench.foundation.errors.InputError` for a slab that cannot cool the chocolate.
    """
    say = progress or (lambda _: None)
    known = know(job, learnt)
    at = temperatures(known)
    say("How much to pour, by the middle bowl")
    first = pour_for(known, at, slab_of(known, at))
    say("Tabling fresh bowls, to find how long to keep them moving")
    tried = (replace(first, keep_s=60.0 * minutes) for minutes in array("tabling.keep"))
    safe = safest(known, at, tried, lambda f, m, entropy: play_tabling(known, f, m, entropy), members, seed)
    return assemble(known, at, safe, _told(known, at, safe.figures, safe.run), seed)


def _told(known: Known, at: Temperatures, f: Tabling, run: Run) -> Told:
    """Return what the plan says of itself."""
    job = known.job
    pour = round(f.share * job.grams / 10.0) * 10.0
    lifts = bool(run.records[-1].phase == "lift" and run.records[-1].active.mean() >= _FEW)
    melted_by = f.melting.how
    return Told(
        clear_c=f.melting.clear_c, draw_down_c=f.turn_c, lift_c=f.lift_c if lifts else None, melt_g=job.grams,
        portions_g=(pour,) * (f.cooling_rounds + 1), reads_then=_reads_then(known, at, f, pour),
        faults=(*_faults(at, f, known.say), *common_faults(at, known.say)), rules=_rules(f, slabs_of(run), known.say),
        cautions=cautions(known, melted_by), holds_for=holds_for(known, _slab_words(f.slab)),
        washing_up=washing_up(known, melted_by), warnings=_warnings(known, f, slabs_of(run), pour),
        defaults_used=tuple(t for t in (f.melting.default, *f.slab.defaults_used) if t), sources=_SOURCES,
    )  # fmt: skip


_SOURCES = (
    "crystals.nucleation", "slab.layer", "slab.renewal", "slab.spread_share", "slab.gathered_share", "slab.shear",
    "tabling.share", "surfaces.bench.marble.conductivity", "bowl.film.top",
)  # fmt: skip


def _slab_words(slab: SlabSetup) -> str:
    return (
        f"{slab.material} slab, {slab.area_m2.mid:.2f} m² and {1000.0 * slab.thickness_m.mid:.1f} mm, at "
        f"{slab.start_c.mid:.0f} °C, bone dry"
    )


def _reads_then(known: Known, at: Temperatures, f: Tabling, pour: float) -> tuple[ReadsDo, ...]:
    """The policy as a table."""
    again = round(f.turn_c + number("tabling.spread_above"), 1)
    minutes = f"{f.keep_s / 60.0:.0f} min"
    slab, kept, back = "on the slab", "while it is kept moving", "after the return, stirred through"
    return (
        ReadsDo(slab, f.turn_c, None, f"spread and gather on, {known.say.read} again",
                seconds=round(number("tabling.look")), looks="still runs off the knife like cream"),
        ReadsDo(slab, None, f.turn_c, f"gather it and keep it moving for {minutes}", seconds=round(f.keep_s),
                looks="cool to the finger, runs slowly, first lustre gone"),
        ReadsDo(kept, again, None, "spread it once more", seconds=round(number("tabling.look")),
                looks="runs freely again"),
        ReadsDo(kept, None, again, f"keep it gathered and turned over until its {minutes} are over",
                looks="thickens little by little"),
        ReadsDo(back, f.back_c, None, "too warm: onto the slab again", amount_g=round(pour),
                looks="feels warm to the finger, runs like water"),
        ReadsDo(back, at.work_to_c, f.back_c, "stir down into the window, then make the setting test",
                looks="thin, even"),
        ReadsDo(back, f.lift_from_c, at.work_to_c, "make the setting test and use it", looks="flows with ease, even"),
        ReadsDo(back, None, f.lift_from_c, lift_told(at, f.lift_c, known.say), seconds=round(number("dip.warm")),
                looks="thick, leaves a trail"),
    )  # fmt: skip


def _faults(at: Temperatures, f: Tabling, say: Telling) -> tuple[Fault, ...]:
    return (
        Fault("crumbs or a set rim on the slab", "left lying while the stone is cold",
              "scrape from the edges inwards all the time; leave set crumbs on the slab or sieve them out of the bowl"),
        Fault(f"it does not fall to {f.turn_c:.1f} °C", "the slab has taken up the heat of this or an earlier round",
              "spread on a fresh part of it, pour less, or let it rest: a stone needs hours for that"),
        Fault(f"after the return {say.reads_above(at.limit_c)}", "too little poured, or the rest was too hot",
              "the crystals are gone: pour the same again, and keep it moving as long"),
        Fault("it stiffens on the slab at once", "the stone is cold or it lay too long",
              "scrape it into the warm rest without delay, stir, and lift over warm water"),
        Fault("thick in the bowl, with soft lumps, below the window", "it came back cold and over-crystallised",
              f"lift it a few seconds at a time, never above {at.limit_c:.1f} °C"),
        Fault("the smear still does not set after the return", "few crystals: some cocoa butters start late",
              "pour the same share again, keep it moving two minutes longer, test again"),
    )  # fmt: skip


def _rules(f: Tabling, slabs: Slabs, say: Telling) -> tuple[str, ...]:
    ends = quantile_band(slabs.mean_c(), 0)
    however = say.either("whatever it reads and however long", "however long")
    decides = say.either("The reading on the slab decides, not the clock:",
                         "What is seen on the slab decides, not the clock: about")  # fmt: skip
    return (
        "Never still on the stone: what rests sets.",
        f"{decides} {f.turn_c:.1f} °C, then its minutes.",
        f"It holds the shape of the knife: scrape it up, {however} it took.",
        "In temper is what sets in the setting test, not what was tabled long enough.",
        f"The slab ends at {ends.mid:.0f} °C ({ends.low:.0f} to {ends.high:.0f}): the next bowl takes longer on it; "
        f"above {f.turn_c - number('tabling.least_gap'):.0f} °C let it rest first.",
    )


def _warnings(known: Known, f: Tabling, slabs: Slabs, pour: float) -> tuple[Warning_, ...]:
    """Say what of slab, amount and hands is near its limit."""
    found = []
    cold = known.room_c.mid - number("tabling.sweats_below_room")
    if f.slab.start_c.mid < cold:
        found.append(
            Warning_("slab-may-sweat", f"A slab below about {cold:.0f} °C can be wet with dew in this room, and a drop "
                     "of water makes chocolate seize: wipe it dry and look before every pour.")
        )  # fmt: skip
    most = number("tabling.most_per_person") * known.job.people
    if pour > 1000.0 * most:
        found.append(
            Warning_("too-much-to-move", f"{pour:.0f} g on the slab is more than {known.job.people} pair of hands keep "
                     f"moving (about {1000.0 * most:.0f} g): get help, or temper in two bowls.")
        )  # fmt: skip
    thickest = 1000.0 * float(np.median(slabs.layer_m(np.full(len(slabs), pour / 1000.0))))
    if thickest > 1000.0 * number("slab.layer") * 1.2:
        found.append(
            Warning_("thick-layer", f"So much lies about {thickest:.0f} mm thick on this slab: it cools slowly, and "
                     "unevenly unless it is turned over all the time.")
        )  # fmt: skip
    slow = float(np.mean(slabs.mean_c() > f.turn_c - number("tabling.least_gap")))
    if slow > _FEW:
        found.append(
            Warning_("slab-ends-warm", f"In {100 * slow:.0f} % of kitchens the slab ends too warm for another bowl: "
                     "let it rest, or have a second one.")
        )  # fmt: skip
    return tuple(found)
