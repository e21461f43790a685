"""What a bowl stands in: rates and Jacobian, heat kept between bowl and bath, warm cabinets, a kettle's heater."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bowl_cases import ACTS, SETUP, acts_row, bowl_of, central_jacobian, jacobian_slack, random_state, row_of
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import MASS, OUTSIDE, TOP, WALL_AIR, WALL_BENCH
from temperbench.kitchen.bowl_rates import bowl_jacobian, bowl_rates
from temperbench.kitchen.bowl_reference import CrystalStore, Network, enthalpy, plain_rates
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.kettle import Thermostat
from temperbench.kitchen.members import Members, draw
from temperbench.kitchen.outside import (
    Outside,
    cabinet,
    drawn_around,
    ice_water,
    kettle_jacket,
    middle_around,
    steam,
    water_bath,
)
from temperbench.matter.crystals import MELT

SHARES = {1: {"share_0": 1.0}, 3: {"share_0": 0.15, "share_1": 0.55, "share_2": 0.30}}
BATH = {"outside": 4.5, "out_rate": 1.0 / 8000.0, "out_loss": 1.2, "out_power": 300.0}
KEPT = {"outside": 4.5, "out_c": 47.0}
EXACT = Spread.exact
MELTED = replace(SETUP, stock="melted", start_c=EXACT(42.0), wall_c=EXACT(42.0), inside_m2=EXACT(0.06))


def with_bath(rng: np.random.Generator, zones: int) -> np.ndarray:
    """Return a random state with a bath at the end."""
    return np.append(random_state(rng, zones), rng.uniform(0.0, 60.0))


def kernel_rates(y: np.ndarray, zones: int, row: np.ndarray, curve: np.ndarray, phase: str) -> np.ndarray:
    """Return the kernel's time derivative."""
    f = np.full(len(y), np.nan)
    bowl_rates(y, zones, row, curve, acts_row(ACTS[phase]), ACTS[phase].watts, f)
    return f


@pytest.mark.parametrize("zones", SHARES)
@pytest.mark.parametrize("phase", ACTS)
@pytest.mark.parametrize("where", [BATH, KEPT], ids=["bath", "kept"])
def test_kernel_is_the_reference(where: dict[str, float], phase: str, zones: int) -> None:
    """With a bath that warms and cools, or one that keeps its temperature, rates agree with the plain equations."""
    row, curve = row_of(**SHARES[zones], **where)
    net, store = Network.of_row(row, zones), CrystalStore(row, curve)
    rng = np.random.default_rng(zones)
    make = with_bath if where is BATH else random_state
    states = [make(rng, zones) for _ in range(100)]
    found = np.array([kernel_rates(y, zones, row, curve, phase) for y in states])
    expected = np.array([plain_rates(y, net, store, ACTS[phase]) for y in states])
    slack = 1e-12 * (np.abs(expected) + np.median(np.abs(expected), axis=0) + 1e-5)
    np.testing.assert_array_less(np.abs(found - expected), slack)


@pytest.mark.parametrize("zones", SHARES)
@pytest.mark.parametrize("phase", ACTS)
def test_jacobian_is_the_derivative(phase: str, zones: int) -> None:
    """The analytic Jacobian agrees with central differences, the bath's row and column included."""
    row, curve = row_of(**SHARES[zones], **BATH)
    rng = np.random.default_rng(11)
    for _ in range(40):
        y = with_bath(rng, zones)
        exact = np.full((len(y), len(y)), np.nan)
        bowl_jacobian(y, zones, row, curve, acts_row(ACTS[phase]), ACTS[phase].watts, exact)
        quotients = central_jacobian(lambda at: kernel_rates(at, zones, row, curve, phase), y)
        np.testing.assert_array_less(np.abs(exact - quotients), jacobian_slack(exact))


def closed(members: Members) -> Members:
    """Return members that lose nothing to the room."""
    rows = members.rows.copy()
    rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    return replace(members, rows=rows)


