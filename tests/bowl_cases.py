"""Bowls for the tests of the simulators: one set of middle figures, random states, and the kernels called plainly."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.quantities import Spread
from temperbench.kitchen import bowl_rates, bowl_solver
from temperbench.kitchen.bowl_layout import parameter, state_size
from temperbench.kitchen.bowl_reference import Acts
from temperbench.kitchen.bowls import controls
from temperbench.kitchen.members import Members, nominal
from temperbench.kitchen.setup import Setup
from temperbench.matter.crystals import PARCEL

__all__ = ["ACTS", "EXACT", "SETUP", "STILL", "acts_row", "advance", "bowl_of", "central_jacobian", "jacobian",
           "jacobian_slack", "one_step", "random_state", "rates",
           "row_of", "settled_state"]  # fmt: skip

Array = NDArray[np.float64]
EXACT = Spread.exact

# 1 kg of dark buttons in a plastic bowl, every figure known; ensembles widen some of them.
SETUP = Setup(
    fat=EXACT(0.36), milk_share=EXACT(0.0), hardness=EXACT(0.0), growth_factor=EXACT(1.0), mass_kg=1.0,
    stock="buttons", start_c=EXACT(20.0), air_c=EXACT(20.0), delivered_w=EXACT(850.0), coupling=EXACT(0.813),
    drift=EXACT(0.14), warmth=EXACT(0.0), cycle_s=EXACT(0.0), wall_share=EXACT(0.02), wall_heat=EXACT(270.0),
    wall_c=EXACT(20.0), inside_m2=EXACT(0.05), top_m2=0.02, bias_c=EXACT(0.0), noise_c=0.0, lag_left=0.0, skin=0.0,
)  # fmt: skip

# The phases of a bowl: what the cook does, in an air of 20 °C.
ACTS = {
    "burst": Acts(20.0, 20.0, watts=600.0, contact=0),
    "burst after stirring": Acts(20.0, 20.0, watts=600.0, contact=1),
    "stand": Acts(20.0, 20.0, contact=1),
    "stir": Acts(20.0, 18.0, strokes=1.0, shear=20.0, contact=2, film=1.0),
}
STILL = Acts(20.0, 20.0)

# Figures of a row that no conservation law survives: what the bowl exchanges with its surroundings.
_OUTSIDE = ("wall_air", "wall_bench", "top")


def bowl_of(setup: Setup = SETUP, *, closed: bool = False, **changed: float) -> Members:
    """Return one member with middle figures; ``closed`` cuts it off from air and bench."""
    members = nominal(setup)
    rows = members.rows.copy()
    for name, value in {**(dict.fromkeys(_OUTSIDE, 0.0) if closed else {}), **changed}.items():
        rows[:, parameter(name)] = value
    return replace(members, rows=rows)


def row_of(**changed: Any) -> tuple[Array, Array]:
    """Return parameter row and curve of one bowl."""
    members = bowl_of(**changed)
    return members.rows[0], members.curves[0]


def acts_row(acts: Acts) -> Array:
    """Return the control row of the kernels for what is done, at full power."""
    u = controls(1.0 if acts.watts else 0.0, acts.strokes, acts.shear, acts.contact, acts.film)
    u[4], u[5] = acts.air_c, acts.bench_c
    return u


def random_state(rng: np.random.Generator, zones: int = 3, low: float = 18.0, high: float = 45.0) -> Array:
    """Return a state as a bowl may meet it: any crystals, sites and temperatures.

    Every fourth share of crystals is a little less than nothing, as a step of the integrator may leave it.
    """
    y = np.zeros(state_size(zones))
    for i in range(zones):
        o = i * PARCEL
        y[o : o + 3] = rng.uniform((0.002, 0.001, 0.001), (0.5, 0.1, 0.2))
        y[o : o + 3] = np.where(rng.random(3) < 0.25, -1e-3 * y[o : o + 3], y[o : o + 3])
        y[o + 3 : o + 5] = rng.uniform(0.5, 60.0, 2)
        y[o + 5] = rng.uniform(low, high)
    y[-1] = rng.uniform(low, high)
    return y


def settled_state(temperature: float, solid: float, sites: float, zones: int = 3) -> Array:
    """Return an even bowl with crystals of form V."""
    y = np.zeros(state_size(zones))
    for i in range(zones):
        y[i * PARCEL], y[i * PARCEL + 3], y[i * PARCEL + 5] = solid, sites, temperature
    y[-1] = temperature
    return y


# Steps of the difference quotients, and what the rates of solids, sites and temperatures are good to.
_STEP = np.array([1e-7, 1e-7, 1e-7, 1e-4, 1e-4, 1e-5])
_ROUND = np.array([1e-15, 1e-15, 1e-15, 1e-13, 1e-13, 1e-14])


def _by_kind(figures: Array, n: int) -> Array:
    """Spread figures of one parcel over a state: zone by zone, the wall like a temperature."""
    return np.array([figures[5 if i == n - 1 and n % PARCEL else i % PARCEL] for i in range(n)])


def central_jacobian(rates_of: Callable[[Array], Array], y: Array) -> Array:
    """Return the derivative of rates by central differences."""
    columns = []
    for j, step in enumerate(_by_kind(_STEP, len(y))):
        up, down = y.copy(), y.copy()
        up[j] += step
        down[j] -= step
        columns.append((rates_of(up) - rates_of(down)) / (up[j] - down[j]))
    return np.stack(columns, axis=1)


def jacobian_slack(exact: Array) -> Array:
    """Return what difference quotients may be off by: one in a million, and the rounding of the rates."""
    n = len(exact)
    return 1e-6 * np.abs(exact) + 4.0 * _by_kind(_ROUND, n)[:, None] / _by_kind(_STEP, n)[None, :]


def _zones(y: Array) -> int:
    return (len(y) - 1) // PARCEL


def rates(y: Array, row: Array, curve: Array, acts: Acts) -> Array:
    """Return the kernel's time derivative of a state."""
    f = np.full(len(y), math.nan)
    bowl_rates.bowl_rates(y, _zones(y), row, curve, acts_row(acts), acts.watts, f)
    return f


def jacobian(y: Array, row: Array, curve: Array, acts: Acts) -> Array:
    """Return the kernel's derivative of the time derivative."""
    found = np.full((len(y), len(y)), math.nan)
    bowl_rates.bowl_jacobian(y, _zones(y), row, curve, acts_row(acts), acts.watts, found)
    return found


def _scratch(n: int) -> tuple[Array, NDArray[np.int64]]:
    return np.zeros((n + 16, n)), np.zeros((2, n), dtype=np.int64)


def one_step(y: Array, row: Array, curve: Array, acts: Acts, *, t: float, h: float, warmth: float = 0.0) -> Array:
    """Return the state after one step of the integrator, whatever its error, at the row's own power."""
    ws, ends = _scratch(len(y))
    stages = 6
    assert bowl_solver._step(y, _zones(y), row, curve, acts_row(acts), t, h, warmth, ws, ends)
    return ws[len(y) + stages].copy()


def advance(y: Array, row: Array, curve: Array, acts: Acts, seconds: float, *, tol: float) -> Array:
    """Return the state after one phase, at the row's own power."""
    ws, ends = _scratch(len(y))
    end, peak = y.copy(), np.zeros(_zones(y))
    assert bowl_solver.advance(end, _zones(y), row, curve, acts_row(acts), seconds, 0.0, tol, peak, ws, ends) > 0
    return end
