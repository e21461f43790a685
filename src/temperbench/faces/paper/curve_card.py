"""The card of a cooling curve: verdict, what to do with the bowl, the drawing with its bend, figures and doubts."""

from __future__ import annotations

from typing import Any

from temperbench.app.curve_results import CurveReading
from temperbench.faces.drawing.curve_chart import curve_caption, curve_chart_svg, slope_words
from temperbench.faces.drawing.words import degrees, degrees_between, forecast
from temperbench.faces.paper.plain_card import Drawing, PlainCard
from temperbench.faces.told.curve_words import VERDICT_WORDS, chances_told, share_told, slope_told

__all__ = ["curve_card"]

_CHART_HEIGHTS = (300.0, 280.0, 265.0, 250.0, 230.0, 210.0, 195.0, 180.0, 168.0)
# What is cut when not all fits at the lowest chart, the least needed first.
_CUTS = (("usual", 0), ("doubts", 2), ("warnings", 1), ("cautions", 1), ("doubts", 0), ("warnings", 0),
         ("cautions", 0))  # fmt: skip


def curve_card(reading: CurveReading, fahrenheit: bool) -> PlainCard:
    """Return what stands on the card of a reading."""
    bend = reading.bend
    chances = ", ".join(f"{name} {chance}" for name, chance in chances_told(reading))
    key = (
        f"{VERDICT_WORDS[reading.verdict]} ({chances})",
        f"{reading.remedy.do}",
        f"crystals {share_told(reading.crystals_pct_of_fat)} of the fat",
        "no bend" if bend is None else f"bend {degrees(bend.celsius.mid, fahrenheit)}, {slope_told(bend, fahrenheit)}",
    )
    drawing = Drawing(
        curve_caption(reading, fahrenheit=fahrenheit),
        _CHART_HEIGHTS,
        lambda width, height: curve_chart_svg(reading, width, height, "print", fahrenheit=fahrenheit),
    )
    return PlainCard(_content(reading, fahrenheit), "curve.typ", _CUTS, key, drawing)


def _content(reading: CurveReading, fahrenheit: bool) -> dict[str, Any]:
    what, _, with_what = reading.title.partition(", ")
    return {
        "title": reading.title,
        "what": what,
        "with_what": with_what,
        "total": f"{reading.readings} readings{f', {reading.slips} left out' if reading.slips else ''}",
        "verdict": VERDICT_WORDS[reading.verdict],
        "chances": [[name, chance, name == reading.verdict] for name, chance in chances_told(reading)],
        "do": reading.remedy.do,
        "detail": reading.remedy.detail,
        "crystals": [
            ["Stable crystals", share_told(reading.crystals_pct_of_fat)],
            ["Sets like, well dispersed", share_told(reading.acts_like_pct_of_fat)],
            ["Unstable that came in the cup", share_told(reading.unstable_pct_of_fat)],
        ],
        "curve": _curve(reading, fahrenheit),
        "bowl": [
            ["Worked at", degrees_between(reading.work_from_c, reading.work_to_c, fahrenheit)],
            ["Stop at", degrees(reading.stop_c, fahrenheit)],
            ["Crystals gone above", degrees(reading.limit_c, fahrenheit)],
        ],
        "bent": reading.bend is not None,
        "doubts": list(reading.doubts),
        "warnings": [warning.text for warning in reading.warnings],
        "usual": [line.rstrip(".") for line in reading.defaults_used],
        "cautions": list(reading.cautions),
    }


def _curve(reading: CurveReading, fahrenheit: bool) -> list[list[str]]:
    misfit, cup, bend = reading.misfit_c, reading.conductance_w_k, reading.bend
    bent = (
        [["Bend", "none in this log"]]
        if bend is None
        else [
            ["Bend", forecast(bend.celsius, fahrenheit)],
            ["After", f"{bend.after_min.mid:.1f} min ({bend.after_min.low:.1f} to {bend.after_min.high:.1f})"],
            ["Slope there", slope_told(bend, fahrenheit)],
        ]
    )
    times, sign = (1.8, "°F") if fahrenheit else (1.0, "°C")  # differences, which have no zero to shift
    return [
        *bent,
        ["Began at", degrees(reading.start_c, fahrenheit)],
        ["Fell by up to", slope_words(reading.steepest_per_minute, fahrenheit)],
        ["Noise of one reading", f"{times * reading.noise_c:.2f} {sign}"],
        [
            "Left unexplained",
            f"{times * misfit.mid:.2f} {sign} ({times * misfit.low:.2f} to {times * misfit.high:.2f})",
        ],
        ["Cup to bath, by this curve", f"{cup.mid:.3f} W/K ({cup.low:.3f} to {cup.high:.3f})"],
    ]
