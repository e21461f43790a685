"""Fits the model of the cup to a curve: draws from the posterior over everything that is not known.

From the best of some draws from the prior, a few starts climb to their own best points by Gauss-Newton steps; a mixture of
heavy-tailed bells there proposes draws, which weighing by the posterior puts right, and which shape the next mixture
(adaptive importance sampling with all rounds weighed as one mixture: Cornuet et al. 2012, recalled).

Readings differ from the model by noise and by a misfit that lasts, an exponentially correlated one whose size is an axis
of its own: where the model does not fit well, bands widen by themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.curve.prior import Prior, Sample
from temperbench.insight.curve.smooth import Bins

__all__ = ["Posterior", "Target", "fit", "lasting_misfit"]

_STEPS = (0.01, 0.15)  # of slopes: half of what the curve tells an axis to, within these standard deviations of the prior
_FREEDOM = 40.0  # of the heavy-tailed proposals
_IMPOSSIBLE = -1e9


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

    def residuals(self, z: Array) -> tuple[Array, Sample]:
        """Return turned and whitened residuals (m, bins) and the samples."""
        sample = self.prior.sample(z)
        cooled = self.prior.cooled(sample, float(self.bins.seconds[-1]), self.gap)
        self.runs += z.shape[1]
        shown = self.prior.shown(sample, cooled, self.bins.seconds)
        return (self.bins.celsius - shown) @ self.turn, sample

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
    """Draws from the posterior, each as good as the other, and how well they were found."""

    z: Array  # (axes, m)
    sample: Sample
    best: Array  # point of the highest posterior seen (axes,)
    best_log: float
    effective: float  # draws that the weighted ones are worth
    evidence: float  # logarithm of the chance of the curve
    runs: int  # cups that were cooled


def fit(prior: Prior, bins: Bins, *, seed: int = 1, draws: int = 240, rounds: int = 8) -> Posterior:
    """Fit a prior to a binned curve."""
    target, rng = Target(prior, bins), np.random.default_rng(seed)
    peaks = _climb(target, _starts(target, rng))
    return _sampled(target, peaks, rng, draws, rounds)


def _starts(target: Target, rng: np.random.Generator) -> Array:
    """The best draws from the prior in each third of the content."""
    count = int(number("curve.starts"))
    z = rng.standard_normal((len(target.prior.names), count))
    z[target.prior.names.index("misfit")] = 2.0  # far from the curve every draw fits badly: let that count less
    residuals, sample = target.residuals(z)
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
    lengths = np.array([1.0, 0.5, 0.2, 0.05])
    residuals, sample = target.residuals(z)
    log = target.log(residuals, sample, z)
    alive = np.ones(n, dtype=bool)
    hessians = np.repeat(np.eye(axes)[None] * 400.0, n, axis=0)
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
            tried.append(z[:, [j]] + lengths * step[:, None])
        points = np.concatenate(tried, axis=1)
        new, new_sample = target.residuals(points)
        new_log = target.log(new, new_sample, points)
        for i, j in enumerate(at):
            k = i * len(lengths) + int(np.argmax(new_log[i * len(lengths) : (i + 1) * len(lengths)]))
            gain = new_log[k] - log[j]
            if gain > 0.0:
                z[:, j], residuals[j], log[j] = points[:, k], new[k], new_log[k]
                sample.misfit[j] = new_sample.misfit[k]
            alive[j] = gain > 0.05
        alive &= log > log.max() - 60.0
        if not alive.any():
            break
    return _peaks(target, z, residuals, sample.misfit, log, hessians)


def _peaks(target: Target, z: Array, residuals: Array, misfit: Array, log: Array, hessians: Array) -> list[_Peak]:
    """Peaks worth keeping, each with the spread there from slopes taken both ways."""
    axes = len(z)
    found: list[_Peak] = []
    for j in np.argsort(-log):
        near = any(float(np.abs(z[:, j] - p.z).max()) < 0.3 for p in found)
        if log[j] < log.max() - 12.0 or near:
            continue
        step = np.clip(0.5 / np.sqrt(np.diag(hessians[j])), *_STEPS)
        both = np.hstack([z[:, [j]] + np.diag(step), z[:, [j]] - np.diag(step)])
        moved, sample = target.residuals(both)
        slopes = np.nan_to_num((moved[:axes] - moved[axes:]) / (2.0 * step[:, None]))
        change = np.log(sample.misfit[:axes] / sample.misfit[axes:]) / (2.0 * step)
        hessian = _expanded(target, z[:, j], residuals[j], slopes, misfit[j], change)[1]
        found.append(_Peak(z[:, j], float(log[j]), np.linalg.cholesky(np.linalg.inv(hessian))))
    return found


def _expanded(
    target: Target, z: Array, residuals: Array, slopes: Array, misfit: float, change: Array
) -> tuple[Array, Array]:
    """Slope of the log-posterior and its curvature (positive), from slopes of residuals and of the misfit's logarithm."""
    variance = target.scale(np.array([misfit]))[0]
    share = 1.0 - 1.0 / variance  # of the variance that is misfit
    weighed = slopes / variance
    gradient = -(weighed @ residuals) - z + change * ((residuals**2 / variance - 1.0) * share).sum()
    curved = weighed @ slopes.T + np.eye(len(z)) + 2.0 * (share**2).sum() * np.outer(change, change)
    return gradient, curved


