"""What a run taught about oven, bowl, thermometer and chocolate, each apart, in plain words and as spreads."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.insight.estimation import BowlFilter
from temperbench.kitchen.bowl_layout import POWER
from temperbench.kitchen.members import from_cube

__all__ = ["absorbed_power", "learnt_from", "widened"]

_LEAST_GAIN = 0.8  # a figure counts as learnt when its band is narrower than this share of the prior's


def absorbed_power(f: BowlFilter) -> tuple[Spread, Spread]:
    """Power this bowl takes from this oven: before the run and after it. [W]"""
    rng = np.random.default_rng([f.seed, 0, 4])
    before = from_cube(f.known.setup, rng.random((len(f.names), 512))).rows[:, POWER]
    low, mid, high = np.quantile(before, [0.05, 0.5, 0.95])
    return Spread(float(low), float(mid), float(high)), Spread(*f.quantiles(f.figure("power")))


def learnt_from(f: BowlFilter) -> tuple[str, ...]:
    """Say in plain words what has been learnt; empty when nothing was."""
    before, after = absorbed_power(f)
    found = []
    gain = (after.high - after.low) / (before.high - before.low)
    if gain < _LEAST_GAIN and f.known.job.oven_w is not None:
        found.append(
            f"This oven gives about {after.mid:.0f} W ({after.low:.0f} to {after.high:.0f}) to this bowl; "
            f"the label says {f.known.job.oven_w:.0f} W."
        )
        found.append(f"The next plan with it starts from a band {100 * (1 - gain):.0f} % narrower.")
    return tuple(found)


def widened(spread: Spread, prior: Spread, days: float) -> Spread:
    """Return learnt knowledge as it stands after some days: its ends drift back to the prior's.

    Half of the gained width is given back after ``live.half_life`` days; the middle stays.
    """
    kept = 0.5 ** (max(days, 0.0) / number("live.half_life"))
    low = min(spread.mid, prior.low + kept * (spread.low - prior.low))
    high = max(spread.mid, prior.high + kept * (spread.high - prior.high))
    return Spread(low, spread.mid, high)
