"""Walls, benches, films and tabling: limits and monotony."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erfcx

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.kitchen.dielectric import penetration_depth, power_density
from temperbench.kitchen.surfaces import (
    BENCHES,
    anchor_film,
    base_conductance,
    base_gap,
    bench,
    cooling_time,
    gap_film,
    half_space_limit,
    overall_coefficient,
    plank_time,
    scraped_film,
    tabled_share,
    tabled_temperature,
    unstirred_film,
)
from temperbench.matter.thermal import chocolate_bulk

FILM = st.floats(1.0, 5000.0)
HAND = {"bowl": 0.18, "spatula": 0.16, "yield_value": 10.0, "viscosity": 2.5}
BUTTON = {"density": 1300.0, "heat": 65080.0, "film": 150.0, "conductivity": 0.26}


@given(FILM, FILM, st.floats(1e-4, 0.02), st.floats(0.05, 50.0))
def test_series_is_below_each_part(outside: float, inside: float, wall: float, k: float) -> None:
    """No wall lets through more than its best part; without a wall the two films are left."""
    found = overall_coefficient(outside, wall, k, inside)
    assert found <= min(outside, inside, k / wall)
    assert overall_coefficient(outside, 0.0, k, inside) == pytest.approx(outside * inside / (outside + inside))


@given(st.floats(0.02, 0.1), FILM, st.floats(0.1, 20.0), st.floats(0.0, 0.01))
def test_base_is_below_bench_and_gap(radius: float, contact: float, k: float, mat: float) -> None:
    """A base conducts less than its gap alone or its bench alone, and a mat only lowers it."""
    bare = base_conductance(radius=radius, contact=contact, bench_conductivity=k)
    assert bare <= min(contact * math.pi * radius**2, 4.0 * k * radius)
    padded = base_conductance(radius=radius, contact=contact, bench_conductivity=k, layer=mat, layer_conductivity=0.05)
    assert padded <= bare


def test_air_gaps() -> None:
    """A flat base leaves less air than a foot ring; not knowing covers both; thin air conducts better."""
    flat, ring, unknown = base_gap(footed=False), base_gap(footed=True), base_gap()
    assert flat.high < ring.low
    assert (unknown.low, unknown.high) == (flat.low, ring.high)
    assert gap_film(flat.mid, 30.0) > gap_film(ring.mid, 30.0)


@pytest.mark.parametrize("name", BENCHES)
def test_benches_are_solids(name: str) -> None:
    """Every bench has properties of a solid, and stone and steel take heat better than wood."""
    found = bench(name)
    assert found.effusivity == pytest.approx(math.sqrt(found.conductivity * found.density * found.specific_heat))
    assert name == "wood" or found.effusivity > 2000.0 > bench("wood").effusivity


def test_unknown_benches_are_named() -> None:
    """A bench that is not in the table is refused with the nearest that is."""
    with pytest.raises(InputError, match="did you mean “marble”"):
        bench("marbel")


@given(st.floats(1e-3, 60.0))
def test_tabled_share_is_the_scaled_complement(x: float) -> None:
    """The share equals exp(x²) erfc(x) of an independent library, also where the plain product overflows."""
    assert tabled_share(x * x, 1.0, 1.0, 1.0) == pytest.approx(float(erfcx(x)), rel=1e-6)


@given(st.floats(0.0, 300.0), st.floats(1.0, 60.0), st.floats(0.002, 0.02))
def test_tabled_chocolate_cools_towards_the_slab(time: float, more: float, layer: float) -> None:
    """It starts at its own temperature, falls with time, and never passes that of the slab."""
    figures = {"start": 45.0, "slab_at": 20.0, "slab": 2496.0, "layer": layer}
    now, later = (tabled_temperature(time=t, **figures) for t in (time, time + more))
    assert 20.0 < later < now <= 45.0
    assert tabled_temperature(time=0.0, **figures) == 45.0


def test_thick_slabs_last() -> None:
    """Regression: 20 and 30 mm of marble count as thick for about 80 and 180 s."""
    marble = bench("marble").diffusivity
    assert [half_space_limit(d, marble) for d in (0.02, 0.03)] == pytest.approx([80.0, 180.0], rel=0.02)


@given(st.floats(0.5, 20.0), st.floats(1.1, 3.0), st.sampled_from(["slab", "sphere"]))
def test_plank_time_goes_as_one_over_the_gap(gap: float, times: float, shape: str) -> None:
    """Half the warmth takes twice the time, and without warmth nothing melts, which is refused."""
    one, other = (plank_time(shape, 0.004, gap=g, **BUTTON) for g in (gap, gap * times))
    assert one == pytest.approx(times * other)
    with pytest.raises(OutOfRange, match="warmer than the melting"):
        plank_time(shape, 0.004, gap=0.0, **BUTTON)


def test_plank_knows_two_shapes() -> None:
    """Another shape has no factors and is refused."""
    with pytest.raises(InputError, match="slab, sphere"):
        plank_time("cube", 0.004, gap=8.0, **BUTTON)


@given(st.floats(0.3, 3.0), st.floats(1.05, 3.0))
def test_faster_stirring_never_insulates(turns: float, times: float) -> None:
    """The stirred film rises with the turns and stays below a wall wiped clean at both blades of every turn."""
    slow, fast = anchor_film(turns=turns, **HAND), anchor_film(turns=turns * times, **HAND)
    assert slow.coefficient < fast.coefficient
    assert fast.viscosity < slow.viscosity
    assert slow.coefficient < scraped_film(chocolate_bulk().effusivity, 2.0 * turns)


def test_range_of_the_stirred_film() -> None:
    """Slow strokes lie below the correlation's range and say so; both of its branches are used above."""
    assert not anchor_film(turns=0.5, **HAND).in_range
    assert anchor_film(turns=1.5, **HAND).in_range
    thin = anchor_film(bowl=0.18, spatula=0.16, turns=3.0, yield_value=0.0, viscosity=0.1)
    assert thin.reynolds > 300.0
    assert thin.nusselt == pytest.approx(0.36 * thin.reynolds ** (2 / 3) * thin.prandtl ** (1 / 3))


