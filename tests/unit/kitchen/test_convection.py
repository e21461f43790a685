"""Heat lost to still air: limits, symmetry, continuity."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.kitchen.convection import (
    air_at,
    grashof,
    nusselt_horizontal_plate,
    nusselt_sphere,
    nusselt_vertical_cylinder,
    nusselt_vertical_plate,
    radiant_flux,
    radiation_coefficient,
    still_air_film,
)

ROOM, SURFACE, LENGTH = st.floats(12.0, 30.0), st.floats(12.0, 80.0), st.floats(0.02, 0.3)
SHAPES = ["side", "top", "underside", "sphere"]


def test_air_has_the_values_of_the_table() -> None:
    """At the two table temperatures air is the table's, and between them on a straight line."""
    low, high, middle = air_at(26.85), air_at(76.85), air_at(51.85)
    assert (low.viscosity, low.conductivity, low.prandtl) == pytest.approx((1.589e-5, 0.0263, 0.707))
    assert (high.viscosity, high.conductivity, high.prandtl) == pytest.approx((2.092e-5, 0.0300, 0.700))
    assert middle.conductivity == pytest.approx((low.conductivity + high.conductivity) / 2.0)


@pytest.mark.parametrize("film", [-10.0, 120.0, float("nan")])
def test_air_outside_its_line_is_refused(film: float) -> None:
    """Far from the two table values no property is guessed."""
    with pytest.raises(OutOfRange, match="film"):
        air_at(film)


@given(SURFACE, ROOM, LENGTH)
def test_grashof_knows_no_direction(surface: float, room: float, length: float) -> None:
    """Heating and cooling by as much at the same film temperature drive the air alike; nothing drives nothing."""
    assert grashof(surface, room, length) == pytest.approx(grashof(room, surface, length))
    assert grashof(room, room, length) == 0.0


@given(st.floats(0.1, 10.0), st.floats(1e3, 1e9), st.floats(1.0, 10.0))
def test_more_lift_never_carries_less(prandtl: float, gr: float, times: float) -> None:
    """Every Nusselt number rises with the Grashof number within one regime."""
    for nusselt in (nusselt_vertical_plate, nusselt_sphere):
        assert nusselt(prandtl, gr) <= nusselt(prandtl, gr * times)
    below = nusselt_horizontal_plate(prandtl, gr, rising=False)
    assert below <= nusselt_horizontal_plate(prandtl, gr * times, rising=False)
    assert below < nusselt_horizontal_plate(prandtl, gr)


def test_limits_of_the_shapes() -> None:
    """Without lift a sphere conducts, Nu = 2; a very wide cylinder is a plate."""
    assert nusselt_sphere(0.7, 0.0) == 2.0
    plate = nusselt_vertical_plate(0.7, 1e7)
    assert nusselt_vertical_cylinder(0.7, 1e7, 0.1, 1e6) == pytest.approx(plate, rel=1e-5)
    assert nusselt_vertical_cylinder(0.7, 1e7, 0.1, 0.01) > plate


@given(st.floats(0.0, 1.0), SURFACE, ROOM)
def test_radiation_coefficient_is_flux_over_difference(emissivity: float, surface: float, room: float) -> None:
    """Coefficient times temperature difference is the flux, and the flux turns with the difference."""
    flux = radiant_flux(emissivity, surface, room)
    assert flux == pytest.approx(radiation_coefficient(emissivity, surface, room) * (surface - room), abs=1e-9)
    assert flux == -radiant_flux(emissivity, room, surface)


@pytest.mark.parametrize("shape", SHAPES)
@given(surface=SURFACE, room=ROOM, length=LENGTH)
def test_films_of_still_air_are_few_watts(shape: str, surface: float, room: float, length: float) -> None:
    """In a kitchen, free convection is between nothing and some 15 W/(m²·K)."""
    assert 0.0 <= still_air_film(shape, surface, room, length) < 20.0


def test_cold_and_hot_faces_change_places() -> None:
    """A cold face turned down loses as a hot one turned up; a hot one turned down loses least."""
    up, down = still_air_film("top", 40.0, 20.0, 0.045), still_air_film("underside", 40.0, 20.0, 0.045)
    assert down < up
    assert still_air_film("underside", 20.0, 40.0, 0.045) == pytest.approx(up)
    assert still_air_film("top", 20.0, 40.0, 0.045) == pytest.approx(down)


def test_unknown_shapes_are_named() -> None:
    """A shape that is none is refused with the nearest that is."""
    with pytest.raises(InputError, match="did you mean “side”"):
        still_air_film("sides", 40.0, 20.0, 0.1)


@pytest.mark.parametrize(
    ("shape", "length", "emissivity", "total"),
    [("side", 0.10, 0.90, 10.8), ("top", 0.045, 0.95, 12.4), ("side", 0.10, 0.20, 6.4)],
)
def test_round_figures_of_a_bowl(shape: str, length: float, emissivity: float, total: float) -> None:
    """Regression: wall, free surface and bright steel at 40 °C in a 20 °C room, convection and radiation together."""
    found = still_air_film(shape, 40.0, 20.0, length) + radiation_coefficient(emissivity, 40.0, 20.0)
    assert found == pytest.approx(total, abs=0.06)
