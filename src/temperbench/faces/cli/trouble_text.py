"""An answer of the trouble-shooter as text for a terminal of 80 columns."""

from __future__ import annotations

from temperbench.app.find_trouble import known_checks, known_signs
from temperbench.app.results import CauseFound, CheckFirst, Trouble
from temperbench.faces.cli.layout import wrapped
from temperbench.faces.told.trouble_words import (
    LISTED,
    chance_ends,
    is_sure,
    others_of,
    percent_told,
    seen_told,
    standing_told,
)

__all__ = ["signs_text", "trouble_text"]

_STAGES = {"bowl": "In the bowl", "smear": "On the smear", "goods": "On finished pieces"}
_PLACES = {"bowl": "while there is a bowl", "any": "at any time", "goods": "once there are pieces"}


def trouble_text(found: Trouble) -> str:
    """Return the whole answer as lines for the terminal.

    Parameters
    ----------
    found : Trouble
        The answer. [-]

    Returns
    -------
    str
        Text that ends with a line feed. [-]
    """
    lines = [*wrapped(found.heading, ""), *wrapped(seen_told(found), ""), "", "LIKELIEST CAUSES"]
    for place, cause in enumerate(found.causes[:LISTED], 1):
        lines += wrapped(f"{cause.title}.", f"  {place}. {_chance(cause)}  ")
    if is_sure(found):
        lines += ["", "DO THIS NOW", *_told(found.causes[0]), *_checks(found.checks[:1], found.left_bits)]
    else:
        lines += _checks(found.checks, found.left_bits)
    for cause in others_of(found):
        lines += ["", *wrapped(f"{cause.title}.", "IF IT IS THIS: "), *_told(cause)]
    lines += ["", "WHERE THE BOWL STANDS", *wrapped(standing_told(found), "  "), *_more(found)]
    return "\n".join(lines) + "\n"


def signs_text() -> str:
    """Return every sign and check that can be told, with its words.

    Returns
    -------
    str
        Text that ends with a line feed. [-]
    """
    lines: list[str] = []
    for stage, heading in _STAGES.items():
        lines += ["", f"{heading} (--seen, --not-seen)"] if lines else [f"{heading} (--seen, --not-seen)"]
        for sign in known_signs():
            if sign.stage == stage:
                also = f" (also: {', '.join(sign.also)})" if sign.also else ""
                lines += wrapped(f"{sign.title}{also}", f"  {sign.key:<18}")
    for stage, heading in _PLACES.items():
        lines += ["", f"Checks {heading} (--found CHECK=OUTCOME)"]
        for check in known_checks():
            if check.stage == stage:
                lines += wrapped(f"{check.title} {' | '.join(check.also)}", f"  {check.key:<18}")
    return "\n".join(lines) + "\n"


def _chance(cause: CauseFound) -> str:
    return f"{percent_told(cause.probability)} {chance_ends(cause)}."


def _told(cause: CauseFound) -> list[str]:
    lines = wrapped(cause.why, "  Why    ")
    lines += wrapped(cause.do, "  Do     ") + wrapped(cause.save, "  Save   ")
    lines += wrapped(cause.next_time, "  Later  ")
    if cause.speaks_for:
        lines += wrapped("; ".join(cause.speaks_for) + ".", "  For    ")
    if cause.speaks_against:
        lines += wrapped("; ".join(cause.speaks_against) + ".", "  But    ")
    return lines


def _checks(checks: tuple[CheckFirst, ...], left_bits: float) -> list[str]:
    if not checks:
        return [
            "",
            *wrapped("Nothing is left that would tell more: do the above and make the setting test.", "CHECK  "),
        ]
    lines = ["", "CHECK FIRST"]
    for place, check in enumerate(checks, 1):
        lines += wrapped(f"{check.ask} {check.how} ({check.minutes} min; {_tells(check, left_bits)})", f"  {place}. ")
        for outcome in check.outcomes:
            leads = f"{outcome.title} ({percent_told(outcome.probability)})"
            lines += wrapped(f"{outcome.text}: {leads}. Tell it: --found {check.key}={outcome.key}", "     - ")
    return lines


def _tells(check: CheckFirst, left_bits: float) -> str:
    """Say how much of what is not known about the cause a check is expected to tell."""
    share = check.bits / left_bits if left_bits > 0.0 else 0.0
    return f"tells {100 * min(share, 1.0):.0f} % of what is open"


def _more(found: Trouble) -> list[str]:
    lines = []
    if found.unexplained:
        lines += wrapped(f"Nothing here explains well: {'; '.join(found.unexplained)}.", "  ")
    for heading, told in (
        ("TAKEN AS USUAL", found.defaults_used), ("MIND", tuple(w.text for w in found.warnings)),
        ("CAUTION", found.cautions),
    ):  # fmt: skip
        if told:
            lines += ["", heading, *(line for text in told for line in wrapped(text, "  - "))]
    lines += ["", *wrapped("Chances are as good as the words of the rule table: see temperbench sources trouble", "")]
    return lines