@given(st.floats(1.0, 600.0))
def test_resting_film_fades(time: float) -> None:
    """Four times as long at rest, half the film."""
    assert unstirred_film(time, 0.26, 1.31e-7) == pytest.approx(2.0 * unstirred_film(4.0 * time, 0.26, 1.31e-7))


@given(st.floats(20.5, 44.0), st.floats(44.5, 60.0))
def test_cooling_times_add_up(between: float, start: float) -> None:
    """Cooling to a temperature and on from there takes as long as cooling at once."""
    figures = {"room": 20.0, "loss": 0.75, "heat": 1600.0}
    whole = cooling_time(start=start, end=20.2, **figures)
    parts = cooling_time(start=start, end=between, **figures) + cooling_time(start=between, end=20.2, **figures)
    assert whole == pytest.approx(parts)
    assert cooling_time(start=start, end=start, **figures) == 0.0


@pytest.mark.parametrize("end", [20.0, 15.0, 46.0, math.nan])
def test_a_bowl_cools_to_its_room_only(end: float) -> None:
    """An end at or below the room, or above the start, is refused."""
    with pytest.raises(OutOfRange, match="cools towards its room"):
        cooling_time(start=45.0, end=end, room=20.0, loss=0.75, heat=1600.0)


@given(st.floats(1.5, 80.0), st.floats(1e-4, 0.01))
def test_depth_of_a_low_loss(permittivity: float, tangent: float) -> None:
    """For a small loss the depth is lambda0 sqrt(e')/(2 pi e''), to the square of the loss tangent."""
    loss = tangent * permittivity
    simple = 299792458.0 / 2.45e9 * math.sqrt(permittivity) / (2.0 * math.pi * loss)
    assert penetration_depth(permittivity, loss) == pytest.approx(simple, rel=tangent**2)


def test_power_goes_with_the_square_of_the_field() -> None:
    """Twice the field, four times the power; twice the frequency, twice the power and half the depth."""
    assert power_density(0.15, 2000.0) == pytest.approx(4.0 * power_density(0.15, 1000.0))
    assert power_density(0.15, 1000.0, 4.9e9) == pytest.approx(2.0 * power_density(0.15, 1000.0, 2.45e9))
    assert penetration_depth(2.5, 0.15, 4.9e9) == pytest.approx(penetration_depth(2.5, 0.15, 2.45e9) / 2.0)
