"""The bench card: a plan on one printed page, to hang beside the oven."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from typing import Any

import fontpkg_atkinson_hyperlegible as typeface
import typst

from temperbench.app.results import BurstPlan
from temperbench.faces.drawing import caption, chart_svg
from temperbench.faces.paper.content import card_content
from temperbench.foundation.errors import InputError, one_of

__all__ = ["MOST_BURSTS", "PAGES", "CardError", "card_pdf"]

PAGES = {"A4": ("a4", 527.0), "Letter": ("us-letter", 544.0)}  # name of the paper, width between margins. [pt]
MOST_BURSTS = 12
# The tallest that leaves room for all lines is taken. [pt]
_CHART_HEIGHTS = (210.0, 196.0, 182.0, 168.0, 154.0, 144.0, 134.0, 124.0)

# What is cut when not all fits at the lowest chart, the least needed first: each list down to the length beside it.
_CUTS = (
    ("usual", 0), ("stores", 0), ("holds", 1), ("rescue", 3), ("warnings", 4), ("rescue", 0), ("holds", 0),
    ("warnings", 0), ("cautions", 0),
)  # fmt: skip
_AT_ONCE = {"usual", "stores"}  # one sentence each, not a list: there or not


class CardError(RuntimeError):
    """The card could not be set cleanly: a fault of the template or of a list that no page can hold."""


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
        "fits": _fits(
            {part: len(content[part]) for part in ("usual", "stores", "holds", "warnings", "cautions")}
            | {"rescue": len(content["rescue"]["rows"])}
        ),
    }
    return _set(content, made_on)


def _set(content: dict[str, Any], made_on: date) -> bytes:
    """Give texts and pictures to the typesetter; raise `CardError` for anything it complains about."""
    folder = resources.files("temperbench.faces.paper")
    template = b"\n".join(folder.joinpath(name).read_bytes() for name in ("parts.typ", "card.typ"))
    try:
        pdf, complaints = typst.compile_with_warnings(
            template,
            font_paths=_fonts(),
            format="pdf",
            sys_inputs={"data": json.dumps(content, ensure_ascii=False)},
            timestamp=datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC),
            pdf_standards=["ua-1"],
        )
    except typst.TypstError as error:
        raise CardError(f"the card could not be set: {error}") from error
    if complaints:
        raise CardError(f"the card was set with complaints: {'; '.join(c.message for c in complaints)}")
    return pdf


@cache
def _fonts() -> typst.Fonts:
    """Return the typefaces of the card: the house's own, never those of the machine."""
    return typst.Fonts(include_system_fonts=False, font_paths=[str(typeface.ROOT / "files")])


def _fits(whole: dict[str, int]) -> list[dict[str, int]]:
    """Return what may stand on the page, the best card first: the tallest chart, then the longest lists."""
    tries = [{"chart": chart, **whole} for chart in range(len(_CHART_HEIGHTS))]
    for part, least in _CUTS:
        if part in _AT_ONCE:
            tries.append({**tries[-1], part: least})
        while tries[-1][part] > least:
            tries.append({**tries[-1], part: tries[-1][part] - 1})
    return tries
