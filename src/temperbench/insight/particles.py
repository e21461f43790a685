"""Particles: draws from a posterior over standard normal axes, tempered, resampled and moved as tellings come in.

What a particle means is the business of a `Model`: the state it carries, and the log-likelihood of every telling so
far. A telling weighs the particles at once. When few of them carry the weight, `settle` lets it in by degrees, and
after each resamples and moves them by the Metropolis rule under the posterior so far.

A move is costly, for it runs the whole history again. So where to go is found out on a cheap stand-in, learnt from
every point that was run while settling (`temperbench.insight.surrogate`): a few Metropolis steps under the posterior
that the stand-in gives, and their end is what is proposed. It is kept by the ratio of the true posterior to that of the
stand-in at both ends, which makes the move exact however poor the stand-in (Liu, Monte Carlo Strategies in Scientific
Computing, 2001, section 9.4.3; Christen and Fox, J. Comput. Graph. Stat. 14, 2005, 795). The steps on the stand-in are
proposed from a Gaussian that is the prior's where nothing has been told, and the particles' own in the few directions
that the tellings have a view on: the slopes of the figures judged.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.surrogate import learn

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

    def errors(self) -> Array:
        """Return how well each telling judged its figure, (tellings,)."""
        ...

    def guessed(self, figures: Array, off: Array) -> Array:
        """Return about how likely each telling is (tellings, n) if its figure is this, known to within ``off``."""
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


@dataclass(frozen=True)
class _Gaussian:
    """What steps are proposed from: a mean and a root of the covariance."""

    mean: Array  # (axes, 1)
    root: Array  # (axes, axes)
    inverse: Array  # of the root

    def step(self, z: Array, rng: np.random.Generator) -> Array:
        """Return points about as far from ``z`` as `live.step_size` says, so that the Gaussian stays as it is."""
        size = number("live.step_size")
        fresh = self.mean + math.sqrt(1.0 - size * size) * (z - self.mean)
        return np.asarray(fresh + size * self.root @ rng.standard_normal(z.shape))

    def prior_over(self, z: Array) -> Array:
        """Return the logarithm of the prior's density over this one, up to a constant."""
        apart = self.inverse @ (z - self.mean)
        return np.asarray(0.5 * ((apart**2).sum(axis=0) - (z**2).sum(axis=0)))


