"""After the stop: drawing down to the working window, how long it stays workable, and the setting test.

Bowls that are smooth are one parcel each: chocolate and wall at one temperature, losing heat to the room.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.plan import Band, Leg, SettingTest, Workable
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowl_layout import MASS, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT, parameter
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, latin, triangular
from temperbench.kitchen.parcel import parcel_states, run_parcels, time_to_solid
from temperbench.matter.crystals import CP, FAT, MILK_SHARE, TEMP, X5, X6, XU
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["HELD_STILL", "After", "after_stop", "band", "even_rows", "film_times", "quantile_band", "setting_test"]

HELD_STILL = 1e12  # J/(kg K): a heat capacity so large that the temperature stays
_LOW, _HIGH = 0.05, 0.95


@dataclass(frozen=True)
class After:
    """What comes after the stop."""

    draw_down_min: Band
    workable: Workable
    held: Workable
    down: Leg
    at_work: Array  # parcel states when the bowls come to the middle of the window, (m, state)
    crystals: Band  # stable crystals there, % of fat
    good: NDArray[np.bool_]  # bowls with enough crystals there and not too many
    in_window_s: Array  # seconds each bowl takes to the top of the working window, (m,)


def quantile_band(values: Array, digits: int = 2) -> Band:
    """Return the 5 %, 50 % and 95 % points."""
    low, mid, high = np.quantile(values, [_LOW, 0.5, _HIGH])
    return Band(round(float(low), digits), round(float(mid), digits), round(float(high), digits))


def band(values: Array, digits: int = 2) -> tuple[float, float, float]:
    """Return the 5 %, 50 % and 95 % points as a tuple."""
    found = quantile_band(values, digits)
    return found.low, found.mid, found.high


def even_rows(members: Members) -> Array:
    """Return rows for one parcel per bowl: chocolate and wall together, all losses on one film."""
    rows = members.rows.copy()
    rows[:, CP] += rows[:, WALL_HEAT] / rows[:, MASS]
    rows[:, TOP] += rows[:, WALL_AIR] + rows[:, WALL_BENCH]
    for name in ("wall_air", "wall_bench", "inside_0"):
        rows[:, parameter(name)] = 0.0
    rows[:, parameter("share_0")] = 1.0
    rows[:, WALL_HEAT] = 1.0
    return rows


def after_stop(bowls: Bowls, aims: Temperatures, kind: str) -> After:
    """Follow smooth bowls from the stop: unheated and stirred now and then, and held in the window."""
    members = bowls.members
    shear = number("bowl.shear.hand")
    y = parcel_states(bowls.temperature(), bowls.stable(), bowls.sites())
    seconds = 60.0 * np.arange(0.0, number("bowl.unheated.longest") + 1.0)
    states = run_parcels(y, even_rows(members), members.curves, members.air_c, seconds, shear, bowls.tolerance)
    heat = states[:, :, TEMP]
    solid = states[:, :, X5] + states[:, :, X6] + states[:, :, XU]
    in_window = _first(heat <= aims.work_to_c, seconds)
    middle = 0.5 * (aims.work_from_c + aims.work_to_c)
    at = np.minimum(np.argmax(heat <= middle, axis=1) + np.where((heat <= middle).any(axis=1), 0, len(seconds) - 1),
                    len(seconds) - 1)  # fmt: skip
    at_work = states[np.arange(len(states)), at]
    thick_at = crystals_at_ratio(number("bowl.thick_ratio"), members.rows[:, FAT], members.kappa)
    thick = _first(solid > thick_at[:, None], seconds)
    cold = _first(heat < number(f"bowl.cold.{kind}"), seconds)
    crystals = quantile_band(100.0 * (at_work[:, X5] + at_work[:, X6]))
    return After(
        draw_down_min=quantile_band(in_window / 60.0, 1),
        workable=_workable(np.maximum(0.0, thick - in_window), np.maximum(0.0, cold - in_window)),
        held=_held(members, at_work, aims.work_to_c, thick_at),
        down=_leg(seconds, heat),
        at_work=at_work,
        crystals=crystals,
        good=(at_work[:, X5] >= number("bowl.enough")) & (at_work[:, X5] <= thick_at),
        in_window_s=in_window,
    )


def _first(condition: NDArray[np.bool_], seconds: Array) -> Array:
    """Seconds at which a condition first holds; the last one where it never does."""
    return np.asarray(np.where(condition.any(axis=1), seconds[np.argmax(condition, axis=1)], seconds[-1]))


def _workable(thick_s: Array, cold_s: Array) -> Workable:
    ends = np.minimum(thick_s, cold_s) / 60.0
    low, mid, high = band(ends, 1)
    return Workable(low, mid, high, "too thick" if np.mean(thick_s <= cold_s) >= 0.5 else "too cold")


def _held(members: Members, at_work: Array, kept_c: float, thick_at: Array) -> Workable:
    """How long bowls kept at the top of the window stay workable."""
    rows = even_rows(members)
    rows[:, CP] = HELD_STILL
    y = at_work.copy()
    y[:, TEMP] = kept_c
    seconds = 300.0 * np.arange(0.0, number("bowl.held.longest") / 5.0 + 1.0)
    states = run_parcels(y, rows, members.curves, members.air_c, seconds, number("bowl.shear.hand"), 0.02)
    thick = _first(states[:, :, X5] + states[:, :, X6] + states[:, :, XU] > thick_at[:, None], seconds)
    return Workable(*band(thick / 60.0, 0), "too thick")


def _leg(seconds: Array, heat: Array) -> Leg:
    low, mid, high = np.quantile(heat, [_LOW, 0.5, _HIGH], axis=0)
    keep = slice(0, 46)  # the chart shows three quarters of an hour
    return Leg(
        tuple(seconds[keep].tolist()), tuple(low[keep].tolist()), tuple(mid[keep].tolist()), tuple(high[keep].tolist())
    )


def film_times(members: Members, states: Array, loss: Array, longest_min: float | None = None) -> Array:
    """Minutes until a smear from each bowl has set. ``loss`` (m,) in W/(kg·K); infinity: not by ``longest_min``."""
    rows = members.rows.copy()
    for name in ("wall_air", "wall_bench", "inside_0"):
        rows[:, parameter(name)] = 0.0
    for name in ("share_0", "mass", "wall_heat"):
        rows[:, parameter(name)] = 1.0
    rows[:, TOP] = loss
    longest = number("film.longest") if longest_min is None else longest_min
    return time_to_solid(states, rows, members.curves, members.air_c, _set_mark(members), 60.0 * longest) / 60.0


def _set_mark(members: Members) -> float:
    """Solid share of the fat at which a smear has set; less for a mass whose fat is mostly soft, which stays softer."""
    firm = 1.0 - float(np.median(members.rows[:, MILK_SHARE]))
    return number("film.set") * min(1.0, firm / (1.0 - number("material.trusted_soft")))


def setting_test(
    members: Members, one: Members, after: After, aims: Temperatures, rng: np.random.Generator, film: str = "paper"
) -> SettingTest:
    """Return when a smear of a good bowl has set in this room.

    ``pass_min`` is the time a bowl takes that has just enough crystals (one per cent of the fat, well dispersed), by
    the middle values of everything: whoever sets by then has enough. The band is that of
    the planned bowls that are neither short of crystals nor too thick.
    """
    loss = spread_of(f"film.{film}.loss")
    some = np.flatnonzero(after.good)
    some = some if len(some) else np.arange(len(members))
    times = film_times(members.take(some), after.at_work[some], triangular(latin(rng, len(members), 1)[0], loss)[some])
    middle = 0.5 * (aims.work_from_c + aims.work_to_c)
    enough = number("bowl.enough")
    least = film_times(one, parcel_states(middle, enough, 100.0 * enough), np.array([loss.mid]))
    longest = number("film.longest")
    low, _, high = band(np.minimum(times, longest), 1)
    return SettingTest(film, round(min(float(np.ceil(2.0 * least[0]) / 2.0), longest), 1), low, high)
