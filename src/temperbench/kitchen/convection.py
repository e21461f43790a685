"""Heat lost to still air: free convection at plates, cylinders and spheres, and radiation.

Every correlation is one function with its own range; dimensionless numbers go in and come out. `still_air_film` puts
air, shape and temperatures together. Coefficients were compared with the code of [ht120]_.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import one_of, within
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import ZERO_CELSIUS_K
from temperbench.foundation.units import Celsius, Fraction, Metre, WattPerM2, WattPerM2K

__all__ = [
    "Air", "air_at", "grashof", "nusselt_horizontal_plate", "nusselt_packed_bed", "nusselt_sphere",
    "nusselt_vertical_cylinder", "nusselt_vertical_plate", "radiant_flux", "radiation_coefficient",
    "still_air_film",
]  # fmt: skip

_SHAPES = ("side", "top", "underside", "sphere")


@dataclass(frozen=True)
class Air:
    """Air at one temperature."""

    viscosity: float  # kinematic. [m²/s]
    conductivity: float  # [W/(m·K)]
    prandtl: float  # [1]


def air_at(film: Celsius) -> Air:
    """Return air at a film temperature, on the straight line through two table values.

    Parameters
    ----------
    film
        Mean of surface and air temperature. [°C]

    Returns
    -------
        Kinematic viscosity, conductivity and Prandtl number.
    """
    coolest, hottest = array("surfaces.air.range")
    within("film", film, coolest, hottest, "°C", "this is about bowls in a kitchen")
    low, high = array("surfaces.air.temperature")
    part = (film - low) / (high - low)
    pairs = (array(f"surfaces.air.{name}") for name in ("viscosity", "conductivity", "prandtl"))
    return Air(*(first + part * (second - first) for first, second in pairs))


def grashof(surface: Celsius, air: Celsius, length: Metre) -> Fraction:
    """Grashof number g beta dT L³/nu² of a surface in air, with the properties at the film temperature.

    Parameters
    ----------
    surface
        Temperature of the surface. [°C]
    air
        Temperature of the air. [°C]
    length
        Height of a wall, diameter of a sphere, a quarter of the diameter of a disc. [m]

    Returns
    -------
        Grashof number, zero or more. [1]
    """
    film = (surface + air) / 2.0
    lift = number("surfaces.gravity") * abs(surface - air) / (film + ZERO_CELSIUS_K)
    return float(lift * length**3 / air_at(film).viscosity ** 2)


def nusselt_vertical_plate(prandtl: Fraction, grashof_number: Fraction) -> Fraction:
    """Nusselt number of an isothermal vertical plate, laminar and turbulent: Churchill & Chu 1975.

    [churchillchu1975]_, as in Bergman et al., example 9.2. For all Rayleigh numbers; for an upright cylinder where
    D/L >= 35/Gr^(1/4).

    Parameters
    ----------
    prandtl
        Prandtl number. [1]
    grashof_number
        Grashof number on the height. [1]

    Returns
    -------
        Nusselt number on the height. [1]
    """
    rayleigh = prandtl * grashof_number
    damping = (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return float((0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / damping) ** 2)


def nusselt_horizontal_plate(prandtl: Fraction, grashof_number: Fraction, rising: bool = True) -> Fraction:
    """Nusselt number of a horizontal plate: McAdams, Heat Transmission, 3rd ed.

    Rayleigh 1e4 to 1e7 and 1e7 to 1e11 when the air can rise off the plate, 1e5 to 1e10 when the plate is in its way.

    Parameters
    ----------
    prandtl
        Prandtl number. [1]
    grashof_number
        Grashof number on area over perimeter. [1]
    rising
        Whether the air leaves the plate freely: a hot plate facing up, or a cold one facing down.

    Returns
    -------
        Nusselt number on area over perimeter. [1]
    """
    rayleigh = prandtl * grashof_number
    if not rising:
        return float(0.27 * rayleigh**0.25 if rayleigh <= 1e10 else 0.15 * rayleigh ** (1.0 / 3.0))
    return float(0.54 * rayleigh**0.25 if rayleigh <= 1e7 else 0.15 * rayleigh ** (1.0 / 3.0))


def nusselt_sphere(prandtl: Fraction, grashof_number: Fraction) -> Fraction:
    """Nusselt number of an isothermal sphere: Churchill, in Heat Exchanger Design Handbook (1987).

    For Rayleigh below 1e13. A hemispherical bowl in the open loses about as half of it.

    Parameters
    ----------
    prandtl
        Prandtl number. [1]
    grashof_number
        Grashof number on the diameter. [1]

    Returns
    -------
        Nusselt number on the diameter. [1]
    """
    rayleigh = prandtl * grashof_number
    damping = 1.0 + (0.469 / prandtl) ** (9.0 / 16.0)
    turbulent = (1.0 + 7.44e-8 * rayleigh / damping ** (16.0 / 9.0)) ** (1.0 / 12.0)
    return float(2.0 + 0.589 * rayleigh**0.25 / damping ** (4.0 / 9.0) * turbulent)


def nusselt_vertical_cylinder(prandtl: Fraction, grashof_number: Fraction, height: Metre, diameter: Metre) -> Fraction:
    """Nusselt number of an upright cylinder: the plate corrected for its curvature.

    Popiel, Wojtkowiak & Bober 2007, Exp. Therm. Fluid Sci. 32:607; for Prandtl numbers from 0.01 to 100.

    Parameters
    ----------
    prandtl
        Prandtl number. [1]
    grashof_number
        Grashof number on the height. [1]
    height
        Height. [m]
    diameter
        Diameter. [m]

    Returns
    -------
        Nusselt number on the height. [1]
    """
    b = 0.0571322 + 0.20305 * prandtl**-0.43
    c = 0.9165 - 0.0043 * prandtl**0.5 + 0.01333 * math.log(prandtl) + 0.0004809 / prandtl
    curvature = 32.0**0.5 * grashof_number**-0.25 * height / diameter
    return float(nusselt_vertical_plate(prandtl, grashof_number) * (1.0 + b * curvature**c))


def nusselt_packed_bed(reynolds: Fraction, prandtl: Fraction) -> Fraction:
    """Nusselt number of particles in a flow through their bed: Wakao & Kagei 1982.

    Fitted for Reynolds numbers from 3 to 3000. Too high for buttons stirred in their own liquid, where slip is small.

    Parameters
    ----------
    reynolds
        Reynolds number on the particle's diameter. [1]
    prandtl
        Prandtl number. [1]

    Returns
    -------
        Nusselt number on the particle's diameter. [1]
    """
    return float(2.0 + 1.1 * prandtl ** (1.0 / 3.0) * reynolds**0.6)


def radiant_flux(emissivity: Fraction, surface: Celsius, surroundings: Celsius) -> WattPerM2:
    """Net heat radiated from a small grey surface to large surroundings.

    Parameters
    ----------
    emissivity
        Emissivity of the surface. [1]
    surface
        Temperature of the surface. [°C]
    surroundings
        Temperature of the walls around. [°C]

    Returns
    -------
        Flux, positive away from the surface. [W/m²]
    """
    hot, cold = surface + ZERO_CELSIUS_K, surroundings + ZERO_CELSIUS_K
    return float(emissivity * number("surfaces.radiation") * (hot**4 - cold**4))


def radiation_coefficient(emissivity: Fraction, surface: Celsius, surroundings: Celsius) -> WattPerM2K:
    """Radiant flux over temperature difference, also where the difference is nothing.

    Parameters
    ----------
    emissivity
        Emissivity of the surface. [1]
    surface
        Temperature of the surface. [°C]
    surroundings
        Temperature of the walls around. [°C]

    Returns
    -------
        Coefficient. [W/(m²·K)]
    """
    hot, cold = surface + ZERO_CELSIUS_K, surroundings + ZERO_CELSIUS_K
    return float(emissivity * number("surfaces.radiation") * (hot**2 + cold**2) * (hot + cold))


def still_air_film(shape: str, surface: Celsius, air: Celsius, length: Metre) -> WattPerM2K:
    """Film coefficient of free convection at a surface in still air, radiation left out.

    Parameters
    ----------
    shape
        ``side`` (upright wall), ``top`` (facing up), ``underside`` (facing down) or ``sphere``.
    surface
        Temperature of the surface. [°C]
    air
        Temperature of the air. [°C]
    length
        Height of a wall, diameter of a sphere, a quarter of the diameter of a disc. [m]

    Returns
    -------
        Coefficient. [W/(m²·K)]
    """
    one_of("shape", shape, _SHAPES)
    here = air_at((surface + air) / 2.0)
    gr = grashof(surface, air, length)
    if shape == "side":
        nusselt = nusselt_vertical_plate(here.prandtl, gr)
    elif shape == "sphere":
        nusselt = nusselt_sphere(here.prandtl, gr)
    else:
        nusselt = nusselt_horizontal_plate(here.prandtl, gr, rising=(shape == "top") == (surface >= air))
    return nusselt * here.conductivity / length
