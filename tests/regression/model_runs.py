"""What the regression tables may ask of the crystal model: each function is named by a row's ``what``."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from temperbench.kitchen.members import nominal_row
from temperbench.kitchen.parcel import parcel_states, run_parcels, time_to_solid
from temperbench.matter.crystals import N5, TEMP, X5, X6, XU
from temperbench.matter.solid_fat import solid_fat_content

__all__ = ["cooling_bend", "hold_minutes", "isothermal_minutes", "most_unstable", "set_minutes", "states", "tabled"]

Array = NDArray[np.float64]
Row = dict[str, float] | None
SET, LONGEST_S = 0.25, 7200.0
HELD = {"cp": 1e12}  # so much heat capacity that nothing warms it
FIGURES = {"x5": X5, "xu": XU, "n5": N5, "t": TEMP}


def _many(m: int, changed: dict[str, Any]) -> tuple[Array, Array]:
    row, curve = nominal_row(**changed)
    return np.repeat(row[None], m, 0), np.repeat(curve[None], m, 0)


def set_minutes(
    seeds: list[float], start_c: float, air_c: list[float], loss: float, solid: float = SET, row: Row = None
) -> Array:
    """Return when smears are so solid: every seed in every air."""
    x, air = (g.ravel() for g in np.meshgrid(seeds, air_c, indexing="ij"))
    rows, curves = _many(len(x), {"top": loss, **(row or {})})
    return time_to_solid(parcel_states(start_c, x, 100.0 * x), rows, curves, air, solid, LONGEST_S) / 60.0


def isothermal_minutes(seeds: list[float], at_c: float, of_ceiling: float) -> Array:
    """Return when parcels held at a temperature have grown to a share of their ceiling, no unstable crystals."""
    x = np.array(seeds)
    rows, curves = _many(len(x), {**HELD, "nucleation_u": 0.0})
    mark = of_ceiling * solid_fat_content(at_c)
    air = np.full(len(x), at_c)
    return time_to_solid(parcel_states(at_c, x, 100.0 * x), rows, curves, air, mark, LONGEST_S) / 60.0


def hold_minutes(at_c: float, targets: list[float], shear: float, row: Row = None) -> Array:
    """Return when crystals of form V in a stirred bowl held at a temperature have grown from 1 % to each target."""
    rows, curves = _many(1, {**HELD, "nucleation_u": 0.0, **(row or {})})
    seconds = np.arange(0.0, 40000.0, 20.0)
    run = run_parcels(parcel_states(at_c, 0.01, 1.0), rows, curves, np.array([at_c]), seconds, shear)[0]
    return np.interp(targets, run[:, X5], seconds) / 60.0


def states(
    start_c: float, seed: float, minutes: list[float], figure: str, *, air_c: float = 20.0, shear: float = 0.0,
    unstable: float = 0.0, isothermal: bool = False, row: Row = None,
) -> Array:  # fmt: skip
    """Return one figure of a parcel at the minutes."""
    rows, curves = _many(1, {**(HELD if isothermal else {}), **(row or {})})
    start = parcel_states(start_c, seed, 100.0 * seed, unstable, 1.0 if unstable else 0.0)
    run = run_parcels(start, rows, curves, np.array([air_c]), 60.0 * np.array(minutes), shear)[0]
    return run[:, FIGURES[figure]]


def tabled(at_c: list[float], minutes: float, figure: str, shear: float) -> Array:
    """Return one figure, or all crystals and sites, of unseeded parcels worked at a temperature."""
    rows, curves = _many(len(at_c), HELD)
    start = parcel_states(np.array(at_c), 0.0, 0.0)
    run = run_parcels(start, rows, curves, np.array(at_c), [60.0 * minutes], shear)[:, 0]
    return run[:, [X5, X6, XU, N5]].sum(axis=1) if figure == "all" else run[:, FIGURES[figure]]


def cooling_bend(seeds: list[float], figure: str) -> Array:
    """Return temperature or slope (°C/min) where a cooled sample's slope is first greatest, or its most unstable fat.

    The sample cools in 8 °C with a time constant of 300 s.
    """
    x = np.array(seeds)
    rows, curves = _many(len(x), {"top": 5.5})
    seconds = np.arange(0.0, 3600.0, 2.0)
    runs = run_parcels(parcel_states(31.5, x, 100.0 * x), rows, curves, np.full(len(x), 8.0), seconds)
    if figure == "unstable":
        return runs[:, :, XU].max(axis=1)
    found = []
    for run in runs:
        slope = 60.0 * np.gradient(run[:, TEMP], seconds)
        rising, falling = slope[5:-1] > slope[4:-2], slope[5:-1] >= slope[6:]
        bend = 5 + int(np.argmax(rising & falling))
        found.append(run[bend, TEMP] if figure == "t" else slope[bend])
    return np.array(found)


def most_unstable(seed: float, start_c: float, air_c: list[float], loss: float, minutes: float) -> Array:
    """Return the largest share of unstable crystals while parcels set in each air."""
    rows, curves = _many(len(air_c), {"top": loss})
    seconds = np.arange(0.0, 60.0 * minutes, 5.0)
    start = parcel_states(start_c, np.full(len(air_c), seed), 100.0 * seed)
    return run_parcels(start, rows, curves, np.array(air_c), seconds)[:, :, XU].max(axis=1)
