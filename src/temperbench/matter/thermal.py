"""Heat in chocolate as a whole: measured defaults, latent heat, stirring solid into liquid, contact."""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import InputError, one_of, within
from temperbench.foundation.evidence import number
from temperbench.foundation.units import (
    Celsius,
    Effusivity,
    Fraction,
    JoulePerKg,
    JoulePerKgK,
    KgPerM3,
    Kilogram,
    SquareMetrePerSecond,
    WattPerMK,
)

__all__ = [
    "Bulk",
    "chocolate_bulk",
    "chocolate_latent_heat",
    "cold_addition",
    "contact_temperature",
    "fat_latent_heat",
]


@dataclass(frozen=True)
class Bulk:
    """Heat properties of a material taken as uniform, latent heat left out."""

    specific_heat: JoulePerKgK
    conductivity: WattPerMK
    density: KgPerM3

    @property
    def diffusivity(self) -> SquareMetrePerSecond:
        """How fast a temperature evens out. [m²/s]"""
        return self.conductivity / (self.density * self.specific_heat)

    @property
    def effusivity(self) -> Effusivity:
        """How much heat it gives on contact. [W·s^½/(m²·K)]"""
        return math.sqrt(self.conductivity * self.density * self.specific_heat)


def chocolate_bulk() -> Bulk:
    """Return the measured default properties of chocolate between 15 and 60 °C [beckett2009]_.

    Returns
    -------
    Bulk
        Specific heat without latent heat, conductivity and density. [-]
    """
    found = (number(f"thermal.chocolate.{name}") for name in ("cp", "k", "rho"))
    return Bulk(*found)


def chocolate_latent_heat(fat: Fraction, crystals: Fraction, heat_of_fat: JoulePerKg) -> JoulePerKg:
    """Heat that the crystals of one kilogram of chocolate take up on melting.

    Parameters
    ----------
    fat : Fraction
        Total fat over chocolate, by mass. [1]
    crystals : Fraction
        Crystals over total fat, by mass. [1]
    heat_of_fat : JoulePerKg
        Heat of fusion of the crystals. [J/kg]

    Returns
    -------
    JoulePerKg
        Latent heat per kilogram of chocolate. [J/kg]
    """
    return fat * crystals * heat_of_fat


def fat_latent_heat(fat: Fraction, kind: str = "dark") -> JoulePerKg:
    """Heat of fusion per kilogram of fat that a measured full melt of chocolate implies [beckett2009]_.

    Parameters
    ----------
    fat : Fraction
        Total fat over chocolate, by mass, of the chocolate measured. [1]
    kind : str
        dark or milk: the two that were measured. [-]

    Returns
    -------
    JoulePerKg
        Heat of fusion per kilogram of fat. [J/kg]
    """
    one_of("kind", kind, ("dark", "milk"))
    within("fat", fat, 0.01, 1.0, "kg/kg", "give the fat as a share of the chocolate")
    return number(f"thermal.chocolate.latent.{kind}") / fat


def cold_addition(
    warm_mass: Kilogram, warm: Celsius, cold_mass: Kilogram, cold: Celsius, melted_share: Fraction
) -> Celsius:
    """Temperature after stirring solid chocolate into liquid, when it is known how much of it melts.

    Arithmetic of one heat balance, no loss, bowl left out. It does not ask whether that share can melt at the
    temperature it finds: with the equilibrium of the fat solved at the same time a bowl ends warmer.

    Parameters
    ----------
    warm_mass : Kilogram
        Liquid chocolate. [kg]
    warm : Celsius
        Its temperature. [°C]
    cold_mass : Kilogram
        Solid chocolate added. [kg]
    cold : Celsius
        Its temperature. [°C]
    melted_share : Fraction
        Share of the added crystals that melts, 0 to 1. [1]

    Returns
    -------
    Celsius
        Temperature of the mix. [°C]

    Examples
    --------
    >>> round(cold_addition(0.75, 45.0, 0.25, 20.0, 1.0), 1)
    32.0
    """
    within("melted_share", melted_share, 0.0, 1.0, "kg/kg", "0 is nothing melted, 1 is all of it")
    within("warm_mass", warm_mass, 0.0, math.inf, "kg", "a mass cannot be negative")
    within("cold_mass", cold_mass, 0.0, math.inf, "kg", "a mass cannot be negative")
    if not 0.0 < warm_mass + cold_mass < math.inf:
        raise InputError("warm_mass", warm_mass, "more than 0 kg together with the addition", "weigh the bowl")
    liquid = warm_mass * number("thermal.chocolate.cp.liquid")
    solid = cold_mass * number("thermal.chocolate.cp.solid")
    taken = cold_mass * number("thermal.chocolate.latent.dark") * melted_share
    return (liquid * warm + solid * cold - taken) / (liquid + solid)


def contact_temperature(one: Effusivity, one_at: Celsius, other: Effusivity, other_at: Celsius) -> Celsius:
    """Temperature of the face where two thick bodies have just touched.

    Parameters
    ----------
    one : Effusivity
        Effusivity of the first body. [W·s^½/(m²·K)]
    one_at : Celsius
        Its temperature. [°C]
    other : Effusivity
        Effusivity of the second body. [W·s^½/(m²·K)]
    other_at : Celsius
        Its temperature. [°C]

    Returns
    -------
    Celsius
        Contact temperature. [°C]

    Examples
    --------
    >>> round(contact_temperature(718.0, 45.0, 2496.0, 20.0), 1)
    25.6
    """
    return (one * one_at + other * other_at) / (one + other)
