"""The integrator: order conditions, stability, measured order of convergence, and exactness on linear problems."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from bowl_cases import ACTS, STILL, advance, one_step, row_of, settled_state
from temperbench.foundation.numerics import (
    ROS_A,
    ROS_ALPHA,
    ROS_C,
    ROS_GAMMA,
    ROS_GAMMA_SUM,
    ROS_STAGES,
    lu_factor,
    lu_solve,
)
from temperbench.kitchen.bowl_reference import Acts, CrystalStore, Network, plain_rates

# The coefficients in their classic form: stages at alpha, implicit part gamma, weights b, embedded weights low.
GAMMA = np.linalg.inv(np.eye(ROS_STAGES) / ROS_GAMMA - ROS_C)
ALPHA = ROS_A @ GAMMA
BETA = ALPHA + GAMMA
LAST = np.append(ROS_A[-1, :-1], 1.0)
B = LAST @ GAMMA
LOW = ROS_A[-1] @ GAMMA


def conditions(b: np.ndarray) -> dict[str, float]:
    """Return how far weights are from each order condition of a Rosenbrock method (Hairer and Wanner, IV.7)."""
    a, c, e = ALPHA.sum(axis=1), BETA.sum(axis=1), np.ones(ROS_STAGES)
    return {
        "1": b @ e - 1,
        "2": b @ c - 1 / 2,
        "3a": b @ a**2 - 1 / 3,
        "3b": b @ BETA @ c - 1 / 6,
        "4a": b @ a**3 - 1 / 4,
        "4b": b @ (a * (ALPHA @ c)) - 1 / 8,
        "4c": b @ BETA @ a**2 - 1 / 12,
        "4d": b @ BETA @ BETA @ c - 1 / 24,
    }


def growth_factor(z: complex, weights: np.ndarray) -> complex:
    """Return what one step makes of y' = z y."""
    stages = np.linalg.solve(np.eye(ROS_STAGES) - z * BETA, np.full(ROS_STAGES, z, dtype=complex))
    return complex(1.0 + weights @ stages)


def test_coefficients_meet_the_order_conditions() -> None:
    """All eight conditions of order 4 hold, those of order 3 for the embedded weights, and not those of order 4."""
    assert max(abs(v) for v in conditions(B).values()) < 1e-11
    low = conditions(LOW)
    assert max(abs(v) for k, v in low.items() if k[0] < "4") < 1e-11
    assert max(abs(v) for k, v in low.items() if k[0] == "4") > 1e-3


def test_stage_times_and_time_weights_belong_to_the_stages() -> None:
    """The sums used for time-dependent rates are the row sums of the coefficients."""
    np.testing.assert_allclose(ALPHA.sum(axis=1), ROS_ALPHA, atol=1e-11)
    np.testing.assert_allclose(GAMMA.sum(axis=1), ROS_GAMMA_SUM, atol=1e-11)


def test_scheme_is_l_stable() -> None:
    """Nothing grows that should decay: damping on the whole left half plane, complete at infinity."""
    imaginary = [abs(growth_factor(1j * w, B)) for w in np.logspace(-3, 6, 400)]
    assert max(imaginary) <= 1.0 + 1e-12
    assert abs(growth_factor(-1e9, B)) < 1e-7
    assert abs(growth_factor(-1e9, LOW)) < 1e-7


def seeds(*, temperatures: list[float], wall: float, solid: list[float], sites: list[float]) -> np.ndarray:
    """Return an uneven bowl."""
    y = settled_state(0.0, 0.0, 0.0)
    y[5::6], y[0:18:6], y[3:18:6], y[-1] = temperatures, solid, sites, wall
    return y


def smooth_cases() -> dict[str, tuple[np.ndarray, dict[str, float], Acts, float]]:
    """Return stretches in which no law has a corner: all temperatures stay between nodes, no form changes sides."""
    stirring = seeds(temperatures=[29.2, 28.6, 28.2], wall=28.0, solid=[0.01, 0.02, 0.04], sites=[1.0, 2.0, 5.0])
    cold = seeds(temperatures=[22.4, 22.0, 21.2], wall=21.5, solid=[0.01, 0.02, 0.04], sites=[1.0, 2.0, 5.0])
    cold[2:18:6], cold[4:18:6] = [0.002, 0.003, 0.004], 0.5
    heating = seeds(temperatures=[28.5, 28.0, 27.8], wall=27.0, solid=[0.15, 0.2, 0.3], sites=[5.0] * 3)
    hot_oven = {"power": 60.0, "drift": 0.3, "drift_tau": 20.0}
    return {
        "stirring": (stirring, {}, ACTS["stir"], 60.0),
        "unstable crystals": (cold, {}, replace(ACTS["stir"], air_c=10.0, bench_c=10.0), 60.0),
        "oven losing power": (heating, hot_oven, replace(ACTS["burst after stirring"], watts=60.0), 40.0),
    }


