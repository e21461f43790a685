"""Bowls: what they are made of, what they weigh, what they take of the power, and which do not belong in an oven.

What a cook does not know becomes a range, with a line that says so. Weighing the bowl is worth more than any default.
"""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.errors import InputError, OutOfRange, nearest
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread, positive, spread_of
from temperbench.foundation.units import (
    Celsius,
    Fraction,
    Gram,
    JoulePerKelvin,
    Kelvin,
    Kilogram,
    Litre,
    Second,
    SquareMetre,
    Watt,
    WattPerM2K,
)
from temperbench.kitchen.bowl_shape import chocolate_volume, fill_of, inner_area
from temperbench.matter.thermal import Bulk, chocolate_bulk

__all__ = [
    "MATERIALS", "Bowl", "bowl_from", "bowl_mass", "carry_over", "exchange_time", "material_bulk",
    "material_named", "refused_in_microwave", "seed_mass", "wall_share_by_loss", "wall_share_from_test",
]  # fmt: skip

MATERIALS = ("plastic", "polycarbonate", "silicone", "glass", "borosilicate", "stoneware", "steel", "melamine")
_ALSO = {
    "polypropylene": "plastic", "pp": "plastic", "soda-lime": "glass", "ceramic": "stoneware",
    "porcelain": "stoneware", "stainless": "steel", "stainless steel": "steel", "metal": "steel",
    "aluminium": "steel", "aluminum": "steel", "copper": "steel", "enamel": "steel", "tin": "steel", "iron": "steel",
}  # fmt: skip
_UNFIT = ("steel", "melamine")  # for the microwave oven
_ABSORBING = ("glass", "stoneware")
_FITTING = "plastic (polypropylene) marked for the microwave, polycarbonate, silicone, borosilicate, glass, stoneware"


@dataclass(frozen=True)
class Bowl:
    """A bowl with chocolate in it, as ranges from which to draw, with what was assumed and what to mind."""

    material: str
    mass_g: Spread
    heat: Spread  # heat capacity. [J/K]
    wall_share: Spread  # share of the absorbed microwave power taken by the wall. [1]
    litres: Spread  # to the brim
    wetted_m2: Spread  # wall under chocolate
    top_m2: float  # free surface of the chocolate
    fill: float  # melted chocolate over the brim volume. [1]
    start_c: Spread
    defaults_used: tuple[str, ...]
    warnings: tuple[tuple[str, str], ...]  # stable code and text


def material_named(word: str) -> str:
    """Return the material a word means; raise `InputError` with the nearest word for an unknown one."""
    tidy = " ".join(word.lower().split())
    found = _ALSO.get(tidy, tidy)
    if found in MATERIALS:
        return found
    guess = nearest(found, [name for name in MATERIALS if name not in _UNFIT])
    raise InputError("bowl", word, _FITTING, f"did you mean “{guess}”?" if guess else "take the nearest of these")


def material_bulk(material: str) -> Bulk:
    """Return the heat properties of a bowl material."""
    names = ("heat", "conductivity", "density")
    return Bulk(*(number(f"vessels.{material_named(material)}.{quantity}") for quantity in names))


def refused_in_microwave(material: str) -> str | None:
    """Return why a material must not go into a microwave oven and what to do, or None when it may."""
    name = material_named(material)
    if name == "steel":
        return "a deep metal bowl shields the chocolate and can spark: take a plastic bowl, or melt over a warm bath"
    if name == "melamine":
        limit = number("vessels.melamine.limit")
        return f"melamine heats itself and gives off to food above {limit:.0f} °C: take a plastic or glass bowl"
    return None


def bowl_mass(material: str, litres: Litre) -> Spread:
    """Return what a bowl may weigh, from material and brim volume: hemisphere, wall and rim.

    Parameters
    ----------
    material
        Material.
    litres
        Brim volume. [L]

    Returns
    -------
        Mass. [g]
    """
    name = material_named(material)
    shell = 1000.0 * inner_area(litres) * number(f"vessels.{name}.density")
    wall, shape = spread_of(f"vessels.{name}.wall"), spread_of("vessels.shape")
    return _times(wall, shape).scaled(shell)


