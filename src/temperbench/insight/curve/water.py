"""Calibrates a cup with water: from the fall of water in it to the conductance between cup and bath.

Water in the cup is even, so that it falls as ``(m c + C) dT/dt = -G (T - bath)``. The time constant is fitted to
the part of the run above where water stops moving; its band comes from the noise, the bath, the cup's heat and the
scales.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import least_squares

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.curve.result import CupCalibration
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import binned, look_at
from temperbench.insight.plan import Band
from temperbench.kitchen.cup import Bath, Cup, chocolate_only
from temperbench.kitchen.members import latin, triangular
from temperbench.matter.components import component_specific_heat

__all__ = ["calibrate", "outside_of"]

_DRAWS = 64
_UNSTEADY = (
    "The water does not fall along one time constant: keep the bath stirred and full of ice, and leave the cup where "
    "it is."
)


def calibrate(series: Series, cup: Cup, water_g: float, bath: Bath, *, bath_logged: bool) -> CupCalibration:
    """Read a run with water.

    Parameters
    ----------
    series
        Log of the water in the cup. [-]
    cup
        The cup; its ``mass`` is that of the chocolate which takes the same room. [-]
    water_g
        Water in it, in g. [-]
    bath
        The bath on the log's clock. [-]
    bath_logged
        Whether the bath had a probe of its own. [-]

    Returns
    -------
        The calibration. [-]
    """
    look = look_at(series)
    bins, _ = binned(series, max((look.last_s - look.first_s) / 200.0, 4.0), look.noise_c)
    lag = spread_of("thermometers.probe.lag").mid / 2.0  # water moves round the probe
    used = (bins.seconds > look.fall_s + 3.0 * lag) & (bins.celsius > number("cup.water.from"))
    used &= np.cumsum(bins.celsius <= number("cup.water.from")) == 0
    least, lowest = number("cup.water.least"), number("cup.water.from")
    if used.sum() < 6 or np.ptp(bins.celsius[used]) < least:
        allowed = f"a fall of {least:g} °C or more above {lowest:g} °C"
        raise InputError("water", "the run", allowed, f"fill the cup at 35 to 45 °C and log until {lowest:g} °C")
    at, level = bins.seconds[used], bins.celsius[used]
    outside = bath.at(at)
    tau, conductance, misfit = _drawn(at, level, outside, cup, water_g, bath_logged)
    bare = np.array([chocolate_only(float(g), cup.mass.mid, cup.width.mid) for g in conductance])
    doubts = (_UNSTEADY,) if misfit > number("cup.water.misfit") else ()
    taken = tuple(d for d in cup.defaults_used if not d.startswith("Cup to bath"))
    return CupCalibration(
        cup.kind, water_g, _band(conductance), _band(bare), _band(tau), float(outside.mean()), float(level[0]),
        float(level[-1]), misfit, doubts, taken, ("cup.film.water_inside", "cup.water.from"),
    )  # fmt: skip


def _drawn(
    at: Array, level: Array, outside: Array, cup: Cup, water_g: float, bath_logged: bool
) -> tuple[Array, Array, float]:
    """Time constants and conductances for draws of bath, cup and scales; and how far readings are from the fall."""
    offset = spread_of("cup.bath.logged" if bath_logged else "cup.bath.offset")
    rng = np.random.default_rng(1)
    u = latin(rng, _DRAWS, 3)
    off, heat = triangular(u[0], offset), triangular(u[1], cup.heat)
    scales = triangular(u[2], Spread(-1.0, 0.0, 1.0)) * number("cup.grams.known")
    tau, misfit = np.empty(_DRAWS), np.empty(_DRAWS)
    for i in range(_DRAWS):
        bath = outside + off[i]
        found = least_squares(_apart, (level[0], math.log(_guess(at, level, bath))), args=(at, level, bath))
        tau[i] = math.exp(found.x[1] + _error(found.jac, found.fun) * rng.standard_normal())
        misfit[i] = np.std(found.fun)
    capacity = 0.001 * (water_g + scales) * component_specific_heat("water", float(level.mean())) + heat
    return tau, np.asarray(capacity / tau), float(misfit.min())


def outside_of(calibration: CupCalibration) -> Spread:
    """Return the conductance from cup to bath as a spread that draws can be made from; ends beyond the 90 % band."""
    found = calibration.chocolate_w_k
    wider = 1.5  # from the 5 and 95 % points to the ends of a triangle
    return Spread(
        max(found.mid - wider * (found.mid - found.low), 0.3 * found.mid), found.mid,
        found.mid + wider * (found.high - found.mid),
    )  # fmt: skip


def _band(values: Array) -> Band:
    low, mid, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(mid), float(high))


def _guess(at: Array, level: Array, bath: Array) -> float:
    over = np.maximum(level - bath, 0.1)
    return max(float(at[-1] - at[0]) / max(math.log(over[0] / over[-1]), 0.05), 1.0)


def _apart(x: Array, at: Array, level: Array, bath: Array) -> Array:
    """Differences from a fall towards a bath that changes slowly."""
    tau = math.exp(min(x[1], 50.0))
    fall = np.empty_like(level)
    fall[0] = x[0]
    for k in range(1, len(at)):
        mean = 0.5 * (bath[k] + bath[k - 1])
        fall[k] = mean + (fall[k - 1] - mean) * math.exp(-(at[k] - at[k - 1]) / tau)
    return fall - level


def _error(jac: Array, fun: Array) -> float:
    """Standard error of the logarithm of the time constant; neighbours err alike, so five of them count once."""
    cover = np.linalg.inv(jac.T @ jac) * float((fun**2).mean()) * 5.0
    return math.sqrt(float(cover[1, 1]))
