"""What the regression tables may ask of bowls in baths and cabinets and of seeds: named by a row's ``what``."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bowl_cases import SETUP, bowl_of
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.outside import cabinet, ice_water, water_bath
from temperbench.kitchen.seeds import Seed

__all__ = ["bath_minutes", "block_run", "butter_seeded", "cabinet_hours", "ice_seconds", "seeds_mixed"]

Array = NDArray[np.float64]
EXACT = Spread.exact
HEATS = {"steel": 115.0, "glass": 675.0, "plastic": 270.0}  # J/K of a bowl of 2 L


def _bowl(stock: str, start_c: float, **changed: float) -> Bowls:
    """Return 1 kg of dark chocolate in a bowl with 0.05 m² of wetted wall, unless changed, in a room of 20 °C."""
    setup = replace(SETUP, stock=stock, start_c=EXACT(start_c), wall_c=EXACT(start_c),
                    mass_kg=changed.pop("mass_kg", 1.0))  # fmt: skip
    return Bowls(bowl_of(setup, closed=bool(changed.pop("closed", False)), **changed), tolerance=0.005)


def _minutes_to(bowls: Bowls, target_c: float, *, stir: bool, step_s: float) -> float:
    passed = 0.0
    before = float(bowls.temperature()[0])
    while passed < 1e5:
        (bowls.stir if stir else bowls.stand)(step_s)
        after = float(bowls.temperature()[0])
        if (after - target_c) * (before - target_c) <= 0.0:
            return (passed + step_s * (target_c - before) / (after - before)) / 60.0
        passed, before = passed + step_s, after
    raise AssertionError("it never gets there")


def bath_minutes(materials: list[str], bath_c: float, end_c: float) -> Array:
    """Return how long a stirred kilogram of buttons from 20 °C takes over a bath, for bowls of each material."""
    found = []
    for material in materials:
        bowls = _bowl("buttons", 20.0, wall_heat=HEATS[material])
        bowls.stand_in(water_bath(bowls.members, material, bath_c))
        found.append(_minutes_to(bowls, end_c, stir=True, step_s=15.0))
    return np.array(found)


def cabinet_hours(how: list[str], cabinet_c: float, end_c: float) -> Array:
    """Return how long a kilogram of buttons from 20 °C takes in a warm cabinet: stirred or not, with a fan or not."""
    found = []
    for way in how:
        bowls = _bowl("buttons", 20.0)
        stirred = "unstirred" not in way
        bowls.stand_in(cabinet(bowls.members, cabinet_c, "fan" in way, bed=not stirred))
        found.append(_minutes_to(bowls, end_c, stir=stirred, step_s=120.0) / 60.0)
    return np.array(found)


def ice_seconds(materials: list[str], start_c: float, end_c: float) -> Array:
    """Return how long a stirred kilogram of melted chocolate takes to cool in ice water, for bowls of each material."""
    found = []
    for material in materials:
        bowls = _bowl("melted", start_c, wall_heat=HEATS[material])
        bowls.stand_in(ice_water(bowls.members, material))
        found.append(60.0 * _minutes_to(bowls, end_c, stir=True, step_s=5.0))
    return np.array(found)


def seeds_mixed(seed_kg: list[float], figure: str, *, melted_kg: float, wall_heat: float) -> Array:
    """Return where chocolate and bowl at 45 °C end with buttons at 20 °C, room shut out, stirred for five minutes."""
    found = []
    for kg in seed_kg:
        bowls = _bowl("melted", 45.0, mass_kg=melted_kg, wall_heat=wall_heat, closed=True)
        bowls.add(kg, 20.0)
        bowls.stir(300.0)
        found.append(float(bowls.temperature()[0]) if figure == "t" else 100.0 * float(bowls.stable()[0]))
    return np.array(found)


def butter_seeded(kinds: list[str], at_c: float, minutes: float) -> Array:
    """Return the crystals, % of fat, some minutes after 1 % of each cocoa-butter seed went in, room shut out."""
    found = []
    for kind in kinds:
        bowls = _bowl("melted", at_c, closed=True)
        warm = 20.0 if kind == "crystals" else 33.5
        bowls.add(0.01, warm, Seed.butter_crystals() if kind == "crystals" else Seed.ripened_butter())
        bowls.stir(60.0 * minutes)
        found.append(100.0 * float(bowls.stable()[0]))
    return np.array(found)


def block_run(minutes: list[float], figure: str) -> Array:
    """Return how a kilogram at 40 °C with 250 g of block at 20 °C stirred in it goes: reading, crystals, block left."""
    bowls = _bowl("melted", 40.0)
    bowls.add(0.25, 20.0, Seed.block())
    found, passed = [], 0.0
    for until in minutes:
        bowls.stir(60.0 * (until - passed))
        passed = until
        left = 1000.0 * float(bowls.copy().take_block_out()[0])
        found.append({"t": float(bowls.reading()[0]), "x": 100.0 * float(bowls.stable()[0]), "g": left}[figure])
    return np.array(found)
