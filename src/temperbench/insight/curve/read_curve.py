"""Reads a cooling curve: looks at it, fits the cup and its crystals, judges, and says what does not fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.curve.doubts import CAUTIONS, explained, misgivings
from temperbench.insight.curve.fit import Posterior, fit
from temperbench.insight.curve.judge import Judged, judge, remedy
from temperbench.insight.curve.prior import Prior
from temperbench.insight.curve.result import BendRead, CurveReading
from temperbench.insight.curve.series import Series
from temperbench.insight.curve.smooth import Bins, Look, binned, look_at, slips
from temperbench.insight.job import BowlJob
from temperbench.insight.plan import Band, Leg, Warning_
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import temperatures
from temperbench.kitchen.cup import Bath, Cup
from temperbench.kitchen.cup_solver import C_OUTSIDE
from temperbench.kitchen.thermometers import thermometer_of

__all__ = ["CurveJob", "fitted_part", "prior_of", "read_curve"]

_NORMAL_90 = 1.645  # standard errors from the middle to the ends of a 90 % band


@dataclass(frozen=True)
class CurveJob:
    """The sample behind a curve: the bowl it came from, its cup, its bath."""

    job: BowlJob  # chocolate, grams of the bowl, buttons to seed with
    cup: Cup
    bath_c: float  # the bath where it was not logged beside the sample
    bowl_reads_c: float | None = None  # what the stirred bowl read when the sample was taken


def prior_of(ask: CurveJob, known: Known, series: Series, look: Look) -> Prior:
    """Return what is not known of a sample before its curve is read."""
    probe = thermometer_of("probe")
    bath = Bath.steady(ask.bath_c) if series.bath_c is None else Bath(series.seconds, series.bath_c)
    return Prior(known.setup, ask.cup, bath, look, bath_logged=series.bath_c is not None, lag=probe.tau_s,
                 bias=probe.bias_c)  # fmt: skip


def fitted_part(series: Series, look: Look) -> tuple[Bins, float]:
    """Return the averages that the model is fitted to, and where on the log's clock they end.

    From before the fall until the sample is as cold as the model goes, without slips.
    """
    cold = np.flatnonzero(look.smooth(series.seconds) < number("curve.coldest"))
    last = float(series.seconds[cold[0]]) if len(cold) else look.last_s
    last = min(last, look.fall_s + 60.0 * number("curve.longest"))
    keep = ~slips(series.celsius)
    kept = Series(series.seconds[keep], series.celsius[keep]).part(look.fall_s - 100.0, last)
    width = max((kept.seconds[-1] - kept.seconds[0]) / number("curve.fit_bins"), 5.0)
    return binned(kept, width, look.noise_c)[0], last


def read_curve(
    ask: CurveJob, series: Series, *, seed: int = 1, progress: Callable[[str], None] | None = None
) -> CurveReading:
    """Read the curve of a sample.

    Parameters
    ----------
    ask
        What is known of the sample. [-]
    series
        Its log. [-]
    seed
        Start of the random numbers; the same seed gives the same reading. [-]
    progress
        Told in words what takes long, once per step. [-]

    Returns
    -------
        The reading. [-]
    """
    known = know(ask.job)
    look = look_at(series)
    if look.steepest > -number("curve.least_fall"):
        remedy_ = "put the cup into ice water, leave it alone, and log until it is below 15 °C"
        raise InputError("series", f"a fall of {-look.steepest:.2f} °C/min at most",
                         f"a sample that cools by {number('curve.least_fall'):g} °C/min or more", remedy_)  # fmt: skip
    bins, last = fitted_part(series, look)
    prior = prior_of(ask, known, series, look)
    if progress is not None:
        progress("fitting the curve")
    posterior = fit(prior, bins, seed=seed)
    judged = judge(posterior, seed=seed)
    doubts = misgivings(look, series, posterior, last)
    if _does_not_fit(posterior):
        if progress is not None:
            progress("it does not fit: trying other explanations")
        doubts = (*explained(prior, bins, seed), *doubts)
    return _reading(ask, known, series, look, bins, prior, posterior, judged, doubts)


def _does_not_fit(posterior: Posterior) -> bool:
    large = float(np.median(posterior.sample.misfit)) > number("curve.doubt.misfit")
    return large or posterior.tail < number("curve.doubt.tail")


def _reading(
    ask: CurveJob, known: Known, series: Series, look: Look, bins: Bins, prior: Prior, posterior: Posterior,
    judged: Judged, doubts: tuple[str, ...],
) -> CurveReading:  # fmt: skip
    few, good, many = judged.chances
    sample, aims = posterior.sample, temperatures(known)
    began = float(np.median(sample.delay))
    cooled = prior.cooled(sample, float(bins.seconds[-1]), float(np.median(np.diff(bins.seconds))))
    chocolate = known.chocolate

    return CurveReading(
        title=f"Cooling curve of {chocolate.name}, {1000 * ask.cup.mass.mid:.0f} g in the cup",
        verdict=judged.verdict, too_few=few, in_temper=good, too_many=many,
        crystals_pct_of_fat=_band(100.0 * judged.stable), acts_like_pct_of_fat=_band(100.0 * judged.acts_like),
        unstable_pct_of_fat=_band(100.0 * cooled.unstable.max(axis=1)), bend=_bend(look, began),
        stop_c=aims.stop_c, limit_c=aims.limit_c, work_from_c=aims.work_from_c, work_to_c=aims.work_to_c,
        start_c=look.start_c, steepest_per_minute=look.steepest,
        remedy=remedy(judged, known, aims, ask.bowl_reads_c),
        conductance_w_k=_band(sample.cups[:, C_OUTSIDE]), misfit_c=_band(sample.misfit), noise_c=look.noise_c,
        slips=look.slips, readings=len(series.seconds), seen=_seen(bins, began), model=_model(bins, posterior, began),
        doubts=doubts, warnings=_warnings(ask, known), cautions=CAUTIONS,
        defaults_used=(*chocolate.defaults_used, *ask.cup.defaults_used),
        sources=(*chocolate.sources, *ask.cup.sources, "crystals.growth", "crystals.sites_of_melted_down",
                 "crystals.nucleation_unstable", "curve.misfit", "curve.content.most", "bowl.enough",
                 "bowl.thick_ratio", "flow.kappa"),
        cups=posterior.runs,
    )  # fmt: skip


_KEPT = ("stock-not-glossy",)
_QUICK = Warning_(
    "quick-cup",
    "A tube straight in the water cools fast, and its bands were found somewhat too narrow (docs/curve.md): make the "
    "setting test as well, or use a sleeve.",
)


def _warnings(ask: CurveJob, known: Known) -> tuple[Warning_, ...]:
    kept = tuple(w for w in known.warnings if w.code in _KEPT)
    return kept if ask.cup.kind == "jacket" else (*kept, _QUICK)


def _band(values: Array) -> Band:
    low, mid, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(mid), float(high))


def _bend(look: Look, began: float) -> BendRead | None:
    if look.bend is None:
        return None

    def around(value: float, error: float) -> Band:
        half = _NORMAL_90 * error
        return Band(value - half, value, value + half)

    b = look.bend
    return BendRead(
        around((b.seconds - began) / 60.0, b.seconds_error / 60.0), around(b.celsius, b.celsius_error),
        around(b.per_minute, b.per_minute_error),
    )  # fmt: skip


def _seen(bins: Bins, began: float) -> Leg:
    t, y, e = bins.seconds - began, bins.celsius, 2.0 * bins.error
    return Leg(tuple(t.tolist()), tuple((y - e).tolist()), tuple(y.tolist()), tuple((y + e).tolist()))


def _model(bins: Bins, posterior: Posterior, began: float) -> Leg:
    low, mid, high = np.nanquantile(posterior.shown, [0.05, 0.5, 0.95], axis=0)
    t = bins.seconds - began
    return Leg(tuple(t.tolist()), tuple(low.tolist()), tuple(mid.tolist()), tuple(high.tolist()))
