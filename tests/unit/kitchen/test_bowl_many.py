"""Thousands of random but plausible bowls: all finish, none makes or loses heat, every share stays a share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bowl_cases import SETUP
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import (
    DELAY,
    DRIFT,
    DRIFT_TAU,
    MASS,
    POWER,
    REST_TAU,
    SHARE,
    TOP,
    WALL_AIR,
    WALL_BENCH,
    WALL_HEAT,
)
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, draw
from temperbench.matter.crystals import CP, FAT, H_5, H_6, H_U

RESOLVED = 4e-4  # what a step may be wrong by, as a share of the fat, at the tolerance of plans
KINDS = {
    "dark": (0.0, 0.05, 1.0),
    "milk": (0.12, 0.25, 0.8),
    "white": (0.12, 0.30, 0.75),
}


def drawn(m: int, kind: str, stock: str, seed: int) -> Members:
    """Return members from far ends of everything a kitchen may hold, cut off from air and bench."""
    low, high, growth = KINDS[kind]
    setup = replace(
        SETUP, stock=stock, fat=Spread(0.26, 0.34, 0.45), milk_share=Spread(low, 0.5 * (low + high), high),
        hardness=Spread(-1.0, 0.0, 1.0), growth_factor=Spread(0.5, growth, 1.0), start_c=Spread(8.0, 20.0, 27.0),
        air_c=Spread(12.0, 20.0, 32.0), delivered_w=Spread(300.0, 850.0, 1400.0), coupling=Spread(0.3, 0.8, 1.0),
        drift=Spread(0.0, 0.14, 0.31), warmth=Spread(0.0, 0.3, 1.0), wall_share=Spread(0.0, 0.05, 0.4),
        wall_heat=Spread(50.0, 300.0, 1500.0), wall_c=Spread(8.0, 20.0, 45.0), inside_m2=Spread(0.02, 0.05, 0.12),
    )  # fmt: skip
    members = draw(setup, m, np.random.default_rng(seed))
    rows = members.rows.copy()
    rows[:, MASS] = np.random.default_rng(seed + 1).uniform(0.15, 4.0, m)
    rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    return replace(members, rows=rows)


def heat(bowls: Bowls) -> np.ndarray:
    """Return the heat in each bowl, J: linear in its state."""
    p = bowls.members.rows
    latent = sum(p[:, h, None] * bowls.zone(place) for place, h in ((0, H_5), (1, H_6), (2, H_U)))
    inside = p[:, CP, None] * bowls.zone(5) - p[:, FAT, None] * latent
    return p[:, MASS] * (p[:, SHARE : SHARE + 3] * inside).sum(axis=1) + p[:, WALL_HEAT] * bowls.y[:, -1]


def absorbed(bowls: Bowls, before: np.ndarray, seconds: np.ndarray) -> np.ndarray:
    """Return the energy of a burst: power less drift over the seconds after the delay, in closed form."""
    p = bowls.members.rows
    on = np.maximum(0.0, seconds)
    cold = (1.0 - before) * p[:, DRIFT_TAU] * -np.expm1(-on / p[:, DRIFT_TAU])
    return p[:, POWER] * (on - p[:, DRIFT] * (on - cold))


def check(members: Members, seed: int) -> None:
    """Melt every bowl with bursts of its own, stir, let stand, cool; look at each after each act."""
    rng = np.random.default_rng(seed)
    bowls = Bowls(members)
    size = members.rows[:, MASS] * (members.rows[:, CP] * 40.0 + members.rows[:, FAT] * members.rows[:, H_5])
    for act in range(12):
        before, total = bowls.warmth.copy(), heat(bowls)
        seconds = rng.uniform(0.0, 70.0 if act % 3 == 0 else 120.0, len(members))
        if act % 3 == 0:
            seconds = np.minimum(seconds, 30.0 * size / members.rows[:, POWER] / 40.0)  # at most 30 K at once
            bowls.burst(seconds)
            wait = np.minimum(members.rows[:, DELAY], seconds)
            rested = before * np.exp(-wait / members.rows[:, REST_TAU])
            total += absorbed(bowls, rested, seconds - wait)
        elif act % 3 == 1:
            bowls.stand(seconds)
        else:
            bowls.stir(seconds)
        solids = np.stack([bowls.zone(k) for k in range(3)])
        assert bowls.bad.sum() == 0
        assert np.isfinite(bowls.y).all()
        assert solids.min() >= -RESOLVED
        assert solids.sum(axis=0).max() <= 1.0 + RESOLVED
        np.testing.assert_array_less(np.abs(heat(bowls) - total), 1e-6 * size)


STOCKS = [("dark", "buttons"), ("milk", "block"), ("white", "melted")]


@pytest.mark.parametrize(("kind", "stock"), STOCKS)
def test_hundreds_of_bowls_hold_the_laws(kind: str, stock: str) -> None:
    """A hundred bowls of each kind: no failure, heat kept to 1e-6, shares of the fat 0 to 1 as far as resolved."""
    check(drawn(100, kind, stock, seed=5), seed=6)


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "stock"), [*STOCKS, ("dark", "block"), ("milk", "melted")])
def test_ten_thousand_bowls_hold_the_laws(kind: str, stock: str) -> None:
    """The same for two thousand of each of five kinds."""
    check(drawn(2000, kind, stock, seed=7), seed=8)
