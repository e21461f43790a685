"""Thermometers and what their readings are worth: bias, noise, lag, tolerance classes, infrared and skin.

By eye is a kind too: lumps and flow tell a cook something of the temperature, with a wider bias and more noise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import OutOfRange, one_of, within
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import ZERO_CELSIUS_K, Spread, spread_of
from temperbench.foundation.units import (
    Celsius,
    Fraction,
    Kelvin,
    Metre,
    Second,
    SquareMetrePerSecond,
    WattPerM2,
    WattPerM2K,
    WattPerMK,
)
from temperbench.kitchen.vessels import material_bulk
from temperbench.matter.thermal import chocolate_bulk

__all__ = [
    "CLASSES", "KINDS", "Thermometer", "infrared_reading", "lagged_reading", "sheath_lag", "skin_cooling",
    "thermometer_of", "tolerance",
]  # fmt: skip

KINDS = ("probe", "infrared", "none")
CLASSES = ("t-1", "t-2", "k-1", "k-2", "pt100-aa", "pt100-a", "pt100-b")


@dataclass(frozen=True)
class Thermometer:
    """What tells the temperature, and how well. ``none`` is the cook's eye."""

    kind: str
    bias_c: Spread  # the same at every reading; reading less truth
    noise_sd_c: float  # afresh at every reading
    tau_s: Spread  # time to 63 % of a step, in stirred chocolate
    surface_only: bool  # reads the skin, not the inside

    @property
    def gives_a_number(self) -> bool:
        """Whether there is a figure to read; by eye there is none."""
        return self.kind != "none"


def thermometer_of(kind: str, tolerance_class: str | None = None) -> Thermometer:
    """Return a thermometer of a kind; with a class of tolerance, its bias at working temperature is the class's.

    Parameters
    ----------
    kind
        ``probe``, ``infrared`` or ``none``.
    tolerance_class
        One of `CLASSES`, for probes; None is a food probe checked in ice and warm water.

    Returns
    -------
        The thermometer.
    """
    one_of("thermometer", kind, KINDS, "use none when you judge by eye")
    bias = spread_of(f"thermometers.{kind}.bias")
    if tolerance_class is not None:
        one_of("thermometer", kind, ("probe",), "classes of tolerance are for probes")
        off = tolerance(tolerance_class, number("thermometers.at"))
        bias = Spread(-off, 0.0, off)
    noise, lag = number(f"thermometers.{kind}.noise"), spread_of(f"thermometers.{kind}.lag")
    return Thermometer(kind, bias, noise, lag, surface_only=kind == "infrared")


def tolerance(tolerance_class: str, reading: Celsius) -> Kelvin:
    """Largest error of a sensor of a class, the instrument's own error left out.

    Thermocouples of types T and K: the larger of a constant and a share of the reading. Platinum resistances: a
    constant plus a share.

    Parameters
    ----------
    tolerance_class
        One of `CLASSES`.
    reading
        Temperature. [°C]

    Returns
    -------
        Error either way. [K]
    """
    one_of("class", tolerance_class, CLASSES)
    lowest, highest = array("thermometers.limit")
    within("reading", reading, lowest, highest, "°C", "classes are asked for kitchen temperatures only")
    constant, share = array(f"thermometers.class.{tolerance_class}")
    part = share * abs(reading)
    return constant + part if tolerance_class.startswith("pt100") else max(constant, part)


def infrared_reading(
    true: Celsius, background: Celsius, emissivity: Fraction | None = None, emissivity_set: Fraction | None = None
) -> Celsius:
    """Temperature an infrared thermometer shows, over all wavelengths.

    What the surface radiates and what it mirrors of the room come back together, and are read as if they came from a
    surface of the set emissivity.

    Parameters
    ----------
    true
        Temperature of the surface. [°C]
    background
        Temperature of what the surface mirrors. [°C]
    emissivity
        Emissivity of the surface; that of chocolate, from the table, when None. [1]
    emissivity_set
        Emissivity the instrument takes for granted; from the table when None. [1]

    Returns
    -------
        Reading. [°C]
    """
    e = number("thermometers.emissivity") if emissivity is None else emissivity
    s = number("thermometers.emissivity_set") if emissivity_set is None else emissivity_set
    dullest, brightest = array("thermometers.emissivity_range")
    for field, value in (("emissivity", e), ("emissivity_set", s)):
        within(field, value, dullest, brightest, "", "take it from a table of surfaces")
    own, mirrored = (true + ZERO_CELSIUS_K) ** 4, (background + ZERO_CELSIUS_K) ** 4
    seen = (e * own + (s - e) * mirrored) / s
    if not seen > 0.0:
        raise OutOfRange("background", background, "nearer to the surface", "shade the surface from hot things")
    return float(seen**0.25 - ZERO_CELSIUS_K)


def skin_cooling(
    flux: WattPerM2,
    time: Second,
    conductivity: WattPerMK | None = None,
    diffusivity: SquareMetrePerSecond | None = None,
) -> Kelvin:
    """How far the skin of an unstirred mass sinks below its inside: 2 q sqrt(alpha t/pi)/k.

    Parameters
    ----------
    flux
        Heat lost by the surface. [W/m²]
    time
        Time since stirring. [s]
    conductivity
        Conductivity of the mass; that of chocolate when None. [W/(m·K)]
    diffusivity
        Diffusivity of the mass; that of chocolate when None. [m²/s]

    Returns
    -------
        Temperature difference. [K]
    """
    usual = chocolate_bulk()
    k = usual.conductivity if conductivity is None else conductivity
    alpha = usual.diffusivity if diffusivity is None else diffusivity
    return 2.0 * flux * math.sqrt(alpha * time / math.pi) / k


def sheath_lag(diameter: Metre, film: WattPerM2K) -> Second:
    """Time constant of a probe in a steel sheath: rho c d/(4 h).

    Parameters
    ----------
    diameter
        Diameter of the sheath. [m]
    film
        Film coefficient around it: about 2000 in stirred water, 150 in stirred chocolate. [W/(m²·K)]

    Returns
    -------
        Time to 63 % of a step; three times as long for 95 %. [s]
    """
    steel = material_bulk("steel")
    return steel.density * steel.specific_heat * diameter / (4.0 * film)


def lagged_reading(shown: Celsius, true: Celsius, time: Second, tau: Second) -> Celsius:
    """Reading some time later, the truth staying where it is: a first-order lag.

    Parameters
    ----------
    shown
        Reading now. [°C]
    true
        Temperature around the probe. [°C]
    time
        Time from now. [s]
    tau
        Time constant; 0 follows at once. [s]

    Returns
    -------
        Reading then. [°C]
    """
    return true if tau == 0.0 else true + (shown - true) * math.exp(-time / tau)
