"""The bowl to be kept, in temper now: an ensemble of bowls that read and flow as the cook says."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.likelihood import flow_likelihood
from temperbench.insight.particles import systematic
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, latin, nominal, triangular
from temperbench.matter.crystals import N5, PARCEL, TEMP, X5

__all__ = ["bowls_in_temper", "make_even", "middle_in_temper", "reading_now"]

_SPARE = 4  # bowls drawn for each one kept, so that those which would not flow so can be left out


def make_even(bowls: Bowls, celsius: Array | float, crystals: Array | float, sites: Array | float) -> None:
    """Give every bowl one temperature, wall included, and stable crystals with growth sites, everywhere alike."""
    y, zones = bowls.y, bowls.zones
    y[:, : zones * PARCEL] = 0.0
    for zone in range(zones):
        place = zone * PARCEL
        y[:, place + X5], y[:, place + N5], y[:, place + TEMP] = crystals, sites, celsius
    y[:, zones * PARCEL] = celsius
    bowls.stirred = True
    bowls.peak[:] = np.broadcast_to(np.asarray(celsius, dtype=np.float64), (len(y),))[:, None]


def reading_now(ask: KeepAsk, at: Temperatures) -> float:
    """Return what the bowl reads now: as said, or the top of its working window. [°C]"""
    return at.work_to_c if ask.at_c is None else ask.at_c


def bowls_in_temper(known: Known, ask: KeepAsk, at: Temperatures, m: int, rng: np.random.Generator) -> Bowls:
    """Draw ``m`` bowls in temper: crystals and sites as the way into temper leaves them, among those that flow as said.

    Each is at the temperature at which its own thermometer would have shown the reading.
    """
    spare = _SPARE * m
    bowls = Bowls(draw(known.setup, spare, rng))
    p = bowls.members
    u = latin(rng, spare, 2)
    crystals = triangular(u[0], spread_of(f"keep.crystals.{ask.tempered}"))
    sites = 100.0 * crystals * triangular(u[1], spread_of(f"keep.sites.{ask.tempered}"), log=True)
    true_c = reading_now(ask, at) - p.bias_c - p.noise_c * rng.standard_normal(spare)
    make_even(bowls, true_c, crystals, sites)
    weights = np.exp(flow_likelihood(bowls, ask.flows))
    chosen = systematic(weights / weights.sum(), rng)
    return bowls.only(rng.permutation(chosen)[:m])


def middle_in_temper(known: Known, ask: KeepAsk, at: Temperatures) -> Bowls:
    """Return one bowl with the middle value of everything and a true thermometer."""
    bowls = Bowls(nominal(known.setup, bias=0.0))
    bowls.members.noise_c[:] = bowls.members.eye[:] = 0.0
    crystals = number(f"keep.crystals.{ask.tempered}")
    make_even(bowls, reading_now(ask, at), crystals, 100.0 * crystals * number(f"keep.sites.{ask.tempered}"))
    return bowls
