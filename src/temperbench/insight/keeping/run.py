"""Keeping many bowls by one table: each is read with its own thermometer, judged by its own cook, used and refilled."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.forecast import ratios
from temperbench.insight.keeping.heaters import Heater
from temperbench.insight.keeping.table import KeepTable, grams_to, rounded_grams
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import latin, triangular
from temperbench.kitchen.seeds import Seed
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["Kept", "Look", "keep"]


@dataclass(frozen=True)
class Look:
    """One look at all bowls: what they were like, what was done, and what they were like afterwards."""

    at_min: float
    before_c: Array
    after_c: Array
    first_s: Array  # of the first warming
    warm_s: Array  # of all warming
    add_g: Array
    thick: NDArray[np.bool_]  # as judged
    ratio_before: Array
    ratio: Array
    grams: Array
    ok: NDArray[np.bool_]  # workable until now


@dataclass
class Kept:
    """Bowls that were kept for a while."""

    bowls: Bowls
    looks: list[Look] = field(default_factory=list)
    thick_min: Array = field(default_factory=lambda: np.empty(0))  # (m,); infinity: not
    cold_min: Array = field(default_factory=lambda: np.empty(0))
    lost_min: Array = field(default_factory=lambda: np.empty(0))
    scorched: NDArray[np.bool_] = field(default_factory=lambda: np.empty(0, dtype=bool))

    def ends_min(self) -> Array:
        """Minutes until each bowl was too thick, too cold or had lost its crystals; infinity where none of it came."""
        return np.minimum(np.minimum(self.thick_min, self.cold_min), self.lost_min)


@dataclass
class _Stock:
    """Chocolate at hand to add (g, °C), and what returns are like."""

    left: Array
    warm_c: float
    gained: Array  # crystals over fat that returns have gained


def keep(
    bowls: Bowls, heater: Heater, table: KeepTable, ask: KeepAsk, minutes: float, every_min: float, scorch_c: float,
    rng: np.random.Generator,
) -> Kept:  # fmt: skip
    """Keep bowls for so many minutes, looking at them every so many; the state of ``bowls`` goes on.

    A bowl is too thick or too cold from the middle of the pause in which it became so, or from a look that could not
    mend it.
    """
    m = len(bowls.members)
    found = Kept(bowls, [], np.full(m, np.inf), np.full(m, np.inf), np.full(m, np.inf))
    refill_c = number("keep.warm_chocolate_c") if ask.refill_c is None else ask.refill_c
    gained = spread_of("keep.returns_crystals")
    drawn = triangular(latin(rng, m, 1)[0], gained) if m > 1 else np.full(m, gained.mid)
    stock = _Stock(np.full(m, ask.refill_g), refill_c, drawn)
    first_g = 1000.0 * bowls.members.rows[:, MASS]
    spent = 0.0  # seconds of the interval gone with the correction before
    for k in range(int(minutes / every_min + 1e-9) + 1):
        if k > 0:
            bowls.stir(max(0.0, 60.0 * every_min - spent))
            _use(bowls, stock, ask, every_min)
        spent = _look(found, heater, table, ask, stock, first_g, k * every_min, every_min, rng)
    found.scorched = bowls.peak.max(axis=1) > scorch_c
    return found


def _use(bowls: Bowls, stock: _Stock, ask: KeepAsk, every_min: float) -> None:
    """Take out what was used since the last look; some of it comes back, cooler and with more crystals."""
    out = ask.leaves_g_h / 60.0 * every_min
    if out <= 0.0:
        return
    solid = bowls.solid()
    bowls.take_out(out / 1000.0)
    back = ask.returns_share * out
    if back > 0.0:
        celsius = number("keep.returns_c") if ask.returns_c is None else ask.returns_c
        crystals = solid + stock.gained
        sites = bowls.sites() / np.maximum(100.0 * solid, 1e-9)
        bowls.add(back / 1000.0, celsius, Seed("V", "dispersed", solid=crystals, sites=sites))


def _look(
    found: Kept, heater: Heater, table: KeepTable, ask: KeepAsk, stock: _Stock, first_g: Array, at_min: float,
    every_min: float, rng: np.random.Generator,
) -> float:  # fmt: skip
    """Read, judge, add, warm and stir; return the seconds it took."""
    bowls = found.bowls
    p = bowls.members
    fat, kappa = p.rows[:, FAT], p.kappa
    before, ratio_before = bowls.temperature(), ratios(bowls.solid(), fat, kappa)
    if at_min > 0.0:
        _judge(found, at_min - 0.5 * every_min, ask)
    thick = _judged_thick(bowls, rng)
    add_g = _grams(bowls, table, ask, stock, first_g, bowls.read_thermometer(rng), thick)
    took = 0.0
    if (add_g > 0.0).any():
        _add(bowls, add_g, ask, stock)
        stirred = 0.5 * number("keep.stir")
        bowls.stir(np.where(add_g > 0.0, stirred, 0.0))
        took += stirred
    first_s, warm_s = _warm(bowls, heater, table, thick & (add_g == 0.0), rng)
    if (warm_s > 0.0).any() or (add_g > 0.0).any():
        bowls.stir(number("keep.stir"))
        took += number("keep.stir") + float(np.median(warm_s))
    now = bowls.members
    _judge(found, at_min, ask)
    found.looks.append(
        Look(at_min, before, bowls.temperature(), first_s, warm_s, add_g, thick, ratio_before,
             ratios(bowls.solid(), now.rows[:, FAT], kappa), 1000.0 * now.rows[:, MASS], np.isinf(found.ends_min()))
    )  # fmt: skip
    return took


def _warm(
    bowls: Bowls, heater: Heater, table: KeepTable, thick: NDArray[np.bool_], rng: np.random.Generator
) -> tuple[Array, Array]:
    """Warm until the thermometer in the bowl reads the aim, or by the table, stir, read and once more by the table.

    Return the seconds of the first warming and of all of it.
    """
    first = table.seconds(bowls.read_thermometer(rng), thick)
    if not (first > 0.0).any():
        return first, first
    if heater.watched and (bowls.members.noise_c < number("keep.watchable")).all():
        most = np.where(first > 0.0, number("keep.watch_most") * max(*table.easy_s, *table.thick_s), 0.0)
        spent = heater.warm_until(bowls, table.aims(thick), lambda: bowls.read_thermometer(rng), most)
        return spent, spent
    heater.warm(bowls, first)
    bowls.stir(np.where(first > 0.0, 0.5 * number("keep.stir"), 0.0))
    again = np.minimum(first, table.seconds(bowls.read_thermometer(rng), thick))
    heater.warm(bowls, again)
    return first, first + again


def _judge(found: Kept, at_min: float, ask: KeepAsk) -> None:
    """Note which bowls are too thick, too cold or without crystals for the first time."""
    bowls, p = found.bowls, found.bowls.members
    thick = bowls.solid() > crystals_at_ratio(number("bowl.thick_ratio"), p.rows[:, FAT], p.kappa)
    cold = bowls.temperature() < number(f"bowl.cold.{ask.job.chocolate}")
    for name, now in (("thick_min", thick), ("cold_min", cold), ("lost_min", bowls.stable() < number("bowl.lost"))):
        before = getattr(found, name)
        setattr(found, name, np.where(now & np.isinf(before), at_min, before))


def _judged_thick(bowls: Bowls, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Tell which bowls their cooks find thick: crystals judged by flow, each with an eye of its own."""
    p = bowls.members
    judged = bowls.solid() * (1.0 + p.eye * rng.standard_normal(len(p)))
    return np.asarray(judged > crystals_at_ratio(number("plan.flows_ratio"), p.rows[:, FAT], p.kappa))