@pytest.mark.parametrize("case", smooth_cases())
def test_order_of_convergence(case: str) -> None:
    """With equal steps the error against an independent solution falls with the fourth power of the step.

    The solution is that of the plain reference by an explicit Runge-Kutta method of order 8 at 1e-13.
    """
    y, changed, acts, seconds = smooth_cases()[case]
    row, curve = row_of(**changed)
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)

    def plain(t: float, at: np.ndarray) -> np.ndarray:
        left = 1.0 - net.f["drift"] * (1.0 - np.exp(-t / net.f["drift_tau"]))
        return plain_rates(at, net, store, replace(acts, watts=acts.watts * left))

    exact = solve_ivp(plain, (0.0, seconds), y, method="DOP853", rtol=1e-13, atol=1e-13).y[:, -1]
    scale = np.array([*[0.02, 0.02, 0.02, 2.0, 2.0, 1.0] * 3, 1.0])
    errors = []
    for steps in (8, 16, 32):
        h, state = seconds / steps, y
        for k in range(steps):
            state = one_step(state, row, curve, acts, t=k * h, h=h)
        errors.append(np.abs((state - exact) / scale).max())
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders.min() >= 3.7
    assert errors[-1] < 1e-5


def test_exact_on_heat_flow_alone() -> None:
    """Without crystals the bowl is a linear problem: a small step agrees with its matrix exponential."""
    row, curve = row_of(log_beta=0.0, drift=0.0)
    y = seeds(temperatures=[60.0, 50.0, 41.0], wall=38.0, solid=[0.0] * 3, sites=[0.0] * 3)
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)
    places = [5, 11, 17, 18]
    origin = plain_rates(np.zeros(19), net, store, STILL)[places]
    matrix = np.stack([plain_rates(e, net, store, STILL)[places] - origin for e in np.eye(19)[places]], axis=1)
    rest = -np.linalg.solve(matrix, origin)
    for seconds in (1.0, 20.0):
        exact = rest + expm(matrix * seconds) @ (y[places] - rest)
        found = one_step(y, row, curve, STILL, t=0.0, h=seconds)[places]
        assert found == pytest.approx(exact, abs=1e-9 if seconds < 2.0 else 1e-4)


def test_stiff_exchange_needs_no_small_steps() -> None:
    """Zones tied a hundred million times tighter than real ones are even after one step of a minute."""
    row, curve = row_of(closed=True, conduct=3.0e7)
    y = seeds(temperatures=[60.0, 50.0, 41.0], wall=45.0, solid=[0.0] * 3, sites=[0.0] * 3)
    found = one_step(y, row, curve, STILL, t=0.0, h=60.0)
    assert np.ptp(found[5:18:6]) < 1e-4


@pytest.mark.parametrize("phase", ["burst", "stand", "stir"])
def test_whole_phases_agree_with_an_independent_solver(phase: str) -> None:
    """Melting a bowl of buttons with all its corners: within a few hundredths at the tolerance of plans."""
    row, curve = row_of(drift=0.0)
    net, store = Network.of_row(row, 3), CrystalStore(row, curve)
    burst = replace(ACTS["burst"], watts=net.f["power"])
    y = settled_state(20.0, 0.76, 200.0)
    if phase != "burst":
        y = advance(y, row, curve, burst, 58.0, tol=1e-6)
    acts = burst if phase == "burst" else ACTS[phase]
    exact = solve_ivp(
        lambda _, at: plain_rates(at, net, store, acts), (0.0, 40.0), y, method="Radau", rtol=1e-8, atol=1e-8
    ).y[:, -1]
    for tol, warm, solid in ((0.02, 0.05, 2e-3), (1e-4, 1e-3, 5e-5)):  # some ten steps, each within the tolerance
        found = advance(y, row, curve, acts, 40.0, tol=tol)
        assert np.abs(found - exact)[5::6].max() < warm
        assert np.abs(found - exact)[0:18:6].max() < solid


def test_linear_solver_against_lapack() -> None:
    """Factoring inside the envelope solves matrices with a ruling diagonal, full, banded and arrow-shaped."""
    rng = np.random.default_rng(3)
    for n in (1, 7, 19):
        full = rng.normal(size=(n, n))
        banded = np.triu(np.tril(full, 2), -3)
        arrow = np.diag(np.diag(full))
        arrow[-1], arrow[:, -1] = full[-1], full[:, -1]
        for matrix in (full, banded, arrow):
            a = matrix + np.diag(np.abs(matrix).sum(axis=1) + 0.1)
            right = rng.normal(size=n)
            work, found, ends = a.copy(), right.copy(), np.zeros((2, n), dtype=np.int64)
            assert lu_factor(work, n, ends)
            lu_solve(work, found, n, ends)
            np.testing.assert_allclose(found, np.linalg.solve(a, right), rtol=1e-12, atol=1e-13)


def test_singular_matrix_is_told() -> None:
    """A vanishing pivot is reported, not divided by."""
    assert not lu_factor(np.zeros((3, 3)), 3, np.zeros((2, 3), dtype=np.int64))
