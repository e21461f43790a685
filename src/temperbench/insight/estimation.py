"""What the happenings say of a bowl: a particle filter over everything uncertain, with resampling and moves.

Each particle is one whole kitchen: a point of the unit cube of `temperbench.kitchen.members.from_cube` and the state
that the happenings brought its bowl to. Happenings that act advance every bowl; those that tell weigh them. When few
particles carry the weight they are resampled and moved: a proposal from the Gaussian of the particles, re-run through
the whole history, kept by the Metropolis rule, so that the particles stay draws from the posterior. Everything random
comes from the seed and the number of the happening, so that a run replays bit for bit.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.likelihood import (
    flow_likelihood,
    lumps_likelihood,
    normal_cdf,
    reading_likelihood,
    reading_tail,
    test_likelihood,
)
from temperbench.insight.live import Happening
from temperbench.insight.setup_job import Known, thermometer_figures
from temperbench.kitchen.bowl_layout import parameter
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, dimensions, from_cube
from temperbench.kitchen.thermometers import KINDS

__all__ = ["ACTS", "TELLS", "BowlFilter", "Step", "effective"]

ACTS = ("burst", "stir", "stand", "added", "taken", "moved")
TELLS = ("reading", "lumps", "flow", "test")


@dataclass(frozen=True)
class Step:
    """One folded happening with the standing time before it. [s]"""

    stand_s: float
    happening: Happening


def effective(weights: Array) -> float:
    """Return the effective number of particles of normalised weights."""
    return float(1.0 / np.sum(weights**2))


@dataclass(frozen=True)
class _Line:
    """A reading as a linear function of the axes: ``at_zero + slope · z``, with noise and what is not linear."""

    slope: Array
    at_zero: float
    seen: float
    variance: float


class BowlFilter:
    """Particles of one bowl. `fold` takes one happening; `settle` moves the particles when that is due."""

    def __init__(self, known: Known, particles: int | None = None, seed: int = 1) -> None:
        """Start from the prior of the job."""
        self.known, self.seed = known, seed
        self.count = int(number("live.particles")) if particles is None else particles
        self.names = list(dimensions(known.setup))
        rng = np.random.default_rng([seed, 0])
        self.z = rng.standard_normal((len(self.names) + len(KINDS), self.count))
        self.bowls = Bowls(self._members(self.z))
        self.log_like = np.zeros(self.count)  # of the whole history, per particle
        self.weights = np.full(self.count, 1.0 / self.count)
        self.steps: list[Step] = []
        self.log_evidence = 0.0
        self.tail = 1.0  # of the last reading
        self.due = False
        self.lines: list[_Line] = []  # every reading, made linear in the axes of the cube

    def _members(self, z: Array) -> Members:
        return from_cube(self.known.setup, normal_cdf(z[: len(self.names)]))

    def _biases(self, z: Array, kind: str) -> Array:
        """Bias of a thermometer kind per particle: its own axis, but the job's own thermometer's for that one."""
        own = kind == self.known.thermometer.kind
        spread = self.known.setup.bias_c if own else thermometer_figures(kind).bias
        u = normal_cdf(z[len(self.names) + KINDS.index(kind)])
        return np.asarray(_triangle(u, spread.low, spread.mid, spread.high))

    def fold(self, happening: Happening, stand_s: float = 0.0) -> None:
        """Take one happening, after ``stand_s`` seconds in which nothing was done."""
        self.settle()
        step = Step(stand_s, happening)
        told = self._apply(self.bowls, self.z, step, keep_tail=True)
        self.steps.append(step)
        if told is None:
            return
        self.log_like += told
        weights = self.weights * np.exp(told - told.max())
        total = float(weights.sum())
        self.log_evidence += math.log(total) + float(told.max())
        self.weights = weights / total
        self.due = effective(self.weights) < 0.5 * self.count

    def settle(self) -> None:
        """Resample and move the particles if few of them carry the weight. May run while the oven does."""
        if not self.due:
            return
        rng = np.random.default_rng([self.seed, len(self.steps), 1])
        chosen = _systematic(self.weights, rng)
        self.z = self.z[:, chosen]
        self.bowls = self.bowls.only(chosen)
        self.log_like = self.log_like[chosen]
        self.weights = np.full(self.count, 1.0 / self.count)
        mean, root = self._gaussian()
        for size in array("live.move_sizes"):
            self._move(mean, root, size, rng)
        self.due = False

    def _gaussian(self) -> tuple[Array, Array]:
        """Mean (k, 1) and lower root (k, k) of the posterior if every reading were linear in the axes."""
        precision, pull = np.eye(len(self.z)), np.zeros(len(self.z))
        for line in self.lines:
            precision += np.outer(line.slope, line.slope) / line.variance
            pull += line.slope * (line.seen - line.at_zero) / line.variance
        cover = np.linalg.inv(precision)
        return (cover @ pull)[:, None], np.linalg.cholesky(0.5 * (cover + cover.T))

    def _move(self, mean: Array, root: Array, size: float, rng: np.random.Generator) -> None:
        """One Metropolis move of every particle with a proposal invariant under the linear posterior."""
        fresh = mean + math.sqrt(1.0 - size * size) * (self.z - mean)
        fresh += size * root @ rng.standard_normal(self.z.shape)
        bowls, like = self.replay(fresh)
        gain = like - self.log_like
        gain += 0.5 * ((self.z**2).sum(axis=0) - (fresh**2).sum(axis=0))  # prior: standard normal
        gain += 0.5 * (_squares(fresh - mean, root) - _squares(self.z - mean, root))  # proposal
        gain = np.where(bowls.bad > 0, -np.inf, gain)
        taken = np.log(rng.random(self.count)) < gain
        self.accepted = float(taken.mean())
        self.z = np.where(taken, fresh, self.z)
        self.log_like = np.where(taken, like, self.log_like)
        self.bowls = _either(taken, bowls, self.bowls)

    def replay(self, z: Array, changed: dict[str, float] | None = None) -> tuple[Bowls, Array]:
        """Return the bowls of other points after the whole history, and its log-likelihood.

        ``changed`` multiplies figures of the parameter row, to try explanations.
        """
        members = self._members(z)
        for name, factor in (changed or {}).items():
            members.rows[:, parameter(name)] *= factor
        bowls, like = Bowls(members), np.zeros(z.shape[1])
        for step in self.steps:
            told = self._apply(bowls, z, step)
            if told is not None:
                like += told
        return bowls, like

    def _apply(self, bowls: Bowls, z: Array, step: Step, keep_tail: bool = False) -> Array | None:
        if step.stand_s > 0.0:
            bowls.stand(step.stand_s)
        h = step.happening
        if h.kind == "reading":
            return self._read(bowls, z, h, keep_tail)
        if h.kind == "lumps":
            return lumps_likelihood(bowls, h.level or "none")
        if h.kind == "flow":
            return flow_likelihood(bowls, h.level or "with ease")
        if h.kind == "test":
            longest = number("film.longest")
            return test_likelihood(bowls, h.minutes, h.film or "paper", h.seconds / 60.0 if h.seconds else longest)
        _act(bowls, h, self.known.job.level)
        return None

    def _read(self, bowls: Bowls, z: Array, h: Happening, keep_tail: bool) -> Array:
        kind = h.thermometer or self.known.thermometer.kind
        figures = thermometer_figures(kind)
        seen = bowls.reading()
        seen = seen - figures.skin * (seen - bowls.members.air_c)
        bowls.shown = seen + figures.lag_left * (bowls.shown - seen)
        shown = bowls.shown + self._biases(z, kind)
        value = float(h.celsius if h.celsius is not None else math.nan)
        if keep_tail:
            self.tail = reading_tail(value, shown, figures.noise, self.weights)
            self.lines.append(_line(z, shown, self.weights, value, figures.noise))
        return reading_likelihood(value, shown, figures.noise)

    def advisers(self) -> Bowls:
        """Return some particles drawn by weight, all alike in weight, to try moves on."""
        rng = np.random.default_rng([self.seed, len(self.steps), 2])
        chosen = _systematic(self.weights, rng)
        few = min(int(number("live.advisers")), self.count)
        return self.bowls.only(chosen[np.linspace(0, self.count - 1, few).astype(np.intp)])

    def quantiles(self, values: Array, points: tuple[float, ...] = (0.05, 0.5, 0.95)) -> tuple[float, ...]:
        """Return weighted quantiles of a figure of every particle."""
        order = np.argsort(values)
        heap = np.cumsum(self.weights[order])
        return tuple(float(values[order][min(np.searchsorted(heap, q), len(values) - 1)]) for q in points)

    def figure(self, name: str) -> Array:
        """Return a figure of the parameter row of every particle, such as ``power`` in W."""
        return np.asarray(self.bowls.members.rows[:, parameter(name)])


def _act(bowls: Bowls, h: Happening, level: float) -> None:
    if h.kind == "burst":
        bowls.burst(float(h.seconds or 0.0), level)
    elif h.kind == "stir":
        bowls.stir(float(h.seconds or 0.0))
    elif h.kind == "stand":
        bowls.stand(float(h.seconds or 0.0))
    elif h.kind == "added":
        bowls.add(float(h.grams or 0.0) / 1000.0, float(h.celsius if h.celsius is not None else 20.0))
    elif h.kind == "taken":
        bowls.take_out(float(h.grams or 0.0) / 1000.0)


def _triangle(u: Array, low: float, mid: float, high: float) -> Array:
    cut = (mid - low) / (high - low) if high > low else 0.5
    up = low + np.sqrt(np.clip(u * (high - low) * (mid - low), 0.0, None))
    down = high - np.sqrt(np.clip((1.0 - u) * (high - low) * (high - mid), 0.0, None))
    return np.where(u < cut, up, down)


def _systematic(weights: Array, rng: np.random.Generator) -> np.ndarray:
    n = len(weights)
    return np.minimum(np.searchsorted(np.cumsum(weights), (rng.random() + np.arange(n)) / n), n - 1)


def _line(z: Array, shown: Array, weights: Array, seen: float, noise: float) -> _Line:
    """Regress what the thermometers would show on the axes, by weighted least squares drawn a little to nothing."""
    mean_z, mean_y = z @ weights, float(shown @ weights)
    apart, rest = z - mean_z[:, None], shown - mean_y
    normal = (apart * weights) @ apart.T + 1.0 / effective(weights) * np.eye(len(z))
    slope = np.linalg.solve(normal, (apart * weights) @ rest)
    left = rest - slope @ apart
    return _Line(slope, mean_y - float(slope @ mean_z), seen, noise * noise + float(left**2 @ weights))


def _squares(apart: Array, root: Array) -> Array:
    return np.asarray((np.linalg.solve(root, apart) ** 2).sum(axis=0))


def _either(taken: Array, one: Bowls, other: Bowls) -> Bowls:
    """Members of ``one`` where taken, of ``other`` elsewhere."""
    mixed = other.copy()
    for name in ("y", "warmth", "peak", "bad", "shown"):
        a, b = getattr(one, name), getattr(other, name)
        setattr(mixed, name, np.where(taken[:, None] if a.ndim == 2 else taken, a, b))
    arrays = {}
    for name, value in one.members.__dict__.items():
        if isinstance(value, np.ndarray):
            shape = (len(taken),) + (1,) * (value.ndim - 1)
            arrays[name] = np.where(taken.reshape(shape), value, getattr(other.members, name))
    mixed.members = dataclasses.replace(other.members, **arrays)
    return mixed