def bowl_from(
    material: str | None,
    grams: Gram | None = None,
    litres: Litre | None = None,
    start_c: Celsius | None = None,
    *,
    room_c: Celsius | Spread,
    chocolate_g: Gram,
    microwave: bool = True,
    usual: str = "plastic", known_share: Spread | None = None, known_heat: Spread | None = None,
) -> Bowl:  # fmt: skip
    """Return a bowl from what a cook knows of it; None is not known and becomes a range.

    Parameters
    ----------
    material
        One of `MATERIALS` or a usual word for it.
    grams
        Weight of the empty bowl. [g]
    litres
        What it holds to the brim. [L]
    start_c
        Its temperature before the chocolate goes in; that of the room when None. [°C]
    room_c
        Temperature of the room. [°C]
    chocolate_g
        Chocolate that goes in. [g]
    microwave
        Whether it goes into a microwave oven.
    usual
        Material taken when none is known.
    known_share, known_heat
        Share of the power its wall takes [1] and its heat [J/K], where known better than by weight and material.

    Returns
    -------
        The bowl.
    """
    defaults: list[str] = []
    name = _material(material, microwave, usual, defaults)
    volume = _volume(litres, positive("grams", chocolate_g, "g", "weigh the chocolate"), defaults)
    mass = _mass(name, grams, volume, defaults)
    room = room_c if isinstance(room_c, Spread) else Spread.exact(room_c)
    start = _start(start_c, room, defaults)
    heat = known_heat or _times(mass, spread_of(f"vessels.{name}.heat")).scaled(1.0 / 1000.0)
    share = (known_share or spread_of(f"vessels.{name}.share")) if microwave else Spread.exact(0.0)
    fills = [fill_of(v, chocolate_g) for v in (volume.low, volume.mid, volume.high)]
    wet = _times(Spread(*sorted(f.wetted_m2 for f in fills)), spread_of("vessels.wetted"))
    cautions = _warnings(name, share, heat, fills[1].share, chocolate_g) + _warm(start, room)
    return Bowl(name, mass, heat, share, volume, wet, fills[1].top_m2, fills[1].share, start, tuple(defaults), cautions)


def _times(one: Spread, other: Spread) -> Spread:
    """Multiply two spreads of figures that are zero or more, end by end."""
    return Spread(one.low * other.low, one.mid * other.mid, one.high * other.high)


def _material(material: str | None, microwave: bool, usual: str, defaults: list[str]) -> str:
    if material is None:
        defaults.append(f"Bowl: taken as {'plastic (polypropylene)' if usual == 'plastic' else usual}.")
        return usual
    name = material_named(material)
    reason = refused_in_microwave(name) if microwave else None
    if reason is not None:
        raise InputError("bowl", material, _FITTING, reason)
    return name


def _volume(litres: float | None, chocolate: float, defaults: list[str]) -> Spread:
    if litres is not None:
        return Spread.exact(positive("bowl_l", litres, "L", "fill the bowl with water from a measure"))
    melted, least, room = chocolate_volume(chocolate), spread_of("vessels.least"), spread_of("vessels.room_above")
    low, mid, high = (
        max(melted * r, v) for r, v in ((room.low, least.low), (room.mid, least.mid), (room.high, least.high))
    )
    defaults.append(f"Size of the bowl: taken as {mid:.1f} L ({low:.1f} to {high:.1f}) to the brim.")
    return Spread(low, mid, high)


def _mass(name: str, grams: float | None, volume: Spread, defaults: list[str]) -> Spread:
    if grams is not None:
        return Spread.exact(positive("bowl_g", grams, "g", "weigh the empty bowl"))
    low, mid, high = (bowl_mass(name, litres) for litres in (volume.low, volume.mid, volume.high))
    found = Spread(low.low, mid.mid, high.high)
    text = f"{found.mid:.0f} g ({found.low:.0f} to {found.high:.0f})"
    defaults.append(f"Weight of the bowl: taken as {text} from its size and material.")
    return found


def _start(start_c: float | None, room: Spread, defaults: list[str]) -> Spread:
    if start_c is not None:
        return Spread.exact(start_c)
    defaults.append("Temperature of the bowl: taken as that of the room.")
    either_way = number("vessels.start")
    return Spread(room.low - either_way, room.mid, room.high + either_way)


def _warnings(name: str, share: Spread, heat: Spread, fill: float, chocolate: float) -> tuple[tuple[str, str], ...]:
    found = []
    if name in _ABSORBING and share.high > 0.0:
        taken = f"{100.0 * share.mid:.0f} % of the power ({100.0 * share.low:.0f} to {100.0 * share.high:.0f} %)"
        advice = "feel the wall after the first burst: warmer than the chocolate, change to plastic"
        found.append(("absorbing-bowl", f"A bowl of {name} takes about {taken} itself; {advice}."))
    usual = chocolate_bulk().specific_heat
    if heat.mid > number("vessels.heavy") * chocolate / 1000.0 * usual:
        text = f"The bowl takes as much heat as {1000.0 * heat.mid / usual:.0f} g of chocolate"
        found.append(("heavy-bowl", f"{text}: from room temperature it costs seconds and slows every change."))
    if fill > number("vessels.full"):
        text = f"Melted, the chocolate fills {100.0 * fill:.0f} % of the bowl, and buttons stand higher"
        found.append(("full-bowl", f"{text}: it will spill when stirred; take a larger bowl."))
    return tuple(found)


