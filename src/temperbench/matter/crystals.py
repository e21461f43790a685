"""Rates of the crystal lumps of cocoa butter: unstable (III/IV), stable (V), VI, and their growth sites.

States of one parcel, per kg of fat: ``x_5, x_6, x_U`` (kg crystals per kg fat), ``N_5, N_U`` (growth sites, 1 = one
per cent of the fat as well dispersed stable crystals). Time in s, temperature in °C. The form follows published lump
models: seeded growth of Avrami exponent 2, melting towards the solid-fat ceiling, transitions V to VI and unstable
to V, nucleation under shear. docs/model.md states every equation and its source.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import cubic

__all__ = [
    "BREEDING", "CP", "CRYSTAL_PARAMETERS", "EXCESS", "FAT", "GONE", "GROWTH", "GROWTH_U", "HOT", "H_5", "H_6", "H_U",
    "MELT", "MILK_SHARE", "N5", "NU", "NUCLEATE_BELOW", "NUCLEATE_SPAN", "NUCLEATION", "NUCLEATION_U", "PARCEL",
    "PER_CENT", "RAMP", "SEED_FLOOR", "SHEAR", "SHIFT", "SITE_ROUND", "SIX_OFFSET", "SIX_RATE", "SIX_SLOPE", "SPAN_5",
    "SPAN_U", "T5", "T6", "TEMP", "TU", "U_OFFSET", "U_RATE", "U_SLOPE", "X5", "X6", "XU", "B", "crystal_jacobian",
    "crystal_rates",
]  # fmt: skip

# Places in the state of one parcel.
X5, X6, XU, N5, NU, TEMP = range(6)
PARCEL = 6

# Places in the parameter row of one member (the first ones; the bowl's follow).
CRYSTAL_PARAMETERS = (
    "fat", "milk_share", "shift", "t5", "tu", "t6", "growth", "growth_u", "b", "melt", "nucleation", "breeding",
    "nucleation_u", "h_u", "h_5", "h_6", "u_rate", "u_slope", "six_rate", "six_slope", "cp", "seed_floor", "u_offset",
    "six_offset",
)  # fmt: skip
(
    FAT, MILK_SHARE, SHIFT, T5, TU, T6, GROWTH, GROWTH_U, B, MELT, NUCLEATION, BREEDING, NUCLEATION_U, H_U, H_5, H_6,
    U_RATE, U_SLOPE, SIX_RATE, SIX_SLOPE, CP, SEED_FLOOR, U_OFFSET, SIX_OFFSET,
) = range(len(CRYSTAL_PARAMETERS))  # fmt: skip

# Shape of the rate laws, see docs/model.md. The spans and SHEAR set the units of the rate constants; where melting runs
# at full rate and where shear nucleation begins are choices of the model.
SPAN_5, SPAN_U = 14.5, 7.5  # K below the melting point at which driving force = 1 (20 °C for pure cocoa butter)
EXCESS, HOT = 0.02, 10.0  # excess solid share, and K above the melting point, at which melting runs at full rate
NUCLEATE_BELOW, NUCLEATE_SPAN, SHEAR = 4.0, 3.5, 50.0  # K below T5 where shear nucleation begins; K; 1/s
PER_CENT = 100.0

# Numerical guards.
SITE_ROUND = 1e-6  # rounds off the square root at no growth sites
GONE = 1e-8  # below this share of the fat crystals count as gone
RAMP = 0.1  # K over which a transition dies out below its melting point


@kernel
def _power(z: float, b: float, round_off: float) -> tuple[float, float]:
    """``z**b`` and its slope; finite slope at nothing."""
    z = max(z, 0.0)
    if b == 0.5:
        root = math.sqrt(z + round_off)
        if root == 0.0:
            return 0.0, 0.0
        return z / root, (0.5 * z + round_off) / (root * root * root)
    if b == 0.0:
        return 1.0, 0.0
    if b == 1.0:
        return z, 1.0
    value = (z + round_off) ** b
    return value, b * value / (z + round_off)


@kernel
def _melt_fraction(over: float, hot: float) -> tuple[float, float, float]:
    """``min(1, over/EXCESS + hot/HOT)`` of positive parts, and its slopes along ``over`` and ``hot``."""
    a = over / EXCESS if over > 0.0 else 0.0
    c = hot / HOT if hot > 0.0 else 0.0
    if a + c >= 1.0:
        return 1.0, 0.0, 0.0
    return a + c, (1.0 / EXCESS if over > 0.0 else 0.0), (1.0 / HOT if hot > 0.0 else 0.0)


@kernel
def _ramp(below: float) -> tuple[float, float]:
    if below <= 0.0:
        return 0.0, 0.0
    if below >= RAMP:
        return 1.0, 0.0
    return below / RAMP, 1.0 / RAMP


@kernel
def crystal_rates(
    y: NDArray[np.float64], o: int, p: NDArray[np.float64], curve: NDArray[np.float64], gamma: float,
    f: NDArray[np.float64],
) -> float:  # fmt: skip
    """Write d(x_5, x_6, x_U, N_5, N_U)/dt of the parcel at offset ``o`` into ``f``; return the latent heating [K/s].

    ``gamma`` is the shear rate in 1/s.
    """
    x5, x6, xu, n5, nu, t = y[o], y[o + 1], y[o + 2], y[o + 3], y[o + 4], y[o + 5]
    warm = t + p[SHIFT]
    fatty = 1.0 - p[MILK_SHARE]
    s5 = fatty * cubic(curve, warm)[0]
    s6 = fatty * cubic(curve, warm - p[SIX_OFFSET])[0]
    su = fatty * cubic(curve, warm + p[U_OFFSET])[0]
    stable = x5 + x6
    total = stable + xu
    f5 = _melt_fraction(stable - s5, t - p[T5])[0]
    f6 = _melt_fraction(stable - s6, t - p[T6])[0]
    fu = _melt_fraction(total - su, t - p[TU])[0]
    th5 = (p[T5] - t) / SPAN_5 if t < p[T5] else 0.0
    thu = (p[TU] - t) / SPAN_U if t < p[TU] else 0.0
    here5, here6, hereu = max(x5, 0.0), max(x6, 0.0), max(xu, 0.0)  # a step may leave less than nothing
    seeds = here5 + here6 + p[SEED_FLOOR]
    grow5 = 0.0
    if th5 > 0.0 and s5 > total:
        grow5 = p[GROWTH] * th5 * th5 * _power(n5, 1.0 - p[B], SITE_ROUND)[0] * _power(seeds * PER_CENT, p[B], 0.0)[0]
        grow5 *= s5 - total
    growu = 0.0
    if thu > 0.0 and su > total:
        growu = p[GROWTH_U] * thu * thu * _power(nu, 1.0 - p[B], SITE_ROUND)[0]
        growu *= _power((hereu + p[SEED_FLOOR]) * PER_CENT, p[B], 0.0)[0] * (su - total)
    to5 = p[U_RATE] * math.exp(p[U_SLOPE] * (t - 24.0)) * xu * _ramp(p[TU] - t)[0] if xu != 0.0 else 0.0
    to6 = p[SIX_RATE] * math.exp(p[SIX_SLOPE] * (t - 30.0)) * x5 * _ramp(p[T5] - t)[0]
    melt5, melt6, meltu = p[MELT] * x5 * f5, p[MELT] * x6 * f6, p[MELT] * xu * fu
    f[o] = grow5 - melt5 + to5 - to6
    f[o + 1] = to6 - melt6
    f[o + 2] = growu - meltu - to5
    cold = p[T5] - NUCLEATE_BELOW - t
    lost5 = p[MELT] * (here5 * f5 + here6 * f6) / (here5 + here6 + GONE)
    f[o + 3] = gamma / SHEAR * p[BREEDING] * seeds * PER_CENT * th5 - n5 * lost5
    if cold > 0.0:
        f[o + 3] += gamma / SHEAR * p[NUCLEATION] * cold / NUCLEATE_SPAN
    f[o + 4] = p[NUCLEATION_U] * thu**3 - nu * p[MELT] * hereu * fu / (hereu + GONE)
    heating: float = p[FAT] * (p[H_U] * f[o + 2] + p[H_5] * f[o] + p[H_6] * f[o + 1]) / p[CP]
    return heating


@kernel
def crystal_jacobian(
    y: NDArray[np.float64], o: int, p: NDArray[np.float64], curve: NDArray[np.float64], gamma: float,
    jac: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write the exact derivatives of `crystal_rates` (latent heating included) into rows and columns ``o`` to ``o+5``.

    ``jac`` must be zero there before.
    """
    x5, x6, xu, n5, nu, t = y[o], y[o + 1], y[o + 2], y[o + 3], y[o + 4], y[o + 5]
    warm = t + p[SHIFT]
    fatty = 1.0 - p[MILK_SHARE]
    s5, d5 = cubic(curve, warm)
    s6, d6 = cubic(curve, warm - p[SIX_OFFSET])
    su, du = cubic(curve, warm + p[U_OFFSET])
    s5, d5, s6, d6, su, du = s5 * fatty, d5 * fatty, s6 * fatty, d6 * fatty, su * fatty, du * fatty
    stable = x5 + x6
    total = stable + xu
    f5, f5x, f5t = _melt_fraction(stable - s5, t - p[T5])
    f6, f6x, f6t = _melt_fraction(stable - s6, t - p[T6])
    fu, fux, fut = _melt_fraction(total - su, t - p[TU])
    f5t, f6t, fut = f5t - f5x * d5, f6t - f6x * d6, fut - fux * du
    th5 = (p[T5] - t) / SPAN_5 if t < p[T5] else 0.0
    thu = (p[TU] - t) / SPAN_U if t < p[TU] else 0.0
    seeds = max(x5, 0.0) + max(x6, 0.0) + p[SEED_FLOOR]
    if th5 > 0.0 and s5 > total:
        a, da = _power(n5, 1.0 - p[B], SITE_ROUND)
        c, dc = _power(seeds * PER_CENT, p[B], 0.0)
        k, room = p[GROWTH] * th5 * th5, s5 - total
        ds = k * a * PER_CENT * dc * room
        jac[o, o] += (ds if x5 >= 0.0 else 0.0) - k * a * c
        jac[o, o + 1] += (ds if x6 >= 0.0 else 0.0) - k * a * c
        jac[o, o + 2] -= k * a * c
        jac[o, o + 3] += k * da * c * room
        jac[o, o + 5] += a * c * (k * d5 - 2.0 * p[GROWTH] * th5 / SPAN_5 * room)
    if thu > 0.0 and su > total:
        a, da = _power(nu, 1.0 - p[B], SITE_ROUND)
        c, dc = _power((max(xu, 0.0) + p[SEED_FLOOR]) * PER_CENT, p[B], 0.0)
        k, room = p[GROWTH_U] * thu * thu, su - total
        jac[o + 2, o] -= k * a * c
        jac[o + 2, o + 1] -= k * a * c
        jac[o + 2, o + 2] += k * a * ((PER_CENT * dc * room if xu >= 0.0 else 0.0) - c)
        jac[o + 2, o + 4] += k * da * c * room
        jac[o + 2, o + 5] += a * c * (k * du - 2.0 * p[GROWTH_U] * thu / SPAN_U * room)
    ru, r6 = p[U_RATE] * math.exp(p[U_SLOPE] * (t - 24.0)), p[SIX_RATE] * math.exp(p[SIX_SLOPE] * (t - 30.0))
    wu, dwu = _ramp(p[TU] - t)
    w6, dw6 = _ramp(p[T5] - t)
    tu5, t56 = ru * xu * (p[U_SLOPE] * wu - dwu), r6 * x5 * (p[SIX_SLOPE] * w6 - dw6)
    km = p[MELT]
    jac[o, o] += -km * (f5 + x5 * f5x) - r6 * w6
    jac[o, o + 1] -= km * x5 * f5x
    jac[o, o + 2] += ru * wu
    jac[o, o + 5] += -km * x5 * f5t + tu5 - t56
    jac[o + 1, o] += r6 * w6 - km * x6 * f6x
    jac[o + 1, o + 1] -= km * (f6 + x6 * f6x)
    jac[o + 1, o + 5] += t56 - km * x6 * f6t
    jac[o + 2, o] -= km * xu * fux
    jac[o + 2, o + 1] -= km * xu * fux
    jac[o + 2, o + 2] -= km * (fu + xu * fux) + ru * wu
    jac[o + 2, o + 5] -= km * xu * fut + tu5
    _site_jacobian(y, o, p, gamma, f5, f5x, f5t, f6, f6x, f6t, fu, fux, fut, jac)
    for j in range(6):
        latent = p[H_5] * jac[o, o + j] + p[H_6] * jac[o + 1, o + j] + p[H_U] * jac[o + 2, o + j]
        jac[o + 5, o + j] += p[FAT] / p[CP] * latent


