"""Closed kinetic laws: limits, agreement with their own rate equations, ranges."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.matter.kinetics import (
    avrami_fraction,
    avrami_volume,
    foubert_rate,
    foubert_remaining,
    time_to_form_six,
    unstable_lifetime,
)


@pytest.mark.parametrize("m", [1, 2, 3])
@pytest.mark.parametrize("tau", [1e-6, 1e-2, 0.999, 1.0, 1.001, 5.0, 300.0])
def test_avrami_is_the_integral_over_nuclei(m: int, tau: float) -> None:
    """The closed form is the m-th power of each nucleus' age, added up over when the nuclei appeared."""
    added, _ = quad(lambda u: tau * math.exp(-tau * u) * (1.0 - u) ** m, 0.0, 1.0, epsabs=0.0, epsrel=1e-11, limit=200)
    volume = avrami_volume(2.0, tau / 2.0, 3.0, 0.5, shape=0.7, dimensions=m)
    assert added == pytest.approx(volume / (0.7 * 3.0 * (0.5 * 2.0) ** m), rel=1e-9)


@pytest.mark.parametrize("m", [1, 2, 3])
def test_avrami_limits(m: int) -> None:
    """Rare nucleation grows as t^(m+1)/(m+1), instant nucleation as t^m (Avrami 1940)."""
    assert avrami_volume(1.0, 1e-9, 1.0, 1.0, shape=1.0, dimensions=m) == pytest.approx(1e-9 / (m + 1), rel=1e-6)
    assert avrami_volume(1.0, 1e9, 1.0, 1.0, shape=1.0, dimensions=m) == pytest.approx(1.0, rel=1e-6)
    assert avrami_volume(0.0, 1.0, 1.0, 1.0, shape=1.0, dimensions=m) == 0.0


@settings(deadline=None, max_examples=100)
@given(m=st.sampled_from([1, 2, 3]), one=st.floats(0.0, 100.0), other=st.floats(0.0, 100.0))
def test_avrami_never_goes_back(m: int, one: float, other: float) -> None:
    """The crystallised share rises with time and stays between nothing and all."""
    early, late = sorted((one, other))
    shares = [avrami_fraction(avrami_volume(t, 0.1, 1.0, 0.05, shape=1.0, dimensions=m)) for t in (early, late)]
    assert shares[0] >= 0.0
    assert shares[0] <= shares[1] * (1.0 + 1e-9)
    assert shares[1] <= 1.0


@pytest.mark.parametrize(("time", "m"), [(1.0, 4), (1.0, 0), (-1.0, 3)])
def test_avrami_refuses_what_has_no_meaning(time: float, m: int) -> None:
    """Only needles, discs and spheres, and only time that has passed."""
    with pytest.raises(InputError):
        avrami_volume(time, 1.0, 1.0, 1.0, shape=1.0, dimensions=m)


@pytest.mark.parametrize(("order", "rate"), [(2.0, 5.0), (4.0, 5.0), (3.0, 4.0), (7.5, 2.0)])
def test_foubert_closed_form_is_its_integrated_rate(order: float, rate: float) -> None:
    """Integrating the rate equation numerically gives the closed form."""
    times = [0.3, 1.0, 2.0]
    run = solve_ivp(
        lambda _, h: [foubert_rate(h[0], rate, order)], (0.0, 2.0), [0.99], t_eval=times, rtol=1e-11, atol=1e-13,
        method="DOP853",
    )  # fmt: skip
    assert list(run.y[0]) == pytest.approx([foubert_remaining(t, rate, order, 0.99) for t in times], rel=1e-8)


@settings(deadline=None, max_examples=200)
@given(
    order=st.floats(1.01, 50.0), rate=st.floats(0.0, 1e3), start=st.floats(0.0, 1.0),
    one=st.floats(0.0, 1e4), other=st.floats(0.0, 1e4),
)  # fmt: skip
def test_foubert_only_sets(order: float, rate: float, start: float, one: float, other: float) -> None:
    """The share still to crystallise falls from its start towards nothing, for any constants and times."""
    early, late = sorted((one, other))
    shares = [foubert_remaining(t, rate, order, start) for t in (0.0, early, late)]
    assert start == pytest.approx(shares[0], rel=1e-9, abs=1e-300)
    assert shares[1] <= shares[0] * (1.0 + 1e-9)
    assert shares[2] <= shares[1] * (1.0 + 1e-9)
    assert shares[2] >= 0.0


def test_foubert_counts_from_the_end_of_induction() -> None:
    """Without a start, 1 % has crystallised when time begins (Foubert et al. 2002)."""
    assert foubert_remaining(0.0, 1.0, 3.0) == pytest.approx(0.99, rel=1e-12)


@pytest.mark.parametrize("order", [1.0, 0.0, 51.0, math.nan])
def test_foubert_refuses_orders_without_a_curve(order: float) -> None:
    """At order one nothing would ever happen."""
    with pytest.raises(OutOfRange):
        foubert_remaining(1.0, 1.0, order, 0.9)


@pytest.mark.parametrize(("law", "low", "high"), [(unstable_lifetime, 10.0, 27.5), (time_to_form_six, 10.0, 33.8)])
def test_transitions_are_quicker_when_warmer(law, low: float, high: float) -> None:
    """Each law falls with temperature over its range and is refused outside it."""
    steps = [low + (high - low) * k / 20.0 for k in range(21)]
    times = [law(t) for t in steps]
    assert sorted(times, reverse=True) == times
    for outside in (low - 0.1, high + 0.1):
        with pytest.raises(OutOfRange):
            law(outside)
