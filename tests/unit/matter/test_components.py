"""Components of food and their mixtures: bounds, limits, what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.matter.components import (
    COMPONENTS,
    component_conductivity,
    component_density,
    component_specific_heat,
    mixture_conductivity,
    mixture_density,
    mixture_specific_heat,
)

LAWS = [
    (component_specific_heat, mixture_specific_heat),
    (component_conductivity, mixture_conductivity),
    (component_density, mixture_density),
]


@st.composite
def mixtures(draw: st.DrawFn) -> dict[str, float]:
    """Shares of some components that add up to one."""
    names = draw(st.lists(st.sampled_from(COMPONENTS), min_size=1, max_size=7, unique=True))
    weights = [draw(st.floats(0.01, 1.0)) for _ in names]
    return {name: weight / sum(weights) for name, weight in zip(names, weights, strict=True)}


@pytest.mark.parametrize(("component", "mixture"), LAWS)
@settings(deadline=None, max_examples=100)
@given(parts=mixtures(), temperature=st.floats(0.0, 60.0))
def test_a_mixture_lies_between_its_components(component, mixture, parts, temperature) -> None:
    """No mixture is outside the span of what it is made of."""
    singles = [component(name, temperature) for name in parts]
    value = mixture(parts, temperature)
    assert min(singles) * (1.0 - 1e-12) <= value
    assert value <= max(singles) * (1.0 + 1e-12)


@pytest.mark.parametrize(("component", "mixture"), LAWS)
@pytest.mark.parametrize("name", COMPONENTS)
def test_one_component_alone_is_itself(component, mixture, name: str) -> None:
    """A mixture of one component has that component's properties."""
    assert component(name, 30.0) == pytest.approx(mixture({name: 1.0}, 30.0), rel=1e-14)


@pytest.mark.parametrize("law", [component_conductivity, component_density])
def test_sucrose_differs_from_carbohydrate_in_specific_heat_only(law) -> None:
    """Sugar crystals take the conductivity and density of carbohydrate."""
    assert law("carbohydrate", 25.0) == law("sucrose", 25.0)
    assert component_specific_heat("sucrose", 25.0) < component_specific_heat("carbohydrate", 25.0)


@pytest.mark.parametrize(
    ("name", "temperature"),
    [("water", -1.0), ("fat", -41.0), ("fat", 151.0), ("sucrose", 61.0), ("fat", float("nan"))],
)
def test_temperatures_outside_a_law_are_refused(name: str, temperature: float) -> None:
    """No polynomial is used where it was not fitted."""
    with pytest.raises(OutOfRange):
        component_specific_heat(name, temperature)


@pytest.mark.parametrize("parts", [{"fat": 0.5}, {"fat": 0.7, "water": 0.7}, {"fat": 1.5, "water": -0.5}, {}])
def test_shares_must_be_a_whole(parts: dict[str, float]) -> None:
    """Shares that do not add up to one, or are negative, are refused."""
    with pytest.raises(InputError):
        mixture_specific_heat(parts, 20.0)


def test_an_unknown_component_is_named() -> None:
    """A misspelt component is refused with the nearest word."""
    with pytest.raises(InputError, match="did you mean “sucrose”"):
        mixture_density({"sucrase": 1.0}, 20.0)
