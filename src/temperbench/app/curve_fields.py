"""Every question about the sample of a cooling curve, in one table; what a plan asks too stands in `job_fields`."""

from __future__ import annotations

from temperbench.app.job_fields import JobField

__all__ = ["CURVE_FIELDS"]

_CUPS = ("jacket", "metal", "plastic")  # those of the kitchen, which help need not load

CURVE_FIELDS: tuple[JobField, ...] = (
    JobField("sample_g", "sample", "grams", "--sample-grams", "grams",
             "Chocolate in the cup: 12.", limit="limit.sample_g", example="12"),
    JobField("cup", "sample", "cup", "--cup", "word",
             "jacket: a metal tube in a dry sleeve (the usual); metal or plastic: the tube straight in the water.",
             _CUPS, example="jacket"),
    JobField("cup_g", "sample", "cup_g", "--cup-grams", "grams",
             "The empty cup, as far as it stands in the bath.", limit="limit.cup_g", example="15"),
    JobField("cup_mm", "sample", "cup_mm", "--cup-width", "millimetres",
             "The cup inside, mm across.", limit="limit.cup_mm", example="15"),
    JobField("ice_c", "sample", "bath_c", "--bath", "celsius",
             "The bath, where the log has no column of it; 0 °C when not given.", limit="limit.ice_c", example="0"),
    JobField("bowl_reads_c", "sample", "bowl_reads_c", "--bowl-reads", "celsius",
             "What the stirred bowl read when the sample was taken.", limit="limit.keep_at_c", example="31.5"),
    JobField("water_g", "sample", "water_g", "--water-grams", "grams",
             "Water in the cup in a calibration run; as much as takes the sample's room when not given.",
             limit="limit.sample_g", example="10"),
)  # fmt: skip
