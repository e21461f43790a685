"""A heat store for tests only: chocolate with a melting range instead of crystals, enthalpy straight in three pieces.

Check values of bowls were worked out with it, so that they hold whatever the crystal model does. Supercooling is left
out: it holds for heating only.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["MeltingRange"]

Array = NDArray[np.float64]


class MeltingRange:
    """One figure per zone: enthalpy over that at 20 °C, J/kg. Melts between 28 and 34 °C, 46 kJ/kg in all."""

    FROM_C, BEGIN_C, END_C = 20.0, 28.0, 34.0
    COLD, WARM, LATENT = 1590.0, 1670.0, 46000.0

    def __init__(self) -> None:
        """Place the corners of the curve."""
        slope = 0.5 * (self.COLD + self.WARM) + self.LATENT / (self.END_C - self.BEGIN_C)
        self.corners_c = np.array([self.FROM_C - 100.0, self.FROM_C, self.BEGIN_C, self.END_C, self.END_C + 100.0])
        slopes = np.array([self.COLD, self.COLD, slope, self.WARM])
        self.corners = np.concatenate([[0.0], np.cumsum(slopes * np.diff(self.corners_c))]) - 100.0 * self.COLD

    def at(self, temperature: float) -> float:
        """Return the enthalpy at a temperature, J/kg over 20 °C."""
        return float(np.interp(temperature, self.corners_c, self.corners))

    def temperature(self, zones: Array) -> Array:
        """Return the temperature of each zone."""
        return np.interp(zones[:, 0], self.corners, self.corners_c)

    def melted(self, zones: Array) -> Array:
        """Return how far each zone is through the melting range."""
        return np.clip((self.temperature(zones) - self.BEGIN_C) / (self.END_C - self.BEGIN_C), 0.0, 1.0)

    def solid(self, zones: Array) -> Array:
        """Return the share that has not melted."""
        return 1.0 - self.melted(zones)

    def enthalpy(self, zones: Array) -> Array:
        """Return the enthalpy of each zone."""
        return zones[:, 0]

    def rates(self, zones: Array, heat: Array, shear: float) -> Array:
        """Return the heating itself: this store has nothing else, sheared or not."""
        assert zones.shape == (len(heat), 1)
        assert shear >= 0.0
        return heat[:, None]