def many(m: int = 12, stock: str = "melted") -> Members:
    """Return members of many sizes and temperatures."""
    setup = replace(
        MELTED, stock=stock, start_c=Spread(18.0, 22.0, 25.0) if stock != "melted" else Spread(35.0, 42.0, 50.0),
        fat=Spread(0.3, 0.34, 0.4), wall_c=Spread(20.0, 30.0, 50.0), inside_m2=Spread(0.03, 0.06, 0.2),
    )  # fmt: skip
    members = draw(setup, m, np.random.default_rng(3))
    members.rows[:, MASS] = np.linspace(0.2, 8.0, m)
    return members


@pytest.mark.parametrize("stock", ["melted", "buttons"])
def test_bowl_and_bath_keep_their_heat(stock: str) -> None:
    """Cut off from the room, bowl and a finite bath exchange heat and lose none: to 1e-9 over melting and cooling."""
    members = closed(many(stock=stock))
    bowls = Bowls(members)
    size = members.rows[:, MASS] * 1650.0 * 30.0
    for celsius, heat in ((55.0, 9000.0), (3.0, 20000.0), (40.0, np.geomspace(50.0, 1e6, 12))):
        bowls.stand_in(Outside(celsius, 0.4 + members.area_m2 * 90.0, heat))
        total = bowls.heat()
        for act in ("stand", "stir", "stir"):
            getattr(bowls, act)(200.0)
            np.testing.assert_array_less(np.abs(bowls.heat() - total), 1e-9 * (size + heat * 30.0))
        assert bowls.bad.sum() == 0


def test_a_heater_and_a_loss_are_accounted_for() -> None:
    """What the heater gives and the room takes is the change of the whole, over an hour that reaches its steady end.

    At the end the bath is as far above the room as heater over loss.
    """
    bowls = Bowls(closed(many()))
    bowls.stand_in(Outside(30.0, 8.0, 900.0, loss=1.5, power=45.0))
    for _ in range(60):
        bowls.stir(1800.0)
    np.testing.assert_allclose(bowls.outside_c(), bowls.members.air_c + 45.0 / 1.5, atol=0.01)
    np.testing.assert_allclose(bowls.temperature(), bowls.members.air_c + 45.0 / 1.5, atol=0.02)


def test_a_large_bath_is_one_that_keeps_its_temperature() -> None:
    """The more water, the nearer to a bath kept at its temperature: chocolate, wall and crystals."""
    ends = []
    for heat in (np.inf, 1e9):
        bowls = Bowls(many(stock="buttons"), tolerance=1e-5)
        bowls.stand_in(Outside(45.0, 5.0, heat, covers=0.9))
        bowls.stand(120.0)
        bowls.stir(240.0)
        ends.append(bowls)
    assert ends[0].y.shape[1] + 1 == ends[1].y.shape[1]
    np.testing.assert_allclose(ends[0].y, ends[1].y[:, :-1], atol=1e-4)


def test_an_independent_solver_agrees() -> None:
    """A bowl of buttons melting in a bath that cools: as the plain equations by an implicit method, to 1e-3 K."""
    bowls = Bowls(bowl_of(), tolerance=1e-5)
    bowls.stand_in(Outside(50.0, 6.0, 8000.0, loss=1.2, covers=0.9))
    row, curve = bowls.members.rows[0], bowls.members.curves[0]
    net, store, acts = Network.of_row(row, 3), CrystalStore(row, curve), ACTS["stir"]
    acts = replace(acts, air_c=20.0, bench_c=20.0)
    y = bowls.y[0].copy()
    before = enthalpy(y, net, store)
    found = solve_ivp(lambda _, at: plain_rates(at, net, store, acts), (0.0, 300.0), y, "Radau", rtol=1e-9, atol=1e-9)
    bowls.stir(300.0)
    np.testing.assert_allclose(bowls.y[0, [5, 11, 17, 18, 19]], found.y[[5, 11, 17, 18, 19], -1], atol=1e-3)
    assert bowls.heat()[0] == pytest.approx(enthalpy(bowls.y[0], net, store), rel=1e-12)
    assert before > bowls.heat()[0]


