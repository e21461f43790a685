"""The bowl at the start, left alone, warmed and refilled: what must hold whatever the figures are."""

from __future__ import annotations

import numpy as np
import pytest

from temperbench.foundation.evidence import number, row
from temperbench.insight.keeping.forecast import look_on, thickening
from temperbench.insight.keeping.heaters import heater_of
from temperbench.insight.keeping.start import make_even, middle_in_temper
from temperbench.kitchen.bowl_layout import MASS, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.seeds import Seed
from temperbench.matter.crystals import CP, FAT, H_5, PARCEL
from temperbench.matter.flow import viscosity_ratio, viscosity_ratios
from unit.insight.keeping.cases import asked, drawn, situation


def heat(bowls: Bowls) -> np.ndarray:
    """Return the enthalpy of chocolate and wall. [J]"""
    wall = bowls.members.rows[:, WALL_HEAT] * bowls.y[:, bowls.zones * PARCEL]
    return np.asarray(bowls.chocolate_heat() + wall)


def test_bowls_at_the_start_read_and_are_tempered_as_said() -> None:
    """Each bowl's own thermometer would have shown the reading, and its crystals are those of the way into temper."""
    bowls = drawn(asked(at_c=31.5, tempered="seeded"), 200)
    p = bowls.members
    off = bowls.temperature() + p.bias_c - 31.5
    assert float(np.abs(off).max()) < 5.0 * float(p.noise_c.max())
    found, stated = bowls.stable(), row("keep.crystals.seeded")
    assert stated.low is not None
    assert stated.high is not None
    assert stated.low < float(found.min())
    assert float(found.max()) < stated.high


def test_a_bowl_called_thick_has_more_crystals_or_stiffer_ones() -> None:
    """Among bowls that flow as said, thick ones have the higher viscosity ratio."""
    ratio = {}
    for word in ("with ease", "thick"):
        bowls = drawn(asked(flows=word), 100)
        p = bowls.members
        ratio[word] = float(np.median(viscosity_ratios(bowls.solid(), p.rows[:, FAT], p.kappa)))
    assert ratio["with ease"] < 1.6 < ratio["thick"]


def test_ratios_of_arrays_are_those_of_single_figures() -> None:
    """The array form of the viscosity ratio is the plain one, infinite where nothing flows."""
    crystals, fat, kappa = np.array([0.0, 0.05, 0.1, 0.9]), np.full(4, 0.34), np.array([1.0, 3.0, 1.5, 3.0])
    plain = [viscosity_ratio(float(x), 0.34, float(k)) for x, k in zip(crystals, kappa, strict=True)]
    assert np.allclose(viscosity_ratios(crystals, fat, kappa), plain, rtol=1e-12)
    assert np.isinf(plain[3])


def test_left_alone_a_bowl_thickens_and_cools_in_one_direction() -> None:
    """Nothing thins a bowl that is left alone; a bowl with more crystals is too thick sooner, and a cold room cools."""
    few, many = (look_on(drawn(asked(tempered=how)), "dark", 60.0, 2.0) for how in ("seeded", "part-melted"))
    assert (np.diff(few.ratio, axis=1) > -1e-6).all()
    assert float(np.median(many.thick_s)) < float(np.median(few.thick_s))
    told = thickening(few)
    assert told.workable.low <= told.workable.mid <= told.workable.high
    assert told.heat.mid_c[-1] < told.heat.mid_c[0]


@pytest.mark.parametrize("heater", ["microwave", "heat-gun", "bath"])
def test_longer_warming_leaves_a_bowl_warmer(heater: str) -> None:
    """Of copies of one bowl the one warmed for longer ends warmer, and none of them loses mass or crystals to it."""
    full, known, at = situation(asked(warm_with=heater))
    one = middle_in_temper(known, full, at)
    seconds = np.array([0.0, 5.0, 10.0, 15.0, 20.0])
    copies = np.zeros(len(seconds), dtype=np.intp)
    bowls = one.only(copies)
    make_even(bowls, 30.0, 0.03, 3.0)
    heater_of(full, known, 1).only(copies).warm(bowls, seconds)
    bowls.stir(60.0)
    assert (np.diff(bowls.reading()) > 0.0).all()
    assert np.allclose(bowls.members.rows[:, MASS], one.members.rows[0, MASS])
    assert float(bowls.stable().min()) > 0.02


def test_a_heat_gun_gives_what_it_says() -> None:
    """In a bowl that loses nothing, enthalpy rises by label power times the share that goes in, to 1e-6."""
    full, known, at = situation(asked(warm_with="heat-gun"))
    bowls = middle_in_temper(known, full, at)
    bowls.members.rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    before = heat(bowls)
    heater_of(full, known, 1).warm(bowls, np.array([30.0]))
    given = 30.0 * number("keep.gun_w") * number("keep.gun_share")
    assert heat(bowls)[0] - before[0] == pytest.approx(given, rel=1e-6)


def test_a_fuller_bowl_takes_more_of_a_burst() -> None:
    """A bowl that has been half used takes less power from the oven than when it was full."""
    full, known, at = situation(asked(grams=400.0))
    gained = []
    for taken in (0.0, 0.2):
        bowls = middle_in_temper(known, full, at)
        bowls.members.rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
        bowls.take_out(taken)
        before = heat(bowls)
        heater_of(full, known, 1).warm(bowls, np.array([10.0]))
        gained.append(float(heat(bowls)[0] - before[0]))
    assert 0.0 < gained[1] < gained[0]


def test_additions_and_returns_keep_mass_and_enthalpy() -> None:
    """What is stirred in brings its own mass and enthalpy and nothing else, to 1e-6; members may get none."""
    bowls = drawn(asked(), 8)
    before, mass = heat(bowls), bowls.members.rows[:, MASS].copy()
    kg = np.linspace(0.0, 0.2, 8)
    own = bowls.members.rows
    brought = kg * (own[:, CP] * 42.0)
    bowls.add(kg, 42.0, Seed.melted())
    crystals = bowls.solid() + 0.05
    brought += kg * (own[:, CP] * 28.0 - own[:, FAT] * own[:, H_5] * crystals)
    bowls.add(kg, 28.0, Seed("V", "dispersed", solid=crystals, sites=np.full(8, 2.0)))
    assert np.allclose(bowls.members.rows[:, MASS], mass + 2.0 * kg, rtol=1e-12)
    assert np.allclose(heat(bowls), before + brought, rtol=1e-6)
