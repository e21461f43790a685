"""A bowl that is stirred and left: how it cools and thickens, and when it is too thick or too cold to work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import even_rows, quantile_band
from temperbench.insight.keeping.result import Thickening, Track
from temperbench.insight.plan import Band, Leg, Workable
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.parcel import parcel_states, run_parcels
from temperbench.matter.crystals import FAT, TEMP, X5, X6, XU
from temperbench.matter.flow import crystals_at_ratio, viscosity_ratios

__all__ = ["Ahead", "leg", "look_on", "ratios", "thickening", "track"]

_TOLERANCE = 0.05  # K a step
_POINTS = (0.05, 0.5, 0.95)


@dataclass(frozen=True)
class Ahead:
    """Bowls left to themselves: (m, times) temperatures and viscosity ratios, and when each is no longer workable."""

    seconds: Array
    heat: Array
    ratio: Array
    thick_s: Array  # (m,); infinity: not by the end
    cold_s: Array


def ratios(solid: Array, fat: Array, kappa: Array) -> Array:
    """Viscosity over that without crystals, up to the most that is shown."""
    return np.minimum(viscosity_ratios(solid, fat, kappa), number("keep.most_ratio"))


def track(seconds: Array, values: Array, digits: int = 2) -> Track:
    """Return the band of (m, times) figures over time."""
    low, mid, high = (tuple(np.round(q, digits).tolist()) for q in np.quantile(values, _POINTS, axis=0))
    return Track(tuple(seconds.tolist()), low, mid, high)


def leg(seconds: Array, heat: Array) -> Leg:
    """Return the band of (m, times) temperatures over time."""
    found = track(seconds, heat)
    return Leg(found.t_s, found.low, found.mid, found.high)


def _crossing(over: Array, seconds: Array) -> Array:
    """Seconds at which a figure first passes nothing, straight between the times; infinity where it never does."""
    past = over > 0.0
    last = np.argmax(past, axis=1)
    before = np.maximum(last - 1, 0)
    every = np.arange(len(over))
    a, b = over[every, before], over[every, last]
    share = np.divide(-a, b - a, out=np.zeros_like(a), where=(b > a) & (last > 0))
    when = seconds[before] + share * (seconds[last] - seconds[before])
    return np.asarray(np.where(past.any(axis=1), when, np.inf))


def look_on(bowls: Bowls, kind: str, minutes: float, step_min: float = 1.0) -> Ahead:
    """Follow bowls that are stirred now and then and left, from where they are."""
    p = bowls.members
    y = parcel_states(bowls.temperature(), bowls.stable(), bowls.sites())
    seconds = 60.0 * np.arange(0.0, minutes + 0.5 * step_min, step_min)
    shear = number("bowl.shear.hand")
    states = run_parcels(y, even_rows(p), p.curves, p.air_c, seconds, shear, _TOLERANCE)
    heat = states[:, :, TEMP]
    solid = states[:, :, X5] + states[:, :, X6] + states[:, :, XU]
    fat = p.rows[:, FAT]
    over = solid - crystals_at_ratio(number("bowl.thick_ratio"), fat, p.kappa)[:, None]
    under = number(f"bowl.cold.{kind}") - heat
    return Ahead(seconds, heat, ratios(solid, fat[:, None], p.kappa[:, None]), _crossing(over, seconds),
                 _crossing(under, seconds))  # fmt: skip


def thickening(ahead: Ahead) -> Thickening:
    """Condense a look ahead into bands; times beyond its end are its end."""
    end = ahead.seconds[-1]
    ends = np.minimum(np.minimum(ahead.thick_s, ahead.cold_s), end) / 60.0
    low, mid, high = np.round(np.quantile(ends, _POINTS), 1)
    by = "too thick" if np.mean(ahead.thick_s <= ahead.cold_s) >= 0.5 else "too cold"
    return Thickening(
        leg(ahead.seconds, ahead.heat), track(ahead.seconds, ahead.ratio), _minutes(ahead.thick_s, end),
        _minutes(ahead.cold_s, end), Workable(float(low), float(mid), float(high), by),
    )  # fmt: skip


def _minutes(seconds: Array, end: float) -> Band:
    return quantile_band(np.minimum(seconds, end) / 60.0, 1)
