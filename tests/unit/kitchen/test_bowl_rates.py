"""The compiled rates and Jacobian of a bowl, held to the plain reference and to difference quotients."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bowl_cases import ACTS, central_jacobian, jacobian, jacobian_slack, random_state, rates, row_of
from temperbench.kitchen.bowl_rates import dispersed, fluid_reading
from temperbench.kitchen.bowl_reference import CrystalStore, Network, plain_rates

SHARES = {
    1: {"share_0": 1.0},
    2: {"share_0": 0.35, "share_1": 0.65},
    3: {"share_0": 0.15, "share_1": 0.55, "share_2": 0.30},
}
MILK = {"milk_share": 0.18, "shift": 1.8, "t5": 32.7, "tu": 25.7, "t6": 35.2, "solid_ref": 0.62}


@pytest.mark.parametrize("zones", SHARES)
@pytest.mark.parametrize("phase", ACTS)
@pytest.mark.parametrize("kind", ["dark", "milk"])
def test_kernel_is_the_reference(kind: str, phase: str, zones: int) -> None:
    """Rates of random states agree with the plain equations to 1e-12.

    Relative to the rate itself, or to the usual size of that rate where terms cancel; 1e-17 per second is nothing.
    """
    row, curve = row_of(**SHARES[zones], **(MILK if kind == "milk" else {}))
    net, store = Network.of_row(row, zones), CrystalStore(row, curve)
    rng = np.random.default_rng(zones)
    states = [random_state(rng, zones) for _ in range(200)]
    found = np.array([rates(y, row, curve, ACTS[phase]) for y in states])
    expected = np.array([plain_rates(y, net, store, ACTS[phase]) for y in states])
    slack = 1e-12 * (np.abs(expected) + np.median(np.abs(expected), axis=0) + 1e-5)
    np.testing.assert_array_less(np.abs(found - expected), slack)


@pytest.mark.parametrize("zones", SHARES)
@pytest.mark.parametrize("phase", ACTS)
def test_jacobian_is_the_derivative(phase: str, zones: int) -> None:
    """The analytic Jacobian agrees with central differences in every phase of a bowl."""
    row, curve = row_of(**SHARES[zones])
    rng = np.random.default_rng(7)
    for _ in range(60):
        y = random_state(rng, zones)
        exact = jacobian(y, row, curve, ACTS[phase])
        quotients = central_jacobian(lambda at: rates(at, row, curve, ACTS[phase]), y)
        np.testing.assert_array_less(np.abs(exact - quotients), jacobian_slack(exact))


def test_jacobian_of_a_bowl_without_crystals_is_finite() -> None:
    """Where powers of nothing would have no slope, rates and Jacobian stay finite."""
    row, curve = row_of()
    y = np.zeros(19)
    for temperature in (15.0, 24.0, 33.0, 45.0):
        y[5::6] = y[-1] = temperature
        for acts in ACTS.values():
            assert np.isfinite(rates(y, row, curve, acts)).all()
            assert np.isfinite(jacobian(y, row, curve, acts)).all()


def test_power_goes_where_it_is_said_to_go() -> None:
    """What the rates add with the oven on is the power: the wall's share to the wall, the rest to the zones."""
    row, curve = row_of()
    net = Network.of_row(row, 3)
    y = random_state(np.random.default_rng(1))
    on = ACTS["burst"]
    gain = rates(y, row, curve, on) - rates(y, row, curve, replace(on, watts=0.0))
    to_zones = net.share * net.f["mass"] * net.f["cp"] * gain[5::6]
    assert gain[-1] * net.f["wall_heat"] == pytest.approx(net.f["wall_share"] * on.watts, rel=1e-12)
    assert to_zones.sum() == pytest.approx((1.0 - net.f["wall_share"]) * on.watts, rel=1e-12)
    assert to_zones[0] / net.share[0] > to_zones[1] / net.share[1] > to_zones[2] / net.share[2]


def test_a_melted_zone_takes_more() -> None:
    """Melting the cold zone moves power into it, away from both others."""
    row, curve = row_of(log_beta=float(np.log(2.0)))
    y = random_state(np.random.default_rng(2))
    y[0], y[6], y[12] = 0.3, 0.4, 0.5
    heat = []
    for solid in (0.5, 0.0):
        y[12] = solid
        on, off = rates(y, row, curve, ACTS["burst"]), rates(y, row, curve, replace(ACTS["burst"], watts=0.0))
        heat.append((on - off)[5:18:6])
    assert (heat[1] > heat[0]).tolist() == [False, False, True]


def test_what_flows_and_what_is_lump() -> None:
    """All flows below the one mark, nothing above the other, half in the middle, smoothly."""
    row, _ = row_of(soft=0.2, gone=0.1)
    assert [dispersed(row, x)[0] for x in (0.05, 0.1, 0.15, 0.2, 0.6)] == pytest.approx([1.0, 1.0, 0.5, 0.0, 0.0])
    for x in (0.11, 0.15, 0.19):
        slope = (dispersed(row, x + 1e-6)[0] - dispersed(row, x - 1e-6)[0]) / 2e-6
        assert dispersed(row, x)[1] == pytest.approx(slope, rel=1e-6)


def test_lumps_take_heat_faster_when_stirred() -> None:
    """The more contact lumps have with their liquid, the faster the liquid cools: none, at rest, stirred."""
    row, curve = row_of(closed=True, conduct=0.0, inside_0=0.0, inside_1=0.0, inside_2=0.0)
    y = np.zeros(19)
    y[0::6] = [0.0, 0.4, 0.5, 34.0]
    y[5::6] = [40.0, 30.0, 29.0]
    still = replace(ACTS["stand"], shear=0.0)
    cooling = [-rates(y, row, curve, replace(still, contact=c))[5] for c in (0, 1, 2)]
    assert cooling[0] == pytest.approx(0.0, abs=1e-12)
    assert cooling[2] > cooling[1] > 0.0


def test_reading_is_the_liquids() -> None:
    """A probe in a stirred bowl reads its liquid, and the mean of the bowl while nothing flows."""
    row, _ = row_of()
    y = np.zeros(19)
    y[0::6] = [0.6, 0.6, 0.6, 25.0]
    y[5::6] = [30.0, 25.0, 22.0]
    share = np.array([0.15, 0.55, 0.30])
    assert fluid_reading(y, 3, row) == pytest.approx(share @ y[5::6], rel=1e-12)
    y[0] = 0.0
    floor = row_of(fluid_floor=0.0)[0]
    assert fluid_reading(y, 3, floor) == pytest.approx(30.0, rel=1e-12)
