"""Use case: a cooling curve of a sample and what it says of the bowl; a run with water that calibrates the cup."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from temperbench.app.check_job import check_answer, check_job, own_names
from temperbench.app.curve_fields import CURVE_FIELDS
from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.app.read_figure import Phrase, safe_to_show
from temperbench.app.read_series import Columns, Logged, read_series
from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import array, number
from temperbench.foundation.quantities import Spread
from temperbench.insight.curve.read_curve import CurveJob
from temperbench.insight.curve.read_curve import read_curve as read_fitted
from temperbench.insight.curve.result import CupCalibration, CurveReading
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.water import calibrate, outside_of
from temperbench.kitchen.cup import Bath, Cup, cup_of

__all__ = ["calibrate_cup", "log_of", "read_conductance", "read_curve"]

_REMEDY = {
    "sample_g": "take a smaller or a larger sample, about 12 g",
    "cup_g": "weigh the part that stands in the bath",
    "cup_mm": "measure it inside, with a rule",
    "ice_c": "stir much ice into the water, and measure it beside the cup",
    "bowl_reads_c": "stir the bowl and measure it again",
    "water_g": "take as much water as fills the cup to where the sample stood",
}
_TWO = re.compile(r"([\d.,]+)\s*(?:to|bis|–|-|:|\.\.)\s*([\d.,]+)")


def log_of(content: bytes, name: str, columns: Columns | None = None) -> Logged:
    """Return the series in a logger's file.

    Parameters
    ----------
    content : bytes
        The whole file. [-]
    name : str
        Its name for a message. [-]
    columns : Columns | None
        Which columns to take, and the unit. [-]

    Returns
    -------
    Logged
        The series and what was taken for granted. [-]
    """
    return read_series(content, name, columns)


def read_curve(
    raw: RawJob, sample: RawJob, logged: Logged | Series, *, conductance: Spread | CupCalibration | None = None,
    seed: int = 1, progress: Callable[[str], None] | None = None,
) -> CurveReading:  # fmt: skip
    """Return what a cooling curve says.

    Parameters
    ----------
    raw : RawJob
        What the person gave of chocolate and bowl; only the chocolate is needed. [-]
    sample : RawJob
        What the person gave of the sample, by the keys of `temperbench.app.curve_fields`. [-]
    logged : Logged | Series
        The log; a series of seconds and °C, as a probe feed gives it, will do. [-]
    conductance : Spread | CupCalibration | None
        Between cup and bath in W/K, or the calibration that tells it; None when it is not known. [-]
    seed : int
        Start of the random numbers; the same seed gives the same reading. [-]
    progress : Callable[[str], None] | None
        Told in words what takes long, once per step. [-]

    Returns
    -------
    CurveReading
        Bend, crystals, verdict and remedy, with bands and doubts. [-]
    """
    found = _answers(sample)
    outside = outside_of(conductance) if isinstance(conductance, CupCalibration) else conductance
    cup = _cup(found, outside)
    job, per_kilogram = _job(raw)
    series = logged.series if isinstance(logged, Logged) else logged
    ask = CurveJob(check_job(job, "keep"), cup, found.get("ice_c", number("cup.bath")), found.get("bowl_reads_c"))
    with own_names(raw):
        reading = read_fitted(ask, series, seed=seed, progress=progress)
    extra = [*logged.notes] if isinstance(logged, Logged) else []
    if "ice_c" not in found and series.bath_c is None:
        extra.append(f"Bath: {number('cup.bath'):g} °C, stirred ice water.")
    if per_kilogram:
        extra.append(f"Bowl: {number('usual.sample_bowl'):g} g; amounts to add are for that.")
    return replace(reading, defaults_used=(*reading.defaults_used, *extra))


def calibrate_cup(sample: RawJob, logged: Logged | Series) -> CupCalibration:
    """Return what a run with water says of a cup.

    Parameters
    ----------
    sample : RawJob
        What the person gave of the cup, by the keys of `temperbench.app.curve_fields`. [-]
    logged : Logged | Series
        Log of the water. [-]

    Returns
    -------
    CupCalibration
        Conductance with its band. [-]
    """
    found = _answers(sample)
    density = number("thermal.chocolate.rho") / 1000.0  # of chocolate over that of water
    if "water_g" in found and "sample_g" not in found:
        found["sample_g"] = found["water_g"] * density
    cup = _cup(found, None)
    water_g = found.get("water_g", 1000.0 * cup.mass.mid / density)
    series = logged.series if isinstance(logged, Logged) else logged
    logged_bath = series.bath_c is not None
    bath = Bath.steady(found.get("ice_c", number("cup.bath")))
    if series.bath_c is not None:
        bath = Bath(series.seconds, series.bath_c)
    return calibrate(series, cup, water_g, bath, bath_logged=logged_bath)


def read_conductance(text: str, place: str) -> Spread:
    """Read a conductance such as ``0.052`` or ``0.049 to 0.055``, in W/K.

    Parameters
    ----------
    text : str
        What the person wrote. [-]
    place : str
        Name of the field for a message. [-]

    Returns
    -------
    Spread
        Ends and middle; a lone figure is taken as known to within a twentieth. [-]
    """
    low, high = array("limit.conductance")
    allowed = f"{low:g} to {high:g} W/K, one figure or two with “to” between them"
    tidy = text.strip().removesuffix("W/K").strip()
    two = _TWO.fullmatch(tidy)
    try:
        figures = [float(part.replace(",", ".")) for part in (two.groups() if two else (tidy,))]
    except ValueError:
        raise InputError(place, text, allowed, f"write for example {place} 0.052") from None
    ends = (min(figures), max(figures)) if two else (0.95 * figures[0], 1.05 * figures[0])
    if not low <= ends[0] <= ends[1] <= high:
        raise OutOfRange(place, safe_to_show(text), allowed, "calibrate the cup with water (--water)")
    return Spread(ends[0], 0.5 * (ends[0] + ends[1]), ends[1])


def _answers(sample: RawJob) -> dict[str, Any]:
    known = {f.key for f in CURVE_FIELDS}
    for key in sample.values:
        if key not in known:
            raise InputError(key, Phrase("this field"), ", ".join(sorted(known)), "leave it out")
    found = {f.key: check_answer(f, sample, _REMEDY.get(f.key, "choose one")) for f in CURVE_FIELDS}
    return {key: value for key, value in found.items() if value is not None}


def _cup(found: dict[str, Any], conductance: Spread | None) -> Cup:
    width = found["cup_mm"] / 1000.0 if "cup_mm" in found else None
    return cup_of(
        found.get("cup", "jacket"), grams=found.get("sample_g"), width=width, cup_grams=found.get("cup_g"),
        conductance=conductance,
    )  # fmt: skip


def _job(raw: RawJob) -> tuple[RawJob, bool]:
    """Return the part of a job that matters to a sample, and whether the bowl's grams had to be supplied."""
    keys = {f.key for f in FIELDS if f.section == "chocolate"} | {"grams"}
    values = {key: value for key, value in raw.values.items() if key in keys}
    values["method"] = "cabinet"  # no oven, any bowl
    missing = values.get("grams") is None
    if missing:
        values["grams"] = number("usual.sample_bowl")
    return RawJob(values, raw.places), missing
