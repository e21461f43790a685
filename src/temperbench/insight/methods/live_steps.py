"""The next move of a live bowl of any method but the microwave's: by what the filter believes, not by a fixed list.

Part-melts over a bath or in a cabinet heat on until the bowl is smooth and near its stop. Methods with a full melt
first clear the bowl, then bring crystals in their own way; how much of what, and for how long, follows from the bowl as
it is now. Setting test, thinning, warming and saving are those of every bowl (`temperbench.insight.advice`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.advice import (
    Progress,
    after_test,
    down_or_test,
    ready_or_kept,
    rescue_move,
    stir_first,
)
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import PART_MELTS
from temperbench.insight.live import Happening, Move
from temperbench.insight.methods.live_makers import chill, melted_grams, seed, table
from temperbench.insight.methods.live_now import Now, now_of
from temperbench.insight.over_bath import Tried, lift_move, minutes_said, try_around
from temperbench.insight.policy import Aims
from temperbench.insight.temperatures import Temperatures
from temperbench.matter.composition import full_melt

__all__ = ["advise_method"]

_MAKERS: dict[str, Callable[[Now], Move | None]] = {
    "seed": seed, "tabling": table, "cold-bowl": chill,
}  # fmt: skip


def advise_method(
    f: BowlFilter, at: Temperatures, aims: Aims, progress: Progress, happenings: Sequence[Happening]
) -> Move:
    """Return the next move of a bowl tempered by the method of its job."""
    if progress.finished:
        return Move("finished", "Finished", "The run is closed.", "Start the next bowl from the kitchen page.")
    now = now_of(f, at, aims, progress, happenings)
    return _part_melt(now) if f.known.job.method in PART_MELTS else _full_melt(now)


def _judged(now: Now) -> Move | None:
    """Ready, if it was tested and passed, or what keeps it so."""
    return ready_or_kept(now.f, now.at, now.aims, now.bowls, now.progress, now.lost)


def _part_melt(now: Now) -> Move:
    p = now.progress
    if p.last_act in ("bath", "cabinet", "burst"):
        return stir_first(now.f, now.at)
    if (found := _judged(now)) is not None:
        return found
    if p.last_act and now.lost > 0.5:
        return rescue_move(now.f, now.at, now.heat, now.lost)
    if p.tested is not None:
        return after_test(now.f, now.at, now.aims, now.bowls, p, now.lost)
    if now.smooth and now.heat >= now.at.work_from_c:
        high = now.heat > now.at.work_to_c + number("live.near")
        set_down = high and now.f.known.job.method == "kettle"
        return _set_down(now) if set_down else down_or_test(now.f, now.at, now.aims, now.bowls, p, now.lost)
    return _melt_on(now)


def _melt_on(now: Now) -> Move:
    """The longest heating that keeps the risks and does not pass the stop."""
    kind, job = now.f.known.job.method, now.f.known.job
    told = {"cabinet": job.cabinet_c, "bath": job.bath_c, "kettle": now.at.stop_c}[kind]
    celsius = number(f"live.{kind}_usual") if told is None else told
    grid = np.array([0.0, *array(f"live.{kind}_seconds")])
    tried = try_around(now.f, now.aims, kind, celsius, grid, number("plan.stir.last"))
    seconds = tried.longest(now.aims, now.at.stop_c + (number("live.near") if kind == "kettle" else 0.0))
    if kind == "kettle":
        seconds = tried.soonest_smooth(seconds)
    return _heat_on(now, kind, celsius, tried, seconds) if seconds > 0 else _stir_out(now, tried)


def _heat_on(now: Now, kind: str, celsius: float, tried: Tried, seconds: int) -> Move:
    k = tried.at(seconds)
    ends = float(np.median(tried.ends_c[:, k]))
    read = now.say.read
    headline = f"Melt {minutes_said(seconds)} over the bath"
    how = f"stirring, no steam or water at it; then off it and {read}"
    if kind == "cabinet":
        headline, how = f"Leave {minutes_said(seconds)} in the cabinet", f"covered; then stir and {read}"
    if kind == "kettle":
        headline, how = f"Hold {minutes_said(seconds)} at {celsius:.1f} °C", f"the stirrer turning; then {read}"
    return Move(kind, headline, f"At {celsius:.0f} °C, {how}. It should settle near {ends:.1f} °C.",
                f"{now.say.above(now.at.stop_c)}, or no lumps left: then stop.", seconds,
                risk_lost=float(tried.lost[:, k].mean()), risk_scorch=float(tried.scorched[:, k].mean()),
                celsius=celsius)  # fmt: skip


def _set_down(now: Now) -> Move:
    """A smooth kettle set down into its window: the jacket cools it more slowly than a bench would."""
    middle = 0.5 * (now.at.work_from_c + now.at.work_to_c)
    grid = np.array([0.0, *array("live.kettle_seconds")])
    tried = try_around(now.f, now.aims, "kettle", middle, grid, number("plan.stir.lumpy"))
    seconds = tried.shortest_down(now.at.work_to_c)
    why = f"Smooth at about {now.heat:.1f} °C: set it into its window; the crystals multiply on the way down."
    return Move("kettle", f"Hold {minutes_said(seconds)} at {middle:.1f} °C", why,
                f"{now.say.down_to(now.at.work_to_c, 0)}: test it.", seconds, risk_lost=now.lost,
                celsius=middle)  # fmt: skip


def _stir_out(now: Now, tried: Tried) -> Move:
    last = int(number("plan.stir.last"))
    ends = float(np.median(tried.ends_c[:, 0]))
    why = f"Warm enough: the last lumps melt while you stir. It settles near {ends:.1f} °C."
    mind = "Lumps that stay after that stir: then a little more heat."
    return Move("stir", f"Stir {last} s", why, mind, last, risk_lost=now.lost)


def _full_melt(now: Now) -> Move:
    if not _cleared(now):
        return _melt(now)
    if (found := _judged(now)) is not None:
        return found
    if now.progress.tested is not None:
        return after_test(now.f, now.at, now.aims, now.bowls, now.progress, now.lost)
    if (made := _MAKERS[now.f.known.job.method](now)) is not None:
        return made
    if now.heat < now.at.work_from_c - number("live.below_window"):
        return lift_move(now.f, now.at, now.aims, f"At {now.heat:.1f} °C it is below its working window.")
    return down_or_test(now.f, now.at, now.aims, now.bowls, now.progress, now.lost)


def _cleared(now: Now) -> bool:
    """Whether every crystal of the stock is gone, by the cook's word, by what the stock was, or by belief."""
    c = now.course
    if c.melted or now.f.known.job.stock == "melted" or c.added + c.tabled > 0:
        return True
    if c.block_in or c.block_out or c.chilled:
        return True
    return float((now.bowls.solid() < number("live.cleared")).mean()) > number("live.sure")


def _melt(now: Now) -> Move:
    if now.progress.last_act in ("burst", "bath"):
        return stir_first(now.f, now.at)
    told = now.f.known.job.melt_c
    clear = full_melt(now.f.known.chocolate.kind)[0] if told is None else told
    hold = number("method.clear.hold")
    why = f"Stirred, and kept there {hold:.0f} min: what was not hot enough keeps old crystals."
    mind = f"{now.say.near(now.at.scorch_c, 0)}: off the heat at once."
    grams = melted_grams(now, clear)
    if grams < now.f.known.job.grams:
        why = f"{why} Keep {now.f.known.job.grams - grams:.0f} g back as seed."
        return Move("melt", f"Melt {grams} g to {clear:.0f} °C", why, mind, grams=grams, celsius=clear)
    return Move("melt", f"Melt to {clear:.0f} °C", why, mind, celsius=clear)
