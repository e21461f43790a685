"""Fits the model of the cup to a curve: draws from the posterior over everything that is not known.

From the best of some draws from the prior, a few starts climb to their own best points by Gauss-Newton steps. Draws
from heavy-tailed bells there are weighed as far as half of them still count, resampled, and moved by the Metropolis
rule: in turn by steps that would leave a bell alone, and by differences of other draws (ter Braak 2006, recalled).

Readings differ from the model by noise and by a misfit that lasts for minutes, whose size is an axis of its own: where
the model does not fit well, bands widen by themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp
from scipy.stats import chi2

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.curve.prior import Prior, Sample
from temperbench.insight.curve.smooth import Bins
from temperbench.insight.particles import systematic
from temperbench.kitchen.cup import TOLERANCE

__all__ = ["Posterior", "Target", "best_fit", "fit", "lasting_misfit"]

_STEPS = (0.01, 0.15)  # of slopes: half of what the curve tells an axis to, within these prior standard deviations
_FREEDOM = 40.0  # of the heavy-tailed proposals
_IMPOSSIBLE = -1e9
_LENGTHS = np.array([1.0, 0.5, 0.2, 0.05])  # of a step, tried at once
_SIZES, _SHARES, _JITTER = (0.7, 0.35), (0.2, 0.35, 0.5), 0.05  # of moves
_MISFITS, _LEAST_SPREAD = 25, 0.05  # sizes of the misfit tried, and its least spread on its axis
_COARSE = 2e-3  # K per step where no slopes are taken: far less than any reading tells
_FIRST_CURVE = 400.0  # curvature taken before the first slopes are known


def lasting_misfit(seconds: Array) -> Array:
    """Correlation of the misfit between times (k, k): once differentiable (Matern, 3/2)."""
    apart = math.sqrt(3.0) * np.abs(seconds[:, None] - seconds[None, :]) / number("curve.misfit_time")
    return np.asarray((1.0 + apart) * np.exp(-apart))


class Target:
    """Log-posterior of points (axes, m) of a prior, given a binned curve."""

    def __init__(self, prior: Prior, bins: Bins) -> None:
        """Prepare the correlation of the misfit: a turn of the whitened readings in which it is diagonal."""
        self.prior, self.bins = prior, bins
        self.gap = float(np.median(np.diff(bins.seconds)))
        lasting = lasting_misfit(bins.seconds)
        size, turn = np.linalg.eigh(lasting / np.outer(bins.error, bins.error))
        self.size = np.maximum(size, 0.0)
        self.turn = turn / bins.error[:, None]
        self.runs = 0

    def residuals(self, z: Array, tolerance: float = TOLERANCE) -> tuple[Array, Sample]:
        """Return turned and whitened residuals (m, bins) and the samples."""
        sample, shown = self.shown(z, tolerance)
        return (self.bins.celsius - shown) @ self.turn, sample

    def shown(self, z: Array, tolerance: float = TOLERANCE) -> tuple[Sample, Array]:
        """Return the samples and what their probes show at the bins (m, bins)."""
        sample = self.prior.sample(z)
        cooled = self.prior.cooled(sample, float(self.bins.seconds[-1]), 0.5 * self.gap, tolerance)
        self.runs += z.shape[1]
        return sample, self.prior.shown(sample, cooled, self.bins.seconds)

    def scale(self, misfit: Array) -> Array:
        """Return the variances of the turned residuals (m, bins) for misfits of these sizes (°C)."""
        return np.asarray(1.0 + misfit[:, None] ** 2 * self.size)

    def log(self, residuals: Array, sample: Sample, z: Array) -> Array:
        """Return the log-posterior (m,)."""
        variance = self.scale(sample.misfit)
        value = -0.5 * (residuals**2 / variance + np.log(variance)).sum(axis=1) - 0.5 * (z**2).sum(axis=0)
        return np.where(np.isfinite(value), value, _IMPOSSIBLE)


@dataclass(frozen=True)
class Posterior:
    """Draws from the posterior, each as good as the other, and how they were found."""

    z: Array  # (axes, m)
    sample: Sample
    shown: Array  # what the probes show at the bins (m, bins) [°C]
    best: Array  # point of the highest posterior seen (axes,)
    best_log: float
    tail: float  # chance of residuals at least as large as those of the best point
    moved: float  # share of the moves that were taken
    runs: int  # cups that were cooled


def fit(prior: Prior, bins: Bins, *, seed: int = 1) -> Posterior:
    """Fit a prior to a binned curve."""
    target, rng = Target(prior, bins), np.random.default_rng(seed)
    return _sampled(target, _climb(target, _starts(target, rng)), rng)


def best_fit(prior: Prior, bins: Bins, *, seed: int = 1) -> float:
    """Return the logarithm of the highest posterior, for weighing one explanation of a curve against another."""
    target, rng = Target(prior, bins), np.random.default_rng(seed)
    return max(peak.log for peak in _climb(target, _starts(target, rng)))


def _starts(target: Target, rng: np.random.Generator) -> Array:
    """The best draws from the prior in each third of the content."""
    count = int(number("curve.starts"))
    z = rng.standard_normal((len(target.prior.names), count))
    z[target.prior.names.index("misfit")] = 2.0  # far from the curve every draw fits badly: let that count less
    residuals, sample = target.residuals(z, _COARSE)
    log = target.log(residuals, sample, z)
    order = np.argsort(sample.stable)
    return np.column_stack([z[:, part[np.argmax(log[part])]] for part in np.array_split(order, 3)])


@dataclass
class _Peak:
    z: Array
    log: float
    root: Array  # root of the covariance there


def _climb(target: Target, z: Array) -> list[_Peak]:
    """Gauss-Newton from several starts at once, each step tried at four lengths."""
    axes, n = z.shape
    residuals, sample = target.residuals(z)
    log = target.log(residuals, sample, z)
    alive = np.ones(n, dtype=bool)
    hessians = np.repeat(_FIRST_CURVE * np.eye(axes)[None], n, axis=0)
    for _ in range(int(number("curve.climbs"))):
        at = np.flatnonzero(alive)
        steps = [np.clip(0.5 / np.sqrt(np.diag(hessians[j])), *_STEPS) for j in at]
        off = np.concatenate([z[:, [j]] + np.diag(step) for j, step in zip(at, steps, strict=True)], axis=1)
        moved, moved_sample = target.residuals(off)
        tried = []
        for i, j in enumerate(at):
            part = slice(i * axes, (i + 1) * axes)
            slopes = np.nan_to_num((moved[part] - residuals[j]) / steps[i][:, None])  # (axes, bins)
            change = np.log(moved_sample.misfit[part] / sample.misfit[j]) / steps[i]
            gradient, hessians[j] = _expanded(target, z[:, j], residuals[j], slopes, sample.misfit[j], change)
            step = np.linalg.solve(hessians[j], gradient)
            step *= min(1.0, 3.0 / max(np.abs(step).max(), 1e-12))
            tried.append(z[:, [j]] + _LENGTHS * step[:, None])
        points = np.concatenate(tried, axis=1)
        new, new_sample = target.residuals(points)
        new_log = target.log(new, new_sample, points)
        for i, j in enumerate(at):
            k = i * len(_LENGTHS) + int(np.argmax(new_log[i * len(_LENGTHS) : (i + 1) * len(_LENGTHS)]))
            gain = new_log[k] - log[j]
            if gain > 0.0:
                z[:, j], residuals[j], log[j] = points[:, k], new[k], new_log[k]
                sample.misfit[j] = new_sample.misfit[k]
            alive[j] = gain > 0.05
        alive &= log > log.max() - 60.0
        if not alive.any():
            break
    return _peaks(target, z, residuals, log, hessians)


def _peaks(target: Target, z: Array, residuals: Array, log: Array, hessians: Array) -> list[_Peak]:
    """Peaks worth keeping, each with the spread there from slopes taken both ways."""
    axes = len(z)
    found: list[_Peak] = []
    for j in np.argsort(-log):
        near = any(float(np.abs(z[:, j] - p.z).max()) < 0.3 for p in found)
        if log[j] < log.max() - 12.0 or near:
            continue
        step = np.clip(0.5 / np.sqrt(np.diag(hessians[j])), *_STEPS)
        both = np.hstack([z[:, [j]] + np.diag(step), z[:, [j]] - np.diag(step)])
        moved, _ = target.residuals(both)
        slopes = np.nan_to_num((moved[:axes] - moved[axes:]) / (2.0 * step[:, None]))
        found.append(_widened(target, z[:, j], float(log[j]), residuals[j], slopes))
    return found


def _widened(target: Target, z: Array, log: float, residuals: Array, slopes: Array) -> _Peak:
    """A peak moved along the size of the misfit to where most of the posterior is, all else integrated out as a bell.

    The highest point has too small a misfit: with many axes a curve can be followed closer than it deserves.
    """
    place, unit = target.prior.names.index("misfit"), np.eye(len(z))
    sizes = np.linspace(-3.0, 3.0, _MISFITS)
    along = np.repeat(z[:, None], _MISFITS, axis=1)
    along[place] = sizes
    misfits = target.prior.sample(along).misfit
    heights, shifts = np.empty(_MISFITS), np.empty((_MISFITS, len(z)))
    for k, variance in enumerate(target.scale(misfits)):
        weighed = slopes / variance
        hessian = weighed @ slopes.T + unit
        gradient = -(weighed @ residuals) - np.where(unit[place] > 0.0, 0.0, z)
        shifts[k] = np.linalg.solve(hessian, gradient)
        heights[k] = 0.5 * (gradient @ shifts[k] - (residuals**2 / variance + np.log(variance)).sum() - sizes[k] ** 2)
        heights[k] -= 0.5 * np.linalg.slogdet(hessian)[1]
    share = np.exp(heights - heights.max())
    share /= share.sum()
    k = int(np.argmax(heights))
    variance = target.scale(misfits[k : k + 1])[0]
    hessian = (slopes / variance) @ slopes.T + unit
    hessian[place] = hessian[:, place] = 0.0
    hessian[place, place] = 1.0 / max(float(share @ sizes**2 - (share @ sizes) ** 2), _LEAST_SPREAD**2)
    middle = z + np.where(unit[place] > 0.0, 0.0, np.clip(shifts[k], -1.0, 1.0))
    middle[place] = share @ sizes
    return _Peak(middle, log, np.linalg.cholesky(np.linalg.inv(hessian)))


def _expanded(
    target: Target, z: Array, residuals: Array, slopes: Array, misfit: float, change: Array
) -> tuple[Array, Array]:
    """Slope and curvature (positive) of the log-posterior, from slopes of residuals and of the misfit's logarithm."""
    variance = target.scale(np.array([misfit]))[0]
    share = 1.0 - 1.0 / variance  # of the variance that is misfit
    weighed = slopes / variance
    gradient = -(weighed @ residuals) - z + change * ((residuals**2 / variance - 1.0) * share).sum()
    curved = weighed @ slopes.T + np.eye(len(z)) + 2.0 * (share**2).sum() * np.outer(change, change)
    return gradient, curved


