"""What a cook stirs into a bowl: buttons, a block, crystals of cocoa butter, warm chocolate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.units import Fraction, JoulePerKgK

__all__ = ["FORMS", "PLACES", "Seed", "per_member", "solids_of"]

FORMS = ("V", "VI", "melt")
PLACES = ("lumps", "dispersed", "block")


@dataclass(frozen=True)
class Seed:
    """One kind of addition. What is None is as in the bowl; figures may be one for all or one per member.

    ``form`` is that of its crystals. ``place`` says how it goes in: as lumps that soften in their liquid, dispersed
    at once (powder, cream, liquid), or as a block that melts at its surface and can be taken out again.
    """

    form: str = "V"
    place: str = "lumps"
    fat: Fraction | Array | None = None  # kg fat per kg. [1]
    milk_share: Fraction | Array | None = None  # milk fat over its fat. [1]
    solid: Fraction | Array | None = None  # crystals over its fat; None is the equilibrium at its temperature. [1]
    sites: float | Array | None = None  # growth sites per 1 % of the fat; None is that of melted-down buttons
    lump: Fraction = 1.0  # heat its lumps take, over that of buttons. [1]
    heat: JoulePerKgK | None = None  # specific heat; None is the bowl's. [J/(kg·K)]

    def __post_init__(self) -> None:
        """Refuse a form or place that is not known, and lumps with a specific heat of their own."""
        if self.form not in FORMS or self.place not in PLACES:
            raise ValueError(f"a seed has one of {FORMS} and goes in as one of {PLACES}; got {self}")
        if self.heat is not None and self.place != "dispersed":
            raise ValueError("only what disperses at once may have a specific heat of its own")

    @classmethod
    def buttons(cls, fat: Fraction | Array | None = None, milk_share: Fraction | Array | None = None) -> Seed:
        """Return chocolate buttons in temper.

        Parameters
        ----------
        fat
            Their fat, kg per kg; as the bowl's when None. [1]
        milk_share
            Milk fat over their fat; as the bowl's when None. [1]

        Returns
        -------
            The seed.
        """
        return cls(fat=fat, milk_share=milk_share)

    @classmethod
    def chopped(cls, fat: Fraction | Array | None = None, milk_share: Fraction | Array | None = None) -> Seed:
        """Return chopped block in temper: coarser than buttons.

        Parameters
        ----------
        fat
            Its fat, kg per kg; as the bowl's when None. [1]
        milk_share
            Milk fat over its fat; as the bowl's when None. [1]

        Returns
        -------
            The seed.
        """
        return cls(fat=fat, milk_share=milk_share, lump=number("bowl.lump.block"))

    @classmethod
    def block(cls) -> Seed:
        """Return a piece in temper, of the bowl's own chocolate, that is stirred around and taken out again."""
        return cls(place="block")

    @classmethod
    def butter_crystals(cls, sites: float | Array | None = None) -> Seed:
        """Return powdered crystals of pure cocoa butter; as form V they would melt where they are stirred in.

        Parameters
        ----------
        sites
            Growth sites per 1 % of the fat; from the table when None.

        Returns
        -------
            The seed.
        """
        fine = number("seed.butter.sites") if sites is None else sites
        return cls("VI", "dispersed", 1.0, 0.0, None, fine, heat=number("seed.butter.heat"))

    @classmethod
    def ripened_butter(cls, solid: Fraction | Array | None = None, sites: float | Array | None = None) -> Seed:
        """Return cocoa butter kept warm until it is a cream, partly crystals.

        Parameters
        ----------
        solid
            Crystals over its fat; from the table when None. [1]
        sites
            Growth sites per 1 % of the fat; from the table when None.

        Returns
        -------
            The seed.
        """
        fine = number("seed.butter.sites") if sites is None else sites
        crystals = number("seed.ripened.solid") if solid is None else solid
        return cls("VI", "dispersed", 1.0, 0.0, crystals, fine, heat=number("seed.butter.heat"))

    @classmethod
    def melted(cls, fat: Fraction | Array | None = None, milk_share: Fraction | Array | None = None) -> Seed:
        """Return warm melted chocolate without crystals, for thinning and warming.

        Parameters
        ----------
        fat
            Its fat, kg per kg; as the bowl's when None. [1]
        milk_share
            Milk fat over its fat; as the bowl's when None. [1]

        Returns
        -------
            The seed.
        """
        return cls("melt", "dispersed", fat, milk_share, 0.0)


def solids_of(seed: Seed, equilibrium: Array) -> Array:
    """Return the crystals of a seed of every member, per kg of its fat, given the equilibrium at its temperature."""
    if seed.form == "melt":
        return np.zeros_like(equilibrium)
    return per_member(seed.solid, equilibrium)


def per_member(value: float | Array | None, like: Array) -> Array:
    """Return a figure as one per member; None is as in ``like``."""
    if value is None:
        return like
    return np.broadcast_to(np.asarray(value, dtype=np.float64), like.shape).copy()
