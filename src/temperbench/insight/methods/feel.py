"""What hands feel: chocolate that its crystals have thickened."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.units import Fraction
from temperbench.kitchen.bowls import Bowls
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["thickened"]


def thickened(bowls: Bowls, ratio: Fraction, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Tell in which bowls a cook, who judges crystals by flow with an error, finds the chocolate so much thicker.

    Parameters
    ----------
    bowls
        The bowls.
    ratio
        Viscosity over that without crystals. [1]
    rng
        For the errors of judgement.

    Returns
    -------
        Which, (m,).
    """
    p = bowls.members
    felt = bowls.solid() * (1.0 + p.eye * rng.standard_normal(len(p)))
    return np.asarray(felt > crystals_at_ratio(ratio, p.rows[:, FAT], p.kappa))
