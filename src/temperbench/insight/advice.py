"""The next move of a live bowl: what to do, why, at what risk, and what would change it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import film_times
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.keeping.live_keep import asks_now
from temperbench.insight.live import Happening, Move, WhatIf
from temperbench.insight.over_bath import lift_move
from temperbench.insight.plan import Band
from temperbench.insight.policy import Aims, Look, longest_allowed, look_ahead
from temperbench.insight.rescue import rescue_row
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.insight.wording import in_bowls
from temperbench.kitchen.bowl_layout import GONE_AT, MASS, POWER, TOP, WALL_AIR, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal
from temperbench.kitchen.parcel import parcel_states
from temperbench.matter.crystals import CP, FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = [
    "Progress", "advise", "after_test", "down_or_test", "minutes_down", "pass_minutes", "progress_of", "ready_or_kept",
    "rescue_move", "stir_first", "try_burst",
]  # fmt: skip


_OTHER_ACTS = ("melted", "bath", "cabinet", "kettle", "tabled", "block out")


@dataclass(frozen=True)
class Progress:
    """How far a run has come, read off its happenings."""

    last_burst_s: float | None
    last_act: str  # kind of the last happening that did something, or nothing yet ("")
    read_since: bool  # anything told since the last act
    smooth: bool  # the last answer on lumps was "none", and no burst since
    tested: Happening | None  # the last setting test, if nothing was heated or added since
    finished: bool
    flow: str | None = None  # the last answer on flow, if nothing was heated or added since
    proven: Happening | None = (
        None  # the last setting test, whatever was heated since; nothing but melted chocolate added
    )
    colder: bool = False  # solid chocolate was added since the last burst

    @property
    def longest_s(self) -> float | None:
        """How long a burst may be at most: as the one before, unless there is more to melt now; None if it is free."""
        return None if self.colder else self.last_burst_s


def progress_of(happenings: list[Happening]) -> Progress:
    """Read the progress off the happenings that count."""
    last_burst, last_act, read, smooth, finished = None, "", True, False, False
    tested: Happening | None = None
    proven: Happening | None = None
    flow: str | None = None
    colder = False
    for h in happenings:
        if h.kind in ("burst", "stir", "stand", "added", "moved", *_OTHER_ACTS):
            last_act, read = h.kind, False
            if h.kind == "burst":
                last_burst, smooth, tested, flow, colder = h.seconds, False, None, None, False
            if h.kind == "added":
                melted = "melted" in (h.material, h.seed)
                smooth, tested, flow, colder = melted, None, None, colder or not melted
                proven = proven if melted else None
            if h.kind in _OTHER_ACTS:
                smooth, tested, flow = False, None, None
                proven = None if h.kind in ("melted", "tabled") else proven
        elif h.kind in ("reading", "lumps", "flow"):
            read = True
            smooth = h.level == "none" if h.kind == "lumps" else smooth
            flow = h.level if h.kind == "flow" else flow
        elif h.kind == "test":
            tested = proven = h
        finished = finished or h.kind == "finished"
    return Progress(last_burst, last_act, read, smooth, tested, finished, flow, proven, colder)


def try_burst(f: BowlFilter, aims: Aims, seconds: int) -> WhatIf:
    """Return what a burst of so many seconds would do, stirred to the end."""
    bowls = f.advisers()
    look = look_ahead(bowls, aims, 0.0, f.known.job.level, grid=np.array([float(seconds)]))
    return WhatIf(
        seconds, _band(look.settled_c[:, 0], 1), _band(100.0 * look.solid[:, 0], 1), float(look.lost[:, 0].mean()),
        float(look.scorched[:, 0].mean()),
    )  # fmt: skip


def _band(values: Array, digits: int) -> Band:
    low, mid, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(round(float(low), digits), round(float(mid), digits), round(float(high), digits))


def _easy(bowls: Bowls) -> Array:
    p = bowls.members
    return np.asarray(bowls.solid() < crystals_at_ratio(number("plan.flows_ratio"), p.rows[:, FAT], p.kappa))


def _too_thick(bowls: Bowls) -> float:
    p = bowls.members
    return float(np.mean(bowls.solid() > crystals_at_ratio(number("bowl.thick_ratio"), p.rows[:, FAT], p.kappa)))


def advise(f: BowlFilter, at: Temperatures, aims: Aims, progress: Progress) -> Move:
    """Return the next move."""
    if progress.finished:
        return Move("finished", "Finished", "The run is closed.", "Start the next bowl from the kitchen page.")
    if progress.last_act == "burst":
        return stir_first(f, at)
    return _by_state(f, at, aims, progress)


def _by_state(f: BowlFilter, at: Temperatures, aims: Aims, progress: Progress) -> Move:
    """The next move by what the bowl is like: ready, lost, tested, smooth, or still to be heated."""
    bowls = f.advisers()
    heat = bowls.temperature()
    look = look_ahead(bowls, aims, progress.longest_s or _most(), f.known.job.level)
    lost = float(look.lost[:, 0].mean())
    if (found := ready_or_kept(f, at, aims, bowls, progress, lost)) is not None:
        return found
    if lost > 0.5 and progress.last_act:
        return rescue_move(f, at, float(np.median(heat)), lost)
    if progress.tested is not None:
        return after_test(f, at, aims, bowls, progress, lost)
    return _on(f, at, aims, progress, bowls, look)


def ready_or_kept(
    f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress, lost: float
) -> Move | None:
    """Return that the bowl is ready, or what keeps it so, once it has passed a test; None when it has not."""
    if progress.tested is not None and _passed(f, at, progress.tested) and not _thick(bowls, progress):
        return _kept(f, at, aims, bowls, progress, _ready(bowls, progress.tested, lost))
    if _still_proven(f, at, aims, bowls, progress, lost):
        return _kept(f, at, aims, bowls, progress, _still_ready(lost))
    return None


def _on(f: BowlFilter, at: Temperatures, aims: Aims, progress: Progress, bowls: Bowls, look: Look) -> Move:
    """Heat on, or down into the window if the bowl is smooth and warm enough."""
    heat = float(np.median(bowls.temperature()))
    smooth = progress.smooth or float((bowls.lumpiest() < bowls.members.rows[:, GONE_AT]).mean()) > 0.8
    done = smooth and (float(_easy(bowls).mean()) > 0.5 or heat >= at.stop_c - 0.2)
    if done or (smooth and heat <= at.work_to_c):
        return down_or_test(f, at, aims, bowls, progress, float(look.lost[:, 0].mean()))
    return _burst(f.say, at, aims, look, progress, bowls)


def _most() -> float:
    return float(array("plan.bursts")[-1])


def stir_first(f: BowlFilter, at: Temperatures) -> Move:
    """Return the stir that follows everything that heats."""
    near = f.quantiles(f.bowls.temperature())[1] > at.stop_c - number("plan.near_stop")
    seconds = int(number("plan.stir.near" if near else "plan.stir.lumpy"))
    return Move("stir", f"Stir {seconds} s", f"Hot spots and lumps hide the true temperature: stir, then {f.say.read}.",
                "Nothing: always stir after a burst.", seconds=seconds)  # fmt: skip


def _burst(say: Telling, at: Temperatures, aims: Aims, look: Look, progress: Progress, bowls: Bowls) -> Move:
    share = number("plan.share.scorch") if progress.last_burst_s is None else (1.0 - number("plan.share.scorch")) / 2.0
    good = look.allowed(np.ones(len(bowls.members)), aims, share)
    seconds = longest_allowed(good, look.grid)
    if progress.longest_s is not None:
        seconds = min(seconds, int(progress.longest_s))
    place = int(np.searchsorted(look.grid, seconds))
    lost, scorch = float(look.lost[:, place].mean()), float(look.scorched[:, place].mean())
    ends = _band(look.settled_c[:, place], 1)
    if seconds == 0:
        last = int(number("plan.stir.last"))
        reason = f"Hot enough: the last lumps melt while you stir. It settles near {ends.mid:.1f} °C."
        return Move("stir", f"Stir {last} s", reason, "Lumps that stay after that stir: then a short burst.", last,
                    risk_lost=lost, risk_scorch=scorch)  # fmt: skip
    more = min(place + 1, len(look.grid) - 1)
    limit = _what_limits(look, aims, more, share, at, progress.longest_s)
    reason = f"It should settle near {ends.mid:.1f} °C ({ends.low:.1f} to {ends.high:.1f}). Longer {limit}."
    mind = f"{say.above(at.stop_c)}, or no lumps left: then stop."
    return Move("burst", f"Burst {seconds} s", reason, mind, seconds, risk_lost=lost, risk_scorch=scorch)


def _what_limits(look: Look, aims: Aims, more: int, share: float, at: Temperatures, last: float | None) -> str:
    """Say in words why the burst is not longer."""
    if last is not None and look.grid[more] > last:
        return "than the one before is never safe"
    if float(look.scorched[:, more].mean()) > share * aims.risk_scorch:
        return f"risks a hot spot above {at.scorch_c:.0f} °C"
    if float(look.lost[:, more].mean()) > number("plan.share.lost") * aims.risk_lost:
        return "risks the crystals"
    return f"goes past {at.stop_c:.1f} °C"


def rescue_move(f: BowlFilter, at: Temperatures, heat: float, lost: float) -> Move:
    """Return what saves a bowl whose crystals are gone or going."""
    row = rescue_row(f.known, at, round(max(heat, at.limit_c), 1))
    what = "Too hot" if heat > at.limit_c else "It was too hot before"
    why = f"{what}: now {heat:.1f} °C, the stable crystals are gone in {in_bowls(lost)} like this."
    mind = f"A {f.say.either('lower reading', 'thicker bowl')} after stirring."
    if row.add_g is None:
        return Move("full melt", "Melt fully", f"{why} {row.advice}", mind, risk_lost=lost)
    first = row.portions_g[0] if row.portions_g else row.add_g
    return Move("rescue", f"Stir in {first} g", f"{why} {row.advice}", mind, grams=row.add_g,
                portions_g=row.portions_g, risk_lost=lost)  # fmt: skip


def minutes_down(bowls: Bowls, to_c: float) -> float:
    """Minutes of stirring until the middle bowl is at ``to_c``, by its losses alone."""
    rows = bowls.members.rows
    heat = bowls.temperature()
    tau = (rows[:, MASS] * rows[:, CP] + rows[:, WALL_HEAT]) / (rows[:, WALL_AIR] + rows[:, TOP])
    over = np.log(np.maximum(heat - bowls.members.air_c, 0.1) / np.maximum(to_c - bowls.members.air_c, 0.1))
    return float(np.median(np.maximum(tau * over, 0.0))) / 60.0


def down_or_test(f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress, lost: float) -> Move:
    """Return the way down into the window, and in it the warming or the setting test."""
    heat = float(np.median(bowls.temperature()))
    if heat > at.work_to_c + 0.3:
        minutes = max(1, round(minutes_down(bowls, at.work_to_c)))
        reason = (
            f"Smooth at about {heat:.1f} °C. Stir it down to {at.work_to_c:.0f} °C: the crystals multiply on the way."
        )
        return Move("draw down", f"Stir down {minutes} min", reason, "Lumps that show up: stir them out first.",
                    60 * minutes, risk_lost=lost)  # fmt: skip
    if _thick(bowls, progress) or heat < at.work_from_c - 0.5:
        return _warm(f, at, aims, bowls, progress)
    return Move("test", "Test now", "In the window: a thin smear on paper tells whether there are enough crystals.",
                "A bowl too thick to smear thinly: warm it first.", risk_lost=lost)  # fmt: skip


def _thick(bowls: Bowls, progress: Progress) -> bool:
    """Tell whether a bowl is too thick: by the particles, by the cook, or set very soon and thick to the eye."""
    test = progress.tested
    soon = test is not None and test.minutes is not None and test.minutes <= number("live.set_very_soon")
    return _too_thick(bowls) > 0.5 or progress.flow == "hardly" or (soon and progress.flow == "thick")


def _warm(f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress) -> Move:
    """A short burst that warms a thick or cold bowl by half a degree to a degree; not longer than the last burst."""
    why = "Too many crystals for this temperature" if _thick(bowls, progress) else "Below its window"
    if f.known.job.method != "microwave":
        return lift_move(f, at, aims, f"{why}: warm it half a degree to a degree.", number("live.warm_by"))
    rows = bowls.members.rows
    rise = number("live.warm_by") * (rows[:, MASS] * rows[:, CP] + rows[:, WALL_HEAT]) / rows[:, POWER]
    seconds = int(max(array("plan.bursts")[0], round(float(np.median(rise)) + 2.0)))
    if progress.last_burst_s is not None:
        seconds = min(seconds, int(progress.last_burst_s))
    risk = try_burst(f, aims, seconds)
    return Move("warm", f"Warm {seconds} s", f"{why}: warm it half a degree to a degree, stir, and {f.say.read}.",
                f"{f.say.near(at.work_to_c, 0)}: then thin it with a little warm melted chocolate instead.",
                seconds, risk_lost=risk.risk_lost, risk_scorch=risk.risk_scorch)  # fmt: skip


def after_test(f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress, lost: float) -> Move:
    """Return what follows from a setting test that was not passed."""
    test = progress.tested
    assert test is not None, "asked only after a test"
    enough = float((bowls.stable() > number("bowl.enough")).mean())
    if test.minutes is None or test.look == "soft":
        grams = _few_more(bowls)
        return Move("rescue", f"Stir in {grams} g",
                    "Not set: too few crystals. In-temper buttons cool and seed at once.",
                    "A second test that sets: then use it.", grams=grams, portions_g=(grams,),
                    risk_lost=lost)  # fmt: skip
    if test.look == "lines":
        return Move("wait", "Stir 3 min, test again", "Lines in the smear: slightly hot. Let it cool a little.",
                    "A smear that sets with a sheen.", 180, risk_lost=lost)  # fmt: skip
    if _thick(bowls, progress):
        return _warm(f, at, aims, bowls, progress)
    if enough < 0.5 or test.look == "dull":
        grams = _few_more(bowls)
        what = "dull" if test.look == "dull" else "late"
        return Move("rescue", f"Stir in {grams} g",
                    f"It set {what}: few crystals. A few in-temper buttons make it safe.",
                    "A second test that sets in time.", grams=grams, portions_g=(grams,), risk_lost=lost)  # fmt: skip
    return _ready(bowls, test, lost)


def _ready(bowls: Bowls, test: Happening, lost: float) -> Move:
    """Return that the bowl is ready, and how sure that is."""
    enough = float((bowls.stable() > number("bowl.enough")).mean())
    reason = f"It set in {test.minutes:.1f} min"
    reason += f": in temper in {in_bowls(enough)} like this." if enough > 0.5 else (
        ", as a bowl in temper does, though what was told before speaks against it: trust the smear."
    )  # fmt: skip
    return Move("ready", "Ready: use it", reason, "Thickening: warm it half a degree at a time.", risk_lost=lost)


def _still_proven(f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress, lost: float) -> bool:
    """Tell whether a bowl that passed its test has been kept since: warmed a little, and still smooth and in temper."""
    test = progress.proven
    if test is None or progress.tested is not None or not _passed(f, at, test):
        return False
    smooth = float((bowls.lumpiest() < bowls.members.rows[:, GONE_AT]).mean()) > 0.5
    return smooth and lost <= aims.risk_lost and float(np.median(bowls.temperature())) <= at.stop_c


def _still_ready(lost: float) -> Move:
    return Move("ready", "Ready: use it", "It passed its smear, and has kept its crystals since.",
                "Streaks or slow setting: test again.", risk_lost=lost)  # fmt: skip


def _kept(f: BowlFilter, at: Temperatures, aims: Aims, bowls: Bowls, progress: Progress, ready: Move) -> Move:
    """Ready, unless it has thickened or cooled so far that it must be warmed or thinned first."""
    asks = asks_now(f.known.job, bowls, at, aims, progress.flow)
    mind = f"{f.say.near(at.stop_c)}: then thin it with warm melted chocolate instead."
    if asks.seconds:
        return Move("warm", f"Warm {asks.seconds} s", asks.said, mind, asks.seconds, risk_lost=ready.risk_lost)
    if asks.grams and asks.oven:
        return Move("thin", f"Stir in {asks.grams} g melted", asks.said, "It flows with ease: use it as it is.",
                    grams=asks.grams, risk_lost=ready.risk_lost)  # fmt: skip
    if asks.due and not asks.stop and f.known.job.method != "microwave":
        return lift_move(f, at, aims, asks.said, number("live.warm_by"))
    if asks.due:
        return replace(ready, headline="Use it up" if asks.stop else "Warm it a little", reason=asks.said)
    return ready


def pass_minutes(f: BowlFilter, at: Temperatures, film: str = "paper") -> float:
    """Minutes by which a smear of a bowl with just enough crystals has set in this room, rounded up to a half."""
    middle, enough = 0.5 * (at.work_from_c + at.work_to_c), number("bowl.enough")
    state = parcel_states(middle, enough, 100.0 * enough)
    time = float(film_times(nominal(f.known.setup), state, np.array([number(f"film.{film}.loss")]))[0])
    return min(float(np.ceil(2.0 * time) / 2.0), number("film.longest"))


def _passed(f: BowlFilter, at: Temperatures, test: Happening) -> bool:
    """Tell whether a smear set in time for this room, with a sheen."""
    if test.minutes is None or test.look in ("lines", "dull", "soft"):
        return False
    return test.minutes <= pass_minutes(f, at, test.film or "paper")


def _few_more(bowls: Bowls) -> int:
    """Buttons that bring the middle bowl to two per cent of its fat as crystals."""
    short = max(0.0, 2.0 * number("bowl.enough") - float(np.median(bowls.stable())))
    grams = 1000.0 * float(np.median(bowls.members.rows[:, MASS])) * short * number("live.seed_yield")
    return int(max(10.0, 5.0 * round(grams / 5.0)))
