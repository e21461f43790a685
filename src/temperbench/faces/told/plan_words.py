"""Sentences about a plan that screen and paper share: the setting test, what comes after the stop, rescue, defaults."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.app.results import BurstPlan, MethodPlan, RescueRow
from temperbench.faces.drawing.words import degrees, minutes_between

__all__ = [
    "SMEAR_RESULTS",
    "RescueTold",
    "amount",
    "carries_told",
    "defaults_told",
    "held_told",
    "portions",
    "rescue_told",
    "setting_test_told",
    "stir_down_told",
    "workable_told",
]

SMEAR_RESULTS = (
    ("in time, with a sheen", "in temper, use it"),
    ("lines or streaks", "slightly hot; wait a few minutes, test again"),
    ("not set in time", "stir in a few in-temper buttons, test again"),
)
_PORTIONS = "Stir in one portion after the other, each until it is gone; then the setting test."
_MELT = "melt fully, then seed"


@dataclass(frozen=True)
class RescueTold:
    """The rescue table: rows with buttons to add, what holds for all of these, and who must melt fully."""

    rows: tuple[RescueRow, ...]
    notes: tuple[str, ...]


def setting_test_told(plan: BurstPlan | MethodPlan) -> tuple[str, str]:
    """Return how the setting test is made, and its times.

    Parameters
    ----------
    plan : BurstPlan | MethodPlan
        The plan. [-]

    Returns
    -------
    tuple[str, str]
        Two lines without a full stop. [-]
    """
    test = plan.setting_test
    film = "a knife" if test.film == "knife" else test.film
    how = f"a thin smear on {film}, in this room, never in the fridge"
    times = f"set by {test.pass_min:.1f} min = enough crystals; expected {test.low_min:.1f} to {test.high_min:.1f} min"
    return how, times


def stir_down_told(plan: BurstPlan, *, fahrenheit: bool = False) -> str:
    """Say from where to where the bowl is stirred down.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One line without a full stop. [-]
    """
    stop, top = degrees(plan.stop_c, fahrenheit), degrees(plan.work_to_c, fahrenheit)
    return f"from the stop, {stop}, to the top of the window, {top}"


def workable_told(plan: BurstPlan | MethodPlan) -> str:
    """Say what ends the time in which the unheated bowl can be worked.

    Parameters
    ----------
    plan : BurstPlan | MethodPlan
        The plan. [-]

    Returns
    -------
    str
        One line without a full stop. [-]
    """
    return f"unheated, then {plan.workable.ends_by}"


def held_told(plan: BurstPlan | MethodPlan, *, fahrenheit: bool = False) -> str:
    """Say how long a bowl kept in the window can be worked.

    Parameters
    ----------
    plan : BurstPlan | MethodPlan
        The plan. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One line without a full stop. [-]
    """
    held = plan.held
    at = degrees(plan.work_to_c, fahrenheit)
    return f"{minutes_between(held.low, held.mid, held.high)} when kept at {at}, then {held.ends_by}"


def carries_told(plan: BurstPlan) -> str:
    """Say how far the seconds carry without a reading, and what an oven hot from earlier bowls does to them.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]

    Returns
    -------
    str
        Sentences. [-]
    """
    solid = plan.carries.hot_oven_solid_pct_of_fat
    hot = f"In an oven hot from earlier bowls they leave {solid:.1f} % of the fat solid."
    return f"{plan.carries.text} {hot}".strip()


def rescue_told(rows: tuple[RescueRow, ...], *, fahrenheit: bool = False) -> RescueTold:
    """Sort the rescue rows into those with an amount and one line for those that no amount can save.

    Parameters
    ----------
    rows : tuple[RescueRow, ...]
        Rows from the coolest to the hottest bowl. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    RescueTold
        The rows with an amount, and sentences that hold for them or for the others. [-]
    """
    added = tuple(row for row in rows if row.add_g is not None)
    notes = []
    if any(len(row.portions_g) > 1 for row in added):
        notes.append(_PORTIONS)
    notes += dict.fromkeys(row.advice for row in added if len(row.portions_g) < 2 and row.advice)
    notes += _ends(added, fahrenheit)
    lost = [row.at_c for row in rows if row.add_g is None]
    if lost:
        notes.append(f"From {degrees(min(lost), fahrenheit)}: {_MELT}.")
    return RescueTold(added, tuple(notes))


def _ends(rows: tuple[RescueRow, ...], fahrenheit: bool) -> list[str]:
    """Say once where all rows lead."""
    warm = [row.ends_c for row in rows if row.add_g and row.ends_c is not None]
    solid = [row.ends_pct_of_fat for row in rows if row.add_g and row.ends_pct_of_fat is not None]
    if not warm or not solid:
        return []
    at = _span(*(degrees(c, fahrenheit, unit=False) for c in (min(warm), max(warm))))
    crystals = _span(f"{min(solid):.1f}", f"{max(solid):.1f}")
    sign = degrees(0.0, fahrenheit)[-2:]
    return [f"It ends at {at} {sign} with {crystals} % of the fat as crystals."]


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def defaults_told(plan: BurstPlan | MethodPlan) -> tuple[str, ...]:
    """Return what was taken as usual as short entries of one style: no full stops, no repeated "taken as".

    Parameters
    ----------
    plan : BurstPlan | MethodPlan
        The plan. [-]

    Returns
    -------
    tuple[str, ...]
        Entries such as "room: 20 °C (17 to 24)". [-]
    """
    return tuple(_entry(text) for text in plan.defaults_used)


def _entry(text: str) -> str:
    tidy = text.strip().rstrip(".").replace(": taken as ", ": ").removesuffix(", because no water test was given")
    return tidy[:1].lower() + tidy[1:] if tidy[1:2].islower() else tidy


def portions(row: RescueRow) -> str:
    """Write the portions of a rescue.

    Parameters
    ----------
    row : RescueRow
        A row with an amount. [-]

    Returns
    -------
    str
        For example "40 + 40 + 30 g". [-]
    """
    if not row.add_g:
        return "stir, no heat"
    if len(row.portions_g) < 2:
        return "at once"
    return f"{' + '.join(f'{grams:.0f}' for grams in row.portions_g)} g"


def amount(row: RescueRow) -> str:
    """Write the buttons to add.

    Parameters
    ----------
    row : RescueRow
        A row with an amount. [-]

    Returns
    -------
    str
        For example "110 g", or "nothing". [-]
    """
    return f"{row.add_g} g" if row.add_g else "nothing"
