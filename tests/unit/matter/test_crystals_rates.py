"""Rates of the crystals in one parcel: what may grow or melt where, heat released, and the exact Jacobian."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bowl_cases import central_jacobian, jacobian_slack, random_state, settled_state
from temperbench.foundation.evidence import number
from temperbench.kitchen.members import nominal_row
from temperbench.matter.crystals import (
    N5,
    NU,
    PARCEL,
    TEMP,
    X5,
    X6,
    XU,
    crystal_jacobian,
    crystal_rates,
)
from temperbench.matter.solid_fat import solid_fat_content

MILK = {"milk_share": 0.18, "inhibition": 0.8}
KINDS = {"dark": {}, "milk": MILK, "quiescent milk": {**MILK, "b": 0.0}, "soft": {"hardness": -1.0}}
SHARE, SITES, SEED = st.floats(0.0, 0.3), st.floats(0.0, 100.0), st.integers(0, 2**32 - 1)


def rates(y: np.ndarray, shear: float = 20.0, **kind: float) -> np.ndarray:
    """Return the rates of one parcel, the latent heating [K/s] at the end."""
    row, curve = nominal_row(**kind)
    f = np.zeros(PARCEL)
    f[TEMP] = crystal_rates(y, 0, row, curve, shear, f)
    return f


def parcel(temperature: float, x5: float = 0.0, x6: float = 0.0, xu: float = 0.0, sites: float = 0.0) -> np.ndarray:
    """Return the state of one parcel."""
    return np.array([x5, x6, xu, sites, sites, temperature])


def test_heat_of_crystallising_one_per_cent() -> None:
    """One per cent of the fat (34 % of the mass) crystallising as V warms chocolate by 0.282 K, without losses.

    0.01 * 0.34 * 137 kJ/kg over 1650 J/(kg K); heat of form V after Schlichter-Aronhime and Garti (1988), recalled.
    """
    f = rates(parcel(29.0, 0.02, sites=2.0), fat=0.34, six_rate=0.0)
    assert 0.01 * f[TEMP] / f[X5] == pytest.approx(0.282, abs=0.005)


@given(SHARE, SHARE, SHARE, SITES, st.floats(0.0, 12.0))
def test_no_form_grows_above_its_melting_point(x5: float, x6: float, xu: float, n: float, above: float) -> None:
    """Nothing adds to V from its melting point up, nor to the unstable forms from theirs."""
    t5, tu = number("crystals.melting.v"), number("crystals.melting.unstable")
    assert rates(parcel(t5 + above, x5, x6, xu, n))[X5] <= 0.0
    assert rates(parcel(tu + above, x5, x6, xu, n))[XU] <= 0.0


@pytest.mark.parametrize("temperature", [18.0, 22.0, 26.5])
def test_no_stable_crystals_without_shear(temperature: float) -> None:
    """At rest an unseeded melt makes no form V at once (Toro-Vazquez et al. 2004, abstract), stirred it nucleates."""
    assert rates(parcel(temperature), shear=0.0)[[X5, N5]] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert rates(parcel(temperature), shear=50.0)[N5] > 1e-4


def test_transitions_go_one_way() -> None:
    """Without growth sites unstable crystals still turn into V and V into VI, and the sum stays."""
    f = rates(parcel(24.0, 0.2, 0.05, 0.1), shear=0.0)
    assert f[XU] < 0.0 < f[X6]
    assert f[X5] == pytest.approx(-f[XU] - f[X6], rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_jacobian_against_central_differences(kind: str) -> None:
    """The analytic Jacobian of a parcel is the derivative of its rates, for butters, milk fat and growth exponents."""
    row, curve = nominal_row(**KINDS[kind])
    rng = np.random.default_rng(20)

    def full(y: np.ndarray) -> np.ndarray:
        f = np.zeros(PARCEL)
        f[TEMP] = crystal_rates(y, 0, row, curve, 20.0, f)
        return f

    for _ in range(200):
        y = random_state(rng, zones=1)[:PARCEL]
        exact = np.zeros((PARCEL, PARCEL))
        crystal_jacobian(y, 0, row, curve, 20.0, exact)
        np.testing.assert_array_less(np.abs(exact - central_jacobian(full, y)), jacobian_slack(exact))


@given(SEED, st.floats(15.0, 45.0))
def test_shares_stay_in_their_bounds(seed: int, temperature: float) -> None:
    """At the bounds the rates point inwards: nothing melts that is not there, nothing grows beyond all fat."""
    y = np.abs(random_state(np.random.default_rng(seed), zones=1)[:PARCEL])
    y[TEMP] = temperature
    for place in (X5, X6, XU, N5, NU):
        empty = y.copy()
        empty[place] = 0.0
        assert rates(empty)[place] >= 0.0
    full = y / np.array([*[y[:3].sum()] * 3, 1.0, 1.0, 1.0])
    assert rates(full)[[X5, X6, XU]].sum() <= 1e-15


def test_settled_parcel_rests() -> None:
    """A parcel at its ceiling neither grows nor melts; only the slow turn of V into VI goes on."""
    y = settled_state(28.0, solid_fat_content(28.0), 60.0, zones=1)[:PARCEL]
    assert np.abs(rates(y, shear=0.0)[[X5, X6, XU, TEMP]]).max() < 1e-5
