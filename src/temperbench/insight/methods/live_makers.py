"""How a fully melted live bowl gets its crystals: by seed, a block, cocoa butter, on the slab, in cold water.

Each returns the next move, or None when the method has done its part.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import spread_of
from temperbench.insight.advice import minutes_down
from temperbench.insight.live import SCRAPING, Move
from temperbench.insight.methods.live_now import Now
from temperbench.insight.over_bath import minutes_said, try_around
from temperbench.kitchen.bowl_layout import MASS, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import settled_solids
from temperbench.kitchen.settle import balance
from temperbench.matter.crystals import CP, FAT, H_5

__all__ = ["chill", "melted_grams", "needed_grams", "seed", "table"]

_HALVINGS = 30


def needed_grams(bowls: Bowls, reads_c: float, aim_c: float, seed_c: float) -> float:
    """Return the in-temper chocolate that brings the middle bowl from a reading to the aim once it is even. [g]"""
    if reads_c <= aim_c:
        return 0.0
    one = bowls.only(np.array([int(np.argsort(bowls.temperature())[len(bowls.members) // 2])]))
    row, curve = one.members.rows[0], one.members.curves[0]
    there = float(one.solid()[0])
    coming = float(settled_solids(one.members.rows, one.members.curves, np.array([seed_c]))[0])
    kilograms, latent = float(row[MASS]), row[FAT] * row[H_5]

    def ends(kg: float) -> float:
        total = kilograms + kg
        heat = kilograms * (row[CP] * reads_c - latent * there) + kg * (row[CP] * seed_c - latent * coming)
        enthalpy = (heat + row[WALL_HEAT] * reads_c) / total
        solid = (kilograms * there + kg * coming) / total
        return float(balance(enthalpy, solid, row[CP] + row[WALL_HEAT] / total, row, curve)[0])

    low, high = 0.0, kilograms
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if ends(middle) > aim_c else (low, middle)
    return 1000.0 * high


def melted_grams(now: Now, clear_c: float) -> int:
    """Return how much of the job's chocolate to melt: all, less what its own buttons have to bring as seed. [g]"""
    job = now.f.known.job
    whole = int(job.grams)
    if job.method != "seed" or job.seed_with != "buttons":
        return whole
    bowls = now.bowls.copy()
    bowls.melted_at(clear_c)
    ratio = needed_grams(bowls, clear_c, now.at.stop_c, now.seed_c) / now.grams
    return min(whole, _handy(job.grams / (1.0 + ratio)))


def _handy(grams: float) -> int:
    step = 1.0 if grams < 30.0 else 5.0 if grams < 500.0 else 10.0
    return int(step * round(grams / step))


def seed(now: Now) -> Move | None:
    """Bring crystals in by the seed of the job."""
    makers: dict[str, Callable[[Now], Move | None]] = {"buttons": _buttons, "block": _block}
    return makers.get(now.f.known.job.seed_with, _butter)(now)


def _stir(seconds: float, why: str, mind: str, lost: float = 0.0, more: str = "") -> Move:
    whole = int(seconds)
    return Move("stir", f"Stir {minutes_said(whole)}{more}", why, mind, whole, risk_lost=lost)


def _until_gone(now: Now, what: str) -> Move | None:
    """Stir until what went in is gone, if it is not."""
    if now.progress.last_act == "added":
        return _stir(
            number("plan.stir.near"), f"Until {what}, scraping the wall; then {now.say.read}.", "Nothing: always."
        )
    if not now.smooth and now.course.stirred < int(number("live.lump_stirs")):
        why = "Lumps left: stir them out before anything else."
        return _stir(number("plan.stir.last"), why, "Lumps that stay: sieve them out.")
    return None


def _buttons(now: Now) -> Move | None:
    """Portions: a third, half of the rest, the rest, each by the bowl as it then is."""
    if now.course.added and (found := _until_gone(now, "no lump is left")) is not None:
        return found
    aim = now.at.stop_c
    need = needed_grams(now.bowls, now.heat, aim, now.seed_c)
    if need < number("live.least_seed") * now.grams:
        return None
    parts = max(1, 3 - now.course.added)
    portion = _handy(need / parts)
    why = (
        f"Of {need:.0f} g in-temper chocolate that take it from {now.heat:.1f} to {aim:.1f} °C: melting, it cools the "
        "bowl, and what does not melt is the seed."
    )
    mind = f"Each {now.say.either('reading', 'look')}: the rest is worked out anew."
    return Move("seed", f"Stir in {portion} g", why, mind, grams=portion,
                portions_g=(portion,) * parts, risk_lost=now.lost, celsius=now.seed_c, seed="buttons")  # fmt: skip


