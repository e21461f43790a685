"""Bowls: what is refused, what is assumed, what is warned about, and the arithmetic of warm walls."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_shape import brim_radius, chocolate_volume, fill_of, inner_area
from temperbench.kitchen.vessels import (
    MATERIALS,
    Bowl,
    bowl_from,
    bowl_mass,
    carry_over,
    exchange_time,
    material_bulk,
    material_named,
    refused_in_microwave,
    seed_mass,
    wall_share_by_loss,
    wall_share_from_test,
)

FITTING = [m for m in MATERIALS if m not in ("steel", "melamine")]
LITRES = st.floats(0.3, 20.0)


def kilogram_in(material: str | None, **known: Any) -> Bowl:
    """Return a bowl for 1 kg of chocolate in a room of 20 °C."""
    return bowl_from(material, **{"room_c": 20.0, "chocolate_g": 1000.0, **known})


@pytest.mark.parametrize("material", FITTING)
def test_bowls_for_the_oven(material: str) -> None:
    """Every fitting material makes a bowl from its name alone, with a line for each thing assumed."""
    bowl = kilogram_in(material)
    assert material == bowl.material
    assert len(bowl.defaults_used) == 3
    assert 0.0 < bowl.wall_share.low <= bowl.wall_share.mid <= bowl.wall_share.high < 0.5
    assert bowl.heat.mid == pytest.approx(bowl.mass_g.mid / 1000.0 * material_bulk(material).specific_heat)


def test_a_bowl_not_named_is_plastic() -> None:
    """Without a material the bowl is plastic, and that is said."""
    assert kilogram_in("plastic").heat == kilogram_in(None).heat
    assert len(kilogram_in(None).defaults_used) == 4


def test_what_is_known_is_exact() -> None:
    """Weight, litres and temperature that were given have no spread, and no line says they were assumed."""
    bowl = kilogram_in("plastic", grams=150.0, litres=2.0, start_c=22.0)
    assert (bowl.mass_g, bowl.litres, bowl.start_c) == tuple(map(Spread.exact, (150.0, 2.0, 22.0)))
    assert bowl.heat == Spread.exact(0.15 * 1800.0)
    assert bowl.defaults_used + bowl.warnings == ()


def test_a_room_with_a_spread_spreads_the_bowl() -> None:
    """A bowl that stands in a room known to a few degrees is known no better."""
    bowl = kilogram_in("plastic", room_c=Spread(17.0, 20.0, 24.0))
    assert bowl.start_c == Spread(16.0, 20.0, 25.0)


@pytest.mark.parametrize(
    ("material", "instead"), [("steel", "warm bath"), ("metal", "plastic bowl"), ("melamine", "70 °C")]
)
def test_refused_in_the_oven_but_not_outside(material: str, instead: str) -> None:
    """Steel and melamine are refused for the microwave, with what to do; outside it they take no power."""
    with pytest.raises(InputError, match=instead) as caught:
        kilogram_in(material)
    assert (material, "bowl") == (caught.value.value, caught.value.field)
    assert kilogram_in(material, microwave=False).wall_share == Spread.exact(0.0)
    assert refused_in_microwave(material) is not None


@pytest.mark.parametrize("word", ["Polypropylene", " PP ", "porcelain", "stainless  steel", "soda-lime"])
def test_usual_words_are_understood(word: str) -> None:
    """Other names of a material mean it, whatever case and spaces."""
    assert material_named(word) in MATERIALS


@given(st.text(max_size=30))
def test_any_word_is_a_material_or_an_input_error(word: str) -> None:
    """Whatever is typed names a material or is refused with those there are."""
    refused: list[InputError] = []
    try:
        assert material_named(word) in MATERIALS
    except InputError as error:
        refused.append(error)
    assert ["bowl"] * len(refused) == [error.field for error in refused]


@pytest.mark.parametrize(
    ("material", "known", "codes"),
    [
        ("plastic", {"grams": 150.0, "litres": 2.0}, []),
        ("plastic", {"grams": 150.0, "litres": 1.0}, ["full-bowl"]),
        ("plastic", {"grams": 150.0, "litres": 2.0, "start_c": 45.0}, ["warm-bowl"]),
        ("borosilicate", {"grams": 1200.0, "litres": 2.0}, ["heavy-bowl"]),
        ("glass", {"grams": 400.0, "litres": 2.0}, ["absorbing-bowl"]),
        ("stoneware", {"grams": 1100.0, "litres": 1.0, "start_c": 45.0},
         ["absorbing-bowl", "heavy-bowl", "full-bowl", "warm-bowl"]),
    ],
)  # fmt: skip
def test_warnings(material: str, known: dict[str, float], codes: list[str]) -> None:
    """Absorbing, heavy, full and warm bowls are warned about, light plastic at room temperature is not."""
    assert codes == [code for code, _ in kilogram_in(material, **known).warnings]


def test_chocolate_must_go_in() -> None:
    """More chocolate than the bowl holds is refused with the litres it needs."""
    with pytest.raises(OutOfRange, match=r"at least 0\.8 L for 1000 g"):
        kilogram_in("plastic", litres=0.7)


@pytest.mark.parametrize("wrong", [{"grams": 0.0}, {"litres": -1.0}, {"chocolate_g": 0.0}, {"grams": math.nan}])
def test_impossible_bowls_are_refused(wrong: dict[str, float]) -> None:
    """A bowl of no weight or no volume, and no chocolate, are refused."""
    with pytest.raises(OutOfRange):
        kilogram_in("plastic", **wrong)


@given(LITRES)
def test_hemisphere(litres: float) -> None:
    """Radius and area are those of a hemisphere of the brim volume."""
    radius = brim_radius(litres)
    assert litres / 1000.0 == pytest.approx(2.0 / 3.0 * math.pi * radius**3)
    assert inner_area(litres) == pytest.approx(2.0 * math.pi * radius**2)


@given(LITRES, st.floats(1e-3, 1.0))
def test_fill_holds_its_volume(litres: float, share: float) -> None:
    """Depth, wetted wall and surface are those of a cap of the chocolate's volume; a full bowl is a hemisphere."""
    found = fill_of(litres, share * litres / chocolate_volume(1.0) * (1.0 - 1e-12))
    radius, depth = brim_radius(litres), found.depth_m
    assert found.share == pytest.approx(share)
    assert math.pi * depth**2 * (radius - depth / 3.0) == pytest.approx(share * litres / 1000.0, rel=1e-6)
    assert found.wetted_m2 == pytest.approx(2.0 * math.pi * radius * depth)
    assert found.top_m2 <= math.pi * radius**2 * (1.0 + 1e-9)


