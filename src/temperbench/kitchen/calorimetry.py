"""How much an oven delivers, found with water or chocolate, a thermometer and a clock.

The rating on the label follows the method of the standard; a kitchen has simpler tests. Each turns a temperature
rise into watts. Readings come from people, so figures that cannot be are refused with a remedy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from temperbench.foundation.errors import InputError, OutOfRange, one_of
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import positive
from temperbench.foundation.units import (
    Celsius,
    Fraction,
    Gram,
    JoulePerKelvin,
    JoulePerKgK,
    Kelvin,
    Second,
    Watt,
)

__all__ = [
    "agreed_power", "calorimetric_power", "kitchen_test", "power_error", "rated_power", "reported_power",
    "time_to_heat",
]  # fmt: skip

# Kitchen tests by name and the number of vessels whose rises are averaged.
_VESSELS = {"two-litre": 2, "two-half-litre": 2, "one-litre": 1}


def rated_power(
    *,
    water: Gram,
    start: Celsius,
    end: Celsius,
    vessel: Gram,
    room: Celsius,
    seconds: Second,
) -> Watt:
    """Power output by the method of IEC 60705, clause 8 (recalled).

    About 1000 g of water in a thin borosilicate vessel are heated from 10 °C to near the room's temperature; the
    vessel starts at the temperature of the room.

    Parameters
    ----------
    water
        Mass of water. [g]
    start
        Temperature of the water before. [°C]
    end
        Temperature of the stirred water after. [°C]
    vessel
        Mass of the vessel. [g]
    room
        Temperature of the room and of the empty vessel. [°C]
    seconds
        Time at full power, the heating of the filament left out. [s]

    Returns
    -------
        Power output, not rounded. [W]
    """
    positive("water", water, "g", "weigh the water")
    positive("seconds", seconds, "s", "time the burst")
    if not end > start:
        raise OutOfRange("end", end, f"above the start of {start:g} °C", "stir and read again")
    if vessel < 0.0:
        raise OutOfRange("vessel", vessel, "0 g or more", "weigh the empty vessel")
    warmed = number("oven.iec.water_heat") * water * (end - start)
    return (warmed + number("oven.iec.vessel_heat") * vessel * (end - room)) / seconds


def reported_power(power: Watt) -> Watt:
    """Power as it is printed on a label: to the nearest 50 W, halves upwards.

    Parameters
    ----------
    power
        Power output found. [W]

    Returns
    -------
        Rounded power. [W]
    """
    step = number("oven.iec.rounding")
    return step * math.floor(power / step + 0.5)


def kitchen_test(test: str, rises: Sequence[Kelvin]) -> Watt:
    """Power from a kitchen test with water near room temperature.

    ``two-litre``: two vessels with 1000 g each, touching, in the centre, 122 s. ``two-half-litre``: two with 500 ml,
    62 s. ``one-litre``: one with 1000 g, 120 s. Full power, cold oven; stir and read within 15 s.

    Parameters
    ----------
    test
        Name of the test.
    rises
        Temperature rise of each vessel. [K]

    Returns
    -------
        Power into the water. [W]
    """
    one_of("test", test, _VESSELS)
    if len(rises) != _VESSELS[test]:
        raise InputError("rises", len(rises), f"{_VESSELS[test]} for this test", "give one rise for each vessel")
    for rise in rises:
        positive("rise", rise, "K", "check the order of the two readings")
    return number(f"oven.test.{test}") * sum(rises) / len(rises)


def calorimetric_power(
    *,
    mass: Gram,
    rise: Kelvin,
    seconds: Second,
    heat: JoulePerKgK,
    start_delay: Second | None = None,
    bowl_heat: JoulePerKelvin = 0.0,
    bowl_rise: Kelvin = 0.0,
) -> Watt:
    """Power from heating any load in any bowl: heat taken up over the time with power.

    With melted chocolate in the cook's own bowl the result is what that bowl takes, and replaces rating and load
    curve.

    Parameters
    ----------
    mass
        Mass of the load. [g]
    rise
        Temperature rise of the stirred load. [K]
    seconds
        Burst as set on the timer. [s]
    heat
        Heat capacity of the load. [J/(kg·K)]
    start_delay
        Time without power after the start; from the table when None. [s]
    bowl_heat
        Heat capacity of the bowl. [J/K]
    bowl_rise
        Temperature rise of the bowl. [K]

    Returns
    -------
        Power into load and bowl. [W]
    """
    delay = number("oven.start_delay") if start_delay is None else start_delay
    positive("mass", mass, "g", "weigh the load")
    positive("rise", rise, "K", "check the order of the two readings")
    if not seconds > delay:
        raise OutOfRange("seconds", seconds, f"more than the start delay of {delay:g} s", "use a longer burst")
    return (mass / 1000.0 * heat * rise + bowl_heat * bowl_rise) / (seconds - delay)


def agreed_power(runs: Sequence[Watt]) -> Watt:
    """Return the mean of repeated runs; refuse them when one lies too far from it.

    Parameters
    ----------
    runs
        Power found in each run. [W]

    Returns
    -------
        Mean power. [W]
    """
    if not runs:
        raise InputError("runs", 0, "one or more", "do the test, three times if you can")
    for run in runs:
        positive("runs", run, "W", "repeat that run")
    mean = sum(runs) / len(runs)
    allowed = number("oven.test.agree")
    for run in runs:
        if abs(run - mean) > allowed * mean:
            limits = f"within {100.0 * allowed:.0f} % of the mean of {mean:.0f} W"
            raise OutOfRange("runs", run, limits, "let the oven cool for half an hour and repeat that run")
    return mean


def power_error(rise: Kelvin, seconds: Second) -> Fraction:
    """Relative error of a kitchen test, from the errors of two temperatures, the clock and the scales.

    Parameters
    ----------
    rise
        Temperature rise. [K]
    seconds
        Time with power. [s]

    Returns
    -------
        One standard deviation over the power. [1]
    """
    readings = 2.0 * (number("oven.test.temperature_error") / rise) ** 2
    clock = (number("oven.test.time_error") / seconds) ** 2
    return math.sqrt(readings + clock + number("oven.test.mass_error") ** 2)


def time_to_heat(power: Watt, mass: Gram, rise: Kelvin, heat: JoulePerKgK) -> Second:
    """Time a power needs to heat a load without loss.

    Parameters
    ----------
    power
        Power into the load. [W]
    mass
        Mass of the load. [g]
    rise
        Temperature rise. [K]
    heat
        Heat capacity of the load. [J/(kg·K)]

    Returns
    -------
        Time with power. [s]
    """
    return mass / 1000.0 * heat * rise / positive("power", power, "W", "give the power of the oven")
