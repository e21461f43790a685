"""Where a bowl settles when it is stirred until every lump is gone: heat balance and solid-fat ceiling together.

Crystals can only melt in the minutes this takes, so the end is the state with the bowl's own enthalpy and
``solid = min(mean solid, ceiling at the common temperature)``. The wall shares the heat; the room takes some.
"""

from __future__ import annotations

import numpy as np

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import Array, cubic
from temperbench.kitchen.bowl_layout import MASS, SHARE, TOP, WALL_AIR, WALL_HEAT
from temperbench.kitchen.many import over_chunks
from temperbench.matter.crystals import CP, FAT, H_5, H_6, H_U, MILK_SHARE, PARCEL, SHIFT, TEMP, X5, X6, XU

__all__ = ["balance", "settle_states"]

_ROUNDS = 40


@kernel
def balance(enthalpy: float, solid: float, heat: float, row: Array, curve: Array) -> tuple[float, float]:
    """Temperature (°C) and solid share (kg/kg fat) of a mass with this enthalpy (J/kg, liquid at 0 °C = 0).

    ``solid`` is what there is to melt, ``heat`` the heat capacity of chocolate and vessel per kg chocolate.
    """
    latent = row[FAT] * row[H_5]
    high = (enthalpy + latent * solid) / heat
    left = (1.0 - row[MILK_SHARE]) * cubic(curve, high + row[SHIFT])[0]
    if left >= solid:
        return high, solid
    low = enthalpy / heat
    for _ in range(_ROUNDS):
        t = 0.5 * (low + high)
        left = (1.0 - row[MILK_SHARE]) * cubic(curve, t + row[SHIFT])[0]
        if heat * t - latent * left > enthalpy:
            high = t
        else:
            low = t
    t = 0.5 * (low + high)
    return t, (1.0 - row[MILK_SHARE]) * cubic(curve, t + row[SHIFT])[0]


@kernel
def _settle(states: Array, nz: int, rows: Array, curves: Array, air: Array, seconds: float, out: Array) -> None:
    for m in range(states.shape[0]):
        row = rows[m]
        heat = row[CP] + row[WALL_HEAT] / row[MASS]
        for k in range(states.shape[1]):
            y = states[m, k]
            enthalpy, solid, mean = 0.0, 0.0, 0.0
            for i in range(nz):
                o = i * PARCEL
                latent = row[H_5] * y[o + X5] + row[H_6] * y[o + X6] + row[H_U] * y[o + XU]
                enthalpy += row[SHARE + i] * (row[CP] * y[o + TEMP] - row[FAT] * latent)
                solid += row[SHARE + i] * (y[o + X5] + y[o + X6] + y[o + XU])
                mean += row[SHARE + i] * y[o + TEMP]
            enthalpy += row[WALL_HEAT] / row[MASS] * y[nz * PARCEL]
            enthalpy -= (row[WALL_AIR] + row[TOP]) * (mean - air[m]) * seconds / row[MASS]
            out[m, k, 0], out[m, k, 1] = balance(enthalpy, solid, heat, row, curves[m])


def settle_states(states: Array, zones: int, rows: Array, curves: Array, air_c: Array, seconds: float) -> Array:
    """Return temperature and solid share (m, marks, 2) of bowls stirred for ``seconds`` until even.

    ``states`` (m, marks, state) as of `temperbench.kitchen.bowls.Marks`.
    """
    out = np.zeros((*states.shape[:2], 2))

    def work(s: slice) -> None:
        _settle(states[s], zones, rows[s], curves[s], air_c[s], seconds, out[s])

    over_chunks(work, len(states))
    return out
