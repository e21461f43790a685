"""Rates and exact Jacobian of a bowl: uneven zones, wall, what it stands in, losses, stirring, lumps in their liquid.

Every exchange takes from one place what it gives to another, so that enthalpy (linear in the state, since c_p and the
heats of fusion are constants) is conserved to round-off whenever the sources are off.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.kitchen.bowl_layout import (
    C_AIR,
    C_BENCH,
    C_CONTACT,
    C_FILM,
    C_SHEAR,
    C_STROKES,
    CONDUCT,
    FLUID_FLOOR,
    GONE_AT,
    INSIDE,
    KAPPA,
    LOG_BETA,
    LUMP,
    MASS,
    OUT_C,
    OUT_LOSS,
    OUT_POWER,
    OUT_RATE,
    OUTSIDE,
    REST_CONTACT,
    SHARE,
    SOFT,
    SOLID_REF,
    STIRRED_FILM,
    STROKES,
    TOP,
    WALL_AIR,
    WALL_BENCH,
    WALL_HEAT,
    WALL_SHARE,
)
from temperbench.matter.crystals import CP, PARCEL, TEMP, crystal_jacobian, crystal_rates

__all__ = ["NO_FLUID", "bowl_jacobian", "bowl_rates", "dispersed", "fluid_reading"]

NO_FLUID = 1e-9  # share of the bowl below which there is nothing to stir


@kernel
def dispersed(p: NDArray[np.float64], solid: float) -> tuple[float, float]:
    """Share of a parcel that flows instead of being lumps, and its slope along the solid share of its fat."""
    width = p[SOFT] - p[GONE_AT]
    q = (p[SOFT] - solid) / width
    if q <= 0.0:
        return 0.0, 0.0
    if q >= 1.0:
        return 1.0, 0.0
    return q * q * (3.0 - 2.0 * q), -6.0 * q * (1.0 - q) / width


@kernel
def _melted(p: NDArray[np.float64], solid: float) -> tuple[float, float]:
    share = 1.0 - solid / p[SOLID_REF]
    if share <= 0.0:
        return 0.0, 0.0
    if share >= 1.0:
        return 1.0, 0.0
    return share, -1.0 / p[SOLID_REF]


@kernel
def _contact(p: NDArray[np.float64], contact: float) -> float:
    if contact > 1.5:
        return 1.0
    share: float = p[REST_CONTACT] if contact > 0.5 else 0.0
    return share


@kernel
def _solid(y: NDArray[np.float64], o: int) -> float:
    solid: float = y[o] + y[o + 1] + y[o + 2]
    return solid


@kernel
def bowl_rates(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    watts: float, f: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write the time derivative of the state of a bowl of ``nz`` zones into ``f``. ``watts`` is the power it takes.

    A state with one figure more than zones and wall has the temperature of what the bowl stands in as its last.
    """
    w = nz * PARCEL
    standing = y.shape[0] > w + 1
    outside = y[w + 1] if standing else p[OUT_C]
    film = 1.0 + u[C_FILM] * (p[STIRRED_FILM] - 1.0)
    heated = 0.0  # microwave heat per unit of a zone's pull
    if watts > 0.0:
        total = 0.0
        for i in range(nz):
            o = i * PARCEL
            pull = p[KAPPA + i] * math.exp(p[LOG_BETA] * _melted(p, _solid(y, o))[0])
            f[o + TEMP] = pull  # kept there until the zone's turn
            total += p[SHARE + i] * pull
        heated = (1.0 - p[WALL_SHARE]) * watts / total
    wall = p[WALL_SHARE] * watts - p[WALL_AIR] * (y[w] - u[C_AIR]) - p[WALL_BENCH] * (y[w] - u[C_BENCH])
    for i in range(nz):
        o = i * PARCEL
        t = y[o + TEMP]
        q = heated * p[SHARE + i] * f[o + TEMP] if watts > 0.0 else 0.0
        if i > 0:
            q += p[CONDUCT] * (y[o - PARCEL + TEMP] - t)
        if i < nz - 1:
            q += p[CONDUCT] * (y[o + PARCEL + TEMP] - t)
        to_wall = p[INSIDE + i] * film * (t - y[w])
        wall += to_wall
        q -= to_wall + p[TOP] * p[SHARE + i] * (t - u[C_AIR])
        latent = crystal_rates(y, o, p, curve, u[C_SHEAR], f)
        f[o + TEMP] = latent + q / (p[SHARE + i] * p[MASS] * p[CP])
    given = p[OUTSIDE] * (y[w] - outside)
    f[w] = (wall - given) / p[WALL_HEAT]
    if standing:
        f[w + 1] = p[OUT_RATE] * (given - p[OUT_LOSS] * (outside - u[C_AIR]) + p[OUT_POWER])
    if nz > 1 and (u[C_STROKES] > 0.0 or u[C_CONTACT] > 0.0):
        _add_stirring(y, nz, p, u, f)


