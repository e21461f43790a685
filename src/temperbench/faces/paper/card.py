"""The bench card: a plan on one printed page, to hang beside the oven."""

from __future__ import annotations

from datetime import date

from temperbench.app.results import BurstPlan
from temperbench.faces.drawing import caption, chart_svg
from temperbench.faces.paper.content import card_content
from temperbench.faces.paper.press import PAGES, fits, set_page
from temperbench.foundation.errors import InputError, one_of

__all__ = ["MOST_BURSTS", "card_pdf"]

MOST_BURSTS = 12
# The tallest that leaves room for all lines is taken. [pt]
_CHART_HEIGHTS = (210.0, 196.0, 182.0, 168.0, 154.0, 144.0, 134.0, 124.0)

# What is cut when not all fits at the lowest chart, the least needed first: each list down to the length beside it.
_CUTS = (
    ("usual", 0), ("stores", 0), ("holds", 1), ("rescue", 3), ("warnings", 4), ("rescue", 0), ("holds", 0),
    ("warnings", 0), ("cautions", 0),
)  # fmt: skip
_AT_ONCE = frozenset({"usual", "stores"})  # one sentence each, not a list: there or not


def card_pdf(plan: BurstPlan, *, page: str = "A4", made_on: date, version: str, fahrenheit: bool = False) -> bytes:
    """Set a plan as a card on one page; the same plan, page and date give the same bytes.

    Lists too long for the page are cut, and the card says that there is more on screen.

    Parameters
    ----------
    plan : BurstPlan
        The plan. [-]
    page : str
        "A4" or "Letter". [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    bytes
        A PDF of one page. [-]
    """
    if len(plan.bursts) > MOST_BURSTS:
        remedy = "plan a smaller bowl, more power or a higher accepted risk, or read the plan on screen"
        raise InputError("number of bursts", len(plan.bursts), f"up to {MOST_BURSTS} on one page", remedy)
    paper, width = PAGES[one_of("page", page, PAGES)]
    content = card_content(plan, made_on, version, fahrenheit=fahrenheit)
    content |= {
        "paper": paper,
        "title": plan.title,
        "caption": caption(plan, fahrenheit=fahrenheit),
        "charts": [(h, chart_svg(plan, width, h, "print", fahrenheit=fahrenheit)) for h in _CHART_HEIGHTS],
        "fits": fits(
            {part: len(content[part]) for part in ("usual", "stores", "holds", "warnings", "cautions")}
            | {"rescue": len(content["rescue"]["rows"])},
            len(_CHART_HEIGHTS),
            _CUTS,
            _AT_ONCE,
        ),
    }
    return set_page(content, made_on, ("base.typ", "parts.typ", "card.typ"))
