"""Heat properties of the components of food, and of chocolate as a mixture of them.

Polynomials after Choi and Okos as tabulated in [ashrae2006]_, with one swap: sugar crystals take the specific
heat of crystalline sucrose [mohos2010]_; that of carbohydrate at large is a third too high.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from temperbench.foundation.errors import InputError, one_of, within
from temperbench.foundation.evidence import array
from temperbench.foundation.units import Celsius, JoulePerKgK, KgPerM3, WattPerMK

__all__ = [
    "COMPONENTS",
    "component_conductivity",
    "component_density",
    "component_specific_heat",
    "mixture_conductivity",
    "mixture_density",
    "mixture_specific_heat",
]

COMPONENTS = ("water", "protein", "fat", "carbohydrate", "fibre", "ash", "sucrose")


def component_specific_heat(component: str, temperature: Celsius) -> JoulePerKgK:
    """Specific heat of one component of food.

    Parameters
    ----------
    component : str
        One of `COMPONENTS`. [-]
    temperature : Celsius
        Temperature, -40 to 150; water from 0, crystalline sucrose 0 to 60. [°C]

    Returns
    -------
    JoulePerKgK
        Specific heat without latent heat. [J/(kg·K)]

    Examples
    --------
    >>> round(component_specific_heat("fat", 20.0), 1)
    2011.7
    """
    return _polynomial("cp", component, temperature)


def component_conductivity(component: str, temperature: Celsius) -> WattPerMK:
    """Thermal conductivity of one component of food; sucrose counts as carbohydrate.

    Parameters
    ----------
    component : str
        One of `COMPONENTS`. [-]
    temperature : Celsius
        Temperature, -40 to 150; water from 0. [°C]

    Returns
    -------
    WattPerMK
        Conductivity. [W/(m·K)]
    """
    return _polynomial("k", component, temperature)


def component_density(component: str, temperature: Celsius) -> KgPerM3:
    """Density of one component of food; sucrose counts as carbohydrate.

    Parameters
    ----------
    component : str
        One of `COMPONENTS`. [-]
    temperature : Celsius
        Temperature, -40 to 150; water from 0. [°C]

    Returns
    -------
    KgPerM3
        Density. [kg/m³]
    """
    return _polynomial("rho", component, temperature)


def mixture_specific_heat(parts: Mapping[str, float], temperature: Celsius) -> JoulePerKgK:
    """Specific heat of a mixture: the mean of its components by mass.

    Parameters
    ----------
    parts : Mapping[str, float]
        Mass share of each component, together 1. [-]
    temperature : Celsius
        Temperature. [°C]

    Returns
    -------
    JoulePerKgK
        Specific heat without latent heat. [J/(kg·K)]
    """
    _check_parts(parts)
    return sum(share * component_specific_heat(name, temperature) for name, share in parts.items())


def mixture_density(parts: Mapping[str, float], temperature: Celsius) -> KgPerM3:
    """Density of a mixture without air: volumes add.

    Parameters
    ----------
    parts : Mapping[str, float]
        Mass share of each component, together 1. [-]
    temperature : Celsius
        Temperature. [°C]

    Returns
    -------
    KgPerM3
        Density. [kg/m³]
    """
    _check_parts(parts)
    return 1.0 / sum(share / component_density(name, temperature) for name, share in parts.items())


def mixture_conductivity(parts: Mapping[str, float], temperature: Celsius) -> WattPerMK:
    """Thermal conductivity of a mixture: the mean of its components by volume, the upper of the usual bounds.

    Parameters
    ----------
    parts : Mapping[str, float]
        Mass share of each component, together 1. [-]
    temperature : Celsius
        Temperature. [°C]

    Returns
    -------
    WattPerMK
        Conductivity. [W/(m·K)]
    """
    _check_parts(parts)
    volumes = {name: share / component_density(name, temperature) for name, share in parts.items()}
    conducted = sum(volume * component_conductivity(name, temperature) for name, volume in volumes.items())
    return conducted / sum(volumes.values())


def _polynomial(name: str, component: str, temperature: float) -> float:
    one_of("component", component, COMPONENTS)
    crystal = component == "sucrose" and name == "cp"
    low, high = array("thermal.cp.sucrose.range" if crystal else "thermal.range")
    low = max(low, 0.0) if component == "water" else low
    within("temperature", temperature, low, high, "°C", f"outside it the law for {component} is not known")
    kept = "carbohydrate" if component == "sucrose" and not crystal else component
    constant, linear, quadratic = array(f"thermal.{name}.{kept}")
    return constant + (linear + quadratic * temperature) * temperature


def _check_parts(parts: Mapping[str, float]) -> None:
    for name, share in parts.items():
        within(f"parts.{name}", share, 0.0, 1.0, "kg/kg", "give every part as a share of the whole")
    total = sum(parts.values())
    if not math.isclose(total, 1.0, abs_tol=1e-6):
        raise InputError("parts", total, "shares that add up to 1", "check the shares, water and ash included")
