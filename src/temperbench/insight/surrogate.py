"""A cheap stand-in for a costly model: smooth functions of a point, learnt from points that were run.

Gaussian-process regression with one length for every direction, after each axis is stretched by the square root of how
much the figures depend on it (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, chapter 2 and
section 5.4.2 for its error at points left out).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array

__all__ = ["Surrogate", "learn"]

_F = TypeVar("_F", np.float32, np.float64)
_LEAST_SHARE = 1e-3  # of the slope along the steepest axis, below which an axis is left out
_MOST = 1e6  # a figure beyond is taken for none


@dataclass(frozen=True)
class Surrogate:
    """Figures at a point, guessed from points that were run, and how far such guesses are off."""

    middle: Array  # (axes,)
    axes: np.ndarray  # places of the axes that matter
    stretch: Array  # (axes that matter,)
    known: Array  # stretched points, (axes that matter, n)
    heights: Array  # (n, figures)
    base: Array  # (figures,)
    errors: Array  # error of each figure as it is judged
    off: Array  # how far guesses near the middle are off, one standard deviation

    def figures(self, z: Array) -> Array:
        """Return the figures (figures, n) at points (axes, n)."""
        near = _nearness(self._stretched(z).astype(np.float32), self.known.astype(np.float32))
        guessed = near @ self.heights.astype(np.float32)  # half the digits are plenty for a guess, and twice as fast
        return np.asarray((guessed.astype(np.float64) + self.base).T * self.errors[:, None])

    def _stretched(self, z: Array) -> Array:
        return np.asarray((z - self.middle[:, None])[self.axes] * self.stretch[:, None])


def _nearness(a: NDArray[_F], b: NDArray[_F]) -> NDArray[_F]:
    """Return the kernel between stretched points: exp(-d²/2)."""
    below = a.T @ b
    below -= 0.5 * (a**2).sum(axis=0)[:, None]
    below -= 0.5 * (b**2).sum(axis=0)
    np.exp(np.minimum(below, 0.0, out=below), out=below)
    return below


def learn(z: Array, figures: Array, errors: Array, middle: Array, slopes: Array) -> Surrogate | None:
    """Learn from points that were run; None when too few of them gave figures.

    Parameters
    ----------
    z
        Points, (axes, n).
    figures
        Their figures, (figures, n); columns with one that is no number are left out.
    errors
        How well each figure is judged: guesses need to be no better by far.
    middle
        About where guesses will be asked for, (axes,).
    slopes
        How much each figure changes along each axis there, (figures, axes).

    Returns
    -------
        What guesses figures of other points.
    """
    good = (np.abs(np.nan_to_num(figures, nan=np.inf)) < _MOST).all(axis=0)
    z, scaled = z[:, good], figures[:, good] / errors[:, None]
    if z.shape[1] < 2 * len(errors) + 2:
        return None
    steep = slopes / errors[:, None]
    away = ((steep @ (z - middle[:, None])) ** 2).sum(axis=0)
    nearest = np.argsort(away, kind="stable")[: int(number("live.learn_from"))]
    z, scaled = z[:, nearest], scaled[:, nearest]

    share = np.sqrt((steep**2).sum(axis=0))
    share = share / max(float(share.max()), 1e-12)
    axes = np.flatnonzero(share > _LEAST_SHARE)
    stretch = np.sqrt(share[axes]) / number("live.learn_length")
    known = (z - middle[:, None])[axes] * stretch[:, None]
    base = scaled.mean(axis=1)
    inverse = np.linalg.inv(_nearness(known, known) + number("live.learn_noise") * np.eye(known.shape[1]))
    heights = inverse @ (scaled - base[:, None]).T
    left_out = heights / np.diag(inverse)[:, None]
    near = np.argsort((known**2).sum(axis=0), kind="stable")[: max(2 * len(errors), known.shape[1] // 3)]
    off = np.sqrt((left_out[near] ** 2).mean(axis=0)) * errors
    return Surrogate(middle, axes, stretch, known, heights, base, errors, off)