@kernel
def _add_stirring(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], u: NDArray[np.float64], f: NDArray[np.float64]
) -> None:
    """Mix what flows; let lumps take heat from the liquid around them."""
    fluid, heat, mean = 0.0, 0.0, 0.0
    for i in range(nz):
        d = p[SHARE + i] * dispersed(p, _solid(y, i * PARCEL))[0]
        fluid += d
        heat += d * y[i * PARCEL + TEMP]
        mean += p[SHARE + i] * y[i * PARCEL + TEMP]
    if fluid < NO_FLUID:
        return
    e = _contact(p, u[C_CONTACT]) * p[LUMP] / (fluid + p[FLUID_FLOOR]) / p[CP]
    for i in range(nz):
        o = i * PARCEL
        d = dispersed(p, _solid(y, o))[0]
        f[o + TEMP] += e * ((1.0 - d) * (heat - fluid * y[o + TEMP]) - d * (heat / fluid - mean))
    if u[C_STROKES] == 0.0:
        return
    for c in range(PARCEL):
        pool = 0.0
        for i in range(nz):
            pool += p[SHARE + i] * dispersed(p, _solid(y, i * PARCEL))[0] * y[i * PARCEL + c]
        pool /= fluid
        for i in range(nz):
            o = i * PARCEL
            f[o + c] += u[C_STROKES] / p[STROKES] * dispersed(p, _solid(y, o))[0] * (pool - y[o + c])


