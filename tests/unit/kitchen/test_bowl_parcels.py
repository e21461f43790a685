"""Parcels that lose heat to air: what may depend on what in which direction, and times of setting."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.parcel import parcel_states, run_parcels, time_to_solid

MARK, LONGEST = 0.25, 7200.0
SEED, AIR, LOSS = st.floats(0.0, 0.06), st.floats(14.0, 26.0), st.floats(5.0, 90.0)
KIND = st.sampled_from([{}, {"milk_share": 0.18, "inhibition": 0.8}, {"hardness": -1.0}, {"hardness": 1.0}])


def set_times(seeds: list[float], airs: list[float], loss: float, kind: dict[str, float]) -> np.ndarray:
    """Return when smears with so many crystals in so warm an air are a quarter solid, s."""
    row, curve = nominal_row(top=loss, **kind)
    m = len(seeds)
    x = np.array(seeds)
    y = parcel_states(31.0, x, 100.0 * x)
    rows, curves = np.repeat(row[None], m, 0), np.repeat(curve[None], m, 0)
    return time_to_solid(y, rows, curves, np.array(airs), MARK, LONGEST)


@settings(max_examples=60)
@given(st.lists(SEED, min_size=2, max_size=6), AIR, LOSS, KIND)
def test_more_seed_never_sets_later(seeds: list[float], air: float, loss: float, kind: dict[str, float]) -> None:
    """More crystals, as well dispersed, make a smear set no later."""
    times = set_times(sorted(seeds), [air] * len(seeds), loss, kind)
    assert (times[1:] <= times[:-1] * (1.0 + 2e-3)).all()


@settings(max_examples=60)
@given(SEED, st.lists(AIR, min_size=2, max_size=6), LOSS, KIND)
def test_warmer_air_never_sets_earlier(seed: float, airs: list[float], loss: float, kind: dict[str, float]) -> None:
    """The warmer the room, the later a smear sets."""
    times = set_times([seed] * len(airs), sorted(airs), loss, kind)
    assert (times[1:] >= times[:-1] * (1.0 - 2e-3)).all()


def test_time_is_where_the_states_say() -> None:
    """The time of setting is the moment at which the run itself passes the mark."""
    row, curve = nominal_row(top=16.0)
    y = parcel_states(31.5, 0.02, 2.0)
    rows, curves, air = row[None], curve[None], np.array([20.0])
    found = time_to_solid(y, rows, curves, air, MARK, LONGEST)[0]
    solid = run_parcels(y, rows, curves, air, [found - 1.0, found, found + 1.0], tolerance=1e-4)[0, :, :3].sum(axis=1)
    assert solid[0] < MARK < solid[2]
    assert solid[1] == pytest.approx(MARK, abs=5e-4)


def test_tolerance_hardly_matters() -> None:
    """Times at the working tolerance are those at a fiftieth of it, within half a per cent."""
    row, curve = nominal_row(top=72.0)
    x = np.array([0.0, 0.005, 0.02, 0.05])
    rows, curves = np.repeat(row[None], 4, 0), np.repeat(curve[None], 4, 0)
    args = (parcel_states(33.0, x, 100.0 * x), rows, curves, np.full(4, 20.0), MARK, LONGEST)
    assert time_to_solid(*args) == pytest.approx(time_to_solid(*args, tolerance=1e-4), rel=5e-3)


def test_set_already_and_never_set() -> None:
    """A smear past the mark has set at once; one in air above the melting point never does."""
    assert set_times([0.3], [20.0], 16.0, {}).tolist() == [0.0]
    assert set_times([0.02], [36.0], 16.0, {}).tolist() == [math.inf]


def test_a_parcel_that_cannot_be_integrated_is_refused() -> None:
    """A parcel whose figures are not numbers raises instead of returning them."""
    row, curve = nominal_row(top=math.nan)
    with pytest.raises(ArithmeticError, match="could not be integrated"):
        run_parcels(parcel_states(31.0, 0.01, 1.0), row[None], curve[None], np.array([20.0]), [60.0])
    times = time_to_solid(parcel_states(31.0, 0.01, 1.0), row[None], curve[None], np.array([20.0]), MARK, LONGEST)
    assert np.isnan(times).tolist() == [True]
