"""Masses that come into a bowl or leave it: balances of mass, fat, milk fat, crystals, growth sites and enthalpy.

Everything here is arithmetic on the parameter rows and parcels of all members; nothing melts or sets in it. Enthalpy is
counted as in `temperbench.kitchen.bowl_rates`: specific heat times temperature less latent heat of the crystals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_layout import GONE_AT, INSIDE, MASS, SHARE, SOFT, SOLID_REF, TOP
from temperbench.kitchen.bowl_rates import NO_FLUID
from temperbench.kitchen.members import settled_solids
from temperbench.kitchen.seeds import Seed, per_member, solids_of
from temperbench.matter.crystals import (
    CP,
    FAT,
    H_5,
    H_6,
    H_U,
    MILK_SHARE,
    N5,
    PARCEL,
    SHIFT,
    SIX_OFFSET,
    T5,
    T6,
    TEMP,
    TU,
    X5,
    X6,
    XU,
)

__all__ = ["Portion", "blended", "flowing", "heat_of", "joined", "lessened", "mean_parcel", "portion_of",
           "strained", "usual_shares"]  # fmt: skip

_AMOUNTS = slice(0, TEMP)  # crystals and growth sites, per fat
_WETTING = 0.5  # wetted wall and free surface of a shallow fill of a hemisphere grow with the root of its volume


@dataclass(frozen=True)
class Portion:
    """Chocolate or fat on its way into a bowl, one row per member: kg, state, and what it is made of."""

    kilograms: Array  # (m,)
    parcel: Array  # (m, PARCEL), crystals and sites per kg of its own fat
    fat: Array  # kg per kg
    milk_share: Array  # milk fat over its fat
    heat: Array  # specific heat, J/(kg·K)


def portion_of(seed: Seed, kilograms: Array, celsius: Array, rows: Array, curves: Array) -> Portion:
    """Return so much of a seed at a temperature, for bowls of these rows."""
    fat, milk = per_member(seed.fat, rows[:, FAT]), per_member(seed.milk_share, rows[:, MILK_SHARE])
    own = rows
    if seed.milk_share is not None:
        own = rows.copy()
        own[:, MILK_SHARE], own[:, SHIFT] = milk, _shift_per_share(rows) * milk
    where = celsius - rows[:, SIX_OFFSET] if seed.form == "VI" else celsius
    solid = solids_of(seed, settled_solids(own, curves, where))
    sites = number("crystals.sites_of_melted_down") if seed.sites is None else seed.sites
    parcel = np.zeros((len(rows), PARCEL))
    parcel[:, X6 if seed.form == "VI" else X5] = solid
    parcel[:, N5] = 100.0 * solid * sites
    parcel[:, TEMP] = celsius
    return Portion(kilograms, parcel, fat, milk, per_member(seed.heat, rows[:, CP]))


def heat_of(rows: Array, parcels: Array) -> Array:
    """Return the enthalpy of each zone, J/kg, (m, zones); ``parcels`` (m, zones, PARCEL)."""
    p = rows[:, None, :]
    latent = p[..., H_5] * parcels[..., X5] + p[..., H_6] * parcels[..., X6] + p[..., H_U] * parcels[..., XU]
    return np.asarray(p[..., CP] * parcels[..., TEMP] - p[..., FAT] * latent)


def mean_parcel(rows: Array, parcels: Array) -> Array:
    """Return the mass mean of the zones, (m, PARCEL)."""
    zones = parcels.shape[1]
    return np.asarray((rows[:, SHARE : SHARE + zones, None] * parcels).sum(axis=1))


def flowing(rows: Array, parcels: Array) -> Array:
    """Return the share of each zone that flows instead of being lumps, (m, zones)."""
    solid = parcels[..., X5] + parcels[..., X6] + parcels[..., XU]
    width = (rows[:, SOFT] - rows[:, GONE_AT])[:, None]
    q = np.clip((rows[:, SOFT, None] - solid) / width, 0.0, 1.0)
    return np.asarray(q * q * (3.0 - 2.0 * q))


def _shift_per_share(rows: Array) -> Array:
    """How far a unit share of milk fat moves the curve of each member; the table's where its fat has none to tell."""
    usual = np.full(len(rows), number("crystals.milk_fat_shift"))
    has = rows[:, MILK_SHARE] > 0.0
    return np.asarray(np.divide(rows[:, SHIFT], rows[:, MILK_SHARE], out=usual, where=has))


