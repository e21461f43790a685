"""What screen and paper tell of a plan of keeping in the same words: its table, how long it holds, its risks."""

from __future__ import annotations

from temperbench.app.keep_results import KeepPlan, KeepRow
from temperbench.faces.drawing.words import degrees, degrees_between, minutes, minutes_between

__all__ = ["alone_told", "asks_told", "kept_told", "memory_told", "pause_told", "reads_told"]


def reads_told(row: KeepRow, fahrenheit: bool = False) -> str:
    """Write what a row of the table reads.

    Parameters
    ----------
    row : KeepRow
        The row. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        For example "32.1 to 32.6 °C". [-]
    """
    low, high = row.reads_from_c, row.reads_to_c
    if low is not None and high is not None:
        return degrees_between(low, high, fahrenheit)
    if high is not None:
        return f"below {degrees(high, fahrenheit)}"
    return "any" if low is None else f"{degrees(low, fahrenheit)} and above"


def asks_told(seconds: int, grams: int) -> str:
    """Return what a thick bowl or an easy one asks for.

    Parameters
    ----------
    seconds : int
        Of warming. [-]
    grams : int
        Of warm melted chocolate to stir in. [-]

    Returns
    -------
    str
        For example "add 85 g, or warm 6 s". [-]
    """
    warm = f"warm {seconds} s" if seconds else "stir only"
    return f"add {grams} g, or {warm}" if grams and seconds else f"add {grams} g" if grams else warm


def kept_told(plan: KeepPlan) -> str:
    """Return how many bowls stay workable, and for how long the middle one does; without a full stop."""
    held = plan.held
    what = "the bowl and its refill last no longer" if plan.used_up_min is not None else "as long as it is wanted"
    told = f"{100 * plan.workable_share:.0f} of 100 bowls like this stay workable for {minutes(plan.minutes)}, {what}"
    if held.ends_by != "as long as wanted":
        told += f"; the middle one for {minutes_between(held.low, held.mid, held.high)}, then {held.ends_by}"
    return told


def alone_told(plan: KeepPlan) -> tuple[tuple[str, str], ...]:
    """Return when the bowl left alone is too thick and too cold: what, and after how long."""
    alone = plan.left_alone
    end = alone.heat.t_s[-1] / 60.0
    return tuple(
        (name, f"after {minutes_between(band.low, band.mid, band.high)}"
         f"{f' (followed for {end:.0f} min)' if band.high >= end else ''}")
        for name, band in (("too thick", alone.thick_min), ("too cold", alone.cold_min))
    )  # fmt: skip


def pause_told(plan: KeepPlan) -> tuple[tuple[str, str], ...]:
    """Return what other pauses between looks give: the pause, and how many bowls stay workable with it."""
    return tuple(
        (f"every {row.every_min:.0f} min",
         f"{100 * row.workable:.0f} of 100 bowls workable to the end, {minutes(row.lasted_min)} on average")
        for row in plan.pauses
    )  # fmt: skip


def memory_told(plan: KeepPlan) -> str:
    """Return how long the model needs to clear the middle chocolate of old crystals."""
    told = [f"{row.at_c:.0f} °C {'not in 2 h' if row.minutes is None else minutes(row.minutes)}" for row in plan.clear]
    return f"By the model alone, the middle chocolate is clear after: {'; '.join(told)}."