def test_in_and_out_leaves_the_bowl_as_it_was() -> None:
    """Put into anything and taken out at once, the bowl is the same to the last bit, and so is what it does next."""
    members = many(stock="buttons")
    plain, moved = Bowls(members), Bowls(members)
    for outside in (
        water_bath(members, "plastic", 45.0), water_bath(members, "steel", 45.0, 2.0), ice_water(members, "steel"),
        cabinet(members, 42.0, fan=True), kettle_jacket(members, 6.0, 40.0, 500.0), steam(members, "steel", 95.0),
    ):  # fmt: skip
        moved.stand_in(outside)
        moved.stand_on_bench()
        np.testing.assert_array_equal(moved.y, plain.y)
        np.testing.assert_allclose(moved.members.rows, plain.members.rows, rtol=1e-15)
    moved.members = members
    plain.stir(60.0)
    moved.stir(60.0)
    np.testing.assert_array_equal(moved.y, plain.y)


def test_another_bath_replaces_the_first() -> None:
    """Moved from one bath to the next, only the next acts: warm, then ice water."""
    members = many()
    bowls = Bowls(members)
    bowls.stand_in(water_bath(members, "steel", 48.0, 3.0))
    bowls.stand_in(ice_water(members, "steel"))
    np.testing.assert_array_equal(bowls.outside_c(), 0.0)
    np.testing.assert_allclose(
        bowls.members.rows[:, WALL_AIR], (1.0 - middle_around(12)["under"]) * members.rows[:, WALL_AIR], rtol=1e-12
    )
    warm = bowls.reading()
    bowls.stir(60.0)
    assert (bowls.reading() < warm - 0.2).all()
    bowls.stand_on_bench()
    np.testing.assert_array_equal(bowls.outside_c(), members.air_c)


def test_films_and_walls_in_series() -> None:
    """The wall and the film outside are in series: steel passes on most of its film, plastic hardly a quarter."""
    members = bowl_of()
    area = 0.9 * members.area_m2[0]
    steel, plastic = (water_bath(members, m, 45.0).conductance for m in ("steel", "plastic"))
    assert steel == pytest.approx(area / (1.0 / 500.0 + 0.0007 / 17.0), rel=1e-12)
    assert plastic == pytest.approx(area / (1.0 / 500.0 + 0.0018 / 0.22), rel=1e-12)
    assert steam(members, "steel", 98.0).conductance > 8.0 * steel
    drawn = drawn_around(200, np.random.default_rng(1))
    assert 300.0 <= drawn["water"].min() < drawn["water"].max() <= 800.0
    np.testing.assert_array_equal(drawn["water"], drawn_around(200, np.random.default_rng(1))["water"])


def test_a_cabinet_warms_top_and_wall() -> None:
    """In a cabinet everything meets its air, a fan doubles the films, and nothing overshoots its temperature."""
    ends = []
    for fan in (False, True):
        bowls = Bowls(bowl_of())
        bowls.stand_in(cabinet(bowls.members, 43.0, fan))
        assert bowls.members.rows[0, WALL_AIR] == 0.0
        bowls.stand(3600.0)
        ends.append(float(bowls.temperature()[0]))
        for _ in range(40):
            bowls.stand(3600.0)
        assert float(bowls.temperature()[0]) == pytest.approx(43.0, abs=0.05)
        assert bowls.peak.max() < 43.05
    assert 22.0 < ends[0] < ends[1] < 43.0


def test_a_slower_melting_rate_changes_nothing_over_hours() -> None:
    """Four hours in a cabinet end the same with the chocolate's own melting rate: 0.02 K, 0.2 % of the fat."""
    ends = []
    for melting in (None, cabinet(bowl_of(), 43.0, bed=True).melting):
        bowls = Bowls(bowl_of())
        bowls.stand_in(replace(cabinet(bowls.members, 43.0, bed=True), melting=melting))
        bowls.stand(4.0 * 3600.0)
        ends.append((bowls.temperature()[0], bowls.stable()[0]))
        bowls.stand_on_bench()
        assert bowls.members.rows[0, MELT] == bowl_of().rows[0, MELT]
    assert ends[0][0] == pytest.approx(ends[1][0], abs=0.02)
    assert ends[0][1] == pytest.approx(ends[1][1], abs=0.002)


