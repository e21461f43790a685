"""Bowls put into water for seconds at a time and stirred on the bench between: lifted over warm, chilled in cold."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.units import Celsius, Litre
from temperbench.insight.methods.script import Run
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.outside import Around, water_bath

__all__ = ["Water", "lift", "lift_told", "lifting_bath_c", "lifting_water"]


class Water:
    """Water at hand for each member, which keeps what it takes up while no bowl stands in it."""

    def __init__(self, material: str, celsius: Array, litres: Litre | None, figures: Around) -> None:
        """Have water ready; without ``litres`` it keeps its temperature.

        Parameters
        ----------
        material
            What the bowls are of.
        celsius
            Temperature of the water, (m,).
        litres
            How much, or None. [L]
        figures
            Films of every member.
        """
        self.material, self.celsius, self.litres, self.figures = material, celsius.copy(), litres, figures

    def dip(self, bowls: Bowls, seconds: Array, shear: float | None = None) -> None:
        """Stir each bowl in the water for its own seconds, and take it out again."""
        if not (seconds > 0.0).any():
            return
        bowls.stand_in(water_bath(bowls.members, self.material, self.celsius, self.litres, self.figures))
        bowls.stir(seconds, shear=shear)
        self.celsius = bowls.outside_c()
        bowls.stand_on_bench()


def lifting_bath_c(at: Temperatures) -> Celsius:
    """Return how warm the water is over which a bowl is lifted into its working window, to 1 K.

    Parameters
    ----------
    at
        Temperatures of the chocolate.

    Returns
    -------
        Temperature of the water. [°C]
    """
    return float(round(at.work_to_c + number("dip.bath.above_work")))


def lift_told(at: Temperatures, to_c: Celsius, say: Telling) -> str:
    """Return what a bowl that came back too cold asks for.

    Parameters
    ----------
    at
        Temperatures of the chocolate.
    to_c
        What it is lifted to. [°C]
    say
        Who is told.

    Returns
    -------
        What to do, as a row of a table has it.
    """
    until = say.either(f"it reads {to_c:.1f} °C", f"it flows with ease, at about {to_c:.1f} °C")
    seconds, bath = round(number("dip.warm")), lifting_bath_c(at)
    return f"lift: {seconds} s over water of {bath:.0f} °C, stir off it, {say.read}, until {until}"


def lifting_water(known: Known, bowls: Bowls, at: Temperatures, figures: Around) -> Water:
    """Return warm water for lifting, kept as it is, for the job's bowl and these films of its members."""
    m = len(bowls.members)
    return Water(known.bowl.material, np.full(m, lifting_bath_c(at)), None, figures)


def lift(
    run: Run, water: Water, from_c: float, to_c: float, say: Telling, who: NDArray[np.bool_] | None = None
) -> None:  # fmt: skip
    """Warm the bowls that read below ``from_c`` until they read ``to_c``: seconds over warm water, stir, read."""
    everyone = np.ones(len(run), dtype=np.bool_) if who is None else who
    run.begin("lift", f"Lift to {to_c:.1f} °C over warm water",
              detail=f"{number('dip.warm'):.0f} s over the water, stirring, then off it: stir, {say.read}. Never left "
                     "there.",
              until="rises to", until_c=to_c)  # fmt: skip
    low = everyone & (run.look() < from_c)
    on, every = number("dip.warm"), number("dip.warm") + number("dip.stir")

    def act(bowls: Bowls, took: Array) -> None:
        inside = np.minimum(took, on)
        water.dip(bowls, inside)
        bowls.stir(took - inside)

    run.until(lambda reading: reading >= to_c, every, 60.0 * number("dip.longest"), act, low)
