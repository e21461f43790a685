"""Figures as every JSON of the package writes them: one rounding for each kind, and bands with three points."""

from __future__ import annotations

from temperbench.app.results import Band, Workable

__all__ = ["band_json", "maybe_rounded", "risk_json", "rounded", "workable_json"]


def rounded(value: float, digits: int = 1) -> float:
    """Return a figure with so many decimals, never minus nought.

    Parameters
    ----------
    value : float
        A figure. [-]
    digits : int
        Decimals. [-]

    Returns
    -------
    float
        For JSON. [-]
    """
    return round(float(value), digits) + 0.0  # the sum turns -0.0 into 0.0


def maybe_rounded(value: float | None) -> float | None:
    """Return a figure with one decimal, or None where there is none."""
    return None if value is None else rounded(value)


def risk_json(value: float) -> float:
    """Return a chance with three decimals.

    Parameters
    ----------
    value : float
        Between 0 and 1. [-]

    Returns
    -------
    float
        For JSON. [-]
    """
    return rounded(value, 3)


def band_json(band: Band, digits: int = 1) -> dict[str, float]:
    """Return the three points of a band."""
    return {"low": rounded(band.low, digits), "mid": rounded(band.mid, digits), "high": rounded(band.high, digits)}


def workable_json(time: Workable) -> dict[str, object]:
    """Return the band of a working time, and what ends it."""
    return {"low": rounded(time.low), "mid": rounded(time.mid), "high": rounded(time.high), "ends_by": time.ends_by}
