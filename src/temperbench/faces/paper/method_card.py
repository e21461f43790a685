"""The bench card of any method but the microwave's bursts: one printed page, to hang beside the bowl."""

from __future__ import annotations

from datetime import date

from temperbench.app.results import MethodPlan
from temperbench.faces.drawing import method_caption, method_chart_svg
from temperbench.faces.paper.method_content import method_content
from temperbench.faces.paper.press import PAGES, fits, set_page
from temperbench.foundation.errors import InputError, one_of

__all__ = ["MOST_STEPS", "method_card_pdf"]

MOST_STEPS = 18
# The tallest that leaves room for all lines is taken. [pt]
_CHART_HEIGHTS = (190.0, 176.0, 162.0, 150.0, 138.0, 126.0, 118.0)
# What is cut when not all fits at the lowest chart, the least needed first: each list down to the length beside it.
_CUTS = (
    ("usual", 0), ("looks", 0), ("details", 0), ("washing", 0), ("causes", 0), ("other", 0), ("holds", 0), ("roomy", 0),
    ("faults", 4), ("warnings", 2), ("faults", 0), ("rules", 3), ("warnings", 1), ("rules", 1), ("cautions", 3),
    ("rules", 0), ("rows", 6), ("cautions", 0), ("rows", 0), ("warnings", 0),
)  # fmt: skip
_AT_ONCE = frozenset({"usual", "looks", "other", "details", "washing", "causes", "holds", "roomy"})  # there or not


def method_card_pdf(plan: MethodPlan, *, page: str = "A4", made_on: date, version: str) -> bytes:
    """Set a plan as a card on one page; the same plan, page and date give the same bytes.

    Lists too long for the page are cut, and the card says that there is more on screen.

    Parameters
    ----------
    plan : MethodPlan
        The plan. [-]
    page : str
        "A4" or "Letter". [-]
    made_on : date
        Day on the card. [-]
    version : str
        Version of the program on the card. [-]

    Returns
    -------
    bytes
        A PDF of one page. [-]
    """
    if len(plan.steps) > MOST_STEPS:
        remedy = "plan a smaller bowl, or read the plan on screen"
        raise InputError("number of steps", len(plan.steps), f"up to {MOST_STEPS} on one page", remedy)
    paper, width = PAGES[one_of("page", page, PAGES)]
    content = method_content(plan, made_on, version)
    lists = ("usual", "faults", "holds", "washing", "warnings", "cautions", "rules")
    whole = {part: len(content[part]) for part in lists} | {"rows": len(content["table"]["rows"])}
    content |= {
        "paper": paper,
        "title": plan.title,
        "caption": method_caption(plan),
        "charts": [(h, method_chart_svg(plan, width, h, "print")) for h in _CHART_HEIGHTS],
        "fits": fits(
            whole | {"looks": 1, "other": 1, "details": 1, "causes": 1, "roomy": 1},
            len(_CHART_HEIGHTS),
            _CUTS,
            _AT_ONCE,
        ),
    }
    return set_page(content, made_on, ("base.typ", "method.typ"))
