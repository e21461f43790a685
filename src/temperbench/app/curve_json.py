"""A reading of a cooling curve, and the calibration of a cup, as the JSON that docs/json.md promises."""

from __future__ import annotations

from temperbench.app.figures_json import band_json
from temperbench.app.plan_json import FORMAT
from temperbench.insight.curve.result import BendRead, CupCalibration, CurveReading, Remedy
from temperbench.insight.plan import Leg

__all__ = ["calibration_json", "curve_json"]


def curve_json(reading: CurveReading) -> dict[str, object]:
    """Return a reading as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    reading : CurveReading
        A reading. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`; °C and °C/min have two decimals, shares in % one or two, chances three. [-]
    """
    return {
        "format": FORMAT,
        "title": reading.title,
        "verdict": reading.verdict,
        "chances": {
            "too_few": round(reading.too_few, 3),
            "in_temper": round(reading.in_temper, 3),
            "too_many": round(reading.too_many, 3),
        },
        "crystals_pct_of_fat": band_json(reading.crystals_pct_of_fat, 2),
        "acts_like_pct_of_fat": band_json(reading.acts_like_pct_of_fat, 2),
        "unstable_pct_of_fat": band_json(reading.unstable_pct_of_fat, 1),
        "bend": None if reading.bend is None else _bend(reading.bend),
        "stop_c": round(reading.stop_c, 1),
        "limit_c": round(reading.limit_c, 1),
        "work_from_c": round(reading.work_from_c, 1),
        "work_to_c": round(reading.work_to_c, 1),
        "start_c": round(reading.start_c, 1),
        "steepest_c_per_min": round(reading.steepest_per_minute, 2),
        "remedy": _remedy(reading.remedy),
        "conductance_w_k": band_json(reading.conductance_w_k, 4),
        "misfit_c": band_json(reading.misfit_c, 2),
        "noise_c": round(reading.noise_c, 3),
        "readings": reading.readings,
        "slips": reading.slips,
        "path": {"seen": _leg(reading.seen), "model": _leg(reading.model)},
        "doubts": list(reading.doubts),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in reading.warnings],
        "cautions": list(reading.cautions),
        "defaults_used": list(reading.defaults_used),
        "sources": list(reading.sources),
        "cups": reading.cups,
    }


def calibration_json(found: CupCalibration) -> dict[str, object]:
    """Return a calibration as plain figures and text.

    Parameters
    ----------
    found : CupCalibration
        A calibration. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "cup": found.kind,
        "water_g": round(found.water_g, 1),
        "conductance_w_k": band_json(found.conductance_w_k, 4),
        "chocolate_w_k": band_json(found.chocolate_w_k, 4),
        "time_constant_s": band_json(found.time_constant_s, 0),
        "bath_c": round(found.bath_c, 1),
        "from_c": round(found.from_c, 1),
        "to_c": round(found.to_c, 1),
        "misfit_c": round(found.misfit_c, 2),
        "doubts": list(found.doubts),
        "defaults_used": list(found.defaults_used),
        "sources": list(found.sources),
    }


def _bend(bend: BendRead) -> dict[str, object]:
    return {
        "after_min": band_json(bend.after_min, 1), "celsius": band_json(bend.celsius, 2),
        "c_per_min": band_json(bend.per_minute, 2),
    }  # fmt: skip


def _remedy(remedy: Remedy) -> dict[str, object]:
    return {
        "do": remedy.do, "detail": remedy.detail, "seed_g": remedy.seed_g,
        "warm_to_c": None if remedy.warm_to_c is None else round(remedy.warm_to_c, 1), "melted_g": remedy.melted_g,
    }  # fmt: skip


def _leg(leg: Leg) -> dict[str, list[float]]:
    return {
        "t_s": [round(t, 1) + 0.0 for t in leg.t_s],
        **{name: [round(c, 2) + 0.0 for c in getattr(leg, name)] for name in ("low_c", "mid_c", "high_c")},
    }
