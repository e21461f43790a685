"""Thickness of chocolate: monotony, limits, guards."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.foundation.errors import OutOfRange
from temperbench.matter.flow import (
    bingham_stress,
    butter_viscosity,
    casson_stress,
    kappa_prior,
    krieger_dougherty,
    particle_volume_share,
    temperature_factor,
    usual_flow,
    viscosity_ratio,
    yield_ratio,
)

FAT, KAPPA, SHARE = st.floats(0.25, 0.55), st.floats(1.0, 3.0), st.floats(0.0, 1.0)


@settings(deadline=None, max_examples=200)
@given(fat=FAT, kappa=KAPPA, one=SHARE, other=SHARE)
def test_more_crystals_are_never_thinner(fat: float, kappa: float, one: float, other: float) -> None:
    """The ratio rises with the crystals, from 1 without any."""
    less, more = sorted((one, other))
    assert viscosity_ratio(less, fat, kappa) <= viscosity_ratio(more, fat, kappa)
    assert viscosity_ratio(0.0, fat, kappa) == 1.0


@settings(deadline=None, max_examples=200)
@given(fat=FAT, crystals=SHARE, one=KAPPA, other=KAPPA)
def test_bulkier_crystals_are_never_thinner(fat: float, crystals: float, one: float, other: float) -> None:
    """The ratio rises with the room a crystal takes."""
    less, more = sorted((one, other))
    assert viscosity_ratio(crystals, fat, less) <= viscosity_ratio(crystals, fat, more)


@settings(deadline=None, max_examples=200)
@given(one=FAT, other=FAT, crystals=SHARE, kappa=KAPPA)
def test_more_fat_is_never_thicker(one: float, other: float, crystals: float, kappa: float) -> None:
    """The same share of the fat as crystals thickens a lean chocolate at least as much as a rich one."""
    lean, rich = sorted((one, other))
    assert viscosity_ratio(crystals, rich, kappa) <= viscosity_ratio(crystals, lean, kappa) * (1.0 + 1e-9)


def test_a_packed_mass_does_not_flow() -> None:
    """From the packing limit on the ratio is infinite, and so for a chocolate too lean to flow at all."""
    assert math.inf == krieger_dougherty(0.72, 0.72, 2.5)
    assert math.inf == viscosity_ratio(0.5, 0.34, 3.0)
    assert math.inf == viscosity_ratio(0.0, 0.10, 1.0)


def test_few_particles_follow_einstein() -> None:
    """At vanishing share the law is 1 + 2.5 φ (Einstein 1906)."""
    slope = (krieger_dougherty(1e-6, 0.72, 2.5) - 1.0) / 1e-6
    assert slope == pytest.approx(2.5, rel=1e-5)


@pytest.mark.parametrize("crystals", [-0.01, 1.01, math.nan])
def test_impossible_crystals_are_refused(crystals: float) -> None:
    """A share of the fat is between nothing and all of it."""
    with pytest.raises(OutOfRange):
        viscosity_ratio(crystals, 0.34, 1.5)


def test_particles_are_all_or_nothing_at_the_ends() -> None:
    """No fat is all particles, all fat is none; a share beyond is refused."""
    assert (particle_volume_share(0.0), particle_volume_share(1.0)) == (1.0, 0.0)
    with pytest.raises(OutOfRange):
        particle_volume_share(36.0)


@settings(deadline=None, max_examples=100)
@given(one=st.floats(20.0, 60.0), other=st.floats(20.0, 60.0))
def test_warmer_fat_is_thinner(one: float, other: float) -> None:
    """Viscosity falls with temperature, and the factor back undoes the factor forth."""
    cold, warm = sorted((one, other))
    assert butter_viscosity(warm) <= butter_viscosity(cold)
    assert temperature_factor(cold, warm) * temperature_factor(warm, cold) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("temperature", [19.9, 60.1])
def test_temperatures_outside_the_law_are_refused(temperature: float) -> None:
    """The exponential is not used where the fat sets or nobody measured it."""
    with pytest.raises(OutOfRange):
        butter_viscosity(temperature)


def test_yield_rises_faster_than_viscosity() -> None:
    """Twice as thick means four times the yield value."""
    assert yield_ratio(2.0) == 4.0
    still, moving = usual_flow(40.0, 1.0), usual_flow(40.0, 2.0)
    assert moving == pytest.approx((4.0 * still[0], 2.0 * still[1]), rel=1e-14)


def test_usual_flow_lies_in_the_usual_span() -> None:
    """Untempered at 40 °C: Casson yield value 5 to 25 Pa, viscosity 1.5 to 4 Pa·s (common trade practice)."""
    stress, viscosity = usual_flow(40.0, 1.0)
    assert 5.0 <= stress <= 25.0
    assert 1.5 <= viscosity <= 4.0


@settings(deadline=None, max_examples=100)
@given(yield_value=st.floats(0.0, 50.0), viscosity=st.floats(0.1, 20.0), rate=st.floats(0.0, 100.0))
def test_casson_lies_above_bingham(yield_value: float, viscosity: float, rate: float) -> None:
    """With the same two figures Casson's law asks for more stress, and both start at the yield value."""
    assert bingham_stress(yield_value, viscosity, rate) <= casson_stress(yield_value, viscosity, rate) * (1 + 1e-12)
    assert yield_value == bingham_stress(yield_value, viscosity, 0.0)
    assert yield_value == pytest.approx(casson_stress(yield_value, viscosity, 0.0), rel=1e-14)


def test_kappa_is_a_range() -> None:
    """The room a crystal takes is carried as uncertainty between 1 and 3."""
    assert (kappa_prior().low, kappa_prior().high) == (1.0, 3.0)