def _grams(
    bowls: Bowls, table: KeepTable, ask: KeepAsk, stock: _Stock, first_g: Array, reads: Array, thick: NDArray[np.bool_]
) -> Array:  # fmt: skip
    """Grams to stir in: as warm chocolate is due to refill, to warm or to thin the bowl, and as far as there is any."""
    grams = 1000.0 * bowls.members.rows[:, MASS]
    missing = np.maximum(0.0, first_g - grams)
    least = np.where(thick, number("keep.least_added") * grams, number("keep.refill_step") * first_g)
    if ask.refill == "in-temper":
        wanted = missing
    else:
        to_aim = grams_to(reads, np.where(thick, table.most_c, table.kept_c), stock.warm_c, grams)
        room = np.where(thick, np.maximum(missing, number("keep.overfull") * first_g - grams), missing)
        wanted = np.where((room < least) & ~thick, 0.0, np.minimum(room, to_aim))
        least = number("keep.least_added") * grams
    wanted = rounded_grams(np.minimum(np.minimum(wanted, number("keep.most_added") * grams), stock.left))
    return np.where(wanted >= least, wanted, 0.0)


def _add(bowls: Bowls, add_g: Array, ask: KeepAsk, stock: _Stock) -> None:
    stock.left = stock.left - add_g
    if ask.refill == "in-temper":
        crystals, sites = number(f"keep.crystals.{ask.tempered}"), number(f"keep.sites.{ask.tempered}")
        bowls.add(add_g / 1000.0, stock.warm_c, Seed("V", "dispersed", solid=crystals, sites=sites))
    else:
        bowls.add(add_g / 1000.0, stock.warm_c, Seed.melted())