def _sampled(target: Target, peaks: list[_Peak], rng: np.random.Generator) -> Posterior:
    """Draws from bells at the peaks, weighed in part, resampled and moved."""
    draws, best = int(number("curve.draws")), max(peaks, key=lambda p: p.log)
    wide = number("curve.wider")
    bells = [(p.z, wide * p.root) for p in peaks]
    height = np.array([p.log + np.log(np.diag(p.root)).sum() for p in peaks])
    shares = np.exp(height - height.max())
    shares /= shares.sum()
    z = _draw(bells, shares, rng, 2 * draws)
    residuals, sample = target.residuals(z, _COARSE)
    log = target.log(residuals, sample, z)
    weight = _half(log - _mixture(z, bells, shares))
    middle, root = _reshaped(z, weight, best)
    chosen = systematic(weight, rng)[rng.permutation(2 * draws)[:draws]]
    z, log = z[:, chosen], log[chosen]
    taken = 0.0
    rounds = int(number("curve.moves"))
    for turn in range(rounds):
        fresh, gain = _proposed(z, middle, root, turn, rng)
        residuals, sample = target.residuals(fresh, _COARSE)
        new = target.log(residuals, sample, fresh)
        good = np.log(rng.random(draws)) < new - log + gain
        z, log = np.where(good, fresh, z), np.where(good, new, log)
        taken += float(good.mean()) / rounds
    top = int(np.argmax(log))
    point, point_log = (best.z, best.log) if best.log > log[top] else (z[:, top], float(log[top]))
    sample, shown = target.shown(np.column_stack([z, point]), _COARSE)
    residuals = (target.bins.celsius - shown[-1]) @ target.turn
    tail = float(chi2.sf((residuals**2 / target.scale(sample.misfit[-1:])[0]).sum(), len(residuals)))
    return Posterior(z, target.prior.sample(z), shown[:-1], point, point_log, tail, taken, target.runs)


