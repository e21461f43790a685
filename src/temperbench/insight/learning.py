"""What a run taught about oven, bowl and chocolate, each apart; how it fades, and how far it holds for another bowl.

Knowledge is kept as bands of 5, 50 and 95 %. To be drawn from again it becomes the spread whose triangular density
has that band, never beyond the ends of what was assumed before anything was learnt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.foundation.units import Kilogram
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import BowlJob
from temperbench.insight.likelihood import normal_cdf
from temperbench.insight.setup_job import know, power_of
from temperbench.kitchen.members import dimensions, triangular

__all__ = [
    "OF_BOWL", "OF_CHOCOLATE", "Taught", "absorbed_ends", "as_ends", "band_of", "carried", "learnt_from", "power_band",
    "taught_by", "widened", "words_of",
]  # fmt: skip

OF_BOWL = ("wall_share", "wall_heat")
OF_CHOCOLATE = ("hardness",)
_SHORT = {"absorbed_w": "power", "hardness": "cocoa butter", "wall_share": "the wall's share",
          "wall_heat": "the bowl's heat"}  # fmt: skip
_LEAST_GAIN = 0.8  # a figure counts as learnt when its band is narrower than this share of the prior's
_BAND = (0.05, 0.5, 0.95)
_INSIDE = 1.0 - math.sqrt(0.1)  # half a symmetric triangle's band of 5 to 95 % over half its base
_DRAWS = 8192


@dataclass(frozen=True)
class Taught:
    """One figure of a thing as a run left it: its band before anything was learnt, and after the run."""

    before: Spread
    after: Spread

    @property
    def gain(self) -> float:
        """By which share the band is narrower than the first prior's."""
        return 1.0 - (self.after.high - self.after.low) / (self.before.high - self.before.low)

    @property
    def counts(self) -> bool:
        """Whether that is more than a posterior of so many particles may be narrower by chance."""
        return 1.0 - self.gain < _LEAST_GAIN


def band_of(ends: Spread) -> Spread:
    """Return the band of 5, 50 and 95 % of the triangular density of a spread."""
    return Spread(*(float(v) for v in triangular(np.array(_BAND), ends)))


def as_ends(band: Spread, prior: Spread) -> Spread:
    """Return the spread whose triangular density has about this band, within the ends of the first prior."""
    mid = min(max(band.mid, prior.low), prior.high)
    low = max(prior.low, band.mid - (band.mid - band.low) / _INSIDE)
    high = min(prior.high, band.mid + (band.high - band.mid) / _INSIDE)
    return Spread(min(low, mid), mid, max(high, mid))


def absorbed_ends(job: BowlJob, mass: Kilogram | None = None) -> Spread:
    """Return the ends of the power that a bowl takes from a job's oven while nothing is learnt of it.

    Parameters
    ----------
    job
        Whose oven. [-]
    mass
        Load, if not the job's own. [kg]

    Returns
    -------
    Spread
        In watts. [-]
    """
    delivered, coupling = power_of(job, mass)
    low, mid, high = (getattr(delivered, end) * getattr(coupling, end) for end in ("low", "mid", "high"))
    return Spread(low, mid, high)


def power_band(job: BowlJob, mass: Kilogram | None = None) -> Spread:
    """Return the band of the power that a bowl takes from a job's oven while nothing is learnt of it.

    Parameters
    ----------
    job
        Whose oven. [-]
    mass
        Load, if not the job's own. [kg]

    Returns
    -------
    Spread
        In watts. [-]
    """
    return _product_band(*power_of(job, mass))


@lru_cache(maxsize=256)
def _product_band(one: Spread, other: Spread) -> Spread:
    u = np.random.default_rng(5).random((2, _DRAWS))
    low, mid, high = np.quantile(triangular(u[0], one) * triangular(u[1], other), _BAND)
    return Spread(float(low), float(mid), float(high))


def taught_by(f: BowlFilter) -> dict[str, Taught]:
    """Return what the run of a filter says of the figures that belong to things, by the names of `Learnt`.

    Power only when the oven was used, the bowl's own only when the chocolate stayed in it.
    """
    job, kinds = f.known.job, {step.happening.kind for step in f.steps}
    stayed, found = "moved" not in kinds, {}
    if job.oven_w is not None and "burst" in kinds and stayed:
        found["absorbed_w"] = Taught(power_band(job), Spread(*f.quantiles(f.figure("power"))))
    first, axes = _first(job), dimensions(f.known.setup)
    for name in (*OF_CHOCOLATE, *(OF_BOWL if stayed else ())):
        if not first[name].is_exact:
            after = triangular(normal_cdf(f.z[f.names.index(name)]), axes[name])
            found[name] = Taught(band_of(first[name]), Spread(*f.quantiles(after)))
    return found


