"""The plain reference: its own order, and bowls worked out with a melting range instead of crystals.

The numbers are arithmetic and small integrations on a chocolate of 1590 and 1670 J/(kg K) solid and liquid that takes
46 kJ/kg between 28 and 34 °C (heats after Beckett 2009, read; the melting range is an assumption).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bowl_cases import ACTS, random_state, row_of
from piecewise_heat import MeltingRange
from temperbench.kitchen.bowl_reference import (
    Acts,
    CrystalStore,
    Network,
    enthalpy,
    heat_flows,
    plain_rates,
    rk4,
    split,
    stirred,
)

STORE = MeltingRange()
FIGURES = {
    "mass": 0.5, "log_beta": 0.0, "wall_share": 0.06, "wall_heat": 270.0, "conduct": 0.3, "stirred_film": 1.0,
    "top": 0.25, "wall_air": 0.45, "wall_bench": 0.0, "soft": 0.2, "gone": 0.1, "lump": 0.0, "rest_contact": 0.0,
    "fluid_floor": 0.02, "strokes": 8.0,
}  # fmt: skip
BOWL = Network(np.array([0.15, 0.55, 0.30]), np.array([1.8, 1.0, 0.6]), np.array([0.5, 1.5, 1.0]), FIGURES)
OFF, ON = Acts(20.0, 20.0), Acts(20.0, 20.0, watts=450.0)
DELAY = 2.0


def wait(y: np.ndarray, acts: Acts, seconds: float, net: Network = BOWL) -> np.ndarray:
    """Return the state after some seconds of one act."""
    return rk4(lambda _, at: plain_rates(at, net, STORE, acts), y, seconds, round(20 * seconds))


def burst(y: np.ndarray, seconds: float, net: Network = BOWL) -> np.ndarray:
    """Return the state after a burst on the oven's timer."""
    return wait(wait(y, OFF, DELAY, net), ON, seconds - DELAY, net)


@pytest.mark.parametrize(("seconds", "expected"), [(30.0, 29.34), (60.0, 32.25)])
def test_one_zone_without_losses(seconds: float, expected: float) -> None:
    """0.5 kg at 450 W from 20 °C: 25.2 kJ/kg after 30 s of which 2 are lost, by hand from the pieces of H(T)."""
    closed = {**FIGURES, "wall_share": 0.0, "top": 0.0, "wall_air": 0.0}
    net = Network(np.ones(1), np.ones(1), np.zeros(1), closed)
    y = burst(np.array([0.0, 20.0]), seconds, net)
    assert y[0] == pytest.approx(450.0 * (seconds - DELAY) / 0.5, rel=1e-12)
    assert STORE.temperature(y[:1, None])[0] == pytest.approx(expected, abs=0.02)


def test_heat_for_a_rise() -> None:
    """0.5 kg from 20 to 32 °C with a plastic bowl of 270 J/K: 24.95 + 3.24 = 28.2 kJ, 62.6 s at 450 W."""
    start, end = (np.array([STORE.at(t)] * 3 + [t]) for t in (20.0, 32.0))
    joules = enthalpy(end, BOWL, STORE) - enthalpy(start, BOWL, STORE)
    assert joules - 270.0 * 12.0 == pytest.approx(24950.0, rel=5e-3)
    assert joules / 450.0 == pytest.approx(62.6, rel=5e-3)


def test_three_zones_after_one_burst() -> None:
    """30 s at 450 W: 31.06, 29.10, 28.11 °C, wall 23.94 °C; of 12 600 J 12 536 are stored, 64 lost to the room."""
    start = np.array([0.0, 0.0, 0.0, 20.0])
    lost = 0.0
    y = wait(start, OFF, DELAY)
    for _ in range(280):
        after = wait(y, ON, 0.1)
        t = 0.5 * (STORE.temperature(y[:3, None]) + STORE.temperature(after[:3, None]))
        lost += 0.1 * (
            FIGURES["top"] * (BOWL.share @ t - 20.0) + FIGURES["wall_air"] * (0.5 * (y[3] + after[3]) - 20.0)
        )
        y = after
    assert STORE.temperature(y[:3, None]) == pytest.approx([31.06, 29.10, 28.11], abs=0.02)
    assert y[3] == pytest.approx(23.94, abs=0.02)
    assert enthalpy(y, BOWL, STORE) - enthalpy(start, BOWL, STORE) == pytest.approx(12536.0, abs=1.0)
    assert lost == pytest.approx(64.0, abs=1.0)


