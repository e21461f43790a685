"""Heat of chocolate as a whole: balances and limits."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import number
from temperbench.matter.thermal import (
    chocolate_bulk,
    chocolate_latent_heat,
    cold_addition,
    contact_temperature,
    fat_latent_heat,
)


def test_bulk_figures_belong_together() -> None:
    """Effusivity squared is conductivity times the heat stored per volume, which is conductivity over diffusivity."""
    bulk = chocolate_bulk()
    assert bulk.conductivity**2 / bulk.diffusivity == pytest.approx(bulk.effusivity**2, rel=1e-14)
    assert (bulk.specific_heat, bulk.conductivity, bulk.density) == (1650.0, 0.26, 1250.0)


@pytest.mark.parametrize("kind", ["dark", "milk"])
def test_latent_heat_of_fat_and_chocolate_are_inverse(kind: str) -> None:
    """The heat of the fat, times the fat and all its crystals, is the heat of the chocolate it was taken from."""
    measured = number(f"thermal.chocolate.latent.{kind}")
    assert measured == pytest.approx(chocolate_latent_heat(0.3, 1.0, fat_latent_heat(0.3, kind)), rel=1e-14)


@settings(deadline=None, max_examples=200)
@given(
    warm_mass=st.floats(0.01, 10.0), warm=st.floats(30.0, 60.0), cold_mass=st.floats(0.01, 10.0),
    cold=st.floats(0.0, 30.0), melted=st.floats(0.0, 1.0),
)  # fmt: skip
def test_stirring_cold_into_warm_keeps_the_heat(
    warm_mass: float, warm: float, cold_mass: float, cold: float, melted: float
) -> None:
    """What the warm part gives is what the cold part takes, melting included."""
    mixed = cold_addition(warm_mass, warm, cold_mass, cold, melted)
    given_up = warm_mass * number("thermal.chocolate.cp.liquid") * (warm - mixed)
    taken = cold_mass * number("thermal.chocolate.cp.solid") * (mixed - cold)
    taken += cold_mass * number("thermal.chocolate.latent.dark") * melted
    assert given_up == pytest.approx(taken, rel=1e-9, abs=1e-6)


@settings(deadline=None, max_examples=100)
@given(melted=st.floats(0.0, 0.99), more=st.floats(0.001, 1.0))
def test_melting_more_ends_colder(melted: float, more: float) -> None:
    """The more of the addition melts, the colder the bowl ends."""
    further = melted + (1.0 - melted) * more
    assert cold_addition(1.0, 45.0, 0.3, 20.0, further) < cold_addition(1.0, 45.0, 0.3, 20.0, melted)


def test_adding_nothing_changes_nothing() -> None:
    """Without an addition the bowl keeps its temperature, whatever share of nothing melts."""
    assert cold_addition(1.0, 45.0, 0.0, 20.0, 1.0) == pytest.approx(45.0, rel=1e-14)


@pytest.mark.parametrize("masses", [(0.0, 0.0), (-1.0, 2.0), (1.0, -0.1), (float("inf"), 1.0)])
def test_impossible_masses_are_refused(masses: tuple[float, float]) -> None:
    """An empty bowl, a negative or an endless mass is refused."""
    with pytest.raises(InputError):
        cold_addition(masses[0], 45.0, masses[1], 20.0, 1.0)


def test_more_than_all_cannot_melt() -> None:
    """A melted share beyond one is refused."""
    with pytest.raises(OutOfRange):
        cold_addition(1.0, 45.0, 0.3, 20.0, 1.1)


def test_only_measured_kinds_have_a_latent_heat() -> None:
    """White chocolate was not measured, and is not guessed."""
    with pytest.raises(InputError, match="kind"):
        fat_latent_heat(0.33, "white")


def test_contact_lies_nearer_the_body_that_gives_more() -> None:
    """Two equal bodies meet half way; a body of higher effusivity pulls the face to its own temperature."""
    assert contact_temperature(700.0, 40.0, 700.0, 20.0) == 30.0
    assert contact_temperature(700.0, 40.0, 2500.0, 20.0) < 30.0
