"""Figures in words, as every drawing and card writes them: degrees, minutes, and the chart's one sentence."""

from __future__ import annotations

from temperbench.app.results import Band, BurstPlan
from temperbench.foundation.quantities import show_celsius
from temperbench.foundation.units import Celsius, Minute

__all__ = [
    "caption", "degrees", "degrees_between", "forecast", "in_unit", "minute_band", "minutes", "minutes_between",
    "unit_sign",
]  # fmt: skip

_WHOLE_FROM_MIN, _WHOLE_ALWAYS_MIN = 9.95, 60.0


def unit_sign(fahrenheit: bool) -> str:
    """Return "°C" or "°F".

    Parameters
    ----------
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        The sign of the unit. [-]
    """
    return "°F" if fahrenheit else "°C"


def in_unit(celsius: Celsius, fahrenheit: bool) -> float:
    """Return a temperature on the scale that is shown.

    Parameters
    ----------
    celsius : Celsius
        Temperature. [°C]
    fahrenheit : bool
        Whether the scale shown is Fahrenheit's. [-]

    Returns
    -------
    float
        The same temperature in degrees of that scale. [-]
    """
    return celsius * 1.8 + 32.0 if fahrenheit else celsius


def degrees(celsius: Celsius, fahrenheit: bool = False, *, unit: bool = True) -> str:
    """Write a temperature with one decimal: stop and limit lie less than a whole degree Fahrenheit apart.

    Parameters
    ----------
    celsius : Celsius
        Temperature. [°C]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]
    unit : bool
        Whether the unit follows the number. [-]

    Returns
    -------
    str
        For example "34.0 °C". [-]
    """
    if not fahrenheit:
        written = show_celsius(celsius)
        return written if unit else written.removesuffix(" °C")
    number = f"{in_unit(celsius, True):.1f}".replace("-", "−")
    return f"{number} °F" if unit else number


def degrees_between(low: Celsius, high: Celsius, fahrenheit: bool = False) -> str:
    """Write a range of temperatures, the unit once at its end.

    Parameters
    ----------
    low : Celsius
        Lower end. [°C]
    high : Celsius
        Upper end. [°C]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        For example "31.0 to 32.0 °C". [-]
    """
    return f"{degrees(low, fahrenheit, unit=False)} to {degrees(high, fahrenheit)}"


def forecast(band: Band, fahrenheit: bool = False) -> str:
    """Write a forecast of a temperature with its band.

    Parameters
    ----------
    band : Band
        5 % point, median and 95 % point, in degrees Celsius. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        For example "32.1 °C (31.5 to 32.8)". [-]
    """
    low, high = (degrees(end, fahrenheit, unit=False) for end in (band.low, band.high))
    return f"{degrees(band.mid, fahrenheit)} ({low} to {high})"


def minutes(value: Minute) -> str:
    """Write a time in minutes: one decimal below ten, whole minutes from there on.

    Parameters
    ----------
    value : Minute
        Time. [min]

    Returns
    -------
    str
        For example "2.4 min" or "23 min". [-]
    """
    return f"{_figure(value, value)} min"


def minutes_between(low: Minute, mid: Minute, high: Minute) -> str:
    """Write a forecast of a time with its band, all with as many decimals as its median.

    Parameters
    ----------
    low : Minute
        Its 5 % point. [min]
    mid : Minute
        The median. [min]
    high : Minute
        Its 95 % point. [min]

    Returns
    -------
    str
        For example "7.0 min (5.4 to 9.2)". [-]
    """
    return f"{minutes(mid)} {minute_band(low, mid, high)}"


def minute_band(low: Minute, mid: Minute, high: Minute) -> str:
    """Write the band of a time in minutes.

    Parameters
    ----------
    low : Minute
        Its 5 % point. [min]
    mid : Minute
        The median, which decides how many decimals make sense. [min]
    high : Minute
        Its 95 % point. [min]

    Returns
    -------
    str
        For example "(5.4 to 9.2)". [-]
    """
    return f"({_figure(low, mid)} to {_figure(high, mid)})"


def _figure(value: Minute, median: Minute) -> str:
    whole = median >= _WHOLE_FROM_MIN or value >= _WHOLE_ALWAYS_MIN
    return f"{value:.0f}" if whole else f"{value:.1f}"


def caption(plan: BurstPlan, *, fahrenheit: bool = False) -> str:
    """Say in one sentence what the chart of a plan shows; it is also the chart's accessible description.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    count = sum(step.seconds > 0 for step in plan.bursts)
    down = plan.draw_down_min
    return (
        f"Up in {count} {'burst' if count == 1 else 'bursts'} ({plan.total_burst_s} s of oven in "
        f"{minutes(plan.total_min)}) to the stop at {degrees(plan.stop_c, fahrenheit)}, under the limit of "
        f"{degrees(plan.limit_c, fahrenheit)}, then {minutes_between(down.low, down.mid, down.high)} of "
        f"stirring down into the working window, {degrees_between(plan.work_from_c, plan.work_to_c, fahrenheit)}."
    )
