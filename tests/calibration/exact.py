"""The exact posterior of simulated kitchens, by importance sampling: a bank of kitchens from the prior, run once.

All kitchens of `calibration.kitchens` are treated alike; they differ in what is seen. So a bank that was run through
the same acts serves them all: its kitchens are weighed by how likely they make what was seen. That needs no moves, no
degrees and no stand-in, only many kitchens.

``python -m calibration.exact 500 1000 probe 2000000`` (with tests on the path) prints what docs/live.md says of them.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from calibration.kitchens import BANDS, FIGURES, Truth, coverage, figures_of, filter_of, followed, truth_of
from temperbench.insight.estimation import BowlFilter, Step
from temperbench.insight.likelihood import error_of, reading_likelihood, told_of
from temperbench.insight.live import FLOWS, LUMPS, Happening
from temperbench.insight.particles import effective
from temperbench.insight.setup_job import thermometer_figures

__all__ = ["Bank", "Compared", "compare"]

CHUNK = 10_000  # kitchens run at a time
LEVELS = {"lumps": LUMPS, "flow": FLOWS}
Seen = np.ndarray | dict[str, np.ndarray]  # what a thermometer shows, (n,); or log-likelihood of each answer by eye


@dataclass(frozen=True)
class Bank:
    """Kitchens drawn from the prior and run once: what each telling is about, and `FIGURES` at the end, each (n,)."""

    noise: float
    seen: tuple[Seen, ...]
    figures: tuple[np.ndarray, ...]

    @classmethod
    def run(cls, kitchens: int, thermometer: str = "probe", seed: int = 1) -> Bank:
        """Run so many kitchens, to the next ten thousand."""
        f = filter_of(0, 2, thermometer)
        for h in truth_of(0, f, thermometer).happenings:  # its acts are those of every kitchen
            f.steps.append(Step(0.0, h, f._since(0.0, h)))
        chunks = [_chunk(f, np.random.default_rng([seed, part])) for part in range(-(-kitchens // CHUNK))]
        seen = tuple(_joined([chunk[0][n] for chunk in chunks]) for n in range(len(chunks[0][0])))
        figures = tuple(np.hstack([chunk[1][n] for chunk in chunks]) for n in range(len(FIGURES)))
        return cls(thermometer_figures(thermometer).noise, seen, figures)

    def weights(self, truth: Truth) -> np.ndarray:
        """Weights of the kitchens, (n,), by what was seen in one; they sum to one."""
        told = np.zeros(len(self.figures[0]))
        for h, seen in zip(_tellings(truth.happenings), self.seen, strict=True):
            told += seen[h.level] if isinstance(seen, dict) else reading_likelihood(h.celsius, seen, self.noise)
        raw = np.exp(told - told.max())
        return raw / raw.sum()


def _tellings(happenings: Iterable[Happening]) -> list[Happening]:
    return [h for h in happenings if h.kind in ("reading", *LEVELS)]


def _chunk(f: BowlFilter, rng: np.random.Generator) -> tuple[list[Seen], tuple[np.ndarray, ...]]:
    """Run a chunk of kitchens through the steps of a filter."""
    bowls, told, figures = f.again(rng.standard_normal((f.z.shape[0], CHUNK)))
    assert np.isfinite(told).all(), "no kitchen fails"
    seen: list[Seen] = []
    for h, figure in zip(_tellings(step.happening for step in f.steps), figures, strict=True):
        error = error_of(h, f.known.thermometer.kind)
        answers = {a: Happening(h.id, h.kind, 0, level=a) for a in LEVELS.get(h.kind, ())}
        seen.append({a: told_of(one, figure, bowls, error) for a, one in answers.items()} or figure)
    return seen, figures_of(bowls)


def _joined(parts: list[Seen]) -> Seen:
    if isinstance(parts[0], dict):
        return {level: np.hstack([part[level] for part in parts]) for level in parts[0]}
    return np.hstack(parts)


@dataclass(frozen=True)
class Compared:
    """A filter's particles beside the exact posterior of its kitchen, and the truth; each for `FIGURES`.

    ``ranks`` of the truth among the particles, ``exact_ranks`` of the truth in the exact posterior, ``held`` the exact
    posterior's mass in each of the particles' bands (bands, figures), ``off`` of the particles' mean in exact standard
    deviations, ``wider`` the logarithm of their spread over the exact one; ``counting``: effective size of the bank.
    """

    ranks: np.ndarray
    exact_ranks: np.ndarray
    held: np.ndarray
    off: np.ndarray
    wider: np.ndarray
    counting: float


def compare(bank: Bank, k: int, particles: int, thermometer: str = "probe") -> Compared:
    """Follow kitchen ``k`` with a filter and compare."""
    f, truth, _ = followed(k, particles, thermometer)
    exact = bank.weights(truth)
    some = exact > 1e-9 * exact.max()
    weights, rows = exact[some] / exact[some].sum(), []
    for values, true, every in zip(figures_of(f.bowls), truth.figures, bank.figures, strict=True):
        others, order = every[some], np.argsort(values)
        below = np.concatenate([[0.0], np.cumsum(f.weights[order])])
        ranks = below[np.searchsorted(values[order], others)]
        held = [float(weights[np.abs(ranks - 0.5) < 0.5 * band].sum()) for band in BANDS]
        (mean, sd), (exact_mean, exact_sd) = _moments(values, f.weights), _moments(others, weights)
        rank, exact_rank = float(f.weights[values < true].sum()), float(weights[others < true].sum())
        rows.append([rank, exact_rank, *held, (mean - exact_mean) / exact_sd, np.log(sd / exact_sd)])
    found = np.array(rows).T
    return Compared(found[0], found[1], found[2:-2], found[-2], found[-1], effective(exact))


def _moments(values: np.ndarray, weights: np.ndarray) -> tuple[float, float]:
    mean = float(weights @ values)
    return mean, float(np.sqrt(weights @ (values - mean) ** 2))


def _main(kitchens: int, particles: int, thermometer: str, banked: int) -> None:
    bank = Bank.run(banked, thermometer)
    every = [compare(bank, k, particles, thermometer) for k in range(kitchens)]
    known = [one for one in every if one.counting >= 200.0]
    print(f"{thermometer}, {kitchens} kitchens, {particles} particles; in {len(known)} the bank counts 200 and more")
    held = np.mean([one.held for one in known], axis=0) if known else np.full((len(BANDS), len(FIGURES)), np.nan)
    truths, exact = (coverage(np.array([getattr(one, what) for one in every])) for what in ("ranks", "exact_ranks"))
    off = np.sqrt(np.mean([one.off**2 for one in every], axis=0))
    wider = np.mean([one.wider for one in every], axis=0)
    for n, name in enumerate(FIGURES):
        row = (truths[:, n], exact[:, n], held[:, n])
        print(f"{name:12}" + "   ".join("/".join(f"{100 * c:.1f}" for c in one) for one in row)
              + f"   mean off {off[n]:.2f} sd, spread {100 * wider[n]:+.1f} %", flush=True)  # fmt: skip


if __name__ == "__main__":
    _main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3], int(sys.argv[4]))
