"""What screen and paper tell of a cooling curve in the same words: verdict, chances, shares of the fat, the bend."""

from __future__ import annotations

from temperbench.app.curve_results import BendRead, CurveReading
from temperbench.app.results import Band
from temperbench.faces.drawing.curve_chart import slope_words

__all__ = ["VERDICT_WORDS", "chance_told", "chances_told", "share_told", "slope_told"]

VERDICT_WORDS = {"too few": "Too few crystals", "in temper": "In temper", "too many": "Too many crystals"}


def chance_told(share: float) -> str:
    """Write a chance in per cent; never quite nothing and never quite sure, for it comes from a few hundred draws."""
    if share < 0.005:
        return "under 1 %"
    return "over 99 %" if share > 0.995 else f"{100 * share:.0f} %"


def chances_told(reading: CurveReading) -> tuple[tuple[str, str], ...]:
    """Return the chances of the three verdicts, each with its name."""
    found = (reading.too_few, reading.in_temper, reading.too_many)
    return tuple((name, chance_told(share)) for name, share in zip(VERDICT_WORDS, found, strict=True))


def share_told(band: Band) -> str:
    """Write a share of the fat with its band, such as "2.1 % (0.9 to 3.2)"."""
    digits = 2 if band.mid < 1.0 else 1
    return f"{band.mid:.{digits}f} % ({band.low:.{digits}f} to {band.high:.{digits}f})"


def slope_told(bend: BendRead, fahrenheit: bool = False) -> str:
    """Write the slope at the bend with its band.

    Parameters
    ----------
    bend : BendRead
        The bend. [-]
    fahrenheit : bool
        Whether to write °F/min. [-]

    Returns
    -------
    str
        For example "+0.36 °C/min (+0.31 to +0.41)". [-]
    """
    slope, times = bend.per_minute, 1.8 if fahrenheit else 1.0
    ends = f"({times * slope.low:+.2f} to {times * slope.high:+.2f})".replace("-", "−")
    return f"{slope_words(slope.mid, fahrenheit)} {ends}"
