"""Chocolate worked on a slab: enthalpy, limits, rounds, and what makes it cool sooner or later."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bowl_cases import EXACT, SETUP, bowl_of
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.slab import Slabs, SlabSetup, draw_slabs, layer_on_slab, middle_slabs, slab_from, slab_spreads
from temperbench.kitchen.surfaces import bench, half_space_limit, tabled_temperature
from temperbench.matter.crystals import CP, GROWTH, GROWTH_U, N5, TEMP, X5, XU

ROOM = Spread.exact(20.0)
MARBLE = slab_from("marble", 0.02, 0.24, 20.0, ROOM)
ROW, CURVE = nominal_row(fat=0.36)


def poured(celsius: float, m: int = 1) -> np.ndarray:
    """Return melted chocolate without crystals."""
    y = np.zeros((m, 6))
    y[:, TEMP] = celsius
    return y


def worked(
    slabs: Slabs, y: np.ndarray, seconds: float, kilograms: float = 0.667, *, gathered: bool = False
) -> np.ndarray:
    """Work dark chocolate in place and return it."""
    m = len(y)
    slabs.work(y, np.repeat(ROW[None], m, 0), np.repeat(CURVE[None], m, 0), np.full(m, kilograms), seconds,
               gathered=gathered)  # fmt: skip
    return y


def middle(setup: SlabSetup = MARBLE, **changed: float) -> Slabs:
    """Return one slab with middle figures but for those changed."""
    slabs = middle_slabs(setup, np.array([20.0]))
    slabs.figures |= {k: np.array([v]) for k, v in changed.items()}
    return slabs


def test_enthalpy_is_kept_over_rounds() -> None:
    """Chocolate, slab and what the room took keep their enthalpy to 1e-9 over two rounds with a rest between."""
    rng = np.random.default_rng(3)
    m = 24
    slabs = draw_slabs(MARBLE, np.full(m, 19.0), rng)
    y, kg = poured(45.0, m), np.full(m, 0.6)
    rows, curves = np.repeat(ROW[None], m, 0), np.repeat(CURVE[None], m, 0)
    before = slabs.enthalpy_j(y, rows, curves, kg)
    slabs.work(y, rows, curves, kg, 150.0)
    slabs.work(y, rows, curves, kg, 120.0, gathered=True)
    slabs.rest(60.0)
    slabs.work(y, rows, curves, kg, rng.uniform(0.0, 200.0, m))
    assert y[:, X5].max() > 0.005
    assert slabs.enthalpy_j(y, rows, curves, kg) + slabs.lost_j == pytest.approx(before, rel=1e-9)


def test_thick_slab_is_a_half_space() -> None:
    """Until the heat has crossed it a slab cools a layer as an endless one does, within 0.1 K; later it is warmer."""
    stone = bench("marble")
    limit = half_space_limit(0.03, stone.diffusivity)
    figures = {"start": 45.0, "slab_at": 20.0, "layer": 0.005}
    for time in (10.0, 60.0, 0.9 * limit):
        endless = tabled_temperature(time=time, slab=stone.effusivity, **figures)
        assert layer_on_slab(material="marble", thickness=0.03, time=time, **figures) == pytest.approx(endless, abs=0.1)
    endless = tabled_temperature(time=1200.0, slab=stone.effusivity, **figures)
    assert layer_on_slab(material="marble", thickness=0.03, time=1200.0, **figures) > endless + 0.5


def test_cells_are_enough() -> None:
    """Four times as many cells change the working of a layer by less than 0.05 K from 5 s on."""
    fine = middle()
    rough = middle()
    cells = 64
    fine.widths = np.full((1, cells), 0.02 / cells)
    fine.celsius = np.full((1, cells), 20.0)
    a, b = poured(45.0), poured(45.0)
    for seconds in (5.0, 25.0, 90.0):
        assert worked(rough, a, seconds)[0, TEMP] == pytest.approx(worked(fine, b, seconds)[0, TEMP], abs=0.05)


def test_everything_ends_at_one_temperature() -> None:
    """In the long run chocolate without crystals and a slab without losses meet at the mean of their heats."""
    slabs = middle(support=1e-12, air_film=0.0)
    kg = 0.6
    y = poured(45.0)
    rows = ROW[None].copy()
    rows[0, [GROWTH, GROWTH_U]] = 0.0
    slabs.work(y, rows, CURVE[None], np.array([kg]), 7200.0)
    heat = kg * ROW[CP]
    mean = (heat * 45.0 + slabs.heat_j_k()[0] * 20.0) / (heat + slabs.heat_j_k()[0])
    assert y[0, TEMP] == pytest.approx(mean, abs=0.01)
    assert slabs.mean_c()[0] == pytest.approx(mean, abs=0.01)


def test_a_second_round_meets_a_warmer_slab() -> None:
    """The slab keeps what the first round gave it: the same pour is warmer after the second minute and a half."""
    slabs = middle()
    first = worked(slabs, poured(45.0), 90.0)
    second = worked(slabs, poured(45.0), 90.0)
    assert second[0, TEMP] > first[0, TEMP] + 0.5
    slabs.rest(3600.0 * 6)
    assert slabs.surface_c()[0] == pytest.approx(20.0, abs=0.1)


@pytest.mark.parametrize(
    ("cooler", "warmer"),
    [
        (middle(layer=0.005), middle(layer=0.012)),
        (middle(spread_share=0.7), middle(spread_share=0.35)),
        (middle(renewal=2.0), middle(renewal=8.0)),
        (middle(slab_from("marble", 0.03, 0.24, 20.0, ROOM)), middle(slab_from("marble", 0.01, 0.24, 20.0, ROOM))),
        (middle(), middle(slab_from("steel", None, 0.24, 20.0, ROOM))),
        (middle(slab_from("marble", 0.02, 0.24, 16.0, ROOM)), middle(slab_from("marble", 0.02, 0.24, 24.0, ROOM))),
        (middle(), middle(slab_from("marble", 0.02, 0.08, 20.0, ROOM))),
    ],
)
def test_what_cools_sooner(cooler: Slabs, warmer: Slabs) -> None:
    """Thin layers, more time spread, a quick scraper, thick, cold and large stone cool chocolate sooner."""
    assert worked(cooler, poured(45.0), 90.0)[0, TEMP] < worked(warmer, poured(45.0), 90.0)[0, TEMP] - 0.1


def test_gathered_chocolate_holds_its_temperature() -> None:
    """Kept together at 27.5 °C it loses less than half of what it does while it is spread in turn."""
    lost = [27.5 - worked(middle(), poured(27.5), 60.0, gathered=g)[0, TEMP] for g in (True, False)]
    assert 0.0 < lost[0] < 0.5 * lost[1]


def test_work_makes_crystals_and_rest_does_not() -> None:
    """Without seed crystals of V come from shear; with the knife at rest at 24 °C hardly any turn up in 5 minutes."""
    moved, still = middle(slab_from("marble", 0.02, 0.24, 24.0, ROOM)), middle(shear=0.0)
    assert worked(moved, poured(27.0), 300.0)[0, X5] > 0.005
    found = worked(still, poured(27.0), 300.0)[0]
    assert found[X5] < 1e-5
    assert found[N5] == 0.0


def test_too_much_chocolate_lies_thicker() -> None:
    """What three quarters of the slab cannot hold at the usual layer lies thicker, and says so."""
    slabs = middle()
    assert slabs.layer_m(np.array([0.6])) == pytest.approx(0.008)
    assert slabs.layer_m(np.array([4.5])) == pytest.approx(4.5 / 1250.0 / (0.75 * 0.24), rel=0.01)


def test_what_is_not_given_is_said() -> None:
    """A slab nobody measured takes the usual spreads and says so; what is stated is narrow."""
    unknown = slab_from("granite", None, None, None, Spread(17.0, 20.0, 24.0))
    assert len(unknown.defaults_used) == 3
    assert (unknown.start_c.low, unknown.start_c.high) == (15.0, 24.0)
    assert MARBLE.defaults_used == ()
    assert MARBLE.thickness_m.high == pytest.approx(0.021)
    assert set(slab_spreads(MARBLE)) == set(middle().figures)


def test_draws_repeat() -> None:
    """The same generator gives the same slabs; they differ from each other."""
    a, b = (draw_slabs(MARBLE, np.full(8, 20.0), np.random.default_rng(5)) for _ in range(2))
    assert all(np.array_equal(a.figures[k], b.figures[k]) for k in a.figures)
    assert len(set(a.figures["layer"].round(9))) == 8


def test_what_is_poured_out_of_a_bowl() -> None:
    """An ensemble poured out of bowls goes through the slab as its own one mass; who has no seconds stays as it was."""
    poured_out = Bowls(bowl_of(replace(SETUP, stock="melted", start_c=EXACT(45.0))).take(np.array([0, 0])))
    slabs = middle_slabs(MARBLE, np.full(2, 20.0))
    slabs.work_poured(poured_out, np.array([60.0, 0.0]))
    y = poured(45.0)
    p = poured_out.members
    middle().work(y, p.rows[:1], p.curves[:1], p.rows[:1, MASS], 60.0)
    assert poured_out.temperature() == pytest.approx([y[0, TEMP], 45.0])
    assert np.ptp(poured_out.zone(TEMP), axis=1).tolist() == [0.0, 0.0]


def test_a_copy_is_a_branch() -> None:
    """Working on a copy leaves the slab and its account as they were."""
    slabs = middle()
    other = slabs.copy()
    worked(other, poured(45.0), 60.0)
    assert slabs.mean_c()[0] == 20.0
    assert slabs.lost_j[0] == 0.0
    assert other.mean_c()[0] > 20.1


def test_colder_work_makes_unstable_crystals() -> None:
    """Overcooled to the stone's 16 °C a layer has unstable crystals; at 27 °C it has hardly any."""
    cold, usual = (
        middle(slab_from("marble", 0.03, 0.24, 16.0, ROOM)),
        middle(slab_from("marble", 0.02, 0.24, 26.0, ROOM)),
    )
    assert worked(cold, poured(45.0), 240.0)[0, XU] > 1e-5
    assert worked(usual, poured(28.0), 240.0)[0, XU] < 1e-6
