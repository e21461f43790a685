"""Chains of cells: laws of conduction, crystals beside stone, conservation, order, and another integrator."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import erfcx

from temperbench.kitchen.bowl_reference import CrystalStore
from temperbench.kitchen.chain import PASSIVE, Chain, chain_enthalpy, graded_cells, run_chain, series_links
from temperbench.kitchen.members import nominal_row
from temperbench.matter.crystals import CP, PARCEL, TEMP, X5
from temperbench.matter.thermal import contact_temperature

Array = np.ndarray

STONE = {"conductivity": 2.8, "heat": 2680.0 * 830.0}  # W/(m K), J/(m³ K)
LAYER = 5e-3 * 1240.0 * 1600.0  # 5 mm of chocolate, J/(m² K)


def passive(widths: Array, *, conductivity: float, heat: float) -> Chain:
    """Return one bar of a single stuff, cut off from everything."""
    n = len(widths)
    return Chain(
        np.full(n, PASSIVE), np.empty((1, 0, 0)), np.empty((1, 0, 0, 5)), widths[None] * heat,
        series_links(widths[None] / conductivity), np.zeros((1, n)), np.zeros((1, n)),
    )  # fmt: skip


def with_layer(bar: Chain, first: float, *, layer: float = LAYER, crystals: bool = False, shear: float = 0.0) -> Chain:
    """Lay a mixed layer on the face of a bar whose first cell has the width ``first``."""
    n = bar.heat.shape[1] + 1
    kind = np.full(n, PASSIVE)
    row, curve = nominal_row(fat=0.36)
    kind[0] = 0 if crystals else PASSIVE
    down = 2.0 * STONE["conductivity"] / first
    return Chain(
        kind, row[None, None], curve[None, None], np.hstack([[[layer]], bar.heat]), np.hstack([[[down]], bar.link]),
        np.hstack([[[0.0]], bar.outside]), np.full((1, n), shear),
    )  # fmt: skip


def seeded(chain: Chain, top_c: float, rest_c: float) -> Array:
    """Return a state with 1 % of the fat as crystals of V in the first cell."""
    y = chain.start(rest_c)
    y[:, 0] = 0.01, 0.0, 0.0, 1.0, 0.0, top_c
    return y


@pytest.mark.parametrize(("seconds", "page"), [(10.0, 32.3), (30.0, 28.6), (60.0, 26.5), (120.0, 24.8)])
def test_mixed_layer_on_a_half_space(seconds: float, page: float) -> None:
    """A layer at 45 °C kept mixed on thick stone of 20 °C follows exp(b²t) erfc(b√t) (Carslaw & Jaeger 1959)."""
    widths = graded_cells(0.3, 1e-4, 80)
    chain = with_layer(passive(widths, **STONE), widths[0])
    y = chain.start(20.0)
    y[0, 0, TEMP] = 45.0
    run_chain(chain, y, seconds, 20.0, tolerance=1e-4)
    b = math.sqrt(STONE["conductivity"] * STONE["heat"]) / LAYER
    assert y[0, 0, TEMP] == pytest.approx(20.0 + 25.0 * erfcx(b * math.sqrt(seconds)), abs=0.01)
    assert y[0, 0, TEMP] == pytest.approx(page, abs=0.06)


def test_face_of_two_bodies_that_touch() -> None:
    """Chocolate at 45 °C on stone at 20 °C: where they touch it is at once 25.6 °C, weighted by effusivities."""
    widths = graded_cells(0.2, 2e-5, 120)
    stuff = {"conductivity": 0.26, "heat": 1240.0 * 1600.0}
    resistance = np.concatenate([widths[::-1] / stuff["conductivity"], widths / STONE["conductivity"]])[None]
    heat = np.concatenate([widths[::-1] * stuff["heat"], widths * STONE["heat"]])[None]
    n = heat.shape[1]
    chain = replace(passive(np.full(n, 1.0), **STONE), heat=heat, link=series_links(resistance))
    y = chain.start(np.repeat([45.0, 20.0], n // 2)[None])
    run_chain(chain, y, 4.0, 20.0, tolerance=1e-4)
    above, below = y[0, n // 2 - 1, TEMP], y[0, n // 2, TEMP]
    r = resistance[0, n // 2 - 1 : n // 2 + 1]
    one, other = (math.sqrt(s["conductivity"] * s["heat"]) for s in (stuff, STONE))
    expected = contact_temperature(one, 45.0, other, 20.0)
    assert (r[1] * above + r[0] * below) / (r[0] + r[1]) == pytest.approx(expected, abs=0.01)
    assert expected == pytest.approx(25.6, abs=0.05)


def test_a_layer_at_rest_evens_out_in_its_own_time() -> None:
    """5 mm at rest on a face held cold: its slowest shape dies by 1/e in 4δ²/(π²α), 77 s."""
    n, alpha = 100, 0.26 / (1240.0 * 1600.0)
    widths = np.full(n, 5e-3 / n)
    chain = passive(widths, conductivity=0.26, heat=1240.0 * 1600.0)
    held = np.zeros((1, n))
    held[0, 0] = 2.0 * 0.26 / widths[0]
    chain = replace(chain, outside=held)
    y = chain.start(45.0)
    run_chain(chain, y, 100.0, 20.0, tolerance=1e-4)
    before = y[0, -1, TEMP] - 20.0
    run_chain(chain, y, 60.0, 20.0, tolerance=1e-4)
    tau = 4.0 * 5e-3**2 / (math.pi**2 * alpha)
    assert -60.0 / math.log((y[0, -1, TEMP] - 20.0) / before) == pytest.approx(tau, rel=2e-3)
    assert tau == pytest.approx(77.3, abs=0.5)


@pytest.mark.parametrize("shear", [0.0, 50.0])
def test_enthalpy_is_kept(shear: float) -> None:
    """Stone, crystallising chocolate and what left to the room together keep their enthalpy to 1e-11."""
    widths = graded_cells(0.02, 3e-4, 12)
    chain = with_layer(passive(widths, **STONE), widths[0], crystals=True, shear=shear)
    chain = replace(chain, outside=np.full_like(chain.outside, 6.0))
    y = seeded(chain, 33.0, 18.0)
    before = chain_enthalpy(chain, y)
    given = run_chain(chain, y, 600.0, 21.0)
    assert y[0, 0, X5] > 0.1
    assert chain_enthalpy(chain, y) + given.sum(axis=1) == pytest.approx(before, rel=1e-11)


def test_order_two() -> None:
    """Halving the step divides the error by four: splitting, crystals and conduction together."""
    widths = np.full(4, 5e-3)
    chain = with_layer(passive(widths, **STONE), widths[0], crystals=True, shear=50.0)
    ends = []
    for step in (4.0, 2.0, 1.0, 0.5, 1.0 / 64.0):
        y = seeded(chain, 26.0, 21.0)
        run_chain(chain, y, 64.0, 20.0, fixed_s=step)
        ends.append(y[0])
    errors = [np.abs(e - ends[-1])[0] for e in ends[:-1]]
    orders = [np.log2(a / b) for a, b in pairwise(errors)]
    assert orders[-1][[X5, 3, TEMP]] == pytest.approx(2.0, abs=0.15)


def dense_rates(chain: Chain, flat: Array, away: float) -> Array:
    """Return the time derivative of one chain from the plain equations, term by term."""
    y = flat.reshape(-1, PARCEL)
    n = len(y)
    f = np.zeros_like(y)
    heat = np.zeros(n)
    for i in range(n):
        heat[i] -= chain.outside[0, i] * (y[i, TEMP] - away)
        for j in (i - 1, i + 1):
            if 0 <= j < n:
                heat[i] += chain.link[0, min(i, j)] * (y[j, TEMP] - y[i, TEMP])
        if chain.kind[i] == PASSIVE:
            f[i, TEMP] = heat[i] / chain.heat[0, i]
        else:
            row = chain.rows[0, chain.kind[i]]
            store = CrystalStore(row, chain.curves[0, chain.kind[i]])
            mass = chain.heat[0, i] / row[CP]
            f[i] = store.rates(y[i : i + 1], heat[i : i + 1] / mass, float(chain.shear[0, i]))[0]
    return f.ravel()


def test_another_integrator_agrees() -> None:
    """An implicit Runge-Kutta method of order 5 on the plain equations gives the same two parcels on stone."""
    widths = np.array([1e-3, 4e-3, 1e-2])
    stone = passive(widths, **STONE)
    row, curve = nominal_row(fat=0.36)
    other, softer = nominal_row(fat=0.3, milk_share=0.2)
    chain = Chain(
        np.array([0, 1, PASSIVE, PASSIVE, PASSIVE]), np.stack([row, other])[None], np.stack([curve, softer])[None],
        np.hstack([[[6000.0, 3000.0]], stone.heat]), np.hstack([[[130.0, 400.0]], stone.link]),
        np.array([[12.0, 0.0, 0.0, 0.0, 5.0]]), np.array([[50.0, 20.0, 0.0, 0.0, 0.0]]),
    )  # fmt: skip
    y = seeded(chain, 30.0, 19.0)
    y[0, 1] = 0.02, 0.001, 0.0, 2.0, 0.0, 27.0
    start = y.ravel().copy()
    run_chain(chain, y, 300.0, 18.0, tolerance=1e-5)
    found = solve_ivp(lambda _, v: dense_rates(chain, v, 18.0), (0.0, 300.0), start, method="Radau", rtol=1e-8,
                      atol=1e-10, max_step=5.0)  # fmt: skip
    end = found.y[:, -1].reshape(-1, PARCEL)
    assert end[0, X5] > 0.02
    assert y[0] == pytest.approx(end, rel=2e-4, abs=2e-4)


def test_tolerance_holds() -> None:
    """At the working tolerance a seeded layer on stone is within 0.02 K and 0.1 % of the fat of a far finer run."""
    widths = graded_cells(0.02, 3e-4, 16)
    chain = with_layer(passive(widths, **STONE), widths[0], layer=1.2e4, crystals=True, shear=50.0)
    loose, fine = seeded(chain, 40.0, 20.0), seeded(chain, 40.0, 20.0)
    run_chain(chain, loose, 300.0, 20.0)
    run_chain(chain, fine, 300.0, 20.0, tolerance=1e-6)
    assert loose[0, :, TEMP] == pytest.approx(fine[0, :, TEMP], abs=0.02)
    assert loose[0, 0, X5] == pytest.approx(fine[0, 0, X5], abs=0.001)


def test_a_huge_step_neither_swings_nor_overshoots() -> None:
    """One step a thousand times as long as the fastest cell's own time leaves every cell between the two ends."""
    widths = graded_cells(0.02, 1e-5, 20)
    chain = with_layer(passive(widths, **STONE), widths[0])
    y = chain.start(20.0)
    y[0, 0, TEMP] = 45.0
    run_chain(chain, y, 1800.0, 20.0, fixed_s=1800.0)
    assert ((y[0, :, TEMP] > 19.9) & (y[0, :, TEMP] < 45.0)).all()


