"""How thick chocolate is: particles and crystals in liquid fat, temperature, and stress at a shear rate."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.errors import within
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Celsius, Fraction, Pascal, PascalSecond, PerSecond

__all__ = [
    "bingham_stress",
    "butter_viscosity",
    "casson_stress",
    "crystals_at_ratio",
    "kappa_prior",
    "krieger_dougherty",
    "particle_volume_share",
    "temperature_factor",
    "usual_flow",
    "viscosity_ratio",
    "viscosity_ratios",
    "yield_ratio",
]

_ICE_POINT_K = 273.15  # of the Celsius scale, by definition


def krieger_dougherty(volume_share: Fraction, packing: Fraction, intrinsic: Fraction) -> Fraction:
    """Viscosity of a suspension over that of its liquid [krieger1959]_.

    Parameters
    ----------
    volume_share : Fraction
        Volume of particles over the whole. [1]
    packing : Fraction
        Volume share at which nothing flows. [1]
    intrinsic : Fraction
        Intrinsic viscosity, 2.5 for spheres. [1]

    Returns
    -------
    Fraction
        Ratio, 1 or more; infinite from the packing limit on, where the mass does not flow. [1]
    """
    if volume_share >= packing:
        return math.inf
    return float((1.0 - volume_share / packing) ** (-intrinsic * packing))


def particle_volume_share(fat: Fraction) -> Fraction:
    """Volume of sugar, cocoa and milk particles over that of a chocolate without crystals.

    Parameters
    ----------
    fat : Fraction
        Total fat over chocolate, by mass. [1]

    Returns
    -------
    Fraction
        Volume share of the particles. [1]

    Examples
    --------
    >>> round(particle_volume_share(0.34), 3)
    0.535
    """
    within("fat", fat, 0.0, 1.0, "kg/kg", "give the fat as a share of the chocolate")
    particles = (1.0 - fat) / number("flow.density.particles")
    return particles / (particles + fat / number("flow.density.fat"))


def kappa_prior() -> Spread:
    """Hydrodynamic volume per crystal volume, before anything is known of the crystals in the bowl.

    Returns
    -------
    Spread
        Likely value and ends. [-]
    """
    return spread_of("flow.kappa")


def viscosity_ratio(crystals: Fraction, fat: Fraction, kappa: Fraction) -> Fraction:
    """Viscosity of a chocolate with crystals over that of the same chocolate without, at one temperature.

    The crystals take room away from the liquid fat: ``kappa`` times their own volume, because they stand at
    all angles and clump. Only a prior is known for it, `kappa_prior`, so it must be given.

    Parameters
    ----------
    crystals : Fraction
        Crystals over total fat, by mass. [1]
    fat : Fraction
        Total fat over chocolate, by mass. [1]
    kappa : Fraction
        Hydrodynamic volume over crystal volume, about 1 to 3. [1]

    Returns
    -------
    Fraction
        Ratio, 1 or more; infinite where the mass no longer flows. [1]

    Examples
    --------
    >>> round(viscosity_ratio(0.05, 0.34, 3.0), 2)
    2.15
    """
    within("crystals", crystals, 0.0, 1.0, "kg/kg", "give the crystals as a share of the fat")
    packing, intrinsic = number("flow.packing"), number("flow.intrinsic")
    particles = particle_volume_share(fat)
    crowded = particles + (1.0 - particles) * kappa * number("flow.crystal_volume") * crystals
    bare = krieger_dougherty(particles, packing, intrinsic)
    return krieger_dougherty(crowded, packing, intrinsic) / bare if math.isfinite(bare) else math.inf


def crystals_at_ratio(ratio: Fraction, fat: NDArray[np.float64], kappa: NDArray[np.float64]) -> NDArray[np.float64]:
    """Crystals at which `viscosity_ratio` reaches a value: its inverse, for arrays.

    Parameters
    ----------
    ratio : Fraction
        Viscosity over that without crystals, 1 or more. [1]
    fat : NDArray[np.float64]
        Total fat over chocolate, by mass. [1]
    kappa : NDArray[np.float64]
        Hydrodynamic volume over crystal volume. [1]

    Returns
    -------
    NDArray[np.float64]
        Crystals over total fat, by mass; 0 where the mass does not flow even without. [1]
    """
    packing, intrinsic = number("flow.packing"), number("flow.intrinsic")
    particles = np.array([particle_volume_share(float(f)) for f in np.ravel(fat)]).reshape(np.shape(fat))
    left = np.maximum(0.0, 1.0 - particles / packing)
    crowded = packing * (1.0 - left * ratio ** (-1.0 / (intrinsic * packing)))
    room = (1.0 - particles) * kappa * number("flow.crystal_volume")
    return np.asarray(np.maximum(0.0, (crowded - particles) / room))


def viscosity_ratios(
    crystals: NDArray[np.float64], fat: NDArray[np.float64], kappa: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return `viscosity_ratio` for arrays that go together.

    Parameters
    ----------
    crystals : NDArray[np.float64]
        Crystals over total fat, by mass. [1]
    fat : NDArray[np.float64]
        Total fat over chocolate, by mass. [1]
    kappa : NDArray[np.float64]
        Hydrodynamic volume over crystal volume. [1]

    Returns
    -------
    NDArray[np.float64]
        Ratio, 1 or more; infinite where the mass no longer flows. [1]
    """
    packing, intrinsic = number("flow.packing"), number("flow.intrinsic")
    solids = (1.0 - fat) / number("flow.density.particles")
    particles = solids / (solids + fat / number("flow.density.fat"))
    crowded = particles + (1.0 - particles) * kappa * number("flow.crystal_volume") * crystals
    left = np.maximum(0.0, 1.0 - crowded / packing) / np.maximum(1.0 - particles / packing, 1e-12)
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(particles < packing, left ** (-intrinsic * packing), np.inf))


