"""Heat through walls, benches and films of chocolate: steady resistances, contact, tabling, stirring by hand.

Air outside is in `temperbench.kitchen.convection`, the temperature of two bodies that touch in
`temperbench.matter.thermal`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import OutOfRange, one_of
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread, positive, spread_of
from temperbench.foundation.units import (
    Celsius,
    Effusivity,
    Fraction,
    JoulePerKelvin,
    JoulePerKg,
    JoulePerKgK,
    Kelvin,
    KgPerM3,
    Metre,
    Pascal,
    PascalSecond,
    PerSecond,
    Second,
    SquareMetrePerSecond,
    WattPerKelvin,
    WattPerM2K,
    WattPerMK,
)
from temperbench.kitchen.convection import air_at
from temperbench.matter.flow import casson_stress
from temperbench.matter.thermal import Bulk, chocolate_bulk

__all__ = [
    "BENCHES", "StirredFilm", "anchor_film", "base_conductance", "base_gap", "bench", "cooling_time", "gap_film",
    "half_space_limit", "overall_coefficient", "plank_time", "scraped_film", "tabled_share", "tabled_temperature",
    "unstirred_film",
]  # fmt: skip

BENCHES = ("marble", "granite", "steel", "wood", "marble_en", "granite_en")

# Plank's shape factors P and R; the length is a slab's thickness or a sphere's diameter.
_PLANK = {"slab": (1.0 / 2.0, 1.0 / 8.0), "sphere": (1.0 / 6.0, 1.0 / 24.0)}


@dataclass(frozen=True)
class StirredFilm:
    """Film of chocolate at a wall swept by a spatula, with the numbers it came from."""

    shear_rate: float  # [1/s]
    viscosity: float  # apparent, at that shear rate. [Pa·s]
    reynolds: float  # [1]
    prandtl: float  # [1]
    nusselt: float  # [1]
    coefficient: float  # [W/(m²·K)]
    in_range: bool  # whether the correlation was made for this Reynolds number


def bench(name: str) -> Bulk:
    """Return the heat properties of a bench material.

    ``marble_en`` and ``granite_en`` have the rounded heat capacity of EN 12524.
    """
    one_of("bench", name, BENCHES)
    names = ("heat", "conductivity", "density")
    return Bulk(*(number(f"surfaces.bench.{name}.{quantity}") for quantity in names))


def overall_coefficient(outside: WattPerM2K, wall: Metre, conductivity: WattPerMK, inside: WattPerM2K) -> WattPerM2K:
    """Coefficient of a wall between two films: the three resistances in series.

    Parameters
    ----------
    outside
        Film outside, of water or air. [W/(m²·K)]
    wall
        Thickness. [m]
    conductivity
        Conductivity of the wall. [W/(m·K)]
    inside
        Film inside, of chocolate. [W/(m²·K)]

    Returns
    -------
        Overall coefficient. [W/(m²·K)]
    """
    return 1.0 / (1.0 / outside + wall / conductivity + 1.0 / inside)


def gap_film(gap: Metre, temperature: Celsius) -> WattPerM2K:
    """Coefficient of a thin layer of still air under a bowl.

    Parameters
    ----------
    gap
        Thickness of the air. [m]
    temperature
        Its temperature. [°C]

    Returns
    -------
        Coefficient. [W/(m²·K)]
    """
    return air_at(temperature).conductivity / gap


def base_gap(footed: bool | None = None) -> Spread:
    """Return the air under a bowl: flat base, foot ring, or not known. [m]"""
    flat, ring = spread_of("surfaces.gap.flat"), spread_of("surfaces.gap.foot")
    if footed is None:
        return Spread(flat.low, math.sqrt(flat.mid * ring.mid), ring.high)
    return ring if footed else flat


def base_conductance(
    *,
    radius: Metre,
    contact: WattPerM2K,
    bench_conductivity: WattPerMK,
    layer: Metre = 0.0,
    layer_conductivity: WattPerMK = 1.0,
) -> WattPerKelvin:
    """Conductance from a bowl's base into a thick bench: air gap, an optional mat, and the bench in series.

    The bench is a half-space under an isothermal disc, in the steady state (Carslaw & Jaeger 1959, recalled): in the
    first minute more flows.

    Parameters
    ----------
    radius
        Radius of the base. [m]
    contact
        Film of the air gap. [W/(m²·K)]
    bench_conductivity
        Conductivity of the bench. [W/(m·K)]
    layer
        Thickness of a mat or towel. [m]
    layer_conductivity
        Its conductivity. [W/(m·K)]

    Returns
    -------
        Conductance. [W/K]
    """
    area = math.pi * radius**2
    resistance = 1.0 / (contact * area) + layer / (layer_conductivity * area)
    return 1.0 / (resistance + 1.0 / (4.0 * bench_conductivity * radius))


def tabled_share(time: Second, slab: Effusivity, layer: Metre, layer_heat: float) -> Fraction:
    """Share of its warmth that a layer kept mixed on a thick slab still has: exp(b²t) erfc(b sqrt t).

    Carslaw & Jaeger 1959 (recalled); no latent heat, and only until `half_space_limit`.

    Parameters
    ----------
    time
        Time on the slab. [s]
    slab
        Effusivity of the slab. [W·s^½/(m²·K)]
    layer
        Thickness of the layer. [m]
    layer_heat
        Density times heat capacity of the layer. [J/(m³·K)]

    Returns
    -------
        Temperature above the slab's over that at the start. [1]
    """
    return _scaled_erfc(slab / (layer_heat * layer) * math.sqrt(time))


def tabled_temperature(
    *,
    time: Second,
    start: Celsius,
    slab_at: Celsius,
    slab: Effusivity,
    layer: Metre,
    layer_heat: float | None = None,
) -> Celsius:
    """Temperature of chocolate kept mixed on a thick slab.

    Parameters
    ----------
    time
        Time on the slab. [s]
    start
        Temperature of the chocolate when poured. [°C]
    slab_at
        Temperature of the slab before. [°C]
    slab
        Effusivity of the slab. [W·s^½/(m²·K)]
    layer
        Thickness of the layer. [m]
    layer_heat
        Density times heat capacity of the layer; that of chocolate when None. [J/(m³·K)]

    Returns
    -------
        Temperature. [°C]
    """
    mass = chocolate_bulk()
    heat = mass.density * mass.specific_heat if layer_heat is None else layer_heat
    return slab_at + (start - slab_at) * tabled_share(time, slab, layer, heat)


def _scaled_erfc(x: float) -> float:
    """Return exp(x²) erfc(x) for x of zero or more, without overflow."""
    if x < 10.0:
        return math.exp(x * x) * math.erfc(x)
    y = 1.0 / (x * x)
    return (1.0 - y / 2.0 * (1.0 - 1.5 * y * (1.0 - 2.5 * y))) / (x * math.sqrt(math.pi))


def half_space_limit(thickness: Metre, diffusivity: SquareMetrePerSecond) -> Second:
    """Time for which a slab counts as thick; after it the slab warms as a whole.

    Parameters
    ----------
    thickness
        Thickness of the slab. [m]
    diffusivity
        Diffusivity of the slab. [m²/s]

    Returns
    -------
        Time. [s]
    """
    return thickness**2 / (4.0 * diffusivity)


def plank_time(
    shape: str,
    size: Metre,
    *,
    density: KgPerM3,
    heat: JoulePerKg,
    gap: Kelvin,
    film: WattPerM2K,
    conductivity: WattPerMK,
) -> Second:
    """Time to melt a body through from outside at one melting temperature: Plank's equation (recalled).

    For a body that melts at one temperature. Chocolate softens over a range, so this does not describe the last lumps
    in a bowl.

    Parameters
    ----------
    shape
        ``slab`` (heated on both faces) or ``sphere``.
    size
        Thickness of the slab or diameter of the sphere. [m]
    density
        Density of the solid. [kg/m³]
    heat
        Latent heat plus the warming from the start to the melting temperature. [J/kg]
    gap
        Temperature of the liquid above the melting temperature. [K]
    film
        Film coefficient. [W/(m²·K)]
    conductivity
        Conductivity of what has melted. [W/(m·K)]

    Returns
    -------
        Time. [s]
    """
    p, r = _PLANK[one_of("shape", shape, _PLANK)]
    positive("gap", gap, "K", "the liquid must be warmer than the melting temperature")
    return density * heat / gap * (p * size / film + r * size**2 / conductivity)


def anchor_film(
    *,
    bowl: Metre,
    spatula: Metre,
    turns: PerSecond,
    yield_value: Pascal,
    viscosity: PascalSecond,
    shear_constant: Fraction | None = None,
    density: KgPerM3 | None = None,
    heat: JoulePerKgK | None = None,
    conductivity: WattPerMK | None = None,
) -> StirredFilm:
    """Film at a wall stirred by hand, as by an anchor close to the wall [uhlgray1966]_ (recalled).

    Below the range of the correlation, Reynolds 10, it is extended and ``in_range`` is false.

    Parameters
    ----------
    bowl
        Diameter of the bowl. [m]
    spatula
        Diameter swept by the spatula. [m]
    turns
        Turns per second. [1/s]
    yield_value
        Casson yield value. [Pa]
    viscosity
        Casson viscosity. [Pa·s]
    shear_constant
        Shear rate over turns per second; from the table when None. [1]
    density
        Density of the chocolate; from its table when None. [kg/m³]
    heat
        Heat capacity of the chocolate; from its table when None. [J/(kg·K)]
    conductivity
        Conductivity of the chocolate; from its table when None. [W/(m·K)]

    Returns
    -------
        The film and the numbers it came from.
    """
    usual = chocolate_bulk()
    rho = usual.density if density is None else density
    c = usual.specific_heat if heat is None else heat
    k = usual.conductivity if conductivity is None else conductivity
    shear = (number("surfaces.shear_constant") if shear_constant is None else shear_constant) * turns
    mu = casson_stress(yield_value, viscosity, shear) / shear
    reynolds, prandtl = rho * turns * spatula**2 / mu, c * mu / k
    nusselt = _anchor_nusselt(reynolds, prandtl)
    return StirredFilm(shear, mu, reynolds, prandtl, nusselt, nusselt * k / bowl, 10.0 <= reynolds <= 4.0e4)


def _anchor_nusselt(reynolds: float, prandtl: float) -> float:
    """Nusselt number for Reynolds 10 to 40 000, without the correction for the viscosity at the wall."""
    power = math.sqrt(reynolds) if reynolds <= 300.0 else 0.36 * reynolds ** (2.0 / 3.0)
    return float(power * prandtl ** (1.0 / 3.0))


def unstirred_film(time: Second, conductivity: WattPerMK, diffusivity: SquareMetrePerSecond) -> WattPerM2K:
    """Film of chocolate at rest, some time after it met a wall of another temperature: k / sqrt(pi alpha t).

    Parameters
    ----------
    time
        Time since contact. [s]
    conductivity
        Conductivity of the chocolate. [W/(m·K)]
    diffusivity
        Diffusivity of the chocolate. [m²/s]

    Returns
    -------
        Coefficient. [W/(m²·K)]
    """
    return conductivity / math.sqrt(math.pi * diffusivity * time)


def scraped_film(effusivity: Effusivity, passes: PerSecond) -> WattPerM2K:
    """Film at a wall wiped clean at every pass: the upper bound for any stirring, 2 e sqrt(n/pi).

    Parameters
    ----------
    effusivity
        Effusivity of the chocolate. [W·s^½/(m²·K)]
    passes
        Passes of the blade per second. [1/s]

    Returns
    -------
        Coefficient. [W/(m²·K)]
    """
    return 2.0 * effusivity * math.sqrt(passes / math.pi)


def cooling_time(*, start: Celsius, end: Celsius, room: Celsius, loss: WattPerKelvin, heat: JoulePerKelvin) -> Second:
    """Time a stirred bowl takes to cool in a room, no crystals forming.

    Parameters
    ----------
    start
        Temperature at first. [°C]
    end
        Temperature to reach, between start and room. [°C]
    room
        Temperature of the room. [°C]
    loss
        Conductance from the bowl to the room. [W/K]
    heat
        Heat capacity of chocolate and bowl. [J/K]

    Returns
    -------
        Time. [s]
    """
    if not room < end <= start:
        allowed = f"above the room's {room:g} °C and up to the start of {start:g} °C"
        raise OutOfRange("end", end, allowed, "a bowl cools towards its room")
    return heat / loss * math.log((start - room) / (end - room))
