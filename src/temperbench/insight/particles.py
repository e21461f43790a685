"""Particles: draws from a posterior over standard normal axes, tempered, resampled and moved as tellings come in.

What a particle means is the business of a `Model`: the state it carries, and the log-likelihood of every telling so
far. A telling weighs the particles at once. When few of them carry the weight, `settle` lets it in by degrees, each so
small that half the particles still count, and after each resamples and moves them by the Metropolis rule under the
posterior so far. Moves are proposed from a Gaussian that is the prior's where nothing has been told, and the
particles' own in the few directions that the tellings have a view on: the slopes of the figures judged.
"""

from __future__ import annotations

import math
from typing import Generic, Protocol, TypeVar

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array

__all__ = ["Model", "Particles", "effective", "systematic"]

_S = TypeVar("_S")
_IMPOSSIBLE = -1e6  # log-likelihood of a particle that cannot be
_DOUBLINGS = 24  # halvings in the search for a degree of tempering


class Model(Protocol[_S]):
    """What particles stand for."""

    def again(self, z: Array) -> tuple[_S, Array, Array]:
        """Run other points (axes, n) through the whole history.

        Return their states, the log-likelihood of each telling (tellings, n), and the figure each was about.
        """
        ...

    def only(self, state: _S, which: np.ndarray) -> _S:
        """Return the states at these places."""
        ...

    def mixed(self, taken: np.ndarray, one: _S, other: _S) -> _S:
        """Return the states of ``one`` where taken, of ``other`` elsewhere."""
        ...


def effective(weights: Array) -> float:
    """Return the effective number of particles of normalised weights."""
    return float(1.0 / np.sum(weights**2))


def systematic(weights: Array, rng: np.random.Generator) -> np.ndarray:
    """Return places drawn by weight, as evenly as can be."""
    n = len(weights)
    return np.minimum(np.searchsorted(np.cumsum(weights), (rng.random() + np.arange(n)) / n), n - 1)


def _possible(told: Array) -> Array:
    """Return log-likelihoods with those that are no number made impossible."""
    return np.where(np.isfinite(told), told, _IMPOSSIBLE)


class Particles(Generic[_S]):
    """Weighted points ``z`` (axes, n). `tell` weighs them; `settle` makes them alike in weight again when due."""

    def __init__(self, model: Model[_S], axes: int, count: int, seed: int) -> None:
        """Draw from the prior."""
        self.model, self.count, self.seed = model, count, seed
        self.z = np.random.default_rng([seed, 0]).standard_normal((axes, count))
        self.weights = np.full(count, 1.0 / count)
        self.told = np.empty((0, count))  # log-likelihood of every telling, per particle
        self.settled = 0  # tellings that the particles have been moved under
        self._before = 0.0  # log evidence of those
        self.log_evidence = 0.0
        self.due = False
        self.moved = 1.0  # share of the particles that the last settling moved

    def tell(self, told: Array) -> None:
        """Weigh the particles by a telling's log-likelihood."""
        self.told = np.vstack([self.told, _possible(told)])
        pending = self._pending()
        self.weights, gain = _weights(pending)
        self.log_evidence = self._before + gain
        self.due = effective(self.weights) < 0.5 * self.count

    def _pending(self) -> Array:
        return np.asarray(self.told[self.settled :].sum(axis=0))

    def settle(self, state: _S) -> _S:
        """Let the tellings since the last settling in by degrees; return the states of the particles as they are then.

        Parameters
        ----------
        state
            States of the particles now.

        Returns
        -------
            States of the particles afterwards; the same ones when nothing was due.
        """
        if not self.due:
            return state
        rng = np.random.default_rng([self.seed, len(self.told), 1])
        done = 0.0
        while done < 1.0:
            pending = self._pending()
            step = self._degree(pending, 1.0 - done)
            weights, gain = _weights(step * pending)
            self._before += gain
            mean, root = self._gaussian(weights)
            chosen = systematic(weights, rng)
            self.z, self.told, state = self.z[:, chosen], self.told[:, chosen], self.model.only(state, chosen)
            done = 1.0 if done + step > 1.0 - 1e-9 else done + step
            state = self._move(state, mean, root, done, rng)
        self.weights = np.full(self.count, 1.0 / self.count)
        self.settled, self.log_evidence, self.due = len(self.told), self._before, False
        return state

    def _degree(self, pending: Array, most: float) -> float:
        """Largest share of the pending tellings that leaves half the particles counting."""
        if effective(_weights(most * pending)[0]) >= 0.5 * self.count:
            return most
        low, high = 0.0, most
        for _ in range(_DOUBLINGS):
            middle = 0.5 * (low + high)
            low, high = (
                (middle, high) if effective(_weights(middle * pending)[0]) >= 0.5 * self.count else (low, middle)
            )
        return max(low, number("live.least_degree"))

    def _gaussian(self, weights: Array) -> tuple[Array, Array]:
        """Mean (axes, 1) and a root (axes, axes) of the covariance: the particles' own where told."""
        left, size, _ = np.linalg.svd(self._slopes(weights), full_matrices=False)
        seen = left[:, size > 1e-3 * size[0]]
        inside = seen.T @ self.z
        middle = inside @ weights
        apart = inside - middle[:, None]
        cover = (apart * weights) @ apart.T + 1e-9 * np.eye(len(middle))
        root = np.eye(len(self.z)) + seen @ (np.linalg.cholesky(cover) - np.eye(len(middle))) @ seen.T
        return (seen @ middle)[:, None], root

    def _slopes(self, weights: Array) -> Array:
        """Slopes (axes, tellings) of the judged figures about the middle of the particles, each of unit length."""
        axes, step = len(self.z), number("live.slope_step")
        off = step * np.hstack([np.eye(axes), -np.eye(axes)])
        _, _, judged = self.model.again((self.z @ weights)[:, None] + off)
        slopes = np.nan_to_num(judged[:, :axes] - judged[:, axes:]).T
        return np.asarray(slopes / np.maximum(np.linalg.norm(slopes, axis=0), 1e-12))

    def _move(self, state: _S, mean: Array, root: Array, done: float, rng: np.random.Generator) -> _S:
        """Metropolis moves under the posterior with the pending tellings let in to a degree, until most have moved."""
        ever = np.zeros(self.count, dtype=bool)
        share = np.ones(len(self.told))
        share[self.settled :] = done
        for size in array("live.move_sizes"):
            fresh = mean + math.sqrt(1.0 - size * size) * (self.z - mean)
            fresh += size * root @ rng.standard_normal(self.z.shape)
            new, told, _ = self.model.again(fresh)
            told = _possible(told)
            gain = share @ (told - self.told)
            gain += 0.5 * ((self.z**2).sum(axis=0) - (fresh**2).sum(axis=0))  # prior: standard normal
            gain += 0.5 * (_squares(fresh - mean, root) - _squares(self.z - mean, root))  # proposal
            taken = np.log(rng.random(self.count)) < gain
            self.z, self.told = np.where(taken, fresh, self.z), np.where(taken, told, self.told)
            state = self.model.mixed(taken, new, state)
            ever |= taken
            self.moved = float(ever.mean())
            if self.moved >= number("live.moved"):
                break
        return state


def _weights(told: Array) -> tuple[Array, float]:
    """Return normalised weights and the logarithm of the mean likelihood."""
    top = float(told.max())
    raw = np.exp(told - top)
    total = float(raw.sum())
    return raw / total, top + math.log(total / len(told))


def _squares(apart: Array, root: Array) -> Array:
    return np.asarray((np.linalg.solve(root, apart) ** 2).sum(axis=0))
