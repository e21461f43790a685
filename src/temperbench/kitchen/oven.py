"""Microwave ovens: what one burst delivers, and how much of it chocolate takes.

An oven is rated by what it gives to 1000 g of water. A smaller load, and chocolate instead of water, take
less; each start costs seconds of heating the filament; a switched oven cycles below full power; a hot oven
delivers less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import OutOfRange, within
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import Spread, positive, spread_of
from temperbench.foundation.units import (
    Celsius,
    Fraction,
    Joule,
    JoulePerKgK,
    Kilogram,
    Second,
    Watt,
)

__all__ = [
    "Oven", "OvenUnknowns", "absorbed_power", "burst_energy", "chocolate_share", "drift_factor",
    "on_intervals", "oven_unknowns", "rested_on_time", "safe_burst", "small_load", "water_share",
]  # fmt: skip

_BY_TIME = "use full power and shorter bursts"


@dataclass(frozen=True)
class Oven:
    """A microwave oven as a cook knows it. None means not known."""

    label_w: Watt
    measured_w: Watt | None = None  # by heating 1000 g of water
    inverter: bool | None = None
    warm: bool = False  # hot from earlier bowls
    time_base_s: Second | None = None  # length of one on-and-off cycle below full power
    level: Fraction = 1.0  # power level as a share of full power

    def __post_init__(self) -> None:
        """Refuse what no oven can be."""
        positive("oven_w", self.label_w, "W", "read the microwave output on the label")
        if self.measured_w is not None:
            positive("oven_measured_w", self.measured_w, "W", "repeat the water test")
        if self.time_base_s is not None:
            _check_cycle(self.time_base_s)
        _check_level(self.level)


@dataclass(frozen=True)
class OvenUnknowns:
    """What an oven may be, as ranges from which to draw, with what was assumed and what to mind."""

    power_w: Spread  # into 1000 g of water, oven cold. [W]
    ratio: Spread  # power into a large load of chocolate over that into as much water. [1]
    start_delay_s: Spread  # [s]
    time_base_s: Spread  # [s]
    drift: Spread  # share of the power lost when hot. [1]
    drift_time_s: Spread  # [s]
    rest_time_s: Spread  # [s]
    on_before_s: Second  # on-time behind the oven at the start
    inverter: bool
    level: Fraction
    defaults_used: tuple[str, ...]
    warnings: tuple[tuple[str, str], ...]  # stable code and text


def oven_unknowns(oven: Oven) -> OvenUnknowns:
    """Return the ranges of everything about an oven that a burst depends on."""
    defaults = []
    power = spread_of("oven.label_share").scaled(oven.label_w)
    if oven.measured_w is not None:
        power = spread_of("oven.measured_share").scaled(oven.measured_w)
    else:
        text = f"{power.mid:.0f} W ({power.low:.0f} to {power.high:.0f}) from the label of {oven.label_w:.0f} W"
        defaults.append(f"Oven power: taken as {text}, because no water test was given.")
    base = spread_of("oven.time_base")
    if oven.time_base_s is not None:
        base = Spread.exact(oven.time_base_s)
    if oven.level < 1.0 and oven.inverter is None:
        defaults.append("Kind of oven: taken as one that switches on and off below full power.")
    if oven.level < 1.0 and not oven.inverter and oven.time_base_s is None:
        defaults.append(f"Cycle of the oven: {base.mid:.0f} s ({base.low:.0f} to {base.high:.0f}).")
    return OvenUnknowns(
        power_w=power,
        ratio=spread_of("oven.load.ratio"),
        start_delay_s=spread_of("oven.start_delay"),
        time_base_s=base,
        drift=spread_of("oven.drift"),
        drift_time_s=spread_of("oven.drift_time"),
        rest_time_s=spread_of("oven.rest_time"),
        on_before_s=number("oven.warm_use") if oven.warm else 0.0,
        inverter=bool(oven.inverter),
        level=oven.level,
        defaults_used=tuple(defaults),
        warnings=_warnings(oven),
    )


def _warnings(oven: Oven) -> tuple[tuple[str, str], ...]:
    found = []
    if oven.level < 1.0 and not oven.inverter:
        text = "Below full power this oven switches on and off, and each start costs seconds: a short burst"
        found.append(("cycling-oven", f"{text} may bring as much as at full power, or nothing; {_BY_TIME}."))
    if oven.inverter and oven.level <= number("oven.level.pulsed"):
        text = "At its lowest levels an inverter oven pulses too, so a short burst is uncertain"
        found.append(("pulsing-inverter", f"{text}; {_BY_TIME}."))
    if oven.warm:
        lost = spread_of("oven.drift").scaled(100.0)
        text = f"A hot oven delivers about {lost.mid:.0f} % less ({lost.low:.0f} to {lost.high:.0f} %)"
        found.append(("warm-oven", f"{text}; seconds from a cold oven leave the bowl short."))
    return tuple(found)


def small_load(chocolate: Kilogram) -> tuple[str, str] | None:
    """Return the warning for a load so small that the oven runs nearly empty, or None.

    Parameters
    ----------
    chocolate
        Mass of chocolate. [kg]

    Returns
    -------
        Stable code and text of the warning.
    """
    least = number("oven.load.small")
    if chocolate >= least:
        return None
    text = f"Below {1000.0 * least:.0f} g the oven runs nearly empty and the seconds are uncertain"
    return "small-load", f"{text}: put a glass with 200 ml of water beside the bowl, or melt more."


def water_share(water: Kilogram) -> Fraction:
    """Power that water takes over the power that 1000 g of water take: a saturating curve.

    Parameters
    ----------
    water
        Mass of water. [kg]

    Returns
    -------
        Share of the power into 1000 g of water. [1]
    """
    return number("oven.load.full") * water / (water + number("oven.load.water_half"))


def chocolate_share(chocolate: Kilogram, ratio: Fraction | None = None) -> Fraction:
    """Power that chocolate takes over the power that 1000 g of water take.

    As for water, with a steeper fall at small loads; never more than 1. A modelling default: the exponent and
    the mass at half power are assumed, and a burst on melted chocolate in the bowl itself replaces it.

    Parameters
    ----------
    chocolate
        Mass of chocolate. [kg]
    ratio
        Power into a large load of chocolate over that into as much water; from the table when None. [1]

    Returns
    -------
        Share of the power into 1000 g of water. [1]
    """
    r = number("oven.load.ratio") if ratio is None else ratio
    square = (chocolate / number("oven.load.chocolate_half")) ** 2
    return min(1.0, number("oven.load.full") * r * square / (1.0 + square))


def drift_factor(on_time: Second, drop: Fraction | None = None, time: Second | None = None) -> Fraction:
    """Power of an oven in use over its power when cold: 1 - d (1 - exp(-t/tau)).

    Parameters
    ----------
    on_time
        On-time behind the oven, less what it has recovered by standing. [s]
    drop
        Share of the power lost in long use; from the table when None. [1]
    time
        On-time after which 63 % of the loss has come; from the table when None. [s]

    Returns
    -------
        Share of the cold oven's power. [1]
    """
    d = number("oven.drift") if drop is None else drop
    tau = number("oven.drift_time") if time is None else time
    return 1.0 + d * math.expm1(-on_time / tau)


def rested_on_time(on_time: Second, rest: Second, time: Second | None = None) -> Second:
    """On-time that still tells on an oven after a rest.

    Parameters
    ----------
    on_time
        On-time behind the oven at the start of the rest. [s]
    rest
        Standing time. [s]
    time
        Standing time after which 63 % has gone; from the table when None. [s]

    Returns
    -------
        On-time that is left. [s]
    """
    return on_time * math.exp(-rest / (number("oven.rest_time") if time is None else time))


def absorbed_power(
    full_power: Watt,
    chocolate: Kilogram,
    *,
    ratio: Fraction | None = None,
    on_time: Second = 0.0,
    power_share: Fraction = 1.0,
) -> Watt:
    """Power that goes into chocolate and its bowl together while the oven is on.

    Parameters
    ----------
    full_power
        Power into 1000 g of water, oven cold. [W]
    chocolate
        Mass of chocolate. [kg]
    ratio
        Power into a large load of chocolate over that into as much water; from the table when None. [1]
    on_time
        On-time behind the oven. [s]
    power_share
        Share of full power while on, as in `on_intervals`. [1]

    Returns
    -------
        Power taken. [W]
    """
    return full_power * chocolate_share(chocolate, ratio) * drift_factor(on_time) * power_share


def on_intervals(
    seconds: Second, level: Fraction, inverter: bool, time_base_s: Second
) -> list[tuple[Second, Second, Fraction]]:
    """Split a burst on the timer into what the oven does: on, then off, at which share of full power.

    A switched oven at level p is on for p of each cycle, from the start of the burst. At full power, and at any
    level of an inverter oven, there is one interval without an off-time. The start delay is not taken off:
    whoever uses the intervals pays it at the beginning of each.

    Parameters
    ----------
    seconds
        Burst as set on the timer. [s]
    level
        Power level as a share of full power. [1]
    inverter
        Whether the oven lowers its power instead of switching.
    time_base_s
        Length of one on-and-off cycle. [s]

    Returns
    -------
        On-time [s], off-time after it [s] and share of full power while on [1]; they add up to the burst.
    """
    shortest, longest = array("oven.timer")
    within("seconds", seconds, shortest, longest, "s", "set the timer within that")
    _check_level(level)
    _check_cycle(time_base_s)
    if seconds == 0.0:
        return []
    if inverter or level == 1.0:
        return [(seconds, 0.0, level)]
    on = level * time_base_s
    found = []
    for k in range(math.ceil(seconds / time_base_s)):
        left = seconds - k * time_base_s
        if left > 0.0:
            found.append((min(left, on), max(0.0, min(left, time_base_s) - on), 1.0))
    return found


def burst_energy(
    power: Watt,
    seconds: Second,
    *,
    level: Fraction = 1.0,
    inverter: bool = False,
    time_base_s: Second | None = None,
    start_delay: Second | None = None,
) -> Joule:
    """Energy a burst brings to its load: power times on-time, less the start delay of each on-interval.

    Parameters
    ----------
    power
        Power into the load at full power. [W]
    seconds
        Burst as set on the timer. [s]
    level
        Power level as a share of full power. [1]
    inverter
        Whether the oven lowers its power instead of switching.
    time_base_s
        Length of one on-and-off cycle; from the table when None. [s]
    start_delay
        Time without power after each start; from the table when None. [s]

    Returns
    -------
        Energy delivered. [J]
    """
    cycle = number("oven.time_base") if time_base_s is None else time_base_s
    delay = number("oven.start_delay") if start_delay is None else start_delay
    parts = on_intervals(seconds, level, inverter, cycle)
    return power * sum(share * max(0.0, on - delay) for on, _, share in parts)


def safe_burst(
    power: Watt,
    chocolate: Kilogram,
    heat: JoulePerKgK,
    *,
    hottest: Celsius,
    limit: Celsius,
    kappa: Fraction,
    start_delay: Second | None = None,
) -> Second:
    """Longest full-power burst after which a fully melted hot zone is still at or below a limit.

    Parameters
    ----------
    power
        Power into the chocolate. [W]
    chocolate
        Mass of chocolate. [kg]
    heat
        Heat capacity of melted chocolate. [J/(kg·K)]
    hottest
        Temperature of the hot zone before the burst. [°C]
    limit
        Temperature the hot zone may reach. [°C]
    kappa
        Heating of the hot zone over the mean. [1]
    start_delay
        Time without power after the start; from the table when None. [s]

    Returns
    -------
        Timer seconds; 0 when the zone is at the limit already. [s]
    """
    delay = number("oven.start_delay") if start_delay is None else start_delay
    if hottest >= limit:
        return 0.0
    return delay + (limit - hottest) * chocolate * heat / (kappa * power)


def _check_level(level: Fraction) -> None:
    if not 0.0 < level <= 1.0:
        raise OutOfRange("level", level, "a share of full power above 0 and up to 1", _BY_TIME)


def _check_cycle(time_base_s: Second) -> None:
    remedy = "count the seconds from one start of the hum to the next"
    shortest, longest = array("oven.time_base_range")
    within("time_base", time_base_s, shortest, longest, "s", remedy)