def test_steam_makes_the_wall_hot() -> None:
    """Over steam the wall comes near the steam while the chocolate is still cool, and the bowl remembers it."""
    bowls = Bowls(bowl_of(replace(SETUP, inside_m2=EXACT(0.06))))
    bowls.stand_in(steam(bowls.members, "steel", 98.0))
    bowls.stand(60.0)
    bowls.stand_on_bench()
    bowls.stir(120.0)
    assert bowls.wall_peak[0] > 85.0
    assert bowls.hottest()[0] == bowls.wall_peak[0] > bowls.peak.max()
    assert bowls.wall()[0] < bowls.wall_peak[0]


def test_a_kettle_holds_its_set_point() -> None:
    """A 6 L kettle of 5 kg comes to its set-point and stays there for an hour, its jacket near its limit at most.

    The jacket holds as much heat as the chocolate: let it get hot, and the chocolate overshoots.
    """
    setup = replace(MELTED, mass_kg=5.0, start_c=EXACT(29.0), wall_c=EXACT(29.0), inside_m2=EXACT(0.12), top_m2=0.04,
                    wall_heat=EXACT(1500.0))  # fmt: skip
    members = draw(setup, 4, np.random.default_rng(1))
    bowls = Bowls(members)
    bowls.stand_in(kettle_jacket(members, 6.0, 29.0, figures=drawn_around(4, np.random.default_rng(2))))
    keeper = Thermostat(31.5, 600.0, 33.0)
    keeper.run(bowls, 2400.0)
    seen, jacket = [], []
    for _ in range(60):
        keeper.run(bowls, 60.0)
        seen.append(bowls.reading())
        jacket.append(bowls.outside_c())
    assert np.abs(np.mean(seen, axis=0) - 31.5).max() < 0.5
    assert np.ptp(seen, axis=0).max() < 1.5
    assert np.max(jacket) < 33.0 + 600.0 * 10.0 / (6.0 * 0.2 * 4140.0)


def test_a_limit_on_the_jacket_comes_first() -> None:
    """Whatever the chocolate needs, the jacket stays near its limit."""
    members = bowl_of(MELTED)
    bowls = Bowls(members)
    bowls.stand_in(kettle_jacket(members, 2.0, 30.0))
    keeper = Thermostat(60.0, 1500.0, 42.0)
    for _ in range(30):
        keeper.run(bowls, 60.0)
        assert bowls.outside_c()[0] < 42.0 + 1500.0 * 10.0 / (2.0 * 0.4 * 4180.0)
    assert bowls.members.rows[0, OUTSIDE] > 0.0


def test_the_oven_takes_no_bath() -> None:
    """A bowl that stands in a bath has to come out before it goes into the oven."""
    bowls = Bowls(bowl_of())
    bowls.stand_in(water_bath(bowls.members, "plastic", 45.0))
    with pytest.raises(ValueError, match="before it goes into the oven"):
        bowls.burst(10.0)
    bowls.stand_on_bench()
    bowls.burst(10.0)
    assert bowls.bad.sum() == 0


def test_branches_stand_where_their_trunk_stood() -> None:
    """Copies and choices of members keep their bath, and what happens to them leaves the trunk alone."""
    members = many()
    bowls = Bowls(members)
    bowls.stand_in(water_bath(members, "steel", 20.0, 1.0))
    bowls.stir(30.0)
    before = bowls.y.copy()
    other, few = bowls.copy(), bowls.only(np.array([2, 5]))
    other.stir(60.0)
    few.stir(60.0)
    np.testing.assert_array_equal(bowls.y, before)
    np.testing.assert_array_equal(few.y, other.y[[2, 5]])
    other.stand_on_bench()
    np.testing.assert_array_equal(bowls.outside_c(), before[:, -1])
