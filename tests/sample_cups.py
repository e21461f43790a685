"""Cups of chocolate of our own invention: a truth drawn from the prior, and the log a probe would have written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.insight.curve.fit import lasting_misfit
from temperbench.insight.curve.prior import Prior, Sample
from temperbench.insight.curve.read_curve import CurveJob
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import Look, look_at
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.kitchen.cup import Bath, cool_cups, cup_figures, cup_of
from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.thermometers import thermometer_of

__all__ = ["LoggedCup", "draw_cup", "job_of", "plain_log"]

LEVEL_S, LAST_S = 300.0, 2100.0


@dataclass(frozen=True)
class LoggedCup:
    """A truth, the log of it, and what the cook knows."""

    ask: CurveJob
    series: Series
    sample: Sample

    @property
    def stable(self) -> float:
        """Stable crystals when the sample was taken, per kg of fat."""
        return float(self.sample.stable[0])

    @property
    def strength(self) -> float:
        """Well-dispersed crystals that would set it as fast."""
        return float(self.sample.strength[0])


def job_of(kind: str = "dark", cup: str = "jacket", conductance: Spread | None = None) -> CurveJob:
    """Return what a careful cook knows: chocolate, 12 g in 15 mm, ice water."""
    known = cup_of(cup, grams=12.0, width=0.015, cup_grams=15.0 if cup != "plastic" else 4.0, conductance=conductance)
    return CurveJob(BowlJob(kind, 1000.0, method="cabinet"), known, 0.0)


def draw_cup(k: int, kind: str = "dark", cup: str = "jacket", every_s: float = 1.0, **put: float) -> LoggedCup:
    """Draw cup ``k``: everything from the prior, misfit and noise included; ``put`` sets axes outside the draw."""
    rng = np.random.default_rng([41, k])
    ask = job_of(kind, cup)
    probe, began = thermometer_of("probe"), float(rng.uniform(25.0, 60.0))
    start = float(rng.uniform(*_working(kind)))
    look = replace(_any_look(), fall_s=LEVEL_S, plateau=True, start_c=start)
    prior = Prior(know(ask.job).setup, ask.cup, Bath.steady(0.0), look, bath_logged=False, lag=probe.tau_s,
                  bias=probe.bias_c)  # fmt: skip
    z = rng.standard_normal((len(prior.names), 1))
    for name, value in put.items():
        z[prior.names.index(name)] = value
    sample = prior.sample(z)
    t = np.arange(0.0, LAST_S, every_s)
    middle = prior.delay[0]
    still = replace(sample, delay=np.full(1, middle))
    true = prior.shown(still, prior.cooled(still, LAST_S + 60.0, 5.0), t - began + middle)[0]
    grid = np.arange(0.0, LAST_S + 20.0, 10.0)
    root = np.linalg.cholesky(lasting_misfit(grid) + 1e-9 * np.eye(len(grid)))
    misfit = np.interp(t, grid, root @ rng.standard_normal(len(grid))) * float(sample.misfit[0])
    seen = true + misfit + number("thermometers.probe.noise") * rng.standard_normal(len(t))
    return LoggedCup(ask, Series(t, np.round(seen, 1)), sample)


@cache
def _any_look() -> Look:
    """A look that only its level and fall are taken from."""
    seconds = 10.0 * np.arange(120.0)
    return look_at(Series(seconds, 31.0 - 0.3 * np.maximum(np.arange(120.0) - 6.0, 0.0)))


def _working(kind: str) -> tuple[float, float]:
    return {"dark": (31.0, 32.5), "milk": (29.0, 30.5), "white": (28.0, 29.5)}[kind]


def plain_log(stable: float, cup: str = "jacket", noise: float = 0.1, seed: int = 1, every_s: float = 1.0) -> Series:
    """Log of a cup with all figures in their middle, half a minute in the air first."""
    row, curve = nominal_row()
    known, one = job_of(cup=cup).cup, np.ones(1)
    figures = cup_figures(one * known.mass.mid, one * known.width.mid, one * number("thermal.chocolate.k"),
                          one * known.heat.mid, one * known.outside.mid, 0.0 * one, 0.1 * one)  # fmt: skip
    seconds = np.arange(0.0, LAST_S, every_s)
    cooled = cool_cups(row[None], curve[None], figures, 31.5 * one, np.array([stable]), np.array([100.0 * stable]),
                       Bath.steady(0.0), seconds)  # fmt: skip
    level = np.full(int(30.0 / every_s), 31.5)
    celsius = np.concatenate([level, cooled.probe[0]])
    rng = np.random.default_rng(seed)
    return Series(np.arange(len(celsius)) * every_s, celsius + noise * rng.standard_normal(len(celsius)))
