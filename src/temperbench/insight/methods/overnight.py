"""Stock at rest in a warm cabinet for hours: it melts so slowly that its solids are always those of its temperature.

What the bowl takes between two temperatures is its enthalpy on the solid-fat curve; how long that lasts follows from
what the cabinet gives. That is the limit of the full equations for slow warming, at a thousandth of their cost.
"""

from __future__ import annotations

import numpy as np

from temperbench.foundation.numerics import Array
from temperbench.kitchen.bowl_layout import MASS, TOP, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import settled_solids
from temperbench.kitchen.outside import Outside
from temperbench.matter.crystals import CP, FAT, H_5, N5, PARCEL, TEMP, X5

__all__ = ["rest_in"]

_POINTS = 120
_CLOSE = 0.02  # K: nearer than this to its cabinet a bowl does not come


def rest_in(bowls: Bowls, outside: Outside, seconds: Array) -> None:
    """Let bowls of sound stock stand in a warmer cabinet for so many seconds each, and leave them on the bench."""
    p = bowls.members
    rows, start = p.rows, bowls.temperature()
    air = np.full(len(p), outside.celsius, dtype=np.float64)
    given = np.asarray(outside.conductance + np.asarray(outside.top) * rows[:, TOP])
    top = np.maximum(air - _CLOSE, start + _CLOSE)
    grid = start[:, None] + (top - start)[:, None] * np.linspace(0.0, 1.0, _POINTS)
    solid = np.array([settled_solids(rows, p.curves, grid[:, k]) for k in range(_POINTS)]).T
    latent = (rows[:, FAT] * rows[:, H_5])[:, None] * solid
    heat = rows[:, MASS, None] * (rows[:, CP, None] * grid - latent) + rows[:, WALL_HEAT, None] * grid
    ahead = np.maximum(air[:, None] - 0.5 * (grid[:, 1:] + grid[:, :-1]), _CLOSE)
    took = np.cumsum(np.diff(heat, axis=1) / (given[:, None] * ahead), axis=1)
    took = np.concatenate([np.zeros((len(p), 1)), took], axis=1)
    reached = np.array([np.interp(s, t, g) for s, t, g in zip(seconds, took, grid, strict=True)])
    warm = np.where(air > start, reached, start)
    left = settled_solids(rows, p.curves, warm)
    for o in range(0, bowls.zones * PARCEL, PARCEL):
        before = bowls.y[:, o + X5]
        share = np.minimum(1.0, left / np.maximum(before, 1e-12))
        bowls.y[:, o + N5] *= share
        bowls.y[:, o + X5], bowls.y[:, o + TEMP] = before * share, warm
    bowls.y[:, bowls.zones * PARCEL] = warm
    bowls.peak = np.maximum(bowls.peak, warm[:, None])
