"""A bowl as a hemisphere of its brim volume: radius, wall, and how chocolate stands in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from temperbench.foundation.errors import OutOfRange
from temperbench.foundation.quantities import positive
from temperbench.foundation.units import Gram, KgPerM3, Litre, Metre, SquareMetre
from temperbench.matter.thermal import chocolate_bulk

__all__ = ["Fill", "brim_radius", "chocolate_volume", "fill_of", "inner_area"]

_LITRES = 1000.0  # in a cubic metre


@dataclass(frozen=True)
class Fill:
    """Melted chocolate standing in a bowl."""

    share: float  # of the brim volume. [1]
    depth_m: float  # [m]
    wetted_m2: float  # wall under chocolate. [m²]
    top_m2: float  # free surface. [m²]


def brim_radius(litres: Litre) -> Metre:
    """Radius at the brim of a hemisphere.

    Parameters
    ----------
    litres
        Brim volume. [L]

    Returns
    -------
        Radius. [m]
    """
    volume = positive("bowl_l", litres, "L", "fill the bowl with water from a measure") / _LITRES
    return math.cbrt(3.0 * volume / (2.0 * math.pi))


def inner_area(litres: Litre) -> SquareMetre:
    """Inside of a hemisphere up to the brim.

    Parameters
    ----------
    litres
        Brim volume. [L]

    Returns
    -------
        Area. [m²]
    """
    return 2.0 * math.pi * brim_radius(litres) ** 2


def chocolate_volume(chocolate: Gram, density: KgPerM3 | None = None) -> Litre:
    """Volume of melted chocolate.

    Parameters
    ----------
    chocolate
        Mass. [g]
    density
        Density; from the table of chocolate when None. [kg/m³]

    Returns
    -------
        Volume. [L]
    """
    return chocolate / (chocolate_bulk().density if density is None else density)


def fill_of(litres: Litre, chocolate: Gram) -> Fill:
    """Return how melted chocolate stands in a hemisphere; raise `OutOfRange` when it does not go in.

    The depth h solves pi h² (R - h/3) = V, a cubic with one root between nothing and the brim.

    Parameters
    ----------
    litres
        Brim volume. [L]
    chocolate
        Mass of chocolate. [g]

    Returns
    -------
        Share of the brim volume, depth, wetted wall and free surface.
    """
    radius = brim_radius(litres)
    volume = chocolate_volume(positive("grams", chocolate, "g", "weigh the chocolate"))
    share = volume / litres
    if share > 1.0:
        allowed = f"at least {volume:.1f} L for {chocolate:.0f} g of chocolate, and better twice that"
        raise OutOfRange("bowl_l", litres, allowed, "take a larger bowl or melt less at once")
    turn = math.acos(1.0 - share) / 3.0
    depth = radius * (1.0 + 2.0 * math.cos(turn - 2.0 * math.pi / 3.0))
    top = math.pi * depth * (2.0 * radius - depth)
    return Fill(share, depth, 2.0 * math.pi * radius * depth, top)