def _composed(rows: Array, portion: Portion) -> tuple[Array, Array, Array]:
    """Return rows of the mixed chocolate, and what crystals per fat are multiplied by: those there, those coming."""
    rows, mass, kg = rows.copy(), rows[:, MASS], portion.kilograms
    fat, milk = rows[:, FAT].copy(), rows[:, MILK_SHARE].copy()
    same = (fat == portion.fat) & (milk == portion.milk_share)
    total = mass + kg
    mixed = (mass * fat + kg * portion.fat) / total
    shared = (mass * fat * milk + kg * portion.fat * portion.milk_share) / (total * mixed)
    mixed, shared = np.where(same, fat, mixed), np.where(same, milk, shared)
    shift = np.where(same, rows[:, SHIFT], _shift_per_share(rows) * shared)
    for melting in (T5, TU, T6):
        rows[:, melting] = np.where(same, rows[:, melting], rows[:, melting] + rows[:, SHIFT] - shift)
    rows[:, SOLID_REF] = np.where(same, rows[:, SOLID_REF], (1.0 - shared) * number("bowl.solid_ref"))
    rows[:, FAT], rows[:, MILK_SHARE], rows[:, SHIFT] = mixed, shared, shift
    heat = (mass * rows[:, CP] + kg * portion.heat) / total
    rows[:, CP] = np.where(rows[:, CP] == portion.heat, rows[:, CP], heat)
    rows[:, MASS] = total
    return rows, fat / mixed, portion.fat / mixed


def _wetted(rows: Array, before: Array, zones: int) -> None:
    """Let wetted wall and free surface follow the mass; ``before`` are the masses they belong to."""
    grown = (rows[:, MASS] / before) ** _WETTING
    rows[:, INSIDE : INSIDE + zones] *= grown[:, None]
    rows[:, TOP] *= grown


def _balanced(rows: Array, parcels: Array, enthalpy: Array) -> None:
    """Move all temperatures of a bowl alike until it has this enthalpy, J/kg."""
    found = (rows[:, SHARE : SHARE + parcels.shape[1]] * heat_of(rows, parcels)).sum(axis=1)
    parcels[..., TEMP] += ((enthalpy - found) / rows[:, CP])[:, None]


def _enthalpy(rows: Array, parcels: Array, portion: Portion) -> Array:
    """Enthalpy per kg of bowl and portion together. [J/kg]"""
    there = (rows[:, SHARE : SHARE + parcels.shape[1]] * heat_of(rows, parcels)).sum(axis=1)
    own = rows.copy()
    own[:, FAT], own[:, CP] = portion.fat, portion.heat
    coming = heat_of(own, portion.parcel[:, None])[:, 0]
    kg = portion.kilograms
    return np.asarray((rows[:, MASS] * there + kg * coming) / (rows[:, MASS] + kg))