class Particles(Generic[_S]):
    """Weighted points ``z`` (axes, n). `tell` weighs them; `settle` makes them alike in weight again when due."""

    def __init__(self, model: Model[_S], axes: int, count: int, seed: int) -> None:
        """Draw from the prior."""
        self.model, self.count, self.seed = model, count, seed
        self.z = np.random.default_rng([seed, 0]).standard_normal((axes, count))
        self.weights = np.full(count, 1.0 / count)
        self.told = np.empty((0, count))  # log-likelihood of every telling, per particle
        self.figures = np.empty((0, count))  # what each was about
        self.settled = 0  # tellings that the particles have been moved under
        self._before = 0.0  # log evidence of those
        self.log_evidence = 0.0
        self.due = False
        self.moved = 1.0  # share of the particles that the last settling moved
        self._run: list[tuple[Array, Array]] = []  # points run while settling, and their figures

    def tell(self, told: Array, figure: Array) -> None:
        """Weigh the particles by a telling's log-likelihood, given the figure it is about."""
        self.told = np.vstack([self.told, _possible(told)])
        self.figures = np.vstack([self.figures, figure])
        pending = self._pending()
        self.weights, gain = _weights(pending)
        self.log_evidence = self._before + gain
        self.due = effective(self.weights) < number("live.due") * self.count

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
        self._run = [(self.z, self.figures)]
        done = 0.0
        slopes: Array | None = None  # found once: about the middle after the first degree
        while done < 1.0:
            pending = self._pending()
            step = self._degree(pending, 1.0 - done)
            weights, gain = _weights(step * pending)
            self._before += gain
            slopes = self._slopes(weights) if slopes is None else slopes
            gaussian = self._gaussian(weights, slopes)
            chosen = systematic(weights, rng)
            self.z, self.told, self.figures = self.z[:, chosen], self.told[:, chosen], self.figures[:, chosen]
            done = 1.0 if done + step > 1.0 - 1e-9 else done + step
            state = self._move(self.model.only(state, chosen), gaussian, slopes, done, rng)
        self._run = []
        self.weights = np.full(self.count, 1.0 / self.count)
        self.settled, self.log_evidence, self.due = len(self.told), self._before, False
        return state

    def _degree(self, pending: Array, most: float) -> float:
        """Largest share of the pending tellings that leaves enough of the particles counting."""
        enough = min(max(number("live.counting") * self.count, number("live.fewest")), 0.5 * self.count)
        if effective(_weights(most * pending)[0]) >= enough:
            return most
        low, high = 0.0, most
        for _ in range(_DOUBLINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if effective(_weights(middle * pending)[0]) >= enough else (low, middle)
        return max(low, number("live.least_degree"))

    def _slopes(self, weights: Array) -> Array:
        """Slopes (tellings, axes) of the judged figures about the middle of the particles."""
        axes, step = len(self.z), number("live.slope_step")
        off = step * np.hstack([np.eye(axes), -np.eye(axes)])
        points = (self.z @ weights)[:, None] + off
        _, _, figures = self.model.again(points)
        self._run.append((points, figures))
        return np.nan_to_num((figures[:, :axes] - figures[:, axes:]) / (2.0 * step), posinf=0.0, neginf=0.0)

    def _gaussian(self, weights: Array, slopes: Array) -> _Gaussian:
        """The particles' own mean and covariance where told, the prior's elsewhere."""
        unit = slopes.T / np.maximum(np.linalg.norm(slopes, axis=1), 1e-12)
        left, size, _ = np.linalg.svd(unit, full_matrices=False)
        seen = left[:, size > 1e-3 * size[0]]
        inside = seen.T @ self.z
        middle = inside @ weights
        apart = inside - middle[:, None]
        cover = number("live.wider") * (apart * weights) @ apart.T + 1e-9 * np.eye(len(middle))
        narrow = np.linalg.cholesky(cover)
        one, own = np.eye(len(middle)), np.eye(len(self.z))
        root = own + seen @ (narrow - one) @ seen.T
        return _Gaussian((seen @ middle)[:, None], root, own + seen @ (np.linalg.inv(narrow) - one) @ seen.T)

    def _move(self, state: _S, gaussian: _Gaussian, slopes: Array, done: float, rng: np.random.Generator) -> _S:
        """Move the particles under the posterior with the pending tellings let in to a degree, until most have."""
        ever = np.zeros(self.count, dtype=bool)
        share = np.ones(len(self.told))
        share[self.settled :] = done
        guess = self._guess(gaussian, slopes, share, rng)
        for _ in range(int(number("live.moves" if done == 1.0 else "live.moves_between"))):
            fresh, drift = self._steps(guess, gaussian, rng)
            new, told, figures = self.model.again(fresh)
            self._run.append((fresh, figures))
            told = _possible(told)
            taken = np.log(rng.random(self.count)) < share @ (told - self.told) - drift
            self.z, self.told = np.where(taken, fresh, self.z), np.where(taken, told, self.told)
            self.figures = np.where(taken, figures, self.figures)
            state = self.model.mixed(taken, new, state)
            ever |= taken
            self.moved = float(ever.mean())
            if self.moved >= number("live.moved"):
                break
        return state

    def _guess(
        self, gaussian: _Gaussian, slopes: Array, share: Array, rng: np.random.Generator
    ) -> Callable[[Array], Array]:
        """Return what gives about the log-likelihood of every particle's point.

        The stand-in knows the points it learnt from better than any other. So that no particle is held where it is by
        that, each half of them is judged by what was learnt without their own points.
        """
        z, figures = (np.hstack(every) for every in zip(*self._run, strict=True))
        halves = np.array_split(rng.permutation(self.count), 2)
        guesses = []
        for half in halves:
            other = ~np.isin(z[0], self.z[0, half])
            guesses.append(self._guess_from(z[:, other], figures[:, other], gaussian, slopes, share))

        def guess(points: Array) -> Array:
            found = np.empty(points.shape[1])
            for half, of_half in zip(halves, guesses, strict=True):
                found[half] = of_half(points[:, half])
            return found

        return guess

    def _guess_from(
        self, z: Array, figures: Array, gaussian: _Gaussian, slopes: Array, share: Array
    ) -> Callable[[Array], Array]:
        """Return what was learnt from these points; nought if they were too few."""
        learnt = learn(z, figures, self.model.errors(), gaussian.mean[:, 0], slopes)
        if learnt is None:
            return lambda points: np.zeros(points.shape[1])
        return lambda points: share @ _possible(self.model.guessed(learnt.figures(points), learnt.off))

    def _steps(
        self, guess: Callable[[Array], Array], gaussian: _Gaussian, rng: np.random.Generator
    ) -> tuple[Array, Array]:
        """Steps under the posterior that the stand-in gives: where they end, and the gain in likelihood it sees."""
        z, first = self.z, guess(self.z)
        told, over = first, gaussian.prior_over(z)
        for _ in range(int(number("live.steps"))):
            fresh = gaussian.step(z, rng)
            fresh_told, fresh_over = guess(fresh), gaussian.prior_over(fresh)
            taken = np.log(rng.random(self.count)) < fresh_told + fresh_over - told - over
            z, told, over = (
                np.where(taken, fresh, z), np.where(taken, fresh_told, told), np.where(taken, fresh_over, over)
            )  # fmt: skip
        return z, told - first


def _weights(told: Array) -> tuple[Array, float]:
    """Return normalised weights and the logarithm of the mean likelihood."""
    top = float(told.max())
    raw = np.exp(told - top)
    total = float(raw.sum())
    return raw / total, top + math.log(total / len(told))
