"""How a plan and an advice are told: to someone who reads a thermometer, or to someone who goes by look and feel.

A sentence that speaks of a reading is written both ways where it stands, and `Telling` picks; phrases that recur are
its methods. Nothing looks through finished sentences.
"""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.units import Celsius

__all__ = ["Telling"]

_HOT = "thin and not cool at the lip"


@dataclass(frozen=True)
class Telling:
    """Who is told: ``reads`` says whether there is a thermometer to read."""

    reads: bool

    def either(self, reading: str, eye: str) -> str:
        """Return the wording for whoever is told.

        Parameters
        ----------
        reading
            What is said to someone who reads a thermometer.
        eye
            What is said instead to someone who has none.

        Returns
        -------
            One of the two.
        """
        return reading if self.reads else eye

    @property
    def read(self) -> str:
        """What is done after stirring, as an imperative inside a sentence: read, or look."""
        return self.either("read", "look")

    def reads_above(self, celsius: Celsius) -> str:
        """Return "it reads above" a temperature, or how so warm a bowl looks and feels.

        Parameters
        ----------
        celsius
            The temperature, told to 0.1 K. [°C]

        Returns
        -------
            A clause without a capital.
        """
        return self.either(f"it reads above {celsius:.1f} °C", f"it is {_HOT}, above {celsius:.1f} °C")

    def above(self, celsius: Celsius, digits: int = 1) -> str:
        """Return "a reading above" a temperature, as what begins a sentence, or how so warm a bowl looks and feels.

        Parameters
        ----------
        celsius
            The temperature. [°C]
        digits
            Its decimals.

        Returns
        -------
            A phrase with a capital.
        """
        figure = f"{celsius:.{digits}f} °C"
        return self.either(f"A reading above {figure}", f"{_HOT.capitalize()}, above about {figure}")

    def near(self, celsius: Celsius, digits: int = 1) -> str:
        """Return "a reading near" a temperature, as what begins a sentence, or only about how warm that is.

        Parameters
        ----------
        celsius
            The temperature. [°C]
        digits
            Its decimals.

        Returns
        -------
            A phrase with a capital.
        """
        figure = f"{celsius:.{digits}f} °C"
        return self.either(f"A reading near {figure}", f"About {figure}")

    def down_to(self, celsius: Celsius, digits: int = 1) -> str:
        """Return "a reading of" a temperature to which a bowl falls, or only about how warm that is.

        Parameters
        ----------
        celsius
            The temperature. [°C]
        digits
            Its decimals.

        Returns
        -------
            A phrase with a capital.
        """
        figure = f"{celsius:.{digits}f} °C"
        return self.either(f"A reading of {figure}", f"About {figure}")