@kernel
def bowl_jacobian(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], curve: NDArray[np.float64], u: NDArray[np.float64],
    watts: float, jac: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write the exact derivative of `bowl_rates` into ``jac``, shape (n, n) or larger."""
    w = nz * PARCEL
    film = 1.0 + u[C_FILM] * (p[STIRRED_FILM] - 1.0)
    n = y.shape[0]
    for i in range(n):
        for j in range(n):
            jac[i, j] = 0.0
    jac[w, w] = -(p[WALL_AIR] + p[WALL_BENCH] + p[OUTSIDE]) / p[WALL_HEAT]
    if n > w + 1:
        jac[w, w + 1] = p[OUTSIDE] / p[WALL_HEAT]
        jac[w + 1, w] = p[OUT_RATE] * p[OUTSIDE]
        jac[w + 1, w + 1] = -p[OUT_RATE] * (p[OUTSIDE] + p[OUT_LOSS])
    for i in range(nz):
        o = i * PARCEL
        heat = 1.0 / (p[SHARE + i] * p[MASS] * p[CP])
        crystal_jacobian(y, o, p, curve, u[C_SHEAR], jac)
        inside = p[INSIDE + i] * film
        lost = inside + p[TOP] * p[SHARE + i]
        if i > 0:
            jac[o + TEMP, o - PARCEL + TEMP] += p[CONDUCT] * heat
            lost += p[CONDUCT]
        if i < nz - 1:
            jac[o + TEMP, o + PARCEL + TEMP] += p[CONDUCT] * heat
            lost += p[CONDUCT]
        jac[o + TEMP, o + TEMP] -= lost * heat
        jac[o + TEMP, w] += inside * heat
        jac[w, o + TEMP] += inside / p[WALL_HEAT]
        jac[w, w] -= inside / p[WALL_HEAT]
    if watts > 0.0 and p[LOG_BETA] != 0.0 and nz > 1:
        _add_heating_jacobian(y, nz, p, watts, jac)
    if nz > 1 and (u[C_STROKES] > 0.0 or u[C_CONTACT] > 0.0):
        _add_lump_jacobian(y, nz, p, u, jac)


@kernel
def _add_heating_jacobian(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], watts: float, jac: NDArray[np.float64]
) -> None:
    """Melted zones take more: the share of one zone depends on the solids of all."""
    total = 0.0
    for i in range(nz):
        total += p[SHARE + i] * p[KAPPA + i] * math.exp(p[LOG_BETA] * _melted(p, _solid(y, i * PARCEL))[0])
    for k in range(nz):
        melted, slope = _melted(p, _solid(y, k * PARCEL))
        if slope == 0.0:
            continue
        grow = p[LOG_BETA] * slope
        part_k = p[SHARE + k] * p[KAPPA + k] * math.exp(p[LOG_BETA] * melted) / total
        for i in range(nz):
            part_i = p[KAPPA + i] * math.exp(p[LOG_BETA] * _melted(p, _solid(y, i * PARCEL))[0]) / total
            change = -part_i * part_k * grow
            if i == k:
                change += part_i * grow
            change *= (1.0 - p[WALL_SHARE]) * watts / (p[MASS] * p[CP])
            for c in range(3):
                jac[i * PARCEL + TEMP, k * PARCEL + c] += change


@kernel
def _add_lump_jacobian(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], u: NDArray[np.float64], jac: NDArray[np.float64]
) -> None:
    fluid, heat, mean = 0.0, 0.0, 0.0
    for i in range(nz):
        d = p[SHARE + i] * dispersed(p, _solid(y, i * PARCEL))[0]
        fluid += d
        heat += d * y[i * PARCEL + TEMP]
        mean += p[SHARE + i] * y[i * PARCEL + TEMP]
    if fluid < NO_FLUID:
        return
    e = _contact(p, u[C_CONTACT]) * p[LUMP] / (fluid + p[FLUID_FLOOR]) / p[CP]
    for k in range(nz):
        ok = k * PARCEL
        tk, share = y[ok + TEMP], p[SHARE + k]
        dk, slope = dispersed(p, _solid(y, ok))
        flow = share * slope
        for i in range(nz):
            o = i * PARCEL
            t = y[o + TEMP]
            d = dispersed(p, _solid(y, o))[0]
            lump = (1.0 - d) * (heat - fluid * t) - d * (heat / fluid - mean)
            by_t = (1.0 - d) * share * dk - d * (share * dk / fluid - share)
            by_x = -lump * flow / (fluid + p[FLUID_FLOOR])
            by_x += (1.0 - d) * flow * (tk - t) - d * flow * (tk / fluid - heat / (fluid * fluid))
            if i == k:
                by_t -= (1.0 - d) * fluid
                by_x -= slope * ((heat - fluid * t) + (heat / fluid - mean))
            jac[o + TEMP, ok + TEMP] += e * by_t
            for c in range(3):
                jac[o + TEMP, ok + c] += e * by_x
    if u[C_STROKES] > 0.0:
        for c in range(PARCEL):
            _add_mixing_jacobian(y, nz, p, u[C_STROKES] / p[STROKES], fluid, c, jac)


@kernel
def _add_mixing_jacobian(
    y: NDArray[np.float64], nz: int, p: NDArray[np.float64], s: float, fluid: float, c: int, jac: NDArray[np.float64]
) -> None:
    """Mixing of component ``c`` among the parcels, in the share of each that flows."""
    pool = 0.0
    for i in range(nz):
        pool += p[SHARE + i] * dispersed(p, _solid(y, i * PARCEL))[0] * y[i * PARCEL + c]
    pool /= fluid
    for k in range(nz):
        ok = k * PARCEL
        dk, slope = dispersed(p, _solid(y, ok))
        for i in range(nz):
            o = i * PARCEL
            d = dispersed(p, _solid(y, o))[0]
            by_z = s * d * p[SHARE + k] * dk / fluid
            by_x = s * d * p[SHARE + k] * slope * (y[ok + c] - pool) / fluid
            if i == k:
                by_z -= s * d
                by_x += s * slope * (pool - y[o + c])
            if by_z != 0.0:
                jac[o + c, ok + c] += by_z
            if by_x != 0.0:
                for x in range(3):
                    jac[o + c, ok + x] += by_x


@kernel
def fluid_reading(y: NDArray[np.float64], nz: int, p: NDArray[np.float64]) -> float:
    """Temperature that a probe in the stirred bowl settles to: the liquid, or the mean while there is hardly any."""
    fluid, heat, mean = 0.0, 0.0, 0.0
    for i in range(nz):
        d = p[SHARE + i] * dispersed(p, _solid(y, i * PARCEL))[0]
        fluid += d
        heat += d * y[i * PARCEL + TEMP]
        mean += p[SHARE + i] * y[i * PARCEL + TEMP]
    reading: float = (heat + p[FLUID_FLOOR] * mean) / (fluid + p[FLUID_FLOOR])
    return reading
