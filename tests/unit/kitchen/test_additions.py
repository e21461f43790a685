"""What goes into a bowl and out of it: mass, fat, crystals, growth sites and heat are kept, member by member."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bowl_cases import SETUP, bowl_of
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import INSIDE, LUMP, MASS, SHARE, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, settled_solids
from temperbench.kitchen.seeds import Seed
from temperbench.matter.crystals import CP, FAT, H_5, H_6, MILK_SHARE, N5, SHIFT, T5, X5, X6

KINDS = {"dark": (0.0, 1.0), "milk": (0.18, 0.8), "white": (0.25, 0.75)}
SEEDS = {
    "buttons": (0.3, 20.0, Seed.buttons()),
    "dark buttons in anything": (0.25, 18.0, Seed.buttons(0.40, 0.0)),
    "milk buttons in anything": (0.25, 18.0, Seed.buttons(0.30, 0.2)),
    "chopped": (0.2, 21.0, Seed.chopped()),
    "butter crystals": (0.01, 20.0, Seed.butter_crystals()),
    "ripened butter": (0.01, 33.5, Seed.ripened_butter()),
    "melted": (0.15, 45.0, Seed.melted()),
    "melted, fatter": (0.15, 45.0, Seed.melted(0.42, 0.1)),
}


def warm_bowls(kind: str = "dark", m: int = 6, *, closed: bool = True) -> Bowls:
    """Return bowls fully melted at about 40 °C, stirred down a little, cut off from air and bench when closed."""
    milk, growth = KINDS[kind]
    setup = replace(
        SETUP, stock="melted", start_c=Spread(36.0, 40.0, 46.0), wall_c=Spread(30.0, 38.0, 45.0),
        fat=Spread(0.30, 0.34, 0.40), milk_share=Spread.exact(milk), growth_factor=Spread.exact(growth),
    )  # fmt: skip
    members = draw(setup, m, np.random.default_rng(4))
    rows = members.rows.copy()
    rows[:, MASS] = np.linspace(0.3, 5.0, m)
    if closed:
        rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    bowls = Bowls(replace(members, rows=rows))
    bowls.stir(60.0)
    return bowls


def crystals(bowls: Bowls, place: int) -> np.ndarray:
    """Return the crystals of one form, or the growth sites, of every bowl as a mass. [kg]"""
    rows = bowls.members.rows
    shares = rows[:, SHARE : SHARE + bowls.zones]
    return np.asarray(rows[:, MASS] * rows[:, FAT] * (shares * bowls.zone(place)).sum(axis=1))


def heat(bowls: Bowls) -> np.ndarray:
    """Return the heat in chocolate and wall. [J]"""
    return np.asarray(bowls.chocolate_heat() + bowls.members.rows[:, WALL_HEAT] * bowls.y[:, 18])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", SEEDS)
def test_additions_keep_mass_fat_crystals_and_heat(kind: str, name: str) -> None:
    """Whatever goes in, the bowl has the mass, fat, milk fat, crystals, sites and enthalpy of both together."""
    share, celsius, seed = SEEDS[name]
    bowls = warm_bowls(kind)
    bowls.add(0.05, 22.0)  # some crystals and lumps to begin with
    bowls.stir(40.0)
    rows = bowls.members.rows
    kg = share * rows[:, MASS]
    fat = np.full(6, seed.fat) if seed.fat is not None else rows[:, FAT]
    milk = np.full(6, seed.milk_share) if seed.milk_share is not None else rows[:, MILK_SHARE]
    own = rows.copy()
    slope = rows[:, SHIFT] / rows[:, MILK_SHARE] if kind != "dark" else 10.0
    own[:, MILK_SHARE], own[:, SHIFT] = milk, slope * milk
    at = celsius - 2.5 if seed.form == "VI" else celsius
    solid = settled_solids(own, bowls.members.curves, np.full(6, at)) if seed.solid is None else np.full(6, seed.solid)
    form = X6 if seed.form == "VI" else X5
    sites = 3.0 if seed.sites is None else seed.sites
    specific = rows[:, CP] if seed.heat is None else seed.heat
    latent = rows[:, H_6 if form == X6 else H_5]
    want_mass = rows[:, MASS] + kg
    want_fat = rows[:, MASS] * rows[:, FAT] + kg * fat
    want_milk = rows[:, MASS] * rows[:, FAT] * rows[:, MILK_SHARE] + kg * fat * milk
    want_form = crystals(bowls, form) + kg * fat * solid
    want_sites = crystals(bowls, N5) + kg * fat * 100.0 * solid * sites
    want_heat = heat(bowls) + kg * (specific * celsius - fat * latent * solid)
    bowls.add(kg, celsius, seed)
    rows = bowls.members.rows
    np.testing.assert_allclose(rows[:, MASS], want_mass, rtol=1e-13)
    np.testing.assert_allclose(rows[:, MASS] * rows[:, FAT], want_fat, rtol=1e-13)
    np.testing.assert_allclose(rows[:, MASS] * rows[:, FAT] * rows[:, MILK_SHARE], want_milk, rtol=1e-12)
    np.testing.assert_allclose(crystals(bowls, form), want_form, rtol=1e-12)
    np.testing.assert_allclose(crystals(bowls, N5), want_sites, rtol=1e-12)
    np.testing.assert_allclose(heat(bowls), want_heat, rtol=1e-12)
    np.testing.assert_allclose(rows[:, SHARE : SHARE + 3].sum(axis=1), 1.0, rtol=1e-13)
    total = heat(bowls)
    bowls.stir(300.0)
    np.testing.assert_allclose(heat(bowls), total, rtol=1e-9)
    assert bowls.bad.sum() == 0


def test_melting_points_follow_the_milk_fat() -> None:
    """Milk buttons in dark chocolate lower its melting points with the milk fat; cocoa butter in milk raises them."""
    bowls = warm_bowls("dark")
    before = bowls.members.rows.copy()
    bowls.add(0.5, 20.0, Seed.buttons(0.30, 0.2))
    after = bowls.members.rows
    np.testing.assert_allclose(after[:, T5], before[:, T5] - 10.0 * after[:, MILK_SHARE], rtol=1e-13)
    np.testing.assert_allclose(after[:, SHIFT], 10.0 * after[:, MILK_SHARE], rtol=1e-13)
    bowls = warm_bowls("milk")
    before = bowls.members.rows.copy()
    bowls.add(0.05, 20.0, Seed.butter_crystals())
    after = bowls.members.rows
    slope = before[:, SHIFT] / before[:, MILK_SHARE]
    np.testing.assert_allclose(after[:, T5] - before[:, T5], slope * (before[:, MILK_SHARE] - after[:, MILK_SHARE]))
    assert (after[:, T5] > before[:, T5]).all()


def test_each_member_gets_its_own_amount_or_none() -> None:
    """Amounts may differ by member; one that gets nothing stays as it is, bit for bit."""
    for seed in (Seed.buttons(), Seed.chopped(0.30, 0.2), Seed.melted(0.4, 0.1), Seed.butter_crystals(), Seed.block()):
        bowls = warm_bowls()
        before, rows = bowls.y.copy(), bowls.members.rows.copy()
        kg = np.array([0.0, 0.1, 0.0, 0.2, 0.3, 0.0])
        bowls.add(kg, 20.0, seed)
        bowls.take_block_out() if seed.place == "block" else None
        for k in (0, 2, 5):
            np.testing.assert_array_equal(bowls.y[k], before[k])
            np.testing.assert_array_equal(bowls.members.rows[k], rows[k])


def test_cocoa_butter_crystals_stay_where_buttons_would_melt() -> None:
    """One per cent of cocoa butter crystals at 34 °C leaves its crystals in the bowl; as form V they would melt.

    In milk chocolate, whose own form V ends at 32.7 °C, after five minutes of stirring.
    """
    found = []
    for seed in (Seed.butter_crystals(), replace(Seed.butter_crystals(), form="V")):
        bowls = Bowls(bowl_of(replace(SETUP, stock="melted", start_c=Spread.exact(34.0), wall_c=Spread.exact(34.0),
                                      fat=Spread.exact(0.34), milk_share=Spread.exact(0.18)), closed=True))  # fmt: skip
        bowls.add(0.01, 20.0, seed)
        bowls.stir(300.0)
        found.append(float(bowls.stable()[0]))
    assert found[0] > 0.02
    assert found[1] < 0.001


def test_lumps_of_chopped_block_take_heat_more_slowly() -> None:
    """Chopped block is coarser than buttons; what is added later has its own coarseness again."""
    bowls = warm_bowls()
    own = bowls.members.rows[:, LUMP].copy()
    bowls.add(0.2, 20.0, Seed.chopped())
    np.testing.assert_allclose(bowls.members.rows[:, LUMP], 0.5 * own)
    bowls.add(0.2, 20.0)
    np.testing.assert_allclose(bowls.members.rows[:, LUMP], own)


@pytest.mark.parametrize("share", [0.25, 2.0 / 3.0])
def test_pouring_out_and_back_keeps_everything(share: float) -> None:
    """A part poured out and the rest make the whole; poured back they are the bowl they were, its wall included."""
    bowls = warm_bowls("milk")
    bowls.add(0.2, 20.0, Seed.buttons(0.36, 0.05))
    bowls.stir(60.0)
    whole = [bowls.members.rows[:, MASS].copy(), heat(bowls)] + [crystals(bowls, k) for k in (X5, X6, N5)]
    wetted = bowls.members.rows[:, INSIDE : INSIDE + 3].sum(axis=1)
    poured = bowls.pour_out(share)
    np.testing.assert_allclose(poured.members.rows[:, MASS], share * whole[0])
    np.testing.assert_array_equal(np.ptp(poured.zone(5), axis=1), 0.0)
    poured.stand_on_bench()
    np.testing.assert_array_equal(poured.members.rows[:, [WALL_AIR, WALL_BENCH, TOP]], 0.0)
    np.testing.assert_allclose(heat(bowls) + poured.chocolate_heat(), whole[1], rtol=1e-13)
    assert (bowls.members.rows[:, INSIDE : INSIDE + 3].sum(axis=1) < wetted).all()
    bowls.stir(30.0)
    bowls.pour_back(poured)
    back = [bowls.members.rows[:, MASS], heat(bowls)] + [crystals(bowls, k) for k in (X5, X6, N5)]
    np.testing.assert_allclose(back[0], whole[0], rtol=1e-13)
    np.testing.assert_allclose(back[1], whole[1], rtol=1e-10)
    np.testing.assert_allclose(bowls.members.rows[:, INSIDE : INSIDE + 3].sum(axis=1), wetted, rtol=1e-13)


def test_pouring_back_at_once_changes_nothing_but_the_zones() -> None:
    """Poured out and back before anything happens, crystals and growth sites are those of before."""
    bowls = warm_bowls("milk")
    bowls.add(0.2, 20.0)
    bowls.stir(60.0)
    whole = [crystals(bowls, k) for k in (X5, X6, N5)]
    bowls.pour_back(bowls.pour_out(0.6))
    for before, place in zip(whole, (X5, X6, N5), strict=True):
        np.testing.assert_allclose(crystals(bowls, place), before, rtol=1e-13)
    total = heat(bowls)
    bowls.stir(120.0)
    np.testing.assert_allclose(heat(bowls), total, rtol=1e-9)


def test_a_block_gives_off_and_takes_no_heat_of_its_own() -> None:
    """What a block sheds and what is taken out again are the block; heat of bowl and block together is kept."""
    bowls = warm_bowls()
    rows = bowls.members.rows
    solid = settled_solids(rows, bowls.members.curves, np.full(6, 20.0))
    within = rows[:, CP] * 20.0 - rows[:, FAT] * rows[:, H_5] * solid
    mass, total = rows[:, MASS].copy(), heat(bowls)
    kg = 0.25 * mass
    bowls.add(kg, 20.0, Seed.block())
    bowls.stir(300.0)
    left = bowls.take_block_out()
    assert ((left > 0.0) & (left < kg)).all()
    np.testing.assert_allclose(bowls.members.rows[:, MASS] + left, mass + kg, rtol=1e-13)
    np.testing.assert_allclose(heat(bowls), total + (kg - left) * within, rtol=1e-9)
    np.testing.assert_array_equal(bowls.take_block_out(), 0.0)


def test_the_steps_of_a_block_are_fine_enough() -> None:
    """Five minutes with a block come out the same in the steps of the table and of 1 s."""
    ends = []
    for pause in (300.0, 1.0):
        bowls = warm_bowls(closed=False)
        bowls.add(0.25 * bowls.members.rows[:, MASS], 20.0, Seed.block())
        for _ in range(int(300.0 / pause)):
            bowls.stir(pause)
        ends.append((bowls.reading(), bowls.stable(), bowls.take_block_out()))
    np.testing.assert_allclose(ends[0][0], ends[1][0], atol=0.02)
    np.testing.assert_allclose(ends[0][1], ends[1][1], atol=5e-4)
    np.testing.assert_allclose(ends[0][2], ends[1][2], rtol=0.01)


def test_lumps_can_be_taken_out() -> None:
    """Lumps that have not dispersed come out with their heat and crystals; none are left to take a second time."""
    bowls = warm_bowls()
    bowls.add(0.3, 15.0)
    bowls.stir(5.0)
    mass, there = bowls.members.rows[:, MASS].copy(), crystals(bowls, X5)
    solid = bowls.zone(X5)[:, 2].copy()
    out = bowls.take_block_out()
    assert (out > 0.2).all()
    np.testing.assert_allclose(bowls.members.rows[:, MASS], mass - out)
    fat = bowls.members.rows[:, FAT]
    np.testing.assert_allclose(crystals(bowls, X5), there - out * fat * solid, atol=1e-12)
    np.testing.assert_allclose(bowls.take_block_out(), 0.0, atol=1e-12)


def test_stirring_with_another_tool_shears_more() -> None:
    """At 27 °C without seed, the shear of a spatula makes more growth sites than a stirring hand, rest none."""
    sites = []
    for shear in (0.0, None, 50.0):
        bowls = Bowls(bowl_of(replace(SETUP, stock="melted", start_c=Spread.exact(27.0), wall_c=Spread.exact(27.0))))
        bowls.stir(120.0, shear=shear)
        sites.append(float(bowls.sites()[0]))
    assert sites[0] < 1e-9
    assert sites[0] < sites[1] < sites[2]


def test_what_makes_no_sense_is_refused() -> None:
    """A seed of no known form, all of a bowl poured out, a soft block, a block in the oven."""
    with pytest.raises(ValueError, match="a seed has one of"):
        Seed(form="IX")
    with pytest.raises(ValueError, match="specific heat"):
        Seed(heat=2000.0)
    with pytest.raises(ValueError, match="from 0 to less than 1"):
        warm_bowls().pour_out(1.0)
    bowls = warm_bowls()
    with pytest.raises(ValueError, match="too warm"):
        bowls.add(0.1, 36.0, Seed.block())
    bowls.add(0.1, 20.0, Seed.block())
    with pytest.raises(ValueError, match="oven"):
        bowls.burst(10.0)


def test_two_pieces_are_one_of_their_mean() -> None:
    """A second piece joins the first: together they are taken out, and together they have the heat of both."""
    one, two = warm_bowls(), warm_bowls()
    one.add(0.2, 18.0, Seed.block())
    for celsius in (16.0, 20.0):
        two.add(0.1, celsius, Seed.block())
    for bowls in (one, two):
        bowls.stir(60.0)
    np.testing.assert_allclose(one.reading(), two.reading(), atol=0.01)
    np.testing.assert_allclose(one.take_block_out(), two.take_block_out(), rtol=0.01)


def test_fully_melted_is_without_memory() -> None:
    """Once fully melted a bowl is even, has no crystal, no growth site and no block left, and has been that hot."""
    bowls = warm_bowls()
    bowls.add(0.2, 20.0)
    bowls.add(0.1, 20.0, Seed.block())
    bowls.melted_at(np.linspace(44.0, 49.0, 6))
    np.testing.assert_array_equal(bowls.solid(), 0.0)
    np.testing.assert_array_equal(bowls.sites(), 0.0)
    np.testing.assert_allclose(bowls.temperature(), np.linspace(44.0, 49.0, 6))
    np.testing.assert_allclose(bowls.wall(), np.linspace(44.0, 49.0, 6))
    np.testing.assert_array_equal(bowls.take_block_out(), 0.0)
    assert (bowls.peak.max(axis=1) >= np.linspace(44.0, 49.0, 6)).all()
    bowls.stir(60.0)
    assert bowls.bad.sum() == 0


def test_branches_keep_their_blocks_apart() -> None:
    """A copy and a choice of members carry their own blocks."""
    bowls = warm_bowls()
    bowls.add(0.1, 20.0, Seed.block())
    other, few = bowls.copy(), bowls.only(np.array([1, 4]))
    other.stir(60.0)
    np.testing.assert_array_equal(bowls.take_block_out(), 0.1)
    assert (few.take_block_out() == 0.1).all()
    assert (other.take_block_out() < 0.1).all()
