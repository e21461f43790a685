"""A reading of a cooling curve as text for a terminal of 80 columns: the same figures as the JSON, with their bands."""

from __future__ import annotations

import textwrap

from temperbench.app.curve_results import BendRead, CupCalibration, CurveReading
from temperbench.faces.cli.layout import WIDTH, titled, wrapped
from temperbench.faces.cli.path_chart import path_chart
from temperbench.faces.drawing.curve_chart import slope_words
from temperbench.faces.told.curve_words import VERDICT_WORDS, chances_told, share_told, slope_told

__all__ = ["calibration_text", "curve_text"]

_MARKS = "*\N{NO-BREAK SPACE}the model, median; .\N{NO-BREAK SPACE}its band, 5 to 95 %"


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
    chances = ", ".join(f"{name} {chance}" for name, chance in chances_told(reading))
    return [
        f"{VERDICT_WORDS[reading.verdict].upper()}  ({chances})",
        *wrapped(f"{reading.remedy.do}. {reading.remedy.detail}", "  "),
    ]


def _crystals(reading: CurveReading) -> list[str]:
    return [
        "CRYSTALS  % of the fat when the sample was taken, 5 to 95 %",
        f"  Stable crystals                {share_told(reading.crystals_pct_of_fat)}",
        f"  Sets like, well dispersed      {share_told(reading.acts_like_pct_of_fat)}",
        f"  Unstable that came in the cup  {share_told(reading.unstable_pct_of_fat)}",
    ]


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
    return [
        f"  Bend              {bend.celsius.mid:.1f} °C ({bend.celsius.low:.1f} to {bend.celsius.high:.1f}) after "
        f"{bend.after_min.mid:.1f} min",
        f"  Slope there       {slope_told(bend)}",
    ]