@lru_cache(maxsize=64)
def _first(job: BowlJob) -> dict[str, Spread]:
    """Return what is drawn of a job, and between which ends, while nothing is learnt."""
    return dimensions(know(job).setup)


def learnt_from(f: BowlFilter) -> tuple[str, ...]:
    """Say in plain words what has been learnt; empty when nothing was."""
    told = {name: one for name, one in taught_by(f).items() if one.counts}
    found = []
    for name, one in told.items():
        if name == "absorbed_w":
            watts = f"{one.after.mid:.0f} W ({one.after.low:.0f} to {one.after.high:.0f})"
            found.append(f"This oven gives about {watts} to this bowl; the label says {f.known.job.oven_w:.0f} W.")
        else:
            found.append(f"{words_of(name, one.after)}.")
    if told:
        narrower = ", ".join(f"{_SHORT[name]} by {100 * one.gain:.0f} %" for name, one in told.items())
        found.append(f"The next plan with the same things starts narrower than the first: {narrower}.")
    return tuple(found)


def words_of(name: str, band: Spread) -> str:
    """Say a learnt figure of a bowl or a chocolate in plain words."""
    if name == "hardness":
        low, mid, high = (_butter(v) for v in (band.low, band.mid, band.high))
        around = f" ({low} to {high})" if low != high else ""
        return f"Its cocoa butter melts like a {mid} one{around}"
    scale = 100.0 if name == "wall_share" else 1000.0 / number("around.water.heat")
    middle, around = f"{scale * band.mid:.0f}", f"({scale * band.low:.0f} to {scale * band.high:.0f})"
    if name == "wall_share":
        return f"The bowl's wall takes about {middle} % of the power {around}"
    return f"The bowl takes as much heat as about {middle} g of water {around}"


def _butter(hardness: float) -> str:
    edge = number("bowl.butter_known")
    return "soft" if hardness < -edge else "hard" if hardness > edge else "medium"


def widened(band: Spread, prior: Spread, days: float) -> Spread:
    """Return learnt knowledge as it stands after some days: its ends drift back to the prior's.

    Half of the gained width is given back after ``live.half_life`` days; the middle stays.
    """
    kept = 0.5 ** (max(days, 0.0) / number("live.half_life"))
    low = min(band.mid, prior.low + kept * (band.low - prior.low))
    high = max(band.mid, prior.high + kept * (band.high - prior.high))
    return Spread(low, band.mid, high)


def carried(learnt: Spread, there: Spread, here: Spread, delivered: Spread) -> Spread:
    """Return the band of the power into another bowl, or another amount, from what one run of the oven taught.

    What is not known of a power is the oven's part, the same for every bowl, and the load's part, of which
    ``live.load_common`` is. How far the run moved and narrowed its own power then says how far this one moves and
    narrows, as for two correlated Gaussians: never wider than the prior, and narrower whenever the run's is.

    Parameters
    ----------
    learnt
        Band of the power there, as the run left it. [W]
    there
        The same before anything was learnt. [W]
    here
        Band of the power here while nothing is learnt. [W]
    delivered
        Band of what the oven gives to 1000 g of water: the oven's part. [W]

    Returns
    -------
    Spread
        Band of the power here. [W]
    """
    oven = _relative(delivered) ** 2
    common = number("live.load_common")
    loads = math.sqrt(max(_relative(there) ** 2 - oven, 0.0) * max(_relative(here) ** 2 - oven, 0.0))
    shared = oven + common * loads
    slope = min(1.0, shared / _relative(there) ** 2)
    told = min(1.0, shared / (_relative(there) * _relative(here))) ** 2
    left = min(1.0, (learnt.high - learnt.low) / (there.high - there.low))
    narrower = math.sqrt(1.0 - told * (1.0 - left**2))
    mid = here.mid * (1.0 + slope * (learnt.mid / there.mid - 1.0))
    return Spread(mid - narrower * (here.mid - here.low), mid, mid + narrower * (here.high - here.mid))


def _relative(band: Spread) -> float:
    return (band.high - band.low) / band.mid
