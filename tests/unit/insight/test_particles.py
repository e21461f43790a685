"""Particles against what is known exactly: linear tellings with normal noise, and a static case by another sampler."""

from __future__ import annotations

import math

import emcee
import numpy as np
import pytest

from temperbench.insight.particles import Particles, effective, systematic

COUNT = 1500
NOISE = np.array([0.1, 0.4, 0.15, 1.0, 0.2])
SLOPES = np.array([[1.0, 0.5, 0.0, 0.0], [0.0, 1.0, -1.0, 0.3], [2.0, 0.0, 0.0, 0.0], [1.0, 1.0, 1.0, 1.0],
                   [0.0, 0.0, 1.0, -1.0]])  # fmt: skip


class Bent:
    """Tellings about figures of the axes with normal noise: linear ones, bent by a square of the first axis."""

    def __init__(self, seen: np.ndarray, bend: float = 0.0) -> None:
        self.seen, self.bend, self.known = seen, bend, 0

    def figures(self, z: np.ndarray) -> np.ndarray:
        """What each telling so far is about."""
        return SLOPES[: self.known] @ z + self.bend * z[0] ** 2

    def again(self, z: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """State (the point itself), tellings and figures."""
        figures, noise = self.figures(z), NOISE[: self.known, None]
        off = (self.seen[: self.known, None] - figures) / noise
        return z.copy(), -0.5 * off**2 - np.log(noise) - 0.5 * math.log(2.0 * math.pi), figures

    def errors(self) -> np.ndarray:
        """Noise of each telling so far."""
        return NOISE[: self.known]

    def guessed(self, figures: np.ndarray, off: np.ndarray) -> np.ndarray:
        """Log-likelihood of the tellings if their figures were these, known to within ``off``."""
        noise = np.hypot(self.errors(), off)[:, None]
        return -0.5 * ((self.seen[: self.known, None] - figures) / noise) ** 2 - np.log(noise)

    def only(self, state: np.ndarray, which: np.ndarray) -> np.ndarray:
        """States at these places."""
        return state[:, which]

    def mixed(self, taken: np.ndarray, one: np.ndarray, other: np.ndarray) -> np.ndarray:
        """States of one or the other."""
        return np.where(taken, one, other)


def told(model: Bent, seed: int = 3) -> tuple[Particles[np.ndarray], np.ndarray]:
    """Tell everything, settling after each telling when that is due."""
    particles = Particles(model, 4, COUNT, seed)
    state = particles.z.copy()
    for n in range(len(model.seen)):
        model.known = n + 1
        _, likely, figures = model.again(particles.z)
        particles.tell(likely[-1], figures[-1])
        state = particles.settle(state)
    return particles, state


def kalman(seen: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Mean, covariance and log evidence, one telling after the other."""
    mean, cover, evidence = np.zeros(4), np.eye(4), 0.0
    for slope, noise, value in zip(SLOPES, NOISE, seen, strict=False):
        off, spread = value - slope @ mean, slope @ cover @ slope + noise**2
        gain = cover @ slope / spread
        evidence += -0.5 * (off**2 / spread + math.log(2.0 * math.pi * spread))
        mean, cover = mean + gain * off, cover - np.outer(gain, slope @ cover)
    return mean, cover, evidence


@pytest.mark.parametrize("seen", [(1.0, 0.5, 1.7, 0.4, -0.6), (3.4, -1.5, 5.2, -1.0, 1.5)], ids=["usual", "surprising"])
def test_linear_tellings_give_what_kalman_gives(seen: tuple[float, ...]) -> None:
    """Means, variances and evidence agree with the exact ones within four Monte Carlo standard errors.

    Moved particles are worth fewer than as many independent draws; a third of them are counted on.
    """
    particles, _ = told(Bent(np.array(seen)))
    mean, cover, evidence = kalman(np.array(seen))
    worth = COUNT / 3.0
    sd = np.sqrt(np.diag(cover))
    found = particles.z @ particles.weights
    assert (np.abs(found - mean) < 4.0 * sd / math.sqrt(worth)).all()
    apart = particles.z - found[:, None]
    variance = (apart**2) @ particles.weights
    assert (np.abs(variance / sd**2 - 1.0) < 4.0 * math.sqrt(2.0 / worth)).all()
    assert abs(particles.log_evidence - evidence) < 4.0 * math.sqrt(len(seen) * 3.0 / worth)


def test_a_surprise_does_not_collapse_the_particles() -> None:
    """A telling far out in the prior leaves nearly as many different particles as there were."""
    particles, _ = told(Bent(np.array([4.5])))
    assert len(np.unique(particles.z[0])) > 0.9 * COUNT
    assert particles.settled == 1


def test_states_follow_their_particles() -> None:
    """The state that comes back from settling is that of each point re-run."""
    model = Bent(np.array([1.0, 0.5, 1.7, 0.4, -0.6]), bend=0.2)
    particles, state = told(model)
    assert np.array_equal(state, model.again(particles.z)[0])
    assert np.array_equal(particles.told, model.again(particles.z)[1])


def test_a_bent_case_agrees_with_another_sampler() -> None:
    """Means and standard deviations of a case that is not linear agree with emcee's, within both samplers' errors."""
    model = Bent(np.array([1.4, 0.5, 1.9, 0.4, -0.6]), bend=0.3)
    particles, _ = told(model)

    def density(points: np.ndarray) -> np.ndarray:
        return -0.5 * (points**2).sum(axis=1) + model.again(points.T)[1].sum(axis=0)

    other = emcee.EnsembleSampler(40, 4, density, vectorize=True)
    other.random_state = np.random.RandomState(5).get_state()
    other.run_mcmc(particles.z[:, :40].T, 3000, skip_initial_state_check=True)
    chain = other.get_chain(discard=500, thin=20, flat=True)
    mean, sd = chain.mean(axis=0), chain.std(axis=0)
    found = particles.z @ particles.weights
    spread = np.sqrt((particles.z - found[:, None]) ** 2 @ particles.weights)
    error = 4.0 * math.sqrt(3.0 / COUNT + 1.0 / len(chain))
    assert (np.abs(found - mean) / sd < error).all()
    assert (np.abs(spread / sd - 1.0) < error).all()


def test_drawing_by_weight_is_even() -> None:
    """Each place is drawn its share of times, rounded up or down."""
    weights = np.array([0.05, 0.5, 0.2, 0.25])
    counts = np.bincount(systematic(weights, np.random.default_rng(1)), minlength=4)
    assert (np.abs(counts - 4.0 * weights) < 1.0).all()
    assert effective(np.full(8, 0.125)) == pytest.approx(8.0)


def test_what_cannot_be_carries_no_weight() -> None:
    """A particle whose likelihood is no number is never kept."""
    model = Bent(np.array([1.0]))
    particles = Particles(model, 4, 100, 1)
    model.known = 1
    told_now = np.where(particles.z[0] > 0.0, np.nan, 0.0)
    particles.tell(told_now, particles.z[0])
    assert particles.weights[particles.z[0] > 0.0].sum() == 0.0


class Misguided(Bent):
    """A model whose stand-in is led astray: it guesses as if everything had been read half a unit higher."""

    def guessed(self, figures: np.ndarray, off: np.ndarray) -> np.ndarray:
        """Log-likelihood of tellings that were not told."""
        return super().guessed(figures - 0.5, off)


def test_a_stand_in_that_misleads_costs_moves_and_no_truth() -> None:
    """With a stand-in that is wrong by several noises the particles still are what Kalman gives, if fewer move."""
    seen = np.array([1.0, 0.5, 1.7, 0.4, -0.6])
    particles, _ = told(Misguided(seen))
    mean, cover, _ = kalman(seen)
    sd = np.sqrt(np.diag(cover))
    worth = COUNT / 20.0  # few moves are kept: particles are worth so few draws
    assert (np.abs(particles.z @ particles.weights - mean) < 4.0 * sd / math.sqrt(worth)).all()
    assert particles.moved < told(Bent(seen))[0].moved
