"""What a cooling curve says, as every face shows it: frozen, in °C, °C/min, minutes and % of the fat."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.insight.plan import Band, Leg, Warning_

__all__ = ["VERDICTS", "BendRead", "CupCalibration", "CurveReading", "Remedy"]

VERDICTS = ("too few", "in temper", "too many")


@dataclass(frozen=True)
class BendRead:
    """The bend as it stands in the curve itself, with 90 % bands from the noise of the readings."""

    after_min: Band  # since the cup began to cool
    celsius: Band
    per_minute: Band  # slope there [°C/min]


@dataclass(frozen=True)
class Remedy:
    """What to do with the bowl that the sample came from."""

    do: str  # short imperative
    detail: str
    seed_g: int | None = None  # in-temper buttons to stir in
    warm_to_c: float | None = None  # warm no further than this
    melted_g: int | None = None  # warm melted chocolate to thin it with


@dataclass(frozen=True)
class CurveReading:
    """The reading of one curve."""

    title: str
    verdict: str  # the likeliest of VERDICTS
    too_few: float  # chances of the three
    in_temper: float
    too_many: float
    crystals_pct_of_fat: Band  # stable crystals when the sample was taken
    acts_like_pct_of_fat: Band  # well-dispersed crystals that would set it as fast
    unstable_pct_of_fat: Band  # the most unstable crystals that came in the sample as it set
    bend: BendRead | None
    stop_c: float  # of the bowl's chocolate, as a plan has them
    limit_c: float
    work_from_c: float
    work_to_c: float
    start_c: float  # level before the fall
    steepest_per_minute: float  # slope of the fall [°C/min]
    remedy: Remedy
    conductance_w_k: Band  # from cup to bath, as the curve has it
    misfit_c: Band  # what the model leaves unexplained
    noise_c: float  # of one reading
    slips: int  # readings left out
    readings: int
    seen: Leg  # averages of the readings with twice their error, from when it began to cool
    model: Leg  # the model, 5 to 95 %
    doubts: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    cautions: tuple[str, ...]
    defaults_used: tuple[str, ...]
    sources: tuple[str, ...]
    cups: int  # how many cups were cooled for it


@dataclass(frozen=True)
class CupCalibration:
    """What a run with water says of a cup."""

    kind: str
    water_g: float
    conductance_w_k: Band  # from the water in the cup to the bath
    chocolate_w_k: Band  # from cup to bath, the water's own film taken away: for a curve
    time_constant_s: Band  # of the water
    bath_c: float
    from_c: float  # part of the run that it is read from
    to_c: float
    misfit_c: float  # of single readings about the fitted fall
    doubts: tuple[str, ...]
    defaults_used: tuple[str, ...]
    sources: tuple[str, ...]
