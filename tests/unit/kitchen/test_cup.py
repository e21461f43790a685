"""The sample cup: exact slopes, heat that goes nowhere but to the bath, and known answers of conduction."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import j0, j1, jn_zeros

from temperbench.foundation.errors import InputError
from temperbench.foundation.quantities import spread_of
from temperbench.kitchen.cup import RINGS, Bath, Cooled, chocolate_only, cool_cups, cup_figures, cup_of, lagged, wetted
from temperbench.kitchen.cup_solver import bath_at, cup_jacobian, cup_rates, cup_state_size, run_cups
from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.parcel import parcel_states, run_parcels
from temperbench.matter.crystals import CP, FAT, H_5, H_6, H_U, PARCEL, TEMP, X5, X6, XU

ROW, CURVE = nominal_row()
SEEDS = np.array([0.0, 0.002, 0.005, 0.01, 0.02, 0.03, 0.05, 0.08])
EVEN = [1.0, 5000.0, 1e-3, 5.5, 0.0, 0.0]  # so conductive that its rings are one parcel


def cooled(figures: list[float], seeds: np.ndarray, bath_c: float, seconds: np.ndarray, rings: int = RINGS) -> Cooled:
    """Cool cups that differ in their crystals only."""
    m = len(seeds)
    rows, curves = np.repeat(ROW[None], m, 0), np.repeat(CURVE[None], m, 0)
    start = np.full(m, 31.5)
    cups, bath = np.repeat([figures], m, 0), Bath.steady(bath_c)
    return cool_cups(rows, curves, cups, start, seeds, 100.0 * seeds, bath, seconds, rings=rings, tolerance=1e-4)


def a_state(n: int) -> np.ndarray:
    """Return a cup in the middle of setting, every ring different."""
    y = np.zeros(cup_state_size(n))
    for i in range(n):
        y[i * PARCEL : (i + 1) * PARCEL] = [0.1 + 0.02 * i, 0.001, 0.05 - 0.01 * i, 2.0, 0.5, 24.0 - i]
    y[-1] = 12.0
    return y


def test_jacobian_is_that_of_the_rates() -> None:
    """Ring blocks and couplings agree with central differences of the rates to seven digits."""
    n, c = 4, np.array([0.012, 0.08, 6.0, 0.05, 0.0, 0.2])
    size, y = cup_state_size(n), a_state(n)
    blocks, down, up = np.zeros((n, PARCEL, PARCEL)), np.zeros(n + 1), np.zeros(n + 1)
    own = cup_jacobian(y, n, ROW, CURVE, c, blocks, down, up)
    whole = np.zeros((size, size))
    for i in range(n):
        o = i * PARCEL
        whole[o : o + PARCEL, o : o + PARCEL] = blocks[i]
        if i > 0:
            whole[o + TEMP, o - PARCEL + TEMP] = down[i]
        whole[o + TEMP, o + PARCEL + TEMP if i < n - 1 else size - 1] = up[i]
    whole[-1, -1], whole[-1, size - PARCEL - 1 + TEMP] = own, down[n]
    numeric = np.zeros_like(whole)
    for j in range(size):
        step = 1e-6 * max(1.0, abs(y[j]))
        ends = []
        for sign in (1.0, -1.0):
            moved, f = y.copy(), np.zeros(size)
            moved[j] += sign * step
            cup_rates(moved, n, ROW, CURVE, c, 0.0, f)
            ends.append(f)
        numeric[:, j] = (ends[0] - ends[1]) / (2.0 * step)
    assert np.abs(whole - numeric).max() < 1e-7


def test_an_even_cup_is_a_parcel() -> None:
    """With one ring and hardly any resistance inside, the cup cools as the parcel of the cooling test does."""
    seconds = np.arange(0.0, 1800.0, 10.0)
    rows, curves = np.repeat(nominal_row(top=5.5)[0][None], 8, 0), np.repeat(CURVE[None], 8, 0)
    parcels = run_parcels(parcel_states(31.5, SEEDS, 100.0 * SEEDS), rows, curves, np.full(8, 8.0), seconds)
    found = cooled(EVEN, SEEDS, 8.0, seconds, rings=1)
    assert np.abs(found.probe - parcels[:, :, TEMP]).max() < 0.02
    assert np.abs(found.unstable - parcels[:, :, XU]).max() < 2e-3


def enthalpy(y: np.ndarray, c: np.ndarray, n: int) -> float:
    """Heat in cup and chocolate, latent heat included, J."""
    total = c[2] * y[-1]
    for i in range(n):
        ring = y[i * PARCEL : (i + 1) * PARCEL]
        latent = ROW[H_5] * ring[X5] + ROW[H_6] * ring[X6] + ROW[H_U] * ring[XU]
        total += c[0] * (2 * i + 1) / n**2 * (ROW[CP] * ring[TEMP] - ROW[FAT] * latent)
    return float(total)


def test_a_cup_without_a_bath_keeps_its_heat() -> None:
    """Setting, melting and conduction inside a cup that loses nothing change its enthalpy by less than 1e-9 of it."""
    n, c = 4, np.array([0.012, 0.08, 6.0, 0.0, 0.0, 0.2])
    y, out, bad = a_state(n)[None].copy(), np.zeros((1, 2, 4)), np.zeros(1, dtype=np.int64)
    before = enthalpy(y[0], c, n)
    zero = np.zeros(1)
    run_cups(y, n, ROW[None], CURVE[None], c[None], zero, zero, np.array([0.0, 900.0]), 1e-3, out, bad)
    assert bad[0] == 0
    assert enthalpy(y[0], c, n) == pytest.approx(before, rel=1e-9)
    assert y[0, TEMP] != pytest.approx(24.0, abs=0.5)


def test_rings_come_to_the_series_solution_of_a_cylinder() -> None:
    """Liquid chocolate whose wall is at once as cold as the bath follows Fourier's series on the axis, to order two.

    Above 40 °C nothing sets. Carslaw & Jaeger's series for a long cylinder.
    """
    radius, length, k, rho = 0.0075, 0.05, 0.26, 1250.0
    mass = rho * math.pi * radius**2 * length
    seconds = np.array([40.0, 80.0, 160.0])
    alpha = k / (rho * ROW[CP])
    roots = jn_zeros(0, 40)
    axis = sum(2.0 / (b * j1(b)) * j0(0.0) * np.exp(-alpha * seconds * (b / radius) ** 2) for b in roots)
    true = 40.0 + 20.0 * axis
    figures = [mass, 2.0 * math.pi * length * k, 1e-3, 1e4, 0.0, 0.0]
    errors = []
    for rings in (4, 8, 16):
        one = np.ones(1)
        found = cool_cups(ROW[None], CURVE[None], np.array([figures]), 60.0 * one, 0.0 * one, 0.0 * one,
                          Bath.steady(40.0), seconds, rings=rings, tolerance=1e-4)  # fmt: skip
        errors.append(float(np.abs(found.probe[0] - true).max()))
    assert errors[0] < 0.35
    assert errors[1] < 0.4 * errors[0]
    assert errors[2] < 0.4 * errors[1]


def middle_cup(kind: str) -> list[float]:
    """Return the figures of a cup with 12 g in 15 mm, all in their middle."""
    cup, one = cup_of(kind, grams=12.0, width=0.015), np.ones(1)
    found = cup_figures(one * cup.mass.mid, one * cup.width.mid, one * 0.26, one * cup.heat.mid, one * cup.outside.mid,
                        0.0 * one, 0.1 * one)  # fmt: skip
    return [float(figure) for figure in found[0]]


def test_four_rings_are_near_sixteen() -> None:
    """In a sleeve the four rings of a fit differ from sixteen by less than the least misfit that a fit allows for."""
    figures = middle_cup("jacket")
    seconds = np.arange(0.0, 1800.0, 15.0)
    seeds = np.array([0.002, 0.01, 0.03])
    coarse, fine = (cooled(figures, seeds, 0.0, seconds, rings=n).probe for n in (RINGS, 16))
    assert np.sqrt(((coarse - fine) ** 2).mean()) < spread_of("curve.misfit").low


def test_a_bath_is_straight_between_its_points() -> None:
    """Temperature and slope between two points of a log; constant before the first and after the last."""
    times, celsius = np.array([0.0, 10.0, 30.0]), np.array([2.0, 4.0, 0.0])
    assert bath_at(times, celsius, 20.0) == (pytest.approx(2.0), pytest.approx(-0.2))
    assert bath_at(times, celsius, -5.0) == (2.0, 0.0)
    assert bath_at(times, celsius, 99.0) == (0.0, 0.0)


def test_a_bath_that_warms_is_followed() -> None:
    """A liquid cup without resistance inside follows a bath that warms evenly, behind by its time constant."""
    tau = 1650.0 / 5.5
    seconds = np.array([8.0 * tau])
    one = np.ones(1)
    bath = Bath(np.array([0.0, 10.0 * tau]), np.array([50.0, 60.0]))
    found = cool_cups(ROW[None], CURVE[None], np.array([EVEN]), 50.0 * one, 0.0 * one, 0.0 * one, bath, seconds,
                      rings=1, tolerance=1e-5)  # fmt: skip
    expected = 50.0 + 8.0 - 1.0 * (1.0 - math.exp(-8.0))
    assert found.probe[0, 0] == pytest.approx(expected, abs=0.003)


def test_lag_of_a_probe_on_a_straight_fall() -> None:
    """Behind a straight fall a probe comes to lag by slope times time constant."""
    seconds = np.arange(0.0, 300.0, 7.0)
    shown = lagged(seconds, (30.0 - 0.02 * seconds)[None], np.array([20.0]))
    assert shown[0, -1] == pytest.approx(30.0 - 0.02 * (seconds[-1] - 20.0), abs=1e-4)
    assert shown[0, 0] == 30.0


def test_crystals_at_the_start_set_the_cup_warmer() -> None:
    """More crystals, as well dispersed, keep a cup warmer ten minutes on, in every cup."""
    for kind in ("jacket", "metal", "plastic"):
        early = cooled(middle_cup(kind), SEEDS[:6], 0.0, np.array([180.0])).probe[:, 0]
        assert (np.diff(early) > -1e-6).all()


def test_what_is_known_of_a_cup_narrows_it() -> None:
    """A weighed sample, a measured width and a calibrated conductance each replace a default that is said."""
    vague, known = cup_of("jacket"), cup_of("jacket", grams=12.0, width=0.015, cup_grams=15.0)
    assert [len(vague.defaults_used), len(known.defaults_used)] == [3, 1]
    assert known.mass.high - known.mass.low < vague.mass.high - vague.mass.low
    assert known.heat.mid == pytest.approx(0.015 * 460.0)
    with pytest.raises(InputError, match="jacket, metal, plastic"):
        cup_of("paper")


def test_wetted_area_and_the_waters_own_film() -> None:
    """12 g in 15 mm stand 54 mm deep; taking the film of the water away raises a conductance a little."""
    depth = 0.012 / (1250.0 * math.pi * 0.0075**2)
    assert wetted(0.012, 0.015) == pytest.approx(math.pi * 0.015 * depth + math.pi * 0.0075**2)
    assert chocolate_only(0.05, 0.012, 0.015) == pytest.approx(1.0 / (20.0 - 1.0 / (500.0 * wetted(0.012, 0.015))))


def test_sites_grow_nothing_when_there_is_nothing() -> None:
    """Without crystals form V never comes in a cup at rest; what comes is unstable."""
    found = cooled(EVEN, np.zeros(1), 8.0, np.array([1500.0]), rings=1)
    assert found.stable[0, 0] < 0.03
    assert found.unstable[0, 0] > 0.5