def _sampled(target: Target, peaks: list[_Peak], rng: np.random.Generator, draws: int, rounds: int) -> Posterior:
    """Importance sampling from bells at the peaks, then Metropolis moves of what it chose."""
    best = max(peaks, key=lambda p: p.log)
    for p in peaks:
        p.root *= 1.2
    weights = np.array([p.log + np.log(np.diag(p.root)).sum() for p in peaks])
    bells = [(p.z, p.root) for p in peaks]
    shares = np.exp(weights - weights.max())
    shares /= shares.sum()
    z = _draw(bells, shares, rng, 2 * draws)
    residuals, sample = target.residuals(z)
    log = target.log(residuals, sample, z)
    weight = log - _mixture(z, [(float(s), *b) for s, b in zip(shares, bells, strict=True)])
    low, high = 0.0, 1.0
    for _ in range(30):
        part = 0.5 * (low + high)
        raw = np.exp(part * (weight - weight.max()))
        low, high = (part, high) if raw.sum() ** 2 / (raw**2).sum() > 0.5 * len(raw) else (low, part)
    raw = np.exp(low * (weight - weight.max()))
    raw /= raw.sum()
    effective = low
    mid, root = _reshaped(z, raw, best)
    chosen = np.minimum(np.searchsorted(np.cumsum(raw), (rng.random() + np.arange(draws)) / draws), len(raw) - 1)
    z, log = z[:, chosen], log[chosen]
    acc = []
    for turn in range(rounds):
        if turn % 2 == 0:
            size = (0.7, 0.35)[turn // 2 % 2]
            fresh = mid[:, None] + math.sqrt(1.0 - size * size) * (z - mid[:, None])
            fresh += size * root @ rng.standard_normal(z.shape)
            bell = 0.5 * (_far(fresh, mid, root) - _far(z, mid, root))
        else:
            one, other = z[:, rng.integers(0, draws, draws)], z[:, rng.integers(0, draws, draws)]
            fresh = z + rng.choice([0.2, 0.35, 0.5], draws) * (one - other) + 0.05 * root @ rng.standard_normal(z.shape)
            bell = 0.0
        residuals, sample = target.residuals(fresh)
        new = target.log(residuals, sample, fresh)
        taken = np.log(rng.random(draws)) < new - log + bell
        z, log = np.where(taken, fresh, z), np.where(taken, new, log)
        acc.append(round(float(taken.mean()), 2))
    top = int(np.argmax(log))
    return Posterior(z, target.prior.sample(z), best.z if best.log > log[top] else z[:, top],
                     float(max(log[top], best.log)), effective, acc, target.runs)  # fmt: skip


def _far(z: Array, middle: Array, root: Array) -> Array:
    """Squared distance from the middle of a bell, in its own measure."""
    return np.asarray((np.linalg.solve(root, z - middle[:, None]) ** 2).sum(axis=0))


def _draw(bells: list[tuple[Array, Array]], shares: Array, rng: np.random.Generator, count: int) -> Array:
    which = rng.choice(len(bells), size=count, p=shares)
    axes = len(bells[0][0])
    normal = rng.standard_normal((axes, count)) * np.sqrt(_FREEDOM / rng.chisquare(_FREEDOM, count))
    return np.column_stack([bells[w][0] + bells[w][1] @ normal[:, i] for i, w in enumerate(which)])


def _mixture(z: Array, every: list[tuple[float, Array, Array]]) -> Array:
    """Log-density of a mixture of heavy-tailed bells, up to what all bells have in common."""
    axes = len(z)
    found = []
    for share, middle, root in every:
        apart = (np.linalg.solve(root, z - middle[:, None]) ** 2).sum(axis=0)
        height = math.log(max(share, 1e-300)) - np.log(np.abs(np.diag(root))).sum()
        found.append(height - 0.5 * (_FREEDOM + axes) * np.log1p(apart / _FREEDOM))
    common = math.lgamma(0.5 * (_FREEDOM + axes)) - math.lgamma(0.5 * _FREEDOM) - 0.5 * axes * math.log(_FREEDOM)
    stacked = np.array(found)
    top = stacked.max(axis=0)
    # the prior is known up to (2 pi)^(-axes/2), a bell up to pi^(-axes/2): the difference makes the evidence absolute
    return np.asarray(top + np.log(np.exp(stacked - top).sum(axis=0)) + common + 0.5 * axes * math.log(2.0))


def _reshaped(z: Array, weight: Array, best: _Peak) -> tuple[Array, Array]:
    """Middle and root of a bell with the mean and spread of the weighted draws, as far as they can be trusted."""
    count = 1.0 / float((weight**2).sum())
    trust = count / (count + 2.0 * len(z))
    middle = trust * (z @ weight) + (1.0 - trust) * best.z
    apart = z - middle[:, None]
    cover = trust * (apart * weight) @ apart.T + (1.0 - trust) * best.root @ best.root.T
    return middle, np.linalg.cholesky(cover + 1e-9 * np.eye(len(z)))
