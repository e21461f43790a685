"""The solid-fat curve: an independent interpolation, its table, milk fat, hardness, and the doubt about its tail."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from temperbench.foundation.evidence import array
from temperbench.foundation.numerics import cubic
from temperbench.matter.solid_fat import butter_nodes, solid_fat_content, solid_fat_curves

BUTTERS = {"soft": -1.0, "medium": 0.0, "hard": 1.0}
NODES_C = np.array(array("crystals.sfc.nodes"))
HARDNESS, TAIL, CELSIUS = st.floats(-1.0, 1.0), st.floats(-1.0, 1.0), st.floats(-10.0, 70.0)


def curve_of(hardness: float, tail: float = 0.0) -> np.ndarray:
    """Return the coefficients of one butter."""
    return solid_fat_curves(np.array([hardness]), np.array([tail]))[0]


@pytest.mark.parametrize("butter", BUTTERS)
def test_curve_is_the_monotone_cubic_of_the_table(butter: str) -> None:
    """Value and slope agree with scipy's PCHIP through the nodes of the table, to round-off."""
    reference = PchipInterpolator(NODES_C, array(f"crystals.sfc.{butter}"))
    slope = reference.derivative()
    curve = curve_of(BUTTERS[butter])
    at = np.linspace(0.001, 59.999, 4001)
    found = np.array([cubic(curve, t) for t in at])
    np.testing.assert_allclose(found[:, 0], reference(at), rtol=0, atol=2e-15)
    np.testing.assert_allclose(found[:, 1], slope(at), rtol=0, atol=2e-14)


@given(HARDNESS, TAIL)
def test_curve_never_rises(hardness: float, tail: float) -> None:
    """Warming never adds solids, whatever the butter and however far its tail lies from the table."""
    curve = curve_of(hardness, tail)
    solid = np.array([cubic(curve, t)[0] for t in np.linspace(-5.0, 61.0, 600)])
    assert (np.diff(solid) <= 1e-15).all()
    assert 0.0 <= solid.min() <= solid.max() <= 1.0


@given(HARDNESS, st.floats(0.01, 70.0))
def test_slope_is_that_of_the_value(hardness: float, temperature: float) -> None:
    """The slope the Jacobian uses is the derivative of the value, at the nodes inside the table too."""
    curve = curve_of(hardness)
    step = 1e-5
    left, right = cubic(curve, temperature - step)[0], cubic(curve, temperature + step)[0]
    assert cubic(curve, temperature)[1] == pytest.approx((right - left) / (2 * step), abs=2e-5)


def test_harder_butter_has_more_solids() -> None:
    """Between the named butters the curve moves in one direction, node by node."""
    values = butter_nodes(np.linspace(-1.0, 1.0, 9))
    assert (np.diff(values, axis=0) >= -1e-15).all()


@pytest.mark.parametrize(
    ("butter", "expected"),
    [("soft", [0.626, 0.533, 0.233]), ("medium", [0.760, 0.696, 0.450]), ("hard", [0.826, 0.771, 0.577])],
)
def test_solids_of_the_named_butters(butter: str, expected: list[float]) -> None:
    """At 20, 25 and 30 °C the solids are the tempered Brazilian, Ghanaian and Malaysian butter of Shukla (1995)."""
    found = [solid_fat_content(t, butter) for t in (20.0, 25.0, 30.0)]
    assert found == pytest.approx(expected, abs=0.002)


def test_solids_between_the_nodes() -> None:
    """Medium butter at 31.5 °C, where bowls are worked, is 30 % solid by the monotone cubic of that table."""
    assert solid_fat_content(31.5) == pytest.approx(0.299, abs=0.002)


@pytest.mark.parametrize(("share", "expected"), [(0.0, 0.450), (0.10, 0.321), (0.18, 0.217), (0.25, 0.143)])
def test_milk_fat_softens(share: float, expected: float) -> None:
    """Solids at 30 °C with milk fat: (1 - y) C(30 + 10 y) worked out from the table of Shukla (1995)."""
    assert solid_fat_content(30.0, "medium", share) == pytest.approx(expected, abs=0.003)


@given(CELSIUS, st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_more_milk_fat_never_adds_solids(temperature: float, one: float, other: float) -> None:
    """Milk fat counts as liquid and lowers the melting of the rest."""
    less, more = sorted((one, other))
    assert solid_fat_content(temperature, "medium", more) <= solid_fat_content(temperature, "medium", less) + 1e-15
