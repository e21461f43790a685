"""A live bowl in temper or nearly so: when it will be too thick or too cold, what to do now, when to look again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.insight.after_stop import quantile_band
from temperbench.insight.job import BowlJob
from temperbench.insight.keeping.forecast import Ahead
from temperbench.insight.keeping.result import LiveKeeping
from temperbench.insight.keeping.table import grams_to, rounded_grams
from temperbench.insight.plan import Band
from temperbench.insight.policy import Aims, look_ahead
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["Asks", "asks_now", "keeping_now"]

_TRIED = 1  # which of the shares that planning tries is taken at the bench: a moderate one


@dataclass(frozen=True)
class Asks:
    """What bowls in temper ask for now."""

    due: bool
    thick: bool
    aim_c: float  # stirred temperature to warm it to
    seconds: int  # of a burst; 0: none would do, or there is no oven
    grams: int  # of warm melted chocolate; 0: none would do
    oven: bool

    @property
    def stop(self) -> bool:
        """Whether neither heat nor warm chocolate would do."""
        return self.thick and self.oven and not self.seconds and not self.grams

    @property
    def said(self) -> str:
        """The same in words, for a bowl that asks for something."""
        why = "it is thick" if self.thick else "it is below its window"
        if self.stop:
            return "Thick at the top of where it may be warmed: use it up, or melt it fully and temper it anew."
        added = f"stir in {self.grams} g of warm melted chocolate at {number('keep.warm_chocolate_c'):.0f} °C"
        warmed = f"warm it {self.seconds} s, to about {self.aim_c:.1f} °C"
        if not self.seconds:
            warmed = f"warm it to about {self.aim_c:.1f} °C"
            if self.oven:
                return f"{added[0].upper()}{added[1:]}: {why}."
        both = f"{warmed}, or {added}" if self.grams else warmed
        return f"{both[0].upper()}{both[1:]}: {why}."


def asks_now(job: BowlJob, bowls: Bowls, at: Temperatures, aims: Aims, flow: str | None) -> Asks:
    """Say what bowls in temper ask for; ``bowls`` are alike in weight, ``flow`` is the last word of the cook on it."""
    heat = float(np.median(bowls.temperature()))
    thick = flow in ("thick", "hardly") if flow is not None else _mostly_thick(bowls)
    shares = array("keep.thin_share" if thick else "keep.kept_share")
    aim = round(at.work_to_c + shares[_TRIED] * (at.stop_c - at.work_to_c), 1)
    due = thick or heat < at.work_from_c
    oven = job.method == "microwave" and job.oven_w is not None
    near = heat >= aim - array("keep.rows")[0]
    seconds = _seconds(bowls, aims, aim, job.level) if due and oven and not near else 0
    return Asks(due, thick, aim, seconds, _grams(bowls, heat, at) if thick else 0, oven)


def keeping_now(bowls: Bowls, at: Temperatures, asks: Asks, ahead: Ahead) -> LiveKeeping:
    """Say how bowls in temper go on if left, ``ahead``, and what they ask for now."""
    look_min = number("keep.stir") / 60.0 if asks.due else _look_again(ahead)
    thick_min, cold_min = (_minutes(times, ahead) for times in (ahead.thick_s, ahead.cold_s))
    heat = float(np.median(bowls.temperature()))
    back = " It is above its window and comes back by itself." if heat > at.work_to_c else ""
    nothing = f"Stir it now and then, and look again in {look_min:.0f} min.{back}"
    by = "too thick" if np.mean(ahead.thick_s <= ahead.cold_s) >= 0.5 else "too cold"
    return LiveKeeping(
        thick_min, cold_min, by, asks.due, asks.seconds, asks.aim_c if asks.due else None, asks.grams,
        round(look_min, 1), asks.stop, (_forecast(thick_min, cold_min, ahead), asks.said if asks.due else nothing),
    )  # fmt: skip


def _mostly_thick(bowls: Bowls) -> bool:
    p = bowls.members
    flows = crystals_at_ratio(number("plan.flows_ratio"), p.rows[:, FAT], p.kappa)
    return bool(np.mean(bowls.solid() > flows) > 0.5)


def _seconds(bowls: Bowls, aims: Aims, aim_c: float, level: float) -> int:
    """Longest burst after which the middle bowl is, stirred, at its aim, and which adds no more risk than one may."""
    grid = np.array([0.0, *array("keep.warm_seconds")])
    look = look_ahead(bowls, aims, 0.0, level, grid=grid)
    fits = np.median(look.settled_c, axis=0) <= aim_c + number("keep.overheat")
    lost, scorched = look.lost.mean(axis=0), look.scorched.mean(axis=0)
    fits &= lost - lost[0] <= number("plan.share.lost") * aims.risk_lost
    fits &= scorched - scorched[0] <= number("plan.share.lost") * aims.risk_scorch
    return int(max([0.0, *grid[fits]]))


def _grams(bowls: Bowls, heat: float, at: Temperatures) -> int:
    """Grams of warm melted chocolate that thin a thick bowl without taking it past its stop."""
    grams = 1000.0 * float(np.median(bowls.members.rows[:, MASS]))
    most_c = at.stop_c - number("keep.below_stop")
    wanted = grams_to(np.array([heat]), most_c, number("keep.warm_chocolate_c"), np.array([grams]))
    found = int(rounded_grams(np.minimum(wanted, number("keep.most_added") * grams))[0])
    return found if found >= number("keep.least_added") * grams else 0


def _look_again(ahead: Ahead) -> float:
    """Minutes until one bowl in four would be too thick or too cold, less a while to be there in time."""
    first = np.minimum(np.minimum(ahead.thick_s, ahead.cold_s), ahead.seconds[-1])
    due = float(np.quantile(first, number("keep.alarm_at"))) / 60.0 - number("keep.warn_before")
    return float(np.clip(due, 1.0, array("keep.every")[-1]))


def _minutes(times: np.ndarray, ahead: Ahead) -> Band:
    return quantile_band(np.minimum(times, ahead.seconds[-1]) / 60.0, 0)


def _about(band: Band, end: float) -> str:
    """Write a band of minutes; its ends beyond what was looked at are told so."""
    if band.low >= end:
        return f"not within {end:.0f} min"
    high = f"over {end:.0f}" if band.high >= end else f"{band.high:.0f}"
    middle = f"over {end:.0f} min" if band.mid >= end else f"about {band.mid:.0f} min"
    return f"in {middle} ({band.low:.0f} to {high})"


def _forecast(thick: Band, cold: Band, ahead: Ahead) -> str:
    end = float(ahead.seconds[-1]) / 60.0
    return f"Left alone: too thick {_about(thick, end)}, too cold {_about(cold, end)}."