@given(LITRES, st.sampled_from(MATERIALS))
def test_larger_bowls_weigh_more(litres: float, material: str) -> None:
    """Mass goes with the area, the two-thirds power of the volume, and its range encloses its middle."""
    one, other = bowl_mass(material, litres), bowl_mass(material, 8.0 * litres)
    assert other.mid == pytest.approx(4.0 * one.mid)
    assert one.low < one.mid < one.high


@given(st.floats(25.0, 45.0), st.floats(50.0, 5000.0), st.floats(10.0, 90.0), st.floats(10.0, 3000.0))
def test_carry_over_keeps_the_heat(chocolate: float, heat: float, bowl: float, bowl_heat: float) -> None:
    """What one gives the other takes, and the meeting point lies between."""
    met = carry_over(chocolate=chocolate, chocolate_heat=heat, bowl=bowl, bowl_heat=bowl_heat)
    assert heat * (met - chocolate) == pytest.approx(bowl_heat * (bowl - met), abs=1e-6 * heat)
    assert min(chocolate, bowl) - 1e-9 <= met <= max(chocolate, bowl) + 1e-9


def test_exchange_is_faster_stirred() -> None:
    """Regression: 0.9 kg of glass and 0.5 kg of chocolate even out in about 84 s stirred, longer unstirred."""
    figures = {"chocolate_heat": 800.0, "bowl_heat": 675.0, "area": 0.03}
    assert exchange_time(film=145.0, **figures) == pytest.approx(84.0, abs=0.5)
    assert exchange_time(film=75.0, **figures) > 160.0


@given(st.floats(0.0, 1.0), st.floats(34.0, 60.0), st.floats(5.0, 25.0), st.floats(0.0, 2000.0))
def test_seed_closes_the_heat_balance(unmelted: float, hot: float, seed: float, bowl_heat: float) -> None:
    """Heat given by chocolate and bowl is heat taken by warming and melting the seeds; unmelted crystals want more."""
    figures = {"chocolate": 1.0, "hot": hot, "target": 33.0, "seed": seed, "bowl": hot, "bowl_heat": bowl_heat}
    mass = seed_mass(unmelted=unmelted, **figures)
    given_off = (1670.0 + bowl_heat) * (hot - 33.0)
    assert mass * (1590.0 * (33.0 - seed) + (1.0 - unmelted) * 46000.0) == pytest.approx(given_off)
    assert mass >= seed_mass(**figures)


@pytest.mark.parametrize("target", [20.0, 46.0, math.nan])
def test_seeds_only_cool(target: float) -> None:
    """A target at or below the seeds, or above the bowl, is refused."""
    with pytest.raises(OutOfRange, match="only cool"):
        seed_mass(chocolate=1.0, hot=45.0, target=target, seed=20.0)


@given(st.floats(0.01, 2.0), st.floats(0.001, 0.2), st.floats(0.05, 3.0), st.floats(0.1, 0.3))
def test_wall_share_is_a_share(wall: float, wall_loss: float, chocolate: float, loss: float) -> None:
    """A wall takes between nothing and all of it, less in a weaker field, and nothing without a loss."""
    figures = {"wall": wall, "chocolate": chocolate, "chocolate_loss": loss}
    share = wall_share_by_loss(wall_loss=wall_loss, **figures)
    assert 0.0 < share < wall_share_by_loss(wall_loss=wall_loss, field=1.0, **figures) < 1.0
    assert wall_share_by_loss(wall_loss=0.0, **figures) == 0.0


def test_wall_share_from_the_dish_test() -> None:
    """A glass bowl of 675 J/K that warms by 6 K beside 700 W for 58 s took a tenth of it; too short is refused."""
    assert wall_share_from_test(heat=675.0, rise=6.0, absorbed=700.0) == pytest.approx(0.0998, abs=0.0001)
    with pytest.raises(OutOfRange, match="longer burst"):
        wall_share_from_test(heat=675.0, rise=6.0, absorbed=700.0, seconds=2.0)
