"""What a bowl stands in: bench, water bath, steam, ice water, warm cabinet, jacket of a kettle.

All of them are one node beside the wall: a temperature it keeps or a heat capacity, what passes to the wall per kelvin,
what it loses to the room, and a heater. Films and sizes are drawn from their rows, or taken in their middle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Celsius, Fraction, JoulePerKelvin, Litre, PerSecond, Watt, WattPerKelvin
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.members import Members, latin, triangular

__all__ = ["AROUND", "Around", "Outside", "cabinet", "drawn_around", "ice_water", "kettle_jacket", "middle_around",
           "steam", "water_bath"]  # fmt: skip

# Figures of the surroundings that an ensemble draws, by the row they come from.
AROUND = {
    "water": "around.film.water", "steam": "around.film.steam", "still": "around.film.cabinet.still",
    "fan": "around.film.cabinet.fan", "under": "around.bath.under", "open": "around.bath.open",
    "jacket": "around.kettle.jacket", "insulation": "around.kettle.loss", "bed": "around.bed.conductivity",
}  # fmt: skip
_LOGARITHMIC = {"water", "steam", "insulation"}
_LITRES = 1000.0  # in a cubic metre

Around = Mapping[str, Array]  # the figures named in `AROUND`, one per member


@dataclass(frozen=True)
class Outside:
    """What a bowl stands in; every figure may be one for all or one per member.

    ``air_c`` is the air around the part that stands out of it, that of the room when None. ``top`` is what the film on
    the chocolate's free surface is over that in still kitchen air. ``melting`` spares the integrator, over hours, a
    corner of the equations that matters for minutes.
    """

    celsius: Celsius | Array
    conductance: WattPerKelvin | Array  # to the wall, through its own film and the wall. [W/K]
    heat: JoulePerKelvin | Array = math.inf  # heat capacity; infinite: it keeps its temperature. [J/K]
    loss: WattPerKelvin | Array = 0.0  # to the room. [W/K]
    power: Watt | Array = 0.0  # of its heater now. [W]
    covers: Fraction | Array = 1.0  # share of the wall's outside that no longer meets the room's air. [1]
    air_c: Celsius | Array | None = None
    top: Fraction | Array = 1.0
    melting: PerSecond | None = None  # the melting rate taken there, at most; None: the chocolate's own. [1/s]


def _spreads() -> dict[str, Spread]:
    return {name: spread_of(row) for name, row in AROUND.items()}


def middle_around(members: int) -> Around:
    """Return the middle of every figure of the surroundings, for so many members."""
    return {name: np.full(members, s.mid) for name, s in _spreads().items()}


def drawn_around(members: int, rng: np.random.Generator) -> Around:
    """Draw the figures of the surroundings for so many members, by Latin hypercube."""
    cube = latin(rng, members, len(AROUND))
    return {name: triangular(cube[i], s, name in _LOGARITHMIC) for i, (name, s) in enumerate(_spreads().items())}


def _through(material: str, film: Array) -> Array:
    """Coefficient through a film and the wall of a bowl of a material, W/(m²·K); the film inside comes on top."""
    wall = number(f"vessels.{material}.wall") / number(f"vessels.{material}.conductivity")
    return np.asarray(1.0 / (1.0 / film + wall))


def _bed_film(members: Members, conductivity: Array) -> Array:
    """What a dry bed of buttons passes on per kelvin between its face and its mean, W/(m²·K).

    That of a sphere of their volume once its middle has begun to warm: pi² k/(3 R).
    """
    volume = members.rows[:, MASS] / number("around.bed.density")
    return np.asarray(math.pi**2 / 3.0 * conductivity / np.cbrt(3.0 * volume / (4.0 * math.pi)))


def _water(litres: Litre) -> float:
    """Heat capacity of so much water. [J/K]"""
    return litres / _LITRES * number("around.water.density") * number("around.water.heat")


def _open_loss(litres: Litre, figures: Around) -> Array:
    """What a pot of water loses to the room: evaporation above and air at its side, both as wide as high. [W/K]"""
    across = (4.0 * litres / _LITRES / math.pi) ** (1.0 / 3.0)
    face = math.pi / 4.0 * across**2
    return np.asarray((1.0 - figures["under"]) * face * figures["open"] + 4.0 * face * number("bowl.film.outside"))


def water_bath(
    members: Members, material: str, celsius: Celsius | Array, litres: Litre | None = None,
    figures: Around | None = None, power: Watt = 0.0,
) -> Outside:  # fmt: skip
    """Return a water bath that wets the bowl.

    Parameters
    ----------
    members
        The bowls.
    material
        What they are of, one of `temperbench.kitchen.vessels.MATERIALS`.
    celsius
        Temperature of the water. [°C]
    litres
        How much water, off the heat, so that it cools; kept at its temperature when None. [L]
    figures
        Films of every member; in their middle when None.
    power
        Heater under the water. [W]

    Returns
    -------
        The bath.
    """
    f = middle_around(len(members)) if figures is None else figures
    through = f["under"] * members.area_m2 * _through(material, f["water"])
    if litres is None:
        return Outside(celsius, through, covers=f["under"])
    return Outside(celsius, through, _water(litres), _open_loss(litres, f), power, f["under"])


def steam(members: Members, material: str, celsius: Celsius | Array, figures: Around | None = None) -> Outside:
    """Return steam that condenses on the wall of a bowl above simmering water.

    Parameters
    ----------
    members
        The bowls.
    material
        What they are of.
    celsius
        Temperature of the steam; 100 °C over boiling water, less while it is mixed with air. [°C]
    figures
        Films of every member; in their middle when None.

    Returns
    -------
        The steam.
    """
    f = middle_around(len(members)) if figures is None else figures
    return Outside(celsius, f["under"] * members.area_m2 * _through(material, f["steam"]), covers=f["under"])


def ice_water(members: Members, material: str, figures: Around | None = None) -> Outside:
    """Return water with ice in it, as long as there is ice.

    Parameters
    ----------
    members
        The bowls.
    material
        What they are of.
    figures
        Films of every member; in their middle when None.

    Returns
    -------
        The bath.
    """
    return water_bath(members, material, number("around.ice"), None, figures)


def cabinet(
    members: Members, celsius: Celsius | Array, fan: bool = False, figures: Around | None = None, *, bed: bool = False
) -> Outside:
    """Return a warm cabinet that keeps its air at a temperature.

    Parameters
    ----------
    members
        The bowls.
    celsius
        Temperature of its air. [°C]
    fan
        Whether a fan moves the air.
    figures
        Films of every member; in their middle when None.
    bed
        Whether buttons lie there unstirred, so that heat has to pass through the dry bed of them.

    Returns
    -------
        The cabinet.
    """
    f = middle_around(len(members)) if figures is None else figures
    film = f["fan" if fan else "still"]
    if bed:
        film = 1.0 / (1.0 / film + 1.0 / _bed_film(members, f["bed"]))
    air = np.full(len(members), celsius, dtype=np.float64)
    slow = number("around.cabinet.melting")
    return Outside(air, film * members.area_m2, air_c=air, top=film / number("bowl.film.top"), melting=slow)


def kettle_jacket(
    members: Members, litres: Litre, celsius: Celsius | Array, power: Watt = 0.0, figures: Around | None = None
) -> Outside:
    """Return the water jacket of a steel kettle: heater in the jacket, insulation around it.

    Parameters
    ----------
    members
        The kettles.
    litres
        What the kettle holds. [L]
    celsius
        Temperature of the jacket now. [°C]
    power
        Its heater while it is on. [W]
    figures
        Jacket and insulation of every member; in their middle when None.

    Returns
    -------
        The jacket.
    """
    f = middle_around(len(members)) if figures is None else figures
    heat = _water(litres) * f["jacket"]
    face = 5.0 * math.pi / 4.0 * (4.0 * litres / _LITRES / math.pi) ** (2.0 / 3.0)  # side and bottom, wide as high
    through = members.area_m2 * _through("steel", f["water"])
    return Outside(celsius, through, heat, face * f["insulation"], power)
