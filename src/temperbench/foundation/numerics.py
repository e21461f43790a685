"""Numerics that know no chocolate: monotone cubic interpolation, a small linear solver, Rosenbrock coefficients."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel

__all__ = [
    "ROS_A", "ROS_ALPHA", "ROS_C", "ROS_GAMMA", "ROS_GAMMA_SUM", "ROS_STAGES", "Array", "cubic", "lu_factor",
    "lu_solve", "monotone_cubic",
]  # fmt: skip

Array = NDArray[np.float64]

# RODAS of Hairer & Wanner, Solving Ordinary Differential Equations II (1996), section IV.7: six stages, order 4 with
# an embedded order 3, L-stable and stiffly accurate; written for the form that solves (1/(h·gamma) - J) k = ...
ROS_STAGES = 6
ROS_GAMMA = 0.25
ROS_A = np.zeros((6, 6))
ROS_A[1, 0] = 0.1544000000000000e01
ROS_A[2, :2] = 0.9466785280815826e00, 0.2557011698983284e00
ROS_A[3, :3] = 0.3314825187068521e01, 0.2896124015972201e01, 0.9986419139977817e00
ROS_A[4, :4] = 0.1221224509226641e01, 0.6019134481288629e01, 0.1253708332932087e02, -0.6878860361058950e00
ROS_A[5, :5] = 0.1221224509226641e01, 0.6019134481288629e01, 0.1253708332932087e02, -0.6878860361058950e00, 1.0
ROS_C = np.zeros((6, 6))
ROS_C[1, 0] = -0.5668800000000000e01
ROS_C[2, :2] = -0.2430093356833875e01, -0.2063599157091915e00
ROS_C[3, :3] = -0.1073529058151375e00, -0.9594562251023355e01, -0.2047028614809616e02
ROS_C[4, :4] = 0.7496443313967647e01, -0.1024680431464352e02, -0.3399990352819905e02, 0.1170890893206160e02
ROS_C[5, :5] = (0.8083246795921522e01, -0.7981132988064893e01, -0.3152159432874371e02,
                0.1631930543123136e02, -0.6058818238834054e01)  # fmt: skip
ROS_ALPHA = np.array([0.0, 0.386, 0.21, 0.63, 1.0, 1.0])  # stage times
ROS_GAMMA_SUM = np.array([0.25, -0.1043, 0.1035, -0.3620000000000023e-01, 0.0, 0.0])  # weights of df/dt


def monotone_cubic(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the coefficients of the monotone cubic (Fritsch & Carlson 1980) through the nodes.

    Parameters
    ----------
    x
        Increasing nodes, shape (n,).
    y
        Values at the nodes, shape (..., n).

    Returns
    -------
        Shape (..., n - 1, 5): start of the interval, then the coefficients of powers 0 to 3 of the distance from it.
    """
    h = np.diff(x)
    slope = np.diff(y, axis=-1) / h
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    left, right = slope[..., :-1], slope[..., 1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (w1 + w2) / (w1 / left + w2 / right)
    d = np.zeros_like(y)
    d[..., 1:-1] = np.where(left * right > 0.0, mean, 0.0)
    d[..., 0] = _end_slope(h[0], h[1], slope[..., 0], slope[..., 1])
    d[..., -1] = _end_slope(h[-1], h[-2], slope[..., -1], slope[..., -2])
    c2 = (3.0 * slope - 2.0 * d[..., :-1] - d[..., 1:]) / h
    c3 = (d[..., :-1] + d[..., 1:] - 2.0 * slope) / h**2
    start = np.broadcast_to(x[:-1], slope.shape)
    return np.stack([start, y[..., :-1], d[..., :-1], c2, c3], axis=-1)


def _end_slope(h0: float, h1: float, s0: NDArray[np.float64], s1: NDArray[np.float64]) -> NDArray[np.float64]:
    d = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    d = np.where(np.sign(d) != np.sign(s0), 0.0, d)
    return np.where((np.sign(s0) != np.sign(s1)) & (np.abs(d) > 3.0 * np.abs(s0)), 3.0 * s0, d)


@kernel
def cubic(curve: NDArray[np.float64], x: float) -> tuple[float, float]:
    """Return value and slope of a piecewise cubic; constant below the first node, continued above the last."""
    if x <= curve[0, 0]:
        return curve[0, 1], 0.0
    k = curve.shape[0] - 1
    while x < curve[k, 0]:
        k -= 1
    t = x - curve[k, 0]
    value = curve[k, 1] + t * (curve[k, 2] + t * (curve[k, 3] + t * curve[k, 4]))
    return value, curve[k, 2] + t * (2.0 * curve[k, 3] + 3.0 * t * curve[k, 4])


@kernel
def lu_factor(a: NDArray[np.float64], n: int, ends: NDArray[np.int64]) -> bool:
    """Factor ``a`` in place without pivoting inside its envelope; False when a pivot vanishes.

    For matrices of the form 1/(h·gamma) - J with a small enough step, where the diagonal rules. ``ends`` (2, n) is
    filled with the first and last column that can differ from zero in each row.
    """
    for i in range(n):
        first, last = i, i
        for j in range(i):
            if a[i, j] != 0.0:
                first = j
                break
        for j in range(n - 1, i, -1):
            if a[i, j] != 0.0:
                last = j
                break
        ends[0, i], ends[1, i] = first, last
    for k in range(n):
        pivot = a[k, k]
        if abs(pivot) < 1e-300:
            return False
        inverse = 1.0 / pivot
        a[k, k] = inverse
        end = ends[1, k]
        for i in range(k + 1, n):
            if a[i, k] != 0.0 and ends[0, i] <= k:
                factor = a[i, k] * inverse
                a[i, k] = factor
                ends[1, i] = max(ends[1, i], end)
                for j in range(k + 1, end + 1):
                    a[i, j] -= factor * a[k, j]
    return True


@kernel
def lu_solve(a: NDArray[np.float64], b: NDArray[np.float64], n: int, ends: NDArray[np.int64]) -> None:
    """Solve in place with the factors and the envelope of `lu_factor`."""
    for i in range(1, n):
        s = b[i]
        for j in range(ends[0, i], i):
            s -= a[i, j] * b[j]
        b[i] = s
    for i in range(n - 1, -1, -1):
        s = b[i]
        for j in range(i + 1, ends[1, i] + 1):
            s -= a[i, j] * b[j]
        b[i] = s * a[i, i]
