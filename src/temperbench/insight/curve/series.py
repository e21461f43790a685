"""A logged series as the engine takes it: seconds, temperatures of the sample and, if logged, of the bath."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array

__all__ = ["Series"]


@dataclass(frozen=True)
class Series:
    """A log of a probe: increasing seconds and °C, both finite; a bath beside it where one was logged."""

    seconds: Array
    celsius: Array
    bath_c: Array | None = None

    def __post_init__(self) -> None:
        """Refuse what no curve can be read from; `temperbench.app.read_series` says it with the place in the file."""
        least = int(number("curve.least_readings"))
        if self.seconds.ndim != 1 or self.seconds.shape != self.celsius.shape or len(self.seconds) < least:
            raise InputError("series", f"{self.seconds.size} readings", f"at least {least}", "log longer or more often")
        if not (np.isfinite(self.seconds).all() and np.isfinite(self.celsius).all()):
            raise InputError("series", "a reading", "finite numbers", "leave out readings the logger could not take")
        if (np.diff(self.seconds) <= 0.0).any():
            raise InputError("series", "time", "seconds that go forward", "sort the readings by their time")
        if self.bath_c is not None and self.bath_c.shape != self.seconds.shape:
            raise InputError("series", "bath", "one reading of the bath for each of the sample", "log both together")

    def part(self, first_s: float, last_s: float) -> Series:
        """Return the readings between two times."""
        inside = (self.seconds >= first_s) & (self.seconds <= last_s)
        return Series(self.seconds[inside], self.celsius[inside], None if self.bath_c is None else self.bath_c[inside])
