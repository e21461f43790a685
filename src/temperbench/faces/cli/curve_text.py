"""A reading of a cooling curve as text for a terminal of 80 columns: the same figures as the JSON, with their bands."""

from __future__ import annotations

import textwrap

from temperbench.app.curve_results import BendRead, CupCalibration, CurveReading
from temperbench.app.results import Band
from temperbench.faces.cli.layout import WIDTH, titled, wrapped
from temperbench.faces.cli.path_chart import path_chart
from temperbench.faces.drawing.curve_chart import slope_words

__all__ = ["calibration_text", "curve_text"]

_MARKS = "*\N{NO-BREAK SPACE}the model, median; .\N{NO-BREAK SPACE}its band, 5 to 95 %"
_VERDICTS = {
    "too few": "Too few crystals", "in temper": "In temper", "too many": "Too many crystals",
}  # fmt: skip


def curve_text(reading: CurveReading) -> str:
    """Return a whole reading as text.

    Parameters
    ----------
    reading : CurveReading
        A reading. [-]

    Returns
    -------
    str
        Lines of at most 79 characters. [-]
    """
    blocks = [
        textwrap.wrap(reading.title, WIDTH),
        _verdict(reading),
        titled("What does not fit", reading.doubts),
        titled("Warnings", tuple(warning.text for warning in reading.warnings)),
        _crystals(reading),
        _curve(reading),
        [*path_chart((reading.model,), {}), *wrapped(_MARKS, "  ")],
        titled("Taken as usual, because not given", reading.defaults_used),
        titled("Cautions", reading.cautions),
        ["SOURCES  every figure has its row; temperbench sources ID shows it",
         *wrapped(", ".join(reading.sources), "  ")],
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def calibration_text(found: CupCalibration) -> str:
    """Return the calibration of a cup as text.

    Parameters
    ----------
    found : CupCalibration
        A calibration. [-]

    Returns
    -------
    str
        Lines of at most 79 characters. [-]
    """
    bare, whole = found.chocolate_w_k, found.conductance_w_k
    blocks = [
        [f"Cup ({found.kind}) with {found.water_g:.1f} g of water, {found.from_c:.1f} to {found.to_c:.1f} °C "
         f"in a bath of {found.bath_c:.1f} °C"],
        [f"  Water to bath     {whole.mid:.4f} W/K ({whole.low:.4f} to {whole.high:.4f})",
         f"  Cup to bath       {bare.mid:.4f} W/K ({bare.low:.4f} to {bare.high:.4f}), for chocolate",
         f"  Time constant     {found.time_constant_s.mid:.0f} s ({found.time_constant_s.low:.0f} to "
         f"{found.time_constant_s.high:.0f}), of the water",
         *wrapped(f"For the next curve from this cup: --conductance \"{bare.low:.4f} to {bare.high:.4f}\"", "  ")],
        titled("What does not fit", found.doubts),
        titled("Taken as usual, because not given", found.defaults_used),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _verdict(reading: CurveReading) -> list[str]:
    chances = f"too few {_chance(reading.too_few)}, in temper {_chance(reading.in_temper)}, too many "
    chances += _chance(reading.too_many)
    return [
        f"{_VERDICTS[reading.verdict].upper()}  ({chances})",
        *wrapped(f"{reading.remedy.do}. {reading.remedy.detail}", "  "),
    ]


def _chance(share: float) -> str:
    """A chance in per cent; never quite nothing and never quite sure, for it comes from a few hundred draws."""
    if share < 0.005:
        return "under 1 %"
    return "over 99 %" if share > 0.995 else f"{100 * share:.0f} %"


def _crystals(reading: CurveReading) -> list[str]:
    return [
        "CRYSTALS  % of the fat when the sample was taken, 5 to 95 %",
        f"  Stable crystals                {_share(reading.crystals_pct_of_fat)}",
        f"  Sets like, well dispersed      {_share(reading.acts_like_pct_of_fat)}",
        f"  Unstable that came in the cup  {_share(reading.unstable_pct_of_fat)}",
    ]


def _share(band: Band) -> str:
    digits = 2 if band.mid < 1.0 else 1
    return f"{band.mid:.{digits}f} % ({band.low:.{digits}f} to {band.high:.{digits}f})"


def _curve(reading: CurveReading) -> list[str]:
    misfit, cup = reading.misfit_c, reading.conductance_w_k
    left = f", {reading.slips} left out" if reading.slips else ""
    return [
        f"CURVE  {reading.readings} readings{left}; noise of one {reading.noise_c:.2f} °C",
        f"  Began at          {reading.start_c:.1f} °C, fell by up to {slope_words(reading.steepest_per_minute)}",
        *_bend(reading.bend),
        f"  Left unexplained  {misfit.mid:.2f} °C ({misfit.low:.2f} to {misfit.high:.2f})",
        f"  Cup to bath       {cup.mid:.3f} W/K ({cup.low:.3f} to {cup.high:.3f}), by this curve",
    ]


def _bend(bend: BendRead | None) -> list[str]:
    if bend is None:
        return ["  Bend              none in this log"]
    slope = bend.per_minute
    ends = f"({slope.low:+.2f} to {slope.high:+.2f})".replace("-", "−")
    return [
        f"  Bend              {bend.celsius.mid:.1f} °C ({bend.celsius.low:.1f} to {bend.celsius.high:.1f}) after "
        f"{bend.after_min.mid:.1f} min",
        f"  Slope there       {slope_words(slope.mid)} {ends}",
    ]
