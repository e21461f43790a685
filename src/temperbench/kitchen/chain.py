"""A chain of cells that conduct heat: chocolate that crystallises beside stone, mould or filling that only warms.

A cell is a parcel of `temperbench.matter.crystals` or passive; it exchanges heat with both neighbours and with an
outside of its own. A step is Strang's: crystals for half of it, conduction for the whole, crystals for the other half.
Crystals take the L-stable Rosenbrock method of two stages (Verwer, Spee, Blom & Hundsdorfer 1999) with their exact
Jacobian, conduction the L-stable diagonally implicit one of two stages (Alexander 1977); both are of order 2. Heat
moves as flows from one place to another, so that enthalpy is kept to round-off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.compiled import kernel
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array, lu_factor, lu_solve
from temperbench.foundation.units import Metre
from temperbench.kitchen.many import over_chunks
from temperbench.matter.crystals import (
    CP,
    FAT,
    H_5,
    H_6,
    H_U,
    N5,
    NU,
    PARCEL,
    TEMP,
    X5,
    X6,
    XU,
    crystal_jacobian,
    crystal_rates,
)

__all__ = ["PASSIVE", "Chain", "chain_enthalpy", "graded_cells", "run_chain", "series_links"]

PASSIVE = -1  # kind of a cell that has no crystals

_GAMMA = 1.0 - math.sqrt(0.5)  # both methods are L-stable with it
_FIRST_STEP = 0.05  # s, after cells of different temperature were brought together
_LONGEST_STEP = 60.0  # s
_MOST_STEPS = 200_000
_ROUND = 1e-9  # s
_SOLID_SCALE, _SITE_SCALE = 0.02, 2.0  # share of the fat, and growth sites, that count like one degree
_WORST = 1e8


@dataclass(frozen=True)
class Chain:
    """Cells of ``m`` members in a row, all extensive figures per square metre of face (or all per piece).

    ``kind`` (cells,) is `PASSIVE` or the place of the material in ``rows`` (m, materials, parameters) and ``curves``
    (m, materials, intervals, 5). ``heat`` (m, cells) is the sensible heat capacity, ``link`` (m, cells - 1) the
    conductance to the next cell, ``outside`` (m, cells) that to its own outside, ``shear`` (m, cells) the shear rate.
    """

    kind: NDArray[np.int64]
    rows: Array
    curves: Array
    heat: Array
    link: Array
    outside: Array
    shear: Array

    def __len__(self) -> int:
        """Return the number of members."""
        return len(self.heat)

    def start(self, celsius: Array | float) -> Array:
        """Return states (m, cells, figures) without crystals at temperatures (m, cells) or one for all. [°C]"""
        y = np.zeros((*self.heat.shape, PARCEL))
        y[:, :, TEMP] = celsius
        return y


@kernel
def _crystallise(y: Array, p: Array, curve: Array, gamma: float, h: float, a: Array, k: Array,
                 ends: NDArray[np.int64]) -> bool:  # fmt: skip
    """One closed parcel through ``h`` s, in place."""
    for i in range(PARCEL):
        for j in range(PARCEL):
            a[i, j] = 0.0
    crystal_jacobian(y, 0, p, curve, gamma, a)
    g = _GAMMA * h
    for i in range(PARCEL):
        for j in range(PARCEL):
            a[i, j] = -g * a[i, j]
        a[i, i] += 1.0
    if not lu_factor(a, PARCEL, ends):
        return False
    k[0, TEMP] = crystal_rates(y, 0, p, curve, gamma, k[0])
    lu_solve(a, k[0], PARCEL, ends)
    for i in range(PARCEL):
        k[2, i] = y[i] + h * k[0, i]
    k[1, TEMP] = crystal_rates(k[2], 0, p, curve, gamma, k[1])
    for i in range(PARCEL):
        k[1, i] -= 2.0 * k[0, i]
    lu_solve(a, k[1], PARCEL, ends)
    for i in range(PARCEL):
        y[i] += h * (1.5 * k[0, i] + 0.5 * k[1, i])
    return True


@kernel
def _solve_stage(right: Array, heat: Array, link: Array, outside: Array, away: Array, g: float, w: Array,
                 t: Array) -> None:  # fmt: skip
    """Solve ``heat (t - right) = g flows(t)`` for the stage temperatures ``t``; ``w`` is scratch."""
    n = heat.shape[0]
    before, carried = 0.0, 0.0
    for i in range(n):
        after = link[i] if i < n - 1 else 0.0
        pivot = heat[i] + g * (before + after + outside[i])
        r = heat[i] * right[i] + g * outside[i] * away[i]
        if i > 0:
            pivot -= g * before * carried
            r += g * before * t[i - 1]
        carried = g * after / pivot
        w[i] = carried
        t[i] = r / pivot
        before = after
    for i in range(n - 2, -1, -1):
        t[i] += w[i] * t[i + 1]


@kernel
def _add_flows(t: Array, heat: Array, link: Array, outside: Array, away: Array, s: float, out: Array,
               given: Array) -> None:  # fmt: skip
    """Add ``s`` seconds of the flows at temperatures ``t`` to ``out``; what leaves goes to ``given``."""
    n = heat.shape[0]
    for i in range(n):
        gone = s * outside[i] * (t[i] - away[i])
        out[i] -= gone / heat[i]
        given[i] += gone
        if i < n - 1:
            moved = s * link[i] * (t[i] - t[i + 1])
            out[i] -= moved / heat[i]
            out[i + 1] += moved / heat[i + 1]


@kernel
def _conduct(y: Array, heat: Array, link: Array, outside: Array, away: Array, h: float, ws: Array,
             given: Array) -> None:  # fmt: skip
    """Conduction through ``h`` s, in place."""
    n = heat.shape[0]
    first, second, right, w, new = ws[0], ws[1], ws[2], ws[3], ws[4]
    for i in range(n):
        new[i] = y[i, TEMP]
    _solve_stage(new, heat, link, outside, away, _GAMMA * h, w, first)
    _add_flows(first, heat, link, outside, away, (1.0 - _GAMMA) * h, new, given)
    for i in range(n):
        right[i] = new[i]
    _solve_stage(right, heat, link, outside, away, _GAMMA * h, w, second)
    _add_flows(second, heat, link, outside, away, _GAMMA * h, new, given)
    for i in range(n):
        y[i, TEMP] = new[i]


@kernel
def _step(y: Array, kind: NDArray[np.int64], rows: Array, curves: Array, heat: Array, link: Array, outside: Array,
          away: Array, shear: Array, h: float, ws: Array, a: Array, k: Array, ends: NDArray[np.int64],
          given: Array) -> bool:  # fmt: skip
    """One step of ``h`` s, in place; heat that leaves is added to ``given``. False when it cannot be taken."""
    n = heat.shape[0]
    good = True
    for half in range(2):
        for i in range(n):
            if kind[i] >= 0:
                good = good and _crystallise(y[i], rows[kind[i]], curves[kind[i]], shear[i], 0.5 * h, a, k, ends)
        if half == 0:
            _conduct(y, heat, link, outside, away, h, ws, given)
    return good


@kernel
def _difference(one: Array, two: Array, kind: NDArray[np.int64]) -> float:
    """Largest difference of two states, in kelvin or what counts like one."""
    worst = 0.0
    for i in range(one.shape[0]):
        worst = max(worst, abs(one[i, TEMP] - two[i, TEMP]))
        if kind[i] >= 0:
            for c in (X5, X6, XU):
                worst = max(worst, abs(one[i, c] - two[i, c]) / _SOLID_SCALE)
            for c in (N5, NU):
                worst = max(worst, abs(one[i, c] - two[i, c]) / (_SITE_SCALE + abs(two[i, c])))
        for c in range(PARCEL):
            if not abs(two[i, c]) < _WORST:  # also true when it is not a number
                return _WORST
    return worst


@kernel
def _advance(y: Array, kind: NDArray[np.int64], rows: Array, curves: Array, heat: Array, link: Array, outside: Array,
             away: Array, shear: Array, duration: float, pace: float, tol: float, whole: Array, halves: Array,
             ws: Array, a: Array, k: Array, ends: NDArray[np.int64], given: Array) -> float:  # fmt: skip
    """Steps checked against two of half the length, until ``duration``; return the step to go on with, or -1."""
    n = heat.shape[0]
    once, twice = ws[5], ws[6]
    t, h, steps = 0.0, pace, 0
    following = pace
    while t < duration - _ROUND:
        steps += 1
        h = min(following, duration - t)
        for i in range(n):
            once[i], twice[i] = 0.0, 0.0
            whole[i, :], halves[i, :] = y[i, :], y[i, :]
        good = _step(whole, kind, rows, curves, heat, link, outside, away, shear, h, ws, a, k, ends, once)
        for _ in range(2):
            good = good and _step(halves, kind, rows, curves, heat, link, outside, away, shear, 0.5 * h, ws, a, k, ends,
                                  twice)  # fmt: skip
        err = _difference(whole, halves, kind) / 3.0 / tol if good else _WORST  # order 2: a third is the halves' error
        if not err < _WORST:
            err = _WORST
        if err <= 1.0:
            t += h
            for i in range(n):
                y[i, :] = halves[i, :]
                given[i] += twice[i]
        grown = h * min(4.0, max(0.1, 0.9 * (err + 1e-12) ** (-1.0 / 3.0)))
        if err > 1.0 or h >= following:  # a step cut short by the end of the act says little about the next
            following = min(grown, _LONGEST_STEP)
        else:
            following = max(following, min(grown, _LONGEST_STEP))
        if steps > _MOST_STEPS or following < _ROUND:
            return -1.0
    return following


@kernel
def _run(y: Array, kind: NDArray[np.int64], rows: Array, curves: Array, heat: Array, link: Array, outside: Array,
         away: Array, shear: Array, durations: Array, pace: Array, tol: float, fixed: float, given: Array,
         bad: NDArray[np.int64]) -> None:  # fmt: skip
    n = heat.shape[1]
    whole, halves, ws = np.empty((n, PARCEL)), np.empty((n, PARCEL)), np.empty((7, n))
    a, k, ends = np.empty((PARCEL, PARCEL)), np.empty((3, PARCEL)), np.empty((2, PARCEL), dtype=np.int64)
    for m in range(y.shape[0]):
        if bad[m] or not durations[m] > 0.0:
            bad[m] = 1 if math.isnan(durations[m]) else bad[m]
            continue
        if fixed > 0.0:
            count = max(1, round(durations[m] / fixed))
            for _ in range(count):
                if not _step(y[m], kind, rows[m], curves[m], heat[m], link[m], outside[m], away[m],
                             shear[m], durations[m] / count, ws, a, k, ends, given[m]):  # fmt: skip
                    bad[m] = 1
            continue
        after = _advance(y[m], kind, rows[m], curves[m], heat[m], link[m], outside[m], away[m], shear[m],
                         durations[m], pace[m], tol, whole, halves, ws, a, k, ends, given[m])  # fmt: skip
        if after < 0.0:
            bad[m] = 1
        else:
            pace[m] = after


def run_chain(
    chain: Chain, y: Array, seconds: Array | float, outside_c: Array | float, *, pace: Array | None = None,
    tolerance: float | None = None, fixed_s: float = 0.0, workers: int | None = None,
) -> Array:  # fmt: skip
    """Carry states ``y`` (m, cells, figures) through each member's own seconds, in place.

    ``outside_c`` is the temperature outside of each cell, one for all or (m, cells). ``pace`` (m,) keeps the length of
    step from one act to the next. The error of a step is held to ``tolerance``, in kelvin or what counts like one;
    with ``fixed_s`` all steps are that long instead. Raises ``ArithmeticError`` when a member cannot be integrated.

    Returns
    -------
        Heat each cell gave to its outside (m, cells), in the unit of the chain's heat capacities times kelvin.
    """
    m = len(chain)
    durations, away = np.full(m, seconds, dtype=np.float64), np.empty_like(chain.heat)
    away[:] = outside_c
    given, bad = np.zeros_like(chain.heat), np.zeros(m, dtype=np.int64)
    steps = np.full(m, _FIRST_STEP) if pace is None else pace
    tol = number("chain.step_tolerance") if tolerance is None else tolerance
    bad[~np.isfinite(y).all(axis=(1, 2))] = 1

    def work(s: slice) -> None:
        _run(y[s], chain.kind, chain.rows[s], chain.curves[s], chain.heat[s], chain.link[s], chain.outside[s], away[s],
             chain.shear[s], durations[s], steps[s], tol, fixed_s, given[s], bad[s])  # fmt: skip

    over_chunks(work, m, workers)
    if bad.any():
        raise ArithmeticError("a chain of cells could not be integrated; please report the job that did it")
    return given


def chain_enthalpy(chain: Chain, y: Array) -> Array:
    """Return the enthalpy of each member (m,), liquid at 0 °C having none, in K times the heat capacities' unit."""
    total = (chain.heat * y[:, :, TEMP]).sum(axis=1)
    for i, kind in enumerate(chain.kind):
        if kind >= 0:
            p = chain.rows[:, kind]
            latent = p[:, H_5] * y[:, i, X5] + p[:, H_6] * y[:, i, X6] + p[:, H_U] * y[:, i, XU]
            total = total - chain.heat[:, i] / p[:, CP] * p[:, FAT] * latent
    return np.asarray(total)


def graded_cells(thickness: Metre, first: Metre, cells: int) -> Array:
    """Return widths of cells that grow by one ratio away from a face where heat arrives suddenly.

    Parameters
    ----------
    thickness
        Thickness of the whole. [m]
    first
        Width of the cell at the face, at most ``thickness / cells``; equal cells when it is not less. [m]
    cells
        How many.

    Returns
    -------
        Widths from the face on, in metres.
    """
    if first * cells >= thickness:
        return np.full(cells, thickness / cells)
    low, high = 1.0, 10.0
    for _ in range(60):
        ratio = 0.5 * (low + high)
        low, high = (ratio, high) if first * (ratio**cells - 1.0) / (ratio - 1.0) < thickness else (low, ratio)
    widths = first * ratio ** np.arange(cells)
    return np.asarray(widths * thickness / widths.sum())


def series_links(resistance: Array) -> Array:
    """Return conductances between the middles of neighbours from each cell's own resistance (..., cells), m²·K/W.

    A cell's resistance is its width over its conductivity; a well-mixed cell has none.
    """
    return np.asarray(2.0 / (resistance[..., :-1] + resistance[..., 1:]))
