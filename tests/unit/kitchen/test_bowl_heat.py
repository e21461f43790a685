"""Heat is neither made nor lost: in the rates, through whole phases, and over random bowls."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bowl_cases import ACTS, STILL, advance, random_state, rates, row_of
from temperbench.kitchen.bowl_reference import CrystalStore, Network, enthalpy, split, stirred

SEED = st.integers(0, 2**32 - 1)
OFF = [replace(acts, watts=0.0) for acts in ACTS.values()]
ROW, CURVE = row_of(closed=True)
NET, STORE = Network.of_row(ROW, 3), CrystalStore(ROW, CURVE)
LATENT = NET.f["fat"] * NET.f["h_5"]


def heat(y: np.ndarray) -> float:
    """Return the heat in the closed bowl, J."""
    return enthalpy(y, NET, STORE)


@given(SEED, st.sampled_from(OFF))
def test_rates_conserve_heat(seed: int, acts: object) -> None:
    """With oven, air and bench shut off the rates add up to no heat, stirring and lumps included, to round-off.

    Enthalpy is linear in the state, so that the heat of the rates is the rate of the heat.
    """
    y = random_state(np.random.default_rng(seed))
    d = rates(y, ROW, CURVE, acts)
    size = NET.f["mass"] * (NET.f["cp"] * np.abs(d[5:18:6]).max() + LATENT * np.abs(d[0:18:6]).max())
    assert abs(heat(d)) <= 1e-14 * size + 1e-12


@settings(max_examples=60)
@given(SEED, st.sampled_from(OFF), st.floats(1.0, 120.0))
def test_phases_conserve_heat(seed: int, acts: object, seconds: float) -> None:
    """A closed bowl has the same heat after a phase, to 1e-6 of what is in it; in fact to round-off."""
    y = random_state(np.random.default_rng(seed))
    end = advance(y, ROW, CURVE, acts, seconds, tol=0.02)
    melting = NET.f["mass"] * (NET.f["cp"] * 45.0 + LATENT)
    assert abs(heat(end) - heat(y)) <= 1e-11 * melting


@settings(max_examples=30)
@given(SEED, st.floats(1.0, 60.0))
def test_the_oven_adds_its_power(seed: int, seconds: float) -> None:
    """A closed bowl gains power times time from the oven, wall included."""
    row, curve = row_of(closed=True, drift=0.0)
    y = random_state(np.random.default_rng(seed))
    end = advance(y, row, curve, ACTS["burst"], seconds, tol=0.02)
    assert heat(end) - heat(y) == pytest.approx(NET.f["power"] * seconds, rel=1e-9)


def test_the_room_takes_what_the_bowl_loses() -> None:
    """Without crystals the heat lost in a phase is the loss of wall and surface over its mean temperatures."""
    row, curve = row_of()
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)
    y = np.zeros(19)
    y[5::6] = 44.0
    y[18] = 44.0
    acts, cut, seconds = replace(STILL, air_c=18.0, bench_c=15.0), 4000, 200.0
    lost = 0.0
    state = y
    for _ in range(cut):
        after = advance(state, row, curve, acts, seconds / cut, tol=1e-9)
        zones, wall = (0.5 * (a + b) for a, b in zip(split(state, 3), split(after, 3), strict=True))
        lost += seconds / cut * (net.f["top"] * (net.share @ zones[:, 5] - 18.0))
        lost += seconds / cut * (net.f["wall_air"] * (wall - 18.0) + net.f["wall_bench"] * (wall - 15.0))
        state = after
    assert enthalpy(y, net, store) - enthalpy(state, net, store) == pytest.approx(lost, rel=1e-6)


@given(SEED, st.floats(0.0, 100.0))
def test_stirring_at_once_conserves(seed: int, strokes: float) -> None:
    """Stirring as an event moves heat, crystals and sites between zones and keeps the sums; enough of it evens out."""
    zones, _ = split(random_state(np.random.default_rng(seed)), 3)
    after = stirred(zones, NET.share, strokes, 8.0)
    np.testing.assert_allclose(NET.share @ after, NET.share @ zones, rtol=1e-13)
    np.testing.assert_allclose(np.ptp(after, axis=0), np.ptp(zones, axis=0) * np.exp(-strokes / 8.0), atol=1e-12)
