"""Simulated kitchens: a truth drawn from the prior, or put outside it, lives a run; the filter is told what a cook saw.

``python -m calibration.kitchens 200 300 probe`` (with tests on the path) prints a row of the tables of docs/live.md.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.doubt import doubt_about
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import BowlJob
from temperbench.insight.likelihood import flow_likelihood, lumps_likelihood
from temperbench.insight.live import FLOWS, LUMPS, Doubt, Happening
from temperbench.insight.setup_job import know, thermometer_figures
from temperbench.kitchen.bowl_layout import MASS, POWER
from temperbench.kitchen.bowls import Bowls

__all__ = [
    "BANDS", "FIGURES", "OUTSIDE", "Lived", "Outside", "Truth", "coverage", "figures_of", "filter_of", "followed",
    "live_through", "ranks_of", "truth_of", "within_chance",
]  # fmt: skip

FIGURES = ("temperature", "solids", "power")
BANDS = (0.50, 0.80, 0.95)
SCHEDULE = ((45.0, 20.0), (25.0, 20.0), (12.0, 20.0), (6.0, 60.0))  # seconds of burst and of stirring


@dataclass(frozen=True)
class Outside:
    """Where a truth is put outside the prior; the rest is drawn from it."""

    delivered_w: float | None = None
    kappa: float | None = None
    mass_factor: float = 1.0
    bias_c: float | None = None


OUTSIDE = {
    "power 105 % of the label": Outside(delivered_w=1050.0),
    "kappa 2.5": Outside(kappa=2.5),
    "20 % more grams": Outside(mass_factor=1.2),
    "thermometer 1.5 °C high": Outside(bias_c=1.5),
    "thermometer 1.5 °C low": Outside(bias_c=-1.5),
}


@dataclass(frozen=True)
class Lived:
    """Share of the posterior below the truth for each of `FIGURES`, what was doubted, and how many particles count."""

    ranks: tuple[float, ...]
    doubts: tuple[Doubt, ...]
    distinct: float


def _answer(rng: np.random.Generator, levels: tuple[str, ...], chances: list[float]) -> str:
    total = np.cumsum(chances)
    assert abs(total[-1] - 1.0) < 1e-6, "chances of all answers sum to one"
    return levels[min(int(np.searchsorted(total, rng.random())), len(levels) - 1)]


@dataclass(frozen=True)
class Truth:
    """What a cook did and saw in a kitchen, and what `FIGURES` really were at the end."""

    happenings: tuple[Happening, ...]
    figures: tuple[float, ...]


def truth_of(k: int, f: BowlFilter, thermometer: str = "probe", outside: Outside | None = None) -> Truth:
    """Live the schedule in kitchen ``k`` of the prior of a filter that nothing was told.

    A reading after every stirring, lumps twice, flow at the end.
    """
    rng = np.random.default_rng([99, k])
    z = rng.standard_normal((f.z.shape[0], 1))
    members, bias = f._members(z), float(f._biases(z, thermometer)[0])
    if outside is not None:
        if outside.delivered_w is not None:
            members.rows[:, POWER] = outside.delivered_w  # all of it taken by bowl and chocolate
        if outside.kappa is not None:
            members = replace(members, kappa=np.full(1, outside.kappa))
        members.rows[:, MASS] *= outside.mass_factor
        bias = bias if outside.bias_c is None else outside.bias_c
    truth, figures = Bowls(members), thermometer_figures(thermometer)
    happenings: list[Happening] = []

    def tell(kind: str, **what: object) -> None:
        happenings.append(Happening(f"{k}-{len(happenings)}", kind, 0, **what))

    for turn, (burst, stir) in enumerate(SCHEDULE):
        truth.burst(burst)
        tell("burst", seconds=burst)
        truth.stir(stir)
        tell("stir", seconds=stir)
        seen = truth.reading()
        seen = seen - figures.skin * (seen - truth.members.air_c)
        truth.shown = seen + figures.lag_left * (truth.shown - seen)
        slip = rng.random() < number("live.slip")
        error = rng.standard_normal() * (number("live.slip_width") if slip else figures.noise)
        tell("reading", celsius=float(truth.shown[0] + bias + error), thermometer=thermometer)
        if turn >= 2:
            chances = [float(np.exp(lumps_likelihood(truth, level)[0])) for level in LUMPS]
            tell("lumps", level=_answer(rng, LUMPS, chances))
    chances = [float(np.exp(flow_likelihood(truth, level)[0])) for level in FLOWS]
    tell("flow", level=_answer(rng, FLOWS, chances))
    return Truth(tuple(happenings), tuple(float(values[0]) for values in figures_of(truth)))


def figures_of(bowls: Bowls) -> tuple[np.ndarray, ...]:
    """`FIGURES` of every bowl: °C, share of the fat, W."""
    return bowls.temperature(), bowls.solid(), bowls.members.rows[:, POWER]


def filter_of(k: int, particles: int, thermometer: str = "probe") -> BowlFilter:
    """Return the filter that kitchen ``k`` is told to."""
    return BowlFilter(know(BowlJob("dark", 1000.0, 1000.0, thermometer=thermometer)), particles, seed=k + 1)


def followed(
    k: int, particles: int, thermometer: str = "probe", outside: Outside | None = None
) -> tuple[BowlFilter, Truth, tuple[Doubt, ...]]:
    """Tell a filter everything that was done and seen in kitchen ``k``."""
    f, doubts = filter_of(k, particles, thermometer), []
    truth = truth_of(k, f, thermometer, outside)
    for happening in truth.happenings:
        f.fold(happening)
        if outside is not None and happening.kind == "reading" and (doubt := doubt_about(f)) is not None:
            doubts.append(doubt)
    f.adopt()
    return f, truth, tuple(doubts)


def live_through(k: int, particles: int, thermometer: str = "probe", outside: Outside | None = None) -> Lived:
    """Follow kitchen ``k`` and rank its truth."""
    f, truth, doubts = followed(k, particles, thermometer, outside)
    pairs = zip(figures_of(f.bowls), truth.figures, strict=True)
    ranks = tuple(float(f.weights[values < true].sum()) for values, true in pairs)
    return Lived(ranks, doubts, len(np.unique(f.z[0])) / f.count)


def ranks_of(kitchens: range, particles: int, thermometer: str = "probe", outside: Outside | None = None) -> np.ndarray:
    """Ranks of the truth, (kitchens, figures)."""
    return np.array([live_through(k, particles, thermometer, outside).ranks for k in kitchens])


def coverage(ranks: np.ndarray) -> np.ndarray:
    """Share of kitchens whose truth lies in each central band, (bands, figures)."""
    return np.array([(np.abs(ranks - 0.5) < 0.5 * b).mean(axis=0) for b in BANDS])


def within_chance(found: np.ndarray, kitchens: int, errors: float) -> np.ndarray:
    """Tell of each coverage whether it is within so many Monte Carlo standard errors of what its band says."""
    said = np.array(BANDS)[:, None]
    return np.abs(found - said) <= errors * np.sqrt(said * (1.0 - said) / kitchens) + 1.0 / kitchens


def _main(kitchens: int, particles: int, thermometer: str, where: str) -> None:
    outside = OUTSIDE[where] if where else None
    lived = [live_through(k, particles, thermometer, outside) for k in range(kitchens)]
    ranks = np.array([one.ranks for one in lived])
    for name, found, column in zip(FIGURES, coverage(ranks).T, ranks.T, strict=True):
        bars = np.histogram(column, 5, (0.0, 1.0))[0]
        print(f"{thermometer:9} {where:26} {name:12} " + "/".join(f"{100 * c:3.0f}" for c in found), bars, flush=True)
    firsts = [one.doubts[0].explanations[0] for one in lived if one.doubts]
    print(f"distinct {np.mean([one.distinct for one in lived]):.2f}; doubts in {len(firsts)} of {kitchens}:",
          {w: firsts.count(w) for w in sorted(set(firsts))}, flush=True)  # fmt: skip


if __name__ == "__main__":
    _main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3], sys.argv[4] if len(sys.argv) > 4 else "")
