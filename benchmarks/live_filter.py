"""The live filter beside plain bootstrap filters on the same bowl: error of log-likelihood and of bands against time.

A kitchen drawn from the prior tells three infrared readings and two answers by eye. The reference is plain importance
sampling of many kitchens from the prior, which is unbiased. Bootstrap filters carry prior draws from telling to telling
and resample them when few count, as is usual: once in NumPy, once by the package `particles` (Chopin and
Papaspiliopoulos, An Introduction to Sequential Monte Carlo, 2020). All simulate with our kernels, on all cores.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from measure import say
from task import Array
from temperbench.insight.estimation import ACTS, BowlFilter, Step
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening
from temperbench.insight.setup_job import Known, know
from temperbench.kitchen.bowl_layout import POWER
from temperbench.kitchen.bowls import Bowls

__all__ = ["live_filter"]

FIGURES = ("temperature", "crystals", "power")
EDGES = (0.05, 0.95)
HISTORY = (
    ("burst", 45.0), ("stir", 20.0), ("reading", 28.6), ("burst", 25.0), ("stir", 20.0), ("reading", 31.0),
    ("lumps", "some"), ("burst", 8.0), ("stir", 20.0), ("reading", 31.9), ("lumps", "few"),
)  # fmt: skip
Found = tuple[float, Array]  # log-likelihood, and the edges of the band of each figure


def _known() -> Known:
    return know(BowlJob("dark", 1000.0, 1000.0, thermometer="infrared"))


def _steps() -> list[Step]:
    made = []
    for n, (kind, what) in enumerate(HISTORY):
        key = "seconds" if kind in ACTS else "celsius" if kind == "reading" else "level"
        made.append(Step(0.0, Happening(str(n), kind, 0, **{key: what})))
    return made


def _edges(bowls: Bowls, weights: Array) -> Array:
    """Edges of the band of each figure, (figures, edges)."""
    found = []
    for values in (bowls.temperature(), bowls.solid(), bowls.members.rows[:, POWER]):
        order = np.argsort(values)
        found.append(np.interp(EDGES, np.cumsum(weights[order]) - 0.5 * weights[order], values[order]))
    return np.array(found)


def ours(count: int, seed: int) -> Found:
    """The live filter, settled at the end."""
    f = BowlFilter(_known(), count, seed)
    for step in _steps():
        f.fold(step.happening)
    f.adopt()
    return f.log_evidence, _edges(f.bowls, f.weights)


class _Cloud:
    """Prior kitchens on their way through the history."""

    def __init__(self, f: BowlFilter, z: Array, bowls: Bowls) -> None:
        self.f, self.z, self.bowls = f, z, bowls

    def __getitem__(self, which: Any) -> _Cloud:
        return _Cloud(self.f, self.z[:, which], self.bowls.only(which))

    def until(self, steps: list[Step]) -> Array:
        """Live these steps, of which the last one tells; return its log-likelihood."""
        found = None
        for step in steps:
            found = self.f._apply(self.bowls, self.z, step)
        assert found is not None
        return found[0]


def _stretches() -> list[list[Step]]:
    """The history cut after each telling."""
    cut, out = [], []
    for step in _steps():
        cut.append(step)
        if step.happening.kind not in ACTS:
            out.append(cut)
            cut = []
    return out


def _drawn(count: int, rng: np.random.Generator) -> _Cloud:
    f = BowlFilter(_known(), 2, 1)
    z = rng.standard_normal((f.z.shape[0], count))
    return _Cloud(f, z, Bowls(f._members(z)))


def bootstrap(count: int, seed: int) -> Found:
    """A bootstrap filter in NumPy: resampled evenly when fewer than half count."""
    rng = np.random.default_rng(seed)
    cloud, weights, total = _drawn(count, rng), np.full(count, 1.0 / count), 0.0
    for stretch in _stretches():
        if 1.0 / np.sum(weights**2) < 0.5 * count:
            places = np.searchsorted(np.cumsum(weights), (rng.random() + np.arange(count)) / count)
            cloud, weights = cloud[np.minimum(places, count - 1)], np.full(count, 1.0 / count)
        told = cloud.until(stretch)
        top = told.max()
        raw = weights * np.exp(told - top)
        total += float(top + np.log(raw.sum()))
        weights = raw / raw.sum()
    return total, _edges(cloud.bowls, weights)


def packaged(count: int, seed: int) -> Found:
    """The bootstrap filter of the package `particles`, systematic resampling below half."""
    import particles

    stretches = _stretches()

    laws = {  # the package's own names: prior, move between tellings, weight
        "M0": lambda _self, N: _drawn(N, np.random.default_rng(seed)),
        "M": lambda _self, _t, before: before,
        "logG": lambda _self, t, _before, now: np.maximum(now.until(stretches[t]), -1e6),
    }
    kitchens = type("Kitchens", (particles.FeynmanKac,), laws)
    np.random.seed(seed)
    smc = particles.SMC(fk=kitchens(T=len(stretches)), N=count, resampling="systematic", ESSrmin=0.5)
    smc.run()
    return float(smc.logLt), _edges(smc.X.bowls, smc.W)


def _reference(count: int) -> tuple[Found, Array, float]:
    """Log-likelihood and edges by plain weighing, the spread of each figure, and how many count."""
    told, values = [], []
    for batch in range(0, count, 5000):
        cloud = _drawn(min(5000, count - batch), np.random.default_rng([7, batch]))
        told.append(sum(cloud.until(stretch) for stretch in _stretches()))
        bowls = cloud.bowls
        values.append(np.array([bowls.temperature(), bowls.solid(), bowls.members.rows[:, POWER]]))
    likely, figures = np.concatenate(told), np.hstack(values)
    top = likely.max()
    raw = np.exp(likely - top)
    weights = raw / raw.sum()
    edges = []
    for row in figures:
        order = np.argsort(row)
        edges.append(np.interp(EDGES, np.cumsum(weights[order]), row[order]))
    mean = figures @ weights
    spread = np.sqrt((figures - mean[:, None]) ** 2 @ weights)
    return (float(top + np.log(raw.mean())), np.array(edges)), spread, float(1.0 / np.sum(weights**2))


def _error(run: Callable[[int, int], Found], count: int, repeats: int, truth: Found, spread: Array) -> dict[str, float]:
    off, edges, spent = [], [], []
    for seed in range(1, repeats + 1):
        begun = time.perf_counter()
        likely, band = run(count, seed)
        spent.append(1e3 * (time.perf_counter() - begun))
        off.append(likely - truth[0])
        edges.append((band - truth[1]) / spread[:, None])
    return {
        "count": count, "repeats": repeats, "ms": float(np.median(spent)),
        "log_likelihood": float(np.sqrt(np.mean(np.square(off)))), "band": float(np.sqrt(np.mean(np.square(edges)))),
    }  # fmt: skip


def live_filter(quick: bool) -> dict[str, Any]:
    """Return errors and times over sizes for each filter."""
    say("live filter: reference")
    truth, spread, counting = _reference(2000 if quick else 100_000)
    found: dict[str, Any] = {"counting": counting, "log_likelihood": truth[0], "tellings": len(_stretches())}
    repeats = 2 if quick else 12
    plans = {
        "temperbench": (ours, [60] if quick else [100, 300, 1000]),
        "bootstrap, NumPy": (bootstrap, [200] if quick else [300, 1000, 3000, 10_000]),
        "bootstrap, particles": (packaged, [200] if quick else [300, 1000, 3000, 10_000]),
    }
    found["filters"] = {}
    for name, (run, counts) in plans.items():
        run(counts[0], 0)
        rows = []
        for count in counts:
            say(f"live filter: {name}, {count}")
            rows.append(_error(run, count, repeats, truth, spread))
        found["filters"][name] = rows
    return found
