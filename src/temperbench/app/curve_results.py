"""Results of a cooling curve, passed on for the faces."""

from temperbench.insight.curve.result import VERDICTS, BendRead, CupCalibration, CurveReading, Remedy

__all__ = ["VERDICTS", "BendRead", "CupCalibration", "CurveReading", "Remedy"]
