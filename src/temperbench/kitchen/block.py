"""A piece of chocolate in temper that is stirred around in a bowl, melts at its surface, and can be taken out again.

It is thick for its film, so that it melts from outside in: the surface stands where the chocolate is soft enough to
come off, and the heat that reaches it takes layer after layer from the piece's own temperature to that. What comes off
disperses with the crystals it has there.
"""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_layout import SHARE, SOFT
from temperbench.kitchen.bowl_rates import NO_FLUID
from temperbench.kitchen.masses import Portion, blended, flowing
from temperbench.kitchen.members import settled_solids
from temperbench.matter.crystals import CP, FAT, H_5, MILK_SHARE, N5, PARCEL, TEMP, X5

__all__ = ["BLOCK", "BLOCK_C", "BLOCK_KG", "BLOCK_SOFT_C", "BLOCK_SOLID", "shed", "soft_at", "with_block"]

# What is known of the block of each member: kg left, its temperature, its crystals per fat, where its surface softens.
BLOCK_KG, BLOCK_C, BLOCK_SOLID, BLOCK_SOFT_C = range(4)
BLOCK = 4

_ROUNDS = 50
_COLD, _HOT = 0.0, 60.0  # °C between which chocolate softens


def soft_at(rows: Array, curves: Array) -> Array:
    """Return the temperature of each member at which lumps of its chocolate begin to disperse. [°C]"""
    low, high = np.full(len(rows), _COLD), np.full(len(rows), _HOT)
    for _ in range(_ROUNDS):
        middle = 0.5 * (low + high)
        firm = settled_solids(rows, curves, middle) > rows[:, SOFT]
        low, high = np.where(firm, middle, low), np.where(firm, high, middle)
    return np.asarray(0.5 * (low + high))


def with_block(block: Array, kilograms: Array, celsius: Array, rows: Array, curves: Array) -> Array:
    """Return the blocks of all members after a piece was put in; two pieces become one of their mean."""
    some = kilograms > 0.0
    soft = soft_at(rows, curves)
    if (celsius[some] >= soft[some]).any():
        raise ValueError("the block is too warm to hold together")
    coming = np.stack([celsius, settled_solids(rows, curves, celsius)], axis=1)
    total = block[:, BLOCK_KG] + kilograms
    share = np.divide(kilograms, total, out=np.zeros_like(total), where=total > 0.0)[:, None]
    mean = (1.0 - share) * block[:, [BLOCK_C, BLOCK_SOLID]] + share * coming
    return np.where(some[:, None], np.column_stack([total, mean, soft]), block)


def shed(rows: Array, parcels: Array, curves: Array, block: Array, film_seconds: Array) -> tuple[Array, Array, Array]:
    """Return rows, parcels and blocks after the liquid has acted on the blocks, J/(m²·K) in all.

    Heun's rule for the temperature of the liquid; a piece that keeps its shape loses cube root of mass evenly.
    """
    before = _liquid(rows, parcels)
    cooled = _shed(rows, parcels, curves, block, before, film_seconds)
    return _shed(rows, parcels, curves, block, 0.5 * (before + _liquid(*cooled[:2])), film_seconds)


def _liquid(rows: Array, parcels: Array) -> Array:
    """Temperature of what flows, or the mean where nothing does. [°C]"""
    shares = rows[:, SHARE : SHARE + parcels.shape[1]]
    flows = shares * flowing(rows, parcels)
    fluid = flows.sum(axis=1, keepdims=True)
    weights = np.where(fluid > NO_FLUID, flows / np.maximum(fluid, NO_FLUID), shares)
    return np.asarray((weights * parcels[..., TEMP]).sum(axis=1))


def _shed(
    rows: Array, parcels: Array, curves: Array, block: Array, liquid_c: Array, film_seconds: Array
) -> tuple[Array, Array, Array]:
    kg, soft = block[:, BLOCK_KG], block[:, BLOCK_SOFT_C]
    some = kg > 0.0
    surface = settled_solids(rows, curves, soft)
    needed = rows[:, CP] * (soft - block[:, BLOCK_C]) + rows[:, FAT] * rows[:, H_5] * (block[:, BLOCK_SOLID] - surface)
    area_of_kg = number("seed.block.shape") / number("thermal.chocolate.rho") ** (2.0 / 3.0)
    off = film_seconds * area_of_kg * np.maximum(0.0, liquid_c - soft) / np.where(some, needed, 1.0)
    left_kg = np.where(some, np.maximum(0.0, np.cbrt(kg) - off / 3.0) ** 3, 0.0)
    parcel = np.zeros((len(rows), PARCEL))
    parcel[:, X5] = surface
    parcel[:, N5] = 100.0 * surface * number("crystals.sites_of_melted_down")
    parcel[:, TEMP] = soft - needed / rows[:, CP]  # so that it brings the enthalpy of the piece
    portion = Portion(kg - left_kg, parcel, rows[:, FAT], rows[:, MILK_SHARE], rows[:, CP])
    rows, parcels = blended(rows, parcels, portion)
    left = block.copy()
    left[:, BLOCK_KG] = left_kg
    return rows, parcels, left
