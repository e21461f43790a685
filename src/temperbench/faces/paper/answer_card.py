"""The card of an answer: of keeping a bowl, of a cooling curve, or of the trouble-shooter."""

from __future__ import annotations

from temperbench.app.curve_results import CurveReading
from temperbench.app.keep_results import KeepPlan
from temperbench.app.results import Trouble
from temperbench.faces.paper.curve_card import curve_card
from temperbench.faces.paper.keep_card import keep_card
from temperbench.faces.paper.plain_card import Issue, set_plain_card
from temperbench.faces.paper.trouble_card import trouble_card

__all__ = ["answer_card_pdf"]


def answer_card_pdf(answer: KeepPlan | CurveReading | Trouble, issue: Issue) -> bytes:
    """Set an answer as a card; the same answer and issue give the same bytes.

    Parameters
    ----------
    answer : KeepPlan | CurveReading | Trouble
        What stands on it. [-]
    issue : Issue
        Paper, day, version and units. [-]

    Returns
    -------
    bytes
        A PDF of one page. [-]
    """
    if isinstance(answer, KeepPlan):
        card = keep_card(answer, issue.fahrenheit)
    elif isinstance(answer, CurveReading):
        card = curve_card(answer, issue.fahrenheit)
    else:
        card = trouble_card(answer)
    return set_plain_card(card, issue)
