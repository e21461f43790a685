"""What screen and paper tell of the trouble-shooter's answer in the same words: chances, signs, the bowl's state."""

from __future__ import annotations

from temperbench.app.results import CauseFound, Trouble

__all__ = ["LISTED", "chance_ends", "is_sure", "others_of", "percent_told", "seen_told", "standing_told"]

LISTED = 6  # causes of the list
_SURE, _WORTH = 0.8, 0.05  # from where a cause is taken for the one, and is worth its own advice
_BY = {"model": "by the model", "rules": "by rule"}


def percent_told(share: float) -> str:
    """Write a chance in per cent."""
    return "under 1 %" if share < 0.005 else f"{100 * share:.0f} %"


def chance_ends(cause: CauseFound) -> str:
    """Return the ends of a cause's chance and what it was weighed by, such as "(85 to 91), by the model"."""
    return f"({100 * cause.low:.0f} to {100 * cause.high:.0f}), {_BY[cause.by]}"


def is_sure(found: Trouble) -> bool:
    """Whether the first cause is likely enough to act on it at once, or nothing is left that would tell more."""
    return found.causes[0].probability >= _SURE or not found.checks


def others_of(found: Trouble) -> tuple[CauseFound, ...]:
    """Return the causes that are told as "if it is this": the first one too, when it is not sure."""
    others = tuple(cause for cause in found.causes[1:3] if cause.probability >= _WORTH)
    return others if is_sure(found) else (found.causes[0], *others)


def seen_told(found: Trouble) -> str:
    """Return what was seen, as a sentence."""
    return f"Seen: {'; '.join(found.seen)}." if found.seen else "Seen: nothing named."


def standing_told(found: Trouble) -> str:
    """Return where the bowl stands: chances of its temper, crystals, and how a smear would set."""
    crystals, test = found.crystals_pct_of_fat, found.set_min
    return (
        f"Temper lost {percent_told(found.chance_lost)}, in temper {percent_told(found.chance_in_temper)}, too many "
        f"crystals {percent_told(found.chance_too_many)}. Crystals {crystals.mid:.1f} ({crystals.low:.1f} to "
        f"{crystals.high:.1f}) % of the fat; a smear sets in {test.mid:.1f} ({test.low:.1f} to {test.high:.1f}) min."
    )