def yield_ratio(ratio: Fraction) -> Fraction:
    """Yield value with crystals over that without: it rises faster than the viscosity [bergemann2018]_.

    Parameters
    ----------
    ratio : Fraction
        Viscosity ratio, from `viscosity_ratio`. [1]

    Returns
    -------
    Fraction
        Ratio of the yield values. [1]
    """
    return float(ratio ** number("flow.yield_exponent"))


def temperature_factor(temperature: Celsius, reference: Celsius) -> Fraction:
    """Viscosity of liquid cocoa butter at one temperature over that at another; used for chocolate alike.

    Parameters
    ----------
    temperature : Celsius
        Temperature asked for, 20 to 60. [°C]
    reference : Celsius
        Temperature at which the viscosity is known, 20 to 60. [°C]

    Returns
    -------
    Fraction
        Ratio, above 1 when the temperature is below the reference. [1]
    """
    low, high = array("flow.butter.range")
    for field, value in (("temperature", temperature), ("reference", reference)):
        within(field, value, low, high, "°C", "outside it the fat does not stay liquid or nobody measured it")
    inverse = 1.0 / (temperature + _ICE_POINT_K) - 1.0 / (reference + _ICE_POINT_K)
    return math.exp(number("flow.butter.activation") * inverse)


def butter_viscosity(temperature: Celsius) -> PascalSecond:
    """Viscosity of liquid cocoa butter, at the level of palm-type oils [steffe1996]_.

    Parameters
    ----------
    temperature : Celsius
        Temperature, 20 to 60. [°C]

    Returns
    -------
    PascalSecond
        Viscosity. [Pa·s]

    Examples
    --------
    >>> round(butter_viscosity(32.0), 3)
    0.054
    """
    return number("flow.butter.viscosity") * temperature_factor(temperature, number("flow.butter.at"))


def usual_flow(temperature: Celsius, ratio: Fraction) -> tuple[Pascal, PascalSecond]:
    """Casson yield value and viscosity of a chocolate that is neither thin nor stiff, with crystals in it.

    Parameters
    ----------
    temperature : Celsius
        Temperature, 20 to 60. [°C]
    ratio : Fraction
        Viscosity ratio of its crystals, from `viscosity_ratio`; 1 when there are none. [1]

    Returns
    -------
    tuple[Pascal, PascalSecond]
        Yield value [Pa] and viscosity [Pa·s].
    """
    factor = temperature_factor(temperature, number("flow.untempered.at"))
    return number("flow.untempered.yield") * yield_ratio(ratio), number("flow.untempered.viscosity") * factor * ratio


def casson_stress(yield_value: Pascal, viscosity: PascalSecond, shear_rate: PerSecond) -> Pascal:
    """Shear stress in untempered chocolate by Casson's law.

    Parameters
    ----------
    yield_value : Pascal
        Casson yield value. [Pa]
    viscosity : PascalSecond
        Casson viscosity. [Pa·s]
    shear_rate : PerSecond
        Shear rate. [1/s]

    Returns
    -------
    Pascal
        Shear stress. [Pa]
    """
    return (math.sqrt(yield_value) + math.sqrt(viscosity * shear_rate)) ** 2


def bingham_stress(yield_value: Pascal, viscosity: PascalSecond, shear_rate: PerSecond) -> Pascal:
    """Shear stress in tempered chocolate by Bingham's law.

    Parameters
    ----------
    yield_value : Pascal
        Bingham yield value. [Pa]
    viscosity : PascalSecond
        Plastic viscosity. [Pa·s]
    shear_rate : PerSecond
        Shear rate. [1/s]

    Returns
    -------
    Pascal
        Shear stress. [Pa]
    """
    return yield_value + viscosity * shear_rate