def _proposed(z: Array, middle: Array, root: Array, turn: int, rng: np.random.Generator) -> tuple[Array, Array]:
    """Fresh points, and what the bell they were proposed from adds to the logarithm of the odds of each."""
    m = z.shape[1]
    if turn % 2 == 0:
        size = _SIZES[turn // 2 % 2]
        fresh = middle[:, None] + math.sqrt(1.0 - size * size) * (z - middle[:, None])
        fresh += size * root @ rng.standard_normal(z.shape)
        return fresh, 0.5 * (_far(fresh, middle, root) - _far(z, middle, root))
    one, other = z[:, rng.integers(0, m, m)], z[:, rng.integers(0, m, m)]
    jitter = _JITTER * root @ rng.standard_normal(z.shape)
    return z + rng.choice(_SHARES, m) * (one - other) + jitter, np.zeros(m)


def _half(weight: Array) -> Array:
    """Normalised weights, flattened as far as it takes for half of the draws to count."""
    low, high = 0.0, 1.0
    for _ in range(30):
        part = 0.5 * (low + high)
        raw = np.exp(part * (weight - weight.max()))
        low, high = (part, high) if raw.sum() ** 2 / (raw**2).sum() > 0.5 * len(raw) else (low, part)
    raw = np.exp(low * (weight - weight.max()))
    return np.asarray(raw / raw.sum())


def _far(z: Array, middle: Array, root: Array) -> Array:
    """Squared distance from the middle of a bell, in its own measure."""
    return np.asarray((np.linalg.solve(root, z - middle[:, None]) ** 2).sum(axis=0))


def _draw(bells: list[tuple[Array, Array]], shares: Array, rng: np.random.Generator, count: int) -> Array:
    which = rng.choice(len(bells), size=count, p=shares)
    axes = len(bells[0][0])
    normal = rng.standard_normal((axes, count)) * np.sqrt(_FREEDOM / rng.chisquare(_FREEDOM, count))
    return np.column_stack([bells[w][0] + bells[w][1] @ normal[:, i] for i, w in enumerate(which)])


def _mixture(z: Array, bells: list[tuple[Array, Array]], shares: Array) -> Array:
    """Log-density of a mixture of heavy-tailed bells, up to what all bells have in common."""
    axes = len(z)
    found = []
    for share, (middle, root) in zip(shares, bells, strict=True):
        height = math.log(max(share, 1e-300)) - np.log(np.diag(root)).sum()
        found.append(height - 0.5 * (_FREEDOM + axes) * np.log1p(_far(z, middle, root) / _FREEDOM))
    return np.asarray(logsumexp(np.array(found), axis=0))


def _reshaped(z: Array, weight: Array, best: _Peak) -> tuple[Array, Array]:
    """Middle and root of a bell with the mean and spread of the weighted draws, as far as they can be trusted."""
    count = 1.0 / float((weight**2).sum())
    trust = count / (count + 2.0 * len(z))
    middle: Array = trust * (z @ weight) + (1.0 - trust) * best.z
    apart = z - middle[:, None]
    cover = trust * (apart * weight) @ apart.T + (1.0 - trust) * best.root @ best.root.T
    return middle, np.asarray(np.linalg.cholesky(cover + 1e-9 * np.eye(len(z))), dtype=np.float64)
