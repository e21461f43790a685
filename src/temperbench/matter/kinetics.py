"""Laws of crystallisation that have a closed form: Avrami growth, Foubert setting, and the slow transitions.

The model of the bowl integrates its own rate laws (`temperbench.matter.crystals`); these stand beside it for
checks, for fitting measured curves, and for the life of a piece in store.
"""

from __future__ import annotations

import math

from temperbench.foundation.errors import InputError, within
from temperbench.foundation.evidence import array, number
from temperbench.foundation.units import (
    Celsius,
    Fraction,
    MetrePerSecond,
    PerM3,
    PerSecond,
    Second,
    ShapeFactor,
)

__all__ = [
    "avrami_fraction",
    "avrami_volume",
    "foubert_rate",
    "foubert_remaining",
    "time_to_form_six",
    "unstable_lifetime",
]

_HOUR_S = 3600.0
_DAY_S = 24.0 * _HOUR_S
_SERIES_BELOW = 1.0  # below this the closed bracket loses digits by cancellation and the series is used
_SERIES_TERMS = 20


def avrami_volume(
    time: Second,
    nucleation: PerSecond,
    sites: PerM3,
    growth: MetrePerSecond,
    *,
    shape: ShapeFactor,
    dimensions: int = 3,
) -> Fraction:
    """Extended crystal volume of Avrami's exact theory (1940, J. Chem. Phys. 8:212), in 1, 2 or 3 dimensions.

    ``V = shape * sites * (growth * time)^m * f_m(nucleation * time)``, where ``f_m`` rises from 0 (nuclei
    appear one by one) to 1 (all nuclei are there at once).

    Parameters
    ----------
    time : Second
        Time since the start, 0 or more. [s]
    nucleation : PerSecond
        Chance per time that a site becomes a nucleus. [1/s]
    sites : PerM3
        Sites that can become nuclei. [1/m³]
    growth : MetrePerSecond
        Speed of the crystal face. [m/s]
    shape : ShapeFactor
        4π/3 for spheres, π times thickness for discs, cross-section for needles. [m^(3−m)]
    dimensions : int
        The m of the theory: 1, 2 or 3. [-]

    Returns
    -------
    Fraction
        Volume the crystals would have if they never met. [1]
    """
    if dimensions not in (1, 2, 3):
        raise InputError("dimensions", dimensions, "1, 2 or 3", "needles are 1, discs 2, spheres 3")
    within("time", time, 0.0, math.inf, "s", "count the time from the start")
    within("nucleation", nucleation, 0.0, math.inf, "1/s", "a chance cannot be negative")
    return shape * sites * (growth * time) ** dimensions * _started(nucleation * time, dimensions)


def avrami_fraction(volume: Fraction) -> Fraction:
    """Crystallised share that an extended volume means, because crystals that meet stop growing.

    Parameters
    ----------
    volume : Fraction
        Extended volume, from `avrami_volume`. [1]

    Returns
    -------
    Fraction
        Share crystallised. [1]
    """
    return -math.expm1(-within("volume", volume, 0.0, math.inf, "", "an extended volume cannot be negative"))


def _started(tau: float, m: int) -> float:
    """Mean m-th power of the nuclei's age over the time passed: ``m!/tau^m`` times the theory's bracket."""
    if tau < _SERIES_BELOW:
        term, total = tau / (m + 1.0), 0.0
        for k in range(m + 1, m + 1 + _SERIES_TERMS):
            total += term
            term *= -tau / (k + 1.0)
        return total
    polynomial = sum((-tau) ** k / math.factorial(k) for k in range(m + 1))
    return float((-1) ** (m + 1) * math.factorial(m) * (math.exp(-tau) - polynomial) / tau**m)


def foubert_rate(remaining: Fraction, rate: PerSecond, order: Fraction) -> PerSecond:
    """Speed at which the share still to crystallise changes in Foubert's law [foubert2002]_.

    Parameters
    ----------
    remaining : Fraction
        Share still to crystallise, 0 to 1. [1]
    rate : PerSecond
        Rate constant K. [1/s]
    order : Fraction
        Order n of the reverse reaction, above 1; 2 gives the logistic curve. [1]

    Returns
    -------
    PerSecond
        Change of the share per time, 0 or less. [1/s]
    """
    return float(rate * (remaining**order - remaining))


def foubert_remaining(time: Second, rate: PerSecond, order: Fraction, start: Fraction | None = None) -> Fraction:
    """Share still to crystallise after a time: `foubert_rate` integrated at one temperature [foubert2002]_.

    Parameters
    ----------
    time : Second
        Time since the start, 0 or more. [s]
    rate : PerSecond
        Rate constant K. [1/s]
    order : Fraction
        Order n of the reverse reaction, above 1 and up to 50. [1]
    start : Fraction | None
        Share still to crystallise at the start, 0 to 1; when not given, that at the end of induction. [1]

    Returns
    -------
    Fraction
        Share still to crystallise. [1]
    """
    if start is None:
        start = 1.0 - number("kinetics.foubert.crystallised_at_induction")
    within("time", time, 0.0, math.inf, "s", "count the time from the start")
    within("rate", rate, 0.0, math.inf, "1/s", "a rate constant cannot be negative")
    within("order", order, 1.0 + 1e-6, 50.0, "", "2 gives the logistic curve")
    within("start", start, 0.0, 1.0, "", "give the share that is still liquid")
    if start == 0.0:
        return 0.0
    slow = order - 1.0
    behind = -slow * math.log(start)
    if behind == 0.0:
        return 1.0
    exponent = behind + math.log(-math.expm1(-behind)) + slow * rate * time
    # log of 1 + (start^-slow - 1)·exp(slow·rate·time), without overflow
    whole = exponent + math.log1p(math.exp(-exponent)) if exponent > 0.0 else math.log1p(math.exp(exponent))
    return math.exp(-whole / slow)


def unstable_lifetime(temperature: Celsius) -> Second:
    """How long the unstable forms last before they have mostly turned into V, at rest.

    Straight line in the logarithm between two observations [marangoni2003]_; the cold one is a lower bound.

    Parameters
    ----------
    temperature : Celsius
        Temperature of the piece, 10 to 27.5. [°C]

    Returns
    -------
    Second
        Lifetime. [s]

    Examples
    --------
    >>> round(unstable_lifetime(24.0) / 3600.0, 1)
    10.0
    """
    law = "unstable_to_v"
    return _log_line(law, temperature, number(f"crystals.{law}.hours_at_24") * _HOUR_S, f"crystals.{law}.per_9k")


def time_to_form_six(temperature: Celsius) -> Second:
    """How long form V lasts in store before it has mostly turned into VI.

    Straight line in the logarithm between bloom in week 3 [ali2001]_ and three years [cebula1993]_; a factor
    of three either way, and sooner when the temperature swings.

    Parameters
    ----------
    temperature : Celsius
        Temperature of the store, 10 to 33.8. [°C]

    Returns
    -------
    Second
        Time. [s]

    Examples
    --------
    >>> round(time_to_form_six(18.0) / 86400.0)
    1092
    """
    law = "v_to_vi"
    return _log_line(law, temperature, number(f"crystals.{law}.days_at_30") * _DAY_S, f"crystals.{law}.per_12k")


def _log_line(law: str, temperature: float, at_warm: float, ratio: str) -> float:
    low, high = array(f"kinetics.{law}.range")
    within("temperature", temperature, low, high, "°C", "the law is not used outside its two observations' reach")
    warm, cool = array(f"kinetics.{law}.anchors")
    return float(at_warm * number(ratio) ** ((warm - temperature) / (warm - cool)))
