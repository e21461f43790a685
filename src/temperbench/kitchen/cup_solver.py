"""The compiled integrator of a sample cup: rings of crystallising chocolate, the cup round them, the bath outside.

The state holds six crystal figures for each ring from the middle outwards, then the cup's temperature. Steps are those
of the bowl (Rosenbrock, order 4, exact Jacobian). Rings feel each other through their temperatures alone, so that the
matrix is factored ring by ring and then along the chain of temperatures.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.numerics import (
    ROS_A,
    ROS_ALPHA,
    ROS_C,
    ROS_GAMMA,
    ROS_GAMMA_SUM,
    ROS_STAGES,
    Array,
)
from temperbench.kitchen.bowl_solver import state_error
from temperbench.matter.crystals import (
    CP,
    PARCEL,
    TEMP,
    X5,
    XU,
    crystal_jacobian,
    crystal_rates,
)

__all__ = [
    "CUP_PARAMETERS", "C_CONDUCT", "C_CUP_HEAT", "C_MASS", "C_OFFSET", "C_OUTSIDE", "C_PLACE", "S_PROBE", "S_SOLID",
    "S_STABLE", "S_UNSTABLE", "bath_at", "cup_jacobian", "cup_rates", "cup_state_size", "run_cups",
]  # fmt: skip

# Places in the figures of one cup: chocolate in it [kg], conductance 2*pi*length*k [W/K], heat of the cup [J/K],
# conductance from cup to bath [W/K], how far the bath is off what was told [K], and where the probe is (r/R).
CUP_PARAMETERS = ("mass", "conduct", "cup_heat", "outside", "offset", "place")
C_MASS, C_CONDUCT, C_CUP_HEAT, C_OUTSIDE, C_OFFSET, C_PLACE = range(len(CUP_PARAMETERS))
# Places in what is kept at a mark: true temperature at the probe [°C], crystals over the cup per kg of fat [1].
S_PROBE, S_SOLID, S_STABLE, S_UNSTABLE = range(4)

_MAX_STEPS = 20000
_MARK_STEP = 2.0  # s; steps are no longer than four gaps between marks, or than this where that is shorter
_FIRST_STEP = 1.0  # s
_ROUND = 1e-9  # s
_WORST = 1e8  # error at which the step shrinks as far as it may


@kernel
def cup_state_size(n: int) -> int:
    """Return the length of the state of a cup of ``n`` rings."""
    return n * PARCEL + 1


@kernel
def bath_at(times: Array, celsius: Array, t: float) -> tuple[float, float]:
    """Return temperature and slope of the bath at ``t`` s: straight between what was logged, constant outside."""
    last = times.shape[0] - 1
    if t <= times[0]:
        return celsius[0], 0.0
    if t >= times[last]:
        return celsius[last], 0.0
    low, high = 0, last
    while high - low > 1:
        middle = (low + high) // 2
        if times[middle] <= t:
            low = middle
        else:
            high = middle
    slope = (celsius[high] - celsius[low]) / (times[high] - times[low])
    return celsius[low] + slope * (t - times[low]), slope


@kernel
def _links(i: int, n: int, c: Array) -> tuple[float, float]:
    """Conductance from ring ``i`` inwards and outwards; the last one ends at the cup. [W/K]"""
    return c[C_CONDUCT] * i, c[C_CONDUCT] * (i + 1 if i < n - 1 else 2 * n)


@kernel
def _ring_heat(i: int, n: int, p: Array, c: Array) -> float:
    """Heat capacity of ring ``i``, latent heat left out. [J/K]"""
    heat: float = c[C_MASS] * (2 * i + 1) / (n * n) * p[CP]
    return heat


@kernel
def cup_rates(y: Array, n: int, p: Array, curve: Array, c: Array, bath: float, f: Array) -> None:
    """Write the rates of every figure of a cup in a bath of this temperature (°C) into ``f``."""
    cup = y[n * PARCEL]
    for i in range(n):
        o = i * PARCEL
        left, right = _links(i, n, c)
        flow = right * ((y[o + PARCEL + TEMP] if i < n - 1 else cup) - y[o + TEMP])
        if i > 0:
            flow += left * (y[o - PARCEL + TEMP] - y[o + TEMP])
        f[o + TEMP] = crystal_rates(y, o, p, curve, 0.0, f) + flow / _ring_heat(i, n, p, c)
    edge = _links(n - 1, n, c)[1]
    f[n * PARCEL] = (edge * (y[n * PARCEL - PARCEL + TEMP] - cup) - c[C_OUTSIDE] * (cup - bath)) / c[C_CUP_HEAT]


@kernel
def cup_jacobian(y: Array, n: int, p: Array, curve: Array, c: Array, a: Array, down: Array, up: Array) -> float:
    """Write the ring blocks (n, 6, 6) of the Jacobian, and the couplings of each temperature inwards and outwards.

    ``down`` and ``up`` have one entry more than rings, the last for the cup, whose own diagonal entry is returned.
    """
    for i in range(n):
        o = i * PARCEL
        a[i] = 0.0
        crystal_jacobian(y[o : o + PARCEL], 0, p, curve, 0.0, a[i])
        left, right = _links(i, n, c)
        heat = _ring_heat(i, n, p, c)
        a[i, TEMP, TEMP] -= (left + right) / heat
        down[i], up[i] = left / heat, right / heat
    edge = _links(n - 1, n, c)[1]
    down[n], up[n] = edge / c[C_CUP_HEAT], 0.0
    cup: float = -(edge + c[C_OUTSIDE]) / c[C_CUP_HEAT]
    return cup


@kernel
def _factor(n: int, g: float, cup: float, a: Array, down: Array, up: Array, d: Array) -> bool:
    """Factor ``g`` less the Jacobian in place; False when a pivot vanishes. ``d`` takes inverse pivots of the chain."""
    for i in range(n):
        for r in range(PARCEL):
            for s in range(PARCEL):
                a[i, r, s] = -a[i, r, s]
            a[i, r, r] += g
        for k in range(TEMP):
            if abs(a[i, k, k]) < 1e-300:
                return False
            a[i, k, k] = 1.0 / a[i, k, k]
            for r in range(k + 1, PARCEL):
                if a[i, r, k] != 0.0:
                    a[i, r, k] *= a[i, k, k]
                    for s in range(k + 1, PARCEL):
                        a[i, r, s] -= a[i, r, k] * a[i, k, s]
        d[i] = a[i, TEMP, TEMP]
    d[n] = g - cup
    for i in range(n + 1):
        if i > 0:
            down[i] *= d[i - 1]  # times the inverse pivot before it; the coupling of g less J is its negative
            d[i] -= down[i] * up[i - 1]
        if abs(d[i]) < 1e-300:
            return False
        d[i] = 1.0 / d[i]
    return True


@kernel
def _solve(n: int, a: Array, down: Array, up: Array, d: Array, b: Array) -> None:
    """Solve in place with the factors of `_factor`."""
    for i in range(n):
        o = i * PARCEL
        for r in range(1, PARCEL):
            s = b[o + r]
            for k in range(r if r < TEMP else TEMP):
                s -= a[i, r, k] * b[o + k]
            b[o + r] = s
    cup = n * PARCEL
    for i in range(1, n):
        b[i * PARCEL + TEMP] += down[i] * b[i * PARCEL - PARCEL + TEMP]
    b[cup] = (b[cup] + down[n] * b[cup - PARCEL + TEMP]) * d[n]
    after = b[cup]
    for i in range(n - 1, -1, -1):
        o = i * PARCEL
        b[o + TEMP] = (b[o + TEMP] + up[i] * after) * d[i]
        after = b[o + TEMP]
        for r in range(TEMP - 1, -1, -1):
            s = b[o + r]
            for k in range(r + 1, PARCEL):
                s -= a[i, r, k] * b[o + k]
            b[o + r] = s * a[i, r, r]


@kernel
def _step(
    y: Array, n: int, p: Array, curve: Array, c: Array, times: Array, celsius: Array, t: float, h: float, here: Array,
    a: Array, chain: Array, k: Array, new: Array,
) -> float:  # fmt: skip
    """Try one step from the rates ``here``; the new state goes to ``new``. Return its error."""
    size = n * PARCEL + 1
    down, up, d = chain[0], chain[1], chain[2]
    g = 1.0 / (h * ROS_GAMMA)
    cup = cup_jacobian(y, n, p, curve, c, a, down, up)
    if not _factor(n, g, cup, a, down, up, d):
        return _WORST
    slope = bath_at(times, celsius, t)[1] * c[C_OUTSIDE] / c[C_CUP_HEAT]
    for s in range(ROS_STAGES):
        right = k[s]
        if s == 0:
            for i in range(size):
                right[i] = here[i]
        else:
            for i in range(size):
                new[i] = y[i]
            for j in range(s):
                weight = ROS_A[s, j]
                if weight != 0.0:
                    for i in range(size):
                        new[i] += weight * k[j, i]
            bath = bath_at(times, celsius, t + ROS_ALPHA[s] * h)[0] + c[C_OFFSET]
            cup_rates(new, n, p, curve, c, bath, right)
            for j in range(s):
                weight = ROS_C[s, j] / h
                for i in range(size):
                    right[i] += weight * k[j, i]
        right[size - 1] += h * ROS_GAMMA_SUM[s] * slope
        _solve(n, a, down, up, d, right)
    for i in range(size):
        new[i] += k[ROS_STAGES - 1, i]
    return state_error(y, k[ROS_STAGES - 1], size - 1, size)


@kernel
def _keep(y: Array, n: int, c: Array, out: Array) -> None:
    """Write what is kept at a mark: the temperature at the probe, and crystals over the whole cup."""
    x = (n * c[C_PLACE]) ** 2  # temperature taken as straight over the square of the radius between middles of rings
    i = 0
    while i < n - 2 and x > (i + 1.5) ** 2:
        i += 1
    first = y[i * PARCEL + TEMP]
    second = y[(i + 1) * PARCEL + TEMP] if i + 1 < n else first
    out[S_PROBE] = first + (second - first) * (x - (i + 0.5) ** 2) / ((i + 1.5) ** 2 - (i + 0.5) ** 2)
    out[S_SOLID], out[S_STABLE], out[S_UNSTABLE] = 0.0, 0.0, 0.0
    for j in range(n):
        share = (2 * j + 1) / (n * n)
        stable = y[j * PARCEL + X5] + y[j * PARCEL + X5 + 1]
        out[S_STABLE] += share * stable
        out[S_UNSTABLE] += share * y[j * PARCEL + XU]
    out[S_SOLID] = out[S_STABLE] + out[S_UNSTABLE]


@kernel
def _run_cup(
    y: Array, n: int, p: Array, curve: Array, c: Array, times: Array, celsius: Array, marks: Array, tol: float,
    out: Array, a: Array, chain: Array, k: Array, rows: Array,
) -> bool:  # fmt: skip
    """Carry one cup to the last mark, keeping what it is like at each; False when it cannot be integrated."""
    size = n * PARCEL + 1
    new, here, there, between = rows[0], rows[1], rows[2], rows[3]
    t, h, m, steps = 0.0, _FIRST_STEP, 0, 0
    cup_rates(y, n, p, curve, c, bath_at(times, celsius, 0.0)[0] + c[C_OFFSET], here)
    while m < marks.shape[0] and marks[m] <= _ROUND:
        _keep(y, n, c, out[m])
        m += 1
    while m < marks.shape[0] and steps < _MAX_STEPS:
        steps += 1
        gap = marks[m] - marks[m - 1] if m > 0 else marks[m]
        h = min(h, marks[-1] - t, max(_MARK_STEP, 4.0 * gap))
        err = _step(y, n, p, curve, c, times, celsius, t, h, here, a, chain, k, new) / tol
        if not err < _WORST:
            err = _WORST
        if err <= 1.0:
            cup_rates(new, n, p, curve, c, bath_at(times, celsius, t + h)[0] + c[C_OFFSET], there)
            while m < marks.shape[0] and marks[m] <= t + h + _ROUND:
                s = (marks[m] - t) / h
                for i in range(size):
                    v = (1.0 + 2.0 * s) * (1.0 - s) ** 2 * y[i] + s * s * (3.0 - 2.0 * s) * new[i]
                    between[i] = v + h * s * (1.0 - s) * ((1.0 - s) * here[i] - s * there[i])
                _keep(between, n, c, out[m])
                m += 1
            t += h
            for i in range(size):
                y[i], here[i] = new[i], there[i]
        h *= min(6.0, max(0.1, 0.9 * (err + 1e-12) ** -0.25))
    return bool(m == marks.shape[0])


@kernel
def run_cups(
    y: Array, n: int, rows: Array, curves: Array, cups: Array, times: Array, celsius: Array, marks: Array, tol: float,
    out: Array, bad: NDArray[np.int64],
) -> None:  # fmt: skip
    """Carry every cup to the last mark, in place; ``out`` (m, marks, 4) takes what it is like, ``bad`` who failed."""
    size = n * PARCEL + 1
    a, chain, k = np.empty((n, PARCEL, PARCEL)), np.empty((3, n + 1)), np.empty((ROS_STAGES, size))
    spare = np.empty((4, size))
    for m in range(y.shape[0]):
        good = _run_cup(y[m], n, rows[m], curves[m], cups[m], times, celsius, marks, tol, out[m], a, chain, k, spare)
        bad[m] = 0 if good else 1
