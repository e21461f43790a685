"""Sentences about a plan of a method that screen and paper share: how long a step takes, what a reading means."""

from __future__ import annotations

from temperbench.app.results import Band, MethodPlan, MethodStep, ReadsDo
from temperbench.faces.drawing.words import degrees, degrees_between, minutes, minutes_between

__all__ = ["SEEN_BY", "read_told", "risks_told", "step_time", "time_told"]

SEEN_BY = {
    "probe": "read with a probe", "infrared": "read with an infrared thermometer", "none": "judged by the eye alone",
}  # fmt: skip
_SECONDS_BELOW = 90.0
_HOURS_FROM_MIN = 180.0


def step_time(step: MethodStep) -> str:
    """Say how long a step takes, with its band: seconds where all of it is short, else minutes.

    Parameters
    ----------
    step : MethodStep
        A step. [-]

    Returns
    -------
    str
        For example "45 s (30 to 60)", or "10 min" where every bowl takes as long. [-]
    """
    band = step.seconds
    if band.low == band.high:
        return f"{band.mid:.0f} s" if band.mid < _SECONDS_BELOW else minutes(band.mid / 60.0)
    if band.high < _SECONDS_BELOW:
        return f"{band.mid:.0f} s ({band.low:.0f} to {band.high:.0f})"
    return time_told(Band(band.low / 60.0, band.mid / 60.0, band.high / 60.0))


def time_told(band: Band) -> str:
    """Write a time in minutes with its band, or in hours where minutes would say little.

    Parameters
    ----------
    band : Band
        Minutes. [-]

    Returns
    -------
    str
        For example "32 min (27 to 39)" or "10.8 h (9.1 to 13.2)". [-]
    """
    if band.mid < _HOURS_FROM_MIN:
        return minutes_between(band.low, band.mid, band.high)
    return f"{band.mid / 60.0:.1f} h ({band.low / 60.0:.1f} to {band.high / 60.0:.1f})"


def read_told(row: ReadsDo) -> str:
    """Say which readings a row of the policy holds for.

    Parameters
    ----------
    row : ReadsDo
        A row. [-]

    Returns
    -------
    str
        For example "34.7 to 36.0 °C". [-]
    """
    if row.reads_from_c is None:
        return "whatever it reads" if row.reads_to_c is None else f"below {degrees(row.reads_to_c)}"
    if row.reads_to_c is None:
        return f"{degrees(row.reads_from_c)} and above"
    return degrees_between(row.reads_from_c, row.reads_to_c)


def risks_told(plan: MethodPlan) -> str:
    """Say what share of bowls was lost and scorched, how it was read or seen, and on how many bowls that was measured.

    Parameters
    ----------
    plan : MethodPlan
        A plan. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    lost, scorch, asked = (f"{100 * share:.1f} %" for share in (plan.risk_lost, plan.risk_scorch, plan.risk_asked))
    over = max(plan.risk_lost, plan.risk_scorch) > plan.risk_asked
    return (
        f"Of {plan.risk_members} simulated bowls, {SEEN_BY[plan.thermometer]}, {lost} lost their temper, "
        f"{scorch} scorched ({'MORE than asked' if over else 'asked'}: at most {asked})."
    )