def test_members_do_not_see_each_other() -> None:
    """Each member's own seconds and figures decide; workers change nothing; no seconds, no change."""
    widths = graded_cells(0.02, 3e-4, 8)
    one = with_layer(passive(widths, **STONE), widths[0], crystals=True, shear=50.0)
    m = 7
    many = Chain(one.kind, *(np.repeat(a, m, axis=0) for a in (one.rows, one.curves, one.heat, one.link, one.outside,
                                                               one.shear)))  # fmt: skip
    seconds = np.linspace(0.0, 240.0, m)
    y, again = np.repeat(seeded(one, 35.0, 20.0), m, axis=0), np.repeat(seeded(one, 35.0, 20.0), m, axis=0)
    start = y.copy()
    run_chain(many, y, seconds, 20.0)
    run_chain(many, again, seconds, 20.0, workers=3)
    assert np.array_equal(y, again)
    assert np.array_equal(y[0], start[0])
    alone = seeded(one, 35.0, 20.0)
    run_chain(one, alone, seconds[4], 20.0)
    assert np.array_equal(alone[0], y[4])


def test_figures_that_are_no_numbers_are_refused() -> None:
    """A chain with a state or a duration that is not a number raises instead of returning it."""
    chain = passive(np.full(3, 1e-3), **STONE)
    y = chain.start(20.0)
    with pytest.raises(ArithmeticError, match="could not be integrated"):
        run_chain(chain, y, math.nan, 20.0)
    y[0, 1, TEMP] = math.nan
    with pytest.raises(ArithmeticError, match="could not be integrated"):
        run_chain(chain, y, 1.0, 20.0)


@pytest.mark.parametrize(("first", "expected"), [(3e-4, 3e-4), (5e-3, 2e-3)])
def test_graded_cells(first: float, expected: float) -> None:
    """Cells fill the thickness and grow by one ratio from the face on, or are equal where the first is too wide."""
    widths = graded_cells(0.02, first, 10)
    assert widths.sum() == pytest.approx(0.02, rel=1e-12)
    assert widths[0] == pytest.approx(expected, rel=1e-9)
    assert widths[1:] / widths[:-1] == pytest.approx(widths[1] / widths[0], rel=1e-9)