def joined(rows: Array, parcels: Array, portion: Portion) -> tuple[Array, Array]:
    """Return rows and parcels when what was there becomes one mass, and the portion the last zone beside it.

    The wall is wetted by the zones in proportion to their mass. Members without a portion stay as they are.
    """
    kg, zones = portion.kilograms, parcels.shape[1]
    last = zones - 1
    new, old_fat, seed_fat = _composed(rows, portion)
    mean = mean_parcel(rows, parcels)
    mean[:, _AMOUNTS] *= old_fat[:, None]
    coming = portion.parcel.copy()
    coming[:, _AMOUNTS] *= seed_fat[:, None]
    share = kg / new[:, MASS]
    old = rows[:, SHARE : SHARE + last]
    new[:, SHARE : SHARE + last] = old / old.sum(axis=1, keepdims=True) * (1.0 - share)[:, None]
    new[:, SHARE + last] = share
    inside = rows[:, INSIDE : INSIDE + zones].sum(axis=1)
    new[:, INSIDE : INSIDE + zones] = inside[:, None] * new[:, SHARE : SHARE + zones]
    after = np.empty_like(parcels)
    after[:, :last], after[:, last] = mean[:, None, :], coming
    _wetted(new, rows[:, MASS], zones)
    if (new[:, CP] != rows[:, CP]).any():
        _balanced(new, after, _enthalpy(rows, parcels, portion))
    some = kg > 0.0
    return np.where(some[:, None], new, rows), np.where(some[:, None, None], after, parcels)


def blended(rows: Array, parcels: Array, portion: Portion) -> tuple[Array, Array]:
    """Return rows and parcels when the portion disperses at once in what flows; without one they stay as they are."""
    kg, zones = portion.kilograms, parcels.shape[1]
    new, old_fat, seed_fat = _composed(rows, portion)
    shares = rows[:, SHARE : SHARE + zones]
    flows = shares * flowing(rows, parcels)
    fluid = flows.sum(axis=1, keepdims=True)
    taking = np.where(fluid > NO_FLUID, flows / np.maximum(fluid, NO_FLUID), shares)
    there, coming = rows[:, MASS, None] * shares, kg[:, None] * taking
    mass = there + coming
    new[:, SHARE : SHARE + zones] = mass / new[:, MASS, None]
    after = parcels.copy()
    amounts = (there * old_fat[:, None])[..., None] * parcels[..., _AMOUNTS]
    amounts += (coming * seed_fat[:, None])[..., None] * portion.parcel[:, None, _AMOUNTS]
    after[..., _AMOUNTS] = amounts / mass[..., None]
    a, b = there * rows[:, CP, None], coming * portion.heat[:, None]
    after[..., TEMP] = (a * parcels[..., TEMP] + b * portion.parcel[:, TEMP, None]) / (a + b)
    _balanced(new, after, _enthalpy(rows, parcels, portion))
    _wetted(new, rows[:, MASS], zones)
    some = kg > 0.0
    return np.where(some[:, None], new, rows), np.where(some[:, None, None], after, parcels)


def lessened(rows: Array, kilograms: Array, zones: int) -> Array:
    """Return rows of bowls of which so much was taken, every zone alike."""
    new = rows.copy()
    new[:, MASS] -= kilograms
    _wetted(new, rows[:, MASS], zones)
    return np.where((kilograms > 0.0)[:, None], new, rows)


def strained(rows: Array, parcels: Array, kilograms: Array) -> tuple[Array, Array]:
    """Return rows and parcels after so much of the last zone was taken out: what is left is one even mass."""
    zones = parcels.shape[1]
    new = rows.copy()
    new[:, MASS] -= kilograms
    amounts = rows[:, MASS, None] * rows[:, SHARE : SHARE + zones]
    amounts[:, zones - 1] -= kilograms
    mean = (amounts[..., None] * parcels).sum(axis=1) / new[:, MASS, None]
    new[:, SHARE : SHARE + zones] = usual_shares(zones)
    _wetted(new, rows[:, MASS], zones)
    some = kilograms > 0.0
    after = np.repeat(mean[:, None, :], zones, axis=1)
    return np.where(some[:, None], new, rows), np.where(some[:, None, None], after, parcels)


def usual_shares(zones: int) -> Array:
    """Return the mass shares of the zones of a bowl that has become one mass."""
    share = np.array(array("bowl.zones.share")[:zones])
    return np.asarray(share / share.sum())