def test_a_sequence_of_bursts_with_stirring_at_once() -> None:
    """30, 30, 30, 10 and 10 s, each with 20 s of rest and 20 strokes: stirred mean, hot zone before, wall, melted.

    The third burst takes the hot zone to 43.6 °C while the mean is 33.9: burst short once half is melted.
    """
    y = np.array([0.0, 0.0, 0.0, 20.0])
    mean, hot, wall, melted = [], [], [], []
    for seconds in (30.0, 30.0, 30.0, 10.0, 10.0):
        y = wait(burst(y, seconds), OFF, 20.0)
        zones, wall_c = split(y, 3)
        hot.append(STORE.temperature(zones)[0])
        zones = stirred(zones, BOWL.share, 20.0, FIGURES["strokes"])
        y = np.append(zones.ravel(), wall_c)
        mean.append(BOWL.share @ STORE.temperature(zones))
        wall.append(wall_c)
        melted.append(BOWL.share @ STORE.melted(zones))
    assert mean == pytest.approx([29.03, 31.44, 33.86, 36.80, 40.12], abs=0.05)
    assert hot == pytest.approx([30.94, 33.54, 43.62, 40.23, 43.06], abs=0.05)
    assert wall == pytest.approx([24.83, 28.82, 32.28, 33.50, 35.27], abs=0.05)
    assert melted == pytest.approx([0.172, 0.574, 0.977, 1.0, 1.0], abs=0.001)


@given(st.lists(st.floats(10.0, 60.0), min_size=3, max_size=3), st.floats(10.0, 60.0), st.floats(0.0, 1.0))
def test_flows_give_what_they_take(t: list[float], wall: float, film: float) -> None:
    """What zones and wall get together is the power less the losses, whatever the temperatures."""
    acts = Acts(18.0, 15.0, watts=450.0, film=film)
    into, into_wall = heat_flows(BOWL, np.array(t), wall, np.array([0.0, 0.5, 1.0]), acts)
    lost = FIGURES["top"] * (BOWL.share @ np.array(t) - 18.0) + FIGURES["wall_air"] * (wall - 18.0)
    assert into.sum() + into_wall == pytest.approx(450.0 - lost, abs=1e-9)


def test_runge_kutta_is_of_fourth_order() -> None:
    """Halving the step divides the error by sixteen, on an equation with a known solution."""

    def swing(t: float, y: np.ndarray) -> np.ndarray:
        return np.array([y[1], -y[0] + t])

    exact = np.array([3.0 + math.sin(3.0), 1.0 + math.cos(3.0)])
    errors = [np.abs(rk4(swing, np.array([0.0, 2.0]), 3.0, n) - exact).max() for n in (20, 40, 80)]
    assert np.log2(errors[0] / errors[1]) == pytest.approx(4.0, abs=0.15)
    assert np.log2(errors[1] / errors[2]) == pytest.approx(4.0, abs=0.15)


def test_both_stores_feel_the_same_network() -> None:
    """With equal temperatures and nothing melting, crystals and melting range warm alike per heat capacity."""
    row, curve = row_of()
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)
    y = random_state(np.random.default_rng(4))
    y[0:18:6], y[1:18:6], y[2:18:6] = 0.0, 0.0, 0.0
    y[5::6], y[-1] = [50.0, 47.0, 44.0], 40.0
    other = np.append([STORE.at(t) for t in y[5:18:6]], y[-1])
    for phase in ACTS.values():
        acts = replace(phase, strokes=0.0)  # mixing enthalpies is mixing temperatures only while nothing melts
        heating = plain_rates(other, net, STORE, acts)
        warming = plain_rates(y, net, store, acts)
        assert heating[:3] == pytest.approx(net.f["cp"] * warming[5:18:6], rel=1e-12)
        assert heating[3] == pytest.approx(warming[-1], rel=1e-12)