@kernel
def _site_jacobian(
    y: NDArray[np.float64], o: int, p: NDArray[np.float64], gamma: float, f5: float, f5x: float, f5t: float,
    f6: float, f6x: float, f6t: float, fu: float, fux: float, fut: float, jac: NDArray[np.float64],
) -> None:  # fmt: skip
    """Rows of the growth sites: breeding, shear nucleation, and loss of sites with the crystals that melt."""
    x5, x6, xu, n5, nu, t = y[o], y[o + 1], y[o + 2], y[o + 3], y[o + 4], y[o + 5]
    km = p[MELT]
    here5, here6, hereu = max(x5, 0.0), max(x6, 0.0), max(xu, 0.0)
    is5, is6 = (1.0 if x5 >= 0.0 else 0.0), (1.0 if x6 >= 0.0 else 0.0)
    d = here5 + here6 + GONE
    lost = km * (here5 * f5 + here6 * f6) / d
    slope = km * (here5 * f5x + here6 * f6x) / d
    jac[o + 3, o] -= n5 * (slope + is5 * (km * f5 - lost) / d)
    jac[o + 3, o + 1] -= n5 * (slope + is6 * (km * f6 - lost) / d)
    jac[o + 3, o + 3] -= lost
    jac[o + 3, o + 5] -= n5 * km * (here5 * f5t + here6 * f6t) / d
    if t < p[T5]:
        th5 = (p[T5] - t) / SPAN_5
        bred = gamma / SHEAR * p[BREEDING] * PER_CENT
        jac[o + 3, o] += is5 * bred * th5
        jac[o + 3, o + 1] += is6 * bred * th5
        jac[o + 3, o + 5] -= bred * (here5 + here6 + p[SEED_FLOOR]) / SPAN_5
    if t < p[T5] - NUCLEATE_BELOW:
        jac[o + 3, o + 5] -= gamma / SHEAR * p[NUCLEATION] / NUCLEATE_SPAN
    e = hereu + GONE
    share = hereu / e
    jac[o + 4, o] -= nu * km * fux * share
    jac[o + 4, o + 1] -= nu * km * fux * share
    jac[o + 4, o + 2] -= nu * km * (fux * share + (fu * GONE / (e * e) if xu >= 0.0 else 0.0))
    jac[o + 4, o + 4] -= km * fu * share
    jac[o + 4, o + 5] -= nu * km * fut * share
    if t < p[TU]:
        jac[o + 4, o + 5] -= p[NUCLEATION_U] * 3.0 * ((p[TU] - t) / SPAN_U) ** 2 / SPAN_U