def _warm(start: Spread, room: Spread) -> tuple[tuple[str, str], ...]:
    if start.mid - room.mid < number("vessels.warm"):
        return ()
    text = f"The bowl starts at {start.mid:.0f} °C and goes on heating the chocolate after the oven stops"
    return (("warm-bowl", f"{text}: let it cool to the room first."),)


def wall_share_by_loss(
    *, wall: Litre, wall_loss: Fraction, chocolate: Litre, chocolate_loss: Fraction, field: Fraction | None = None
) -> Fraction:
    """Estimate the share of the power a wall takes, from volumes and loss factors.

    Parameters
    ----------
    wall
        Volume of the wall. [L]
    wall_loss
        Loss factor of the wall. [1]
    chocolate
        Volume of chocolate. [L]
    chocolate_loss
        Loss factor of the chocolate. [1]
    field
        Weakening of the field inside the wall; from the table when None. [1]

    Returns
    -------
        Share of the absorbed power. [1]
    """
    weaker = number("vessels.field") if field is None else field
    return weaker * wall * wall_loss / (wall * wall_loss + chocolate * chocolate_loss)


def wall_share_from_test(
    *,
    heat: JoulePerKelvin,
    rise: Kelvin,
    absorbed: Watt,
    seconds: Second | None = None,
    start_delay: Second | None = None,
) -> Fraction:
    """Share of the power a bowl takes, from the dish test: empty bowl beside a glass with 250 ml of water.

    Parameters
    ----------
    heat
        Heat capacity of the bowl. [J/K]
    rise
        Temperature rise of the bowl. [K]
    absorbed
        Power into bowl and water. [W]
    seconds
        Burst as set on the timer; 60 s, from the table, when None. [s]
    start_delay
        Time without power after the start; from the table when None. [s]

    Returns
    -------
        Share of the absorbed power. [1]
    """
    burst = number("vessels.dish_test") if seconds is None else seconds
    delay = number("oven.start_delay") if start_delay is None else start_delay
    return (
        heat * rise / (absorbed * positive("seconds", burst - delay, "s after the start delay", "use a longer burst"))
    )


def carry_over(
    *, chocolate: Celsius, chocolate_heat: JoulePerKelvin, bowl: Celsius, bowl_heat: JoulePerKelvin
) -> Celsius:
    """Temperature at which chocolate and bowl meet, no loss and nothing melting or setting.

    Parameters
    ----------
    chocolate
        Temperature of the chocolate. [°C]
    chocolate_heat
        Heat capacity of the chocolate. [J/K]
    bowl
        Temperature of the bowl. [°C]
    bowl_heat
        Heat capacity of the bowl. [J/K]

    Returns
    -------
        Common temperature. [°C]
    """
    return (chocolate * chocolate_heat + bowl * bowl_heat) / (chocolate_heat + bowl_heat)


def exchange_time(
    *, chocolate_heat: JoulePerKelvin, bowl_heat: JoulePerKelvin, film: WattPerM2K, area: SquareMetre
) -> Second:
    """Time in which the difference between chocolate and bowl falls to 1/e.

    Parameters
    ----------
    chocolate_heat
        Heat capacity of the chocolate. [J/K]
    bowl_heat
        Heat capacity of the bowl. [J/K]
    film
        Film of chocolate at the wall. [W/(m²·K)]
    area
        Wetted wall. [m²]

    Returns
    -------
        Time constant. [s]
    """
    return chocolate_heat * bowl_heat / ((chocolate_heat + bowl_heat) * film * area)


def seed_mass(
    *,
    chocolate: Kilogram,
    hot: Celsius,
    target: Celsius,
    seed: Celsius,
    unmelted: Fraction = 0.0,
    bowl: Celsius = 0.0,
    bowl_heat: JoulePerKelvin = 0.0,
) -> Kilogram:
    """Solid chocolate that cools a melted bowl to a target, when it is known how much of its crystals melts.

    Arithmetic of one heat balance. How much melts at the target is not asked here; a bowl in which it is solved for
    ends warmer.

    Parameters
    ----------
    chocolate
        Melted chocolate. [kg]
    hot
        Its temperature. [°C]
    target
        Temperature to reach. [°C]
    seed
        Temperature of the solid chocolate. [°C]
    unmelted
        Share of the added crystals that stays. [1]
    bowl
        Temperature of the bowl. [°C]
    bowl_heat
        Heat capacity of the bowl; 0 leaves it out. [J/K]

    Returns
    -------
        Mass to add. [kg]
    """
    if not seed < target <= hot:
        allowed = f"above the seeds' {seed:g} °C and up to the chocolate's {hot:g} °C"
        raise OutOfRange("target", target, allowed, "cold chocolate can only cool a bowl")
    given = chocolate * number("thermal.chocolate.cp.liquid") * (hot - target) + bowl_heat * (bowl - target)
    latent = (1.0 - unmelted) * number("thermal.chocolate.latent.dark")
    return given / (number("thermal.chocolate.cp.solid") * (target - seed) + latent)
