"""The thermostat of a holding kettle: heater on below the set-point, off above it, and off while the jacket is hot."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.units import Celsius, Kelvin, PerSecond, Second, Watt
from temperbench.kitchen.bowls import Bowls

__all__ = ["Thermostat"]


class Thermostat:
    """Switches the heater of every kettle by its own chocolate; remembers which heaters are on."""

    def __init__(
        self, set_point: Celsius | Array, power: Watt | Array, jacket_limit: Celsius | Array,
        band: Kelvin | None = None, step: Second | None = None,
    ) -> None:  # fmt: skip
        """Take set-point of the chocolate, heater, and the hottest jacket.

        Parameters
        ----------
        set_point
            Temperature of the chocolate to hold. [°C]
        power
            Heater while it is on. [W]
        jacket_limit
            Temperature of the jacket at which the heater goes off whatever the chocolate needs. [°C]
        band
            Switching band, half on either side; from the table when None. [K]
        step
            How often it looks; from the table when None. [s]
        """
        self.set_point, self.power, self.limit = set_point, power, jacket_limit
        self.band = number("around.kettle.band") if band is None else band
        self.step = number("around.kettle.step") if step is None else step
        self.on: Array | None = None

    def run(
        self, bowls: Bowls, seconds: Second, shear: PerSecond | None = None, strokes: PerSecond | None = None
    ) -> None:
        """Hold kettles for some time, stirred all along.

        Parameters
        ----------
        bowls
            Kettles that stand in their jackets.
        seconds
            How long. [s]
        shear
            Shear rate of the stirrer; as by hand when None. [1/s]
        strokes
            Turns of the stirrer; as by hand when None. [1/s]
        """
        left, step = seconds, self.step
        while left > 0.0:
            seen, half = bowls.reading(), 0.5 * self.band
            was = seen < self.set_point if self.on is None else self.on > 0.0
            wanted = np.where(was, seen < self.set_point + half, seen < self.set_point - half)
            self.on = np.where(wanted & (bowls.outside_c() < self.limit), 1.0, 0.0)
            bowls.heat_with(self.on * self.power)
            bowls.stir(min(step, left), shear=shear, strokes=strokes)
            left -= step
        bowls.heat_with(0.0)