def _block(now: Now) -> Move | None:
    work = now.at.work_to_c
    if now.course.block_out:
        return None
    if not now.course.block_in:
        grams = _handy(array("method.block.shares")[0] * now.grams)
        why = f"In temper and glossy; stir it around until the bowl is near {work:.0f} °C."
        return Move("seed", f"Put in {grams} g in one block", why, "A block that crumbles: sieve it out at the end.",
                    grams=grams, celsius=now.seed_c, seed="block")  # fmt: skip
    if now.heat > now.at.work_from_c and not now.enough:
        after, seconds = now.bowls.copy(), 0.0
        to_c = work if now.heat > work else now.at.work_from_c
        while seconds < number("live.block_longest") and float(np.median(after.temperature())) > to_c:
            after.stir(number("live.block_step"))
            seconds += number("live.block_step")
        why = f"At {now.heat:.1f} °C what comes off it still melts: keep it moving under the surface, then "
        why += f"{now.say.read}."
        return _stir(seconds, why, f"{now.say.down_to(work, 0)}: take it out.", now.lost, " with the block")
    why = f"At {now.heat:.1f} °C the bowl has its crystals: what is left serves again."
    return Move("block out", "Take the block out", why, "A bowl that tests too slow: put it back for a minute.",
                risk_lost=now.lost)  # fmt: skip


def _butter(now: Now) -> Move | None:
    kind = now.f.known.job.seed_with
    _, high = array(f"method.butter.at.{now.f.known.chocolate.kind}")
    if now.course.added:
        return _until_gone(now, "nothing of it is seen") if now.progress.last_act == "added" else None
    if now.heat > high + number("live.near"):
        minutes = max(1, round(minutes_down(now.bowls, high)))
        why = f"Any warmer and the seed melts too: stir it down to {high:.0f} °C."
        return Move("draw down", f"Stir down {minutes} min", why, "A cool, dry bowl to pour it into saves minutes.",
                    60 * minutes, celsius=high)  # fmt: skip
    grams = _handy(array("method.butter.shares")[0] * now.grams)
    creamy = kind == "ripened-butter"
    what = "creamy cocoa butter" if creamy else "cocoa-butter crystals"
    why = "One per cent: over the surface, and stirred until nothing of it is seen."
    return Move("seed", f"Stir in {grams} g of {what}", why, f"{now.say.above(high, 0)}: let it cool first.",
                grams=grams, celsius=float(np.mean(array("method.butter.ripened_c"))) if creamy else now.seed_c,
                seed=kind)  # fmt: skip


def _turn(now: Now) -> float:
    return number(f"tabling.turn.{now.f.known.chocolate.kind}")


def table(now: Now) -> Move | None:
    """A share of the bowl onto the slab, as much as brings the whole into its window when it comes back at the turn."""
    if now.progress.last_act == "tabled":
        return _stir(number("tabling.remix"), f"Until no streak is left, then {now.say.read}.", "Nothing: always.")
    back = now.at.limit_c - number("tabling.back_below_limit")
    if now.course.tabled and (now.enough or (now.heat <= back and now.lost < 0.5)):
        return None
    turn, usual = _turn(now), spread_of("tabling.share")
    least = number("live.table_again") if now.course.tabled else usual.low
    share = float(np.clip((now.heat - now.at.work_to_c) / max(now.heat - turn, 0.1), least, usual.high))
    grams = _handy(share * now.grams)
    minutes = number("tabling.keep_usual")
    there = now.say.either(f"it reads {turn:.1f} °C", f"it is at about {turn:.1f} °C")
    why = (
        f"Spread and gather until {there}, keep it moving {minutes:.0f} min more or until it thickens, "
        "then scrape it back."
    )
    return Move("table", f"Table {grams} g to {turn:.1f} °C", why,
                f"Above {back:.1f} °C after it is back: one more round.", grams=grams, celsius=turn)  # fmt: skip


def chill(now: Now) -> Move | None:
    """Down to the turn in cold water, then stirred there until shear has made its crystals."""
    turn = _turn(now)
    if now.course.chilled and (now.course.lifted or now.enough):
        return None
    if now.heat <= turn + number("cold.again_above"):
        after, seconds = now.bowls.copy(), 0.0
        while seconds < number("live.scrape_longest") and float(np.median(after.stable())) < number("bowl.enough"):
            after.stir(number("cold.look"), shear=number("slab.shear"))
            seconds += number("cold.look")
        why = f"At {now.heat:.1f} °C the spatula makes the crystals: off the water, without a pause, until it thickens."
        seconds = max(seconds, number("cold.look"))
        move = _stir(seconds, why, "Thick under the spatula: lift it.", now.lost, ", scraping")
        return replace(move, level=SCRAPING)
    told = now.f.known.job.bath_c
    cold = told if told is not None and told < turn else number("cold.water")
    times = array("live.chill_seconds")
    tried = try_around(now.f, now.aims, "bath", cold, np.array([0.0, *times]), number("plan.stir.lumpy"))
    seconds = max(tried.shortest_down(turn + number("cold.near")), int(times[0]))
    ends = float(np.median(tried.ends_c[:, tried.at(seconds)]))
    why = (
        f"Water of {cold:.0f} °C, scraping wall and bottom all the time; then off it, stir and {now.say.read}: about "
        f"{ends:.1f} °C."
    )
    return Move("chill", f"Chill {minutes_said(seconds)} in the water", why,
                f"{now.say.down_to(turn)}: out of the water.", seconds, celsius=cold)  # fmt: skip
