"""How much of tempered cocoa butter is solid at a temperature, for soft, medium and hard butters.

The curve of form V is a monotone cubic through the nodes of ``data/crystals.toml``; the other forms are the same curve
moved along the temperature axis by the difference of their clear points.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation import evidence
from temperbench.foundation.numerics import cubic, monotone_cubic
from temperbench.foundation.units import Celsius, Fraction

__all__ = ["butter_nodes", "solid_fat_content", "solid_fat_curves"]


def butter_nodes(hardness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the node values of the curve for butters between soft (-1), medium (0) and hard (+1).

    Parameters
    ----------
    hardness
        Any shape (m,). [1]

    Returns
    -------
        Solid share of the fat at each node, shape (m, nodes). [1]
    """
    soft, medium, hard = (np.array(evidence.array(f"crystals.sfc.{b}")) for b in ("soft", "medium", "hard"))
    h = hardness[:, None]
    return np.asarray(medium + np.where(h > 0.0, h * (hard - medium), h * (medium - soft)))


def solid_fat_curves(hardness: NDArray[np.float64], tail: NDArray[np.float64] | None = None) -> NDArray[np.float64]:
    """Return the piecewise-cubic curve of each butter, for the kernels.

    Parameters
    ----------
    hardness
        Shape (m,): -1 soft, 0 medium, +1 hard. [1]
    tail
        Shape (m,), optional: departure of the 32.5 and 34 °C nodes from the curve, in shares of their stated
        uncertainty (-1 to 1). [1]

    Returns
    -------
        Shape (m, intervals, 5), as `temperbench.foundation.numerics.monotone_cubic`.
    """
    nodes_c = np.array(evidence.array("crystals.sfc.nodes"))
    values = butter_nodes(hardness)
    if tail is not None:
        values = values + tail[:, None] * np.array(evidence.array("crystals.sfc.tail_spread"))
        values = np.minimum.accumulate(np.clip(values, 0.0, 1.0), axis=1)
    return monotone_cubic(nodes_c, values)


def solid_fat_content(temperature: Celsius, butter: str = "medium", milk_fat_share: Fraction = 0.0) -> Fraction:
    """Equilibrium solid share of the fat of a tempered chocolate.

    ``S(T) = (1 - y)·C(T + delta·y)``: milk fat counts as liquid and moves the curve down. Fitted slope, see the row
    ``crystals.milk_fat_shift``.

    Parameters
    ----------
    temperature
        Chocolate temperature. [°C]
    butter
        soft, medium or hard.
    milk_fat_share
        Milk fat over total fat. [1]

    Returns
    -------
        Solid share of the fat. [1]

    Examples
    --------
    >>> round(solid_fat_content(30.0), 3), round(solid_fat_content(30.0, milk_fat_share=0.18), 3)
    (0.45, 0.217)
    """
    hardness = {"soft": -1.0, "medium": 0.0, "hard": 1.0}[butter]
    curve = solid_fat_curves(np.array([hardness]))[0]
    shift = evidence.number("crystals.milk_fat_shift") * milk_fat_share
    value: float = cubic(curve, temperature + shift)[0]
    return (1.0 - milk_fat_share) * value
