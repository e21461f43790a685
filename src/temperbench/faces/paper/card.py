"""The bench card: a plan on one printed page, to hang beside the oven."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
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
_CHART_HEIGHTS = (
    210.0,
    196.0,
    182.0,
    168.0,
    154.0,
    144.0,
    134.0,
)  # the tallest that leaves room for all lines is taken. [pt]

# What is cut when not all fits, in this order: each list down to the length beside it.
_LEFT_CUTS = (("holds", 3), ("stores", 4), ("holds", 2), ("stores", 2), ("holds", 1), ("stores", 0), ("holds", 0))
_RIGHT_CUTS = (("warnings", 2), ("rescue", 4), ("warnings", 1), ("rescue", 0), ("warnings", 0))


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
        "fits": list(_fits(len(plan.cautions))),
        "left": _cuts({part: len(content[part]) for part in ("holds", "stores")}, _LEFT_CUTS),
        "right": _cuts({"warnings": len(content["warnings"]), "rescue": len(plan.rescue)}, _RIGHT_CUTS),
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


def _fits(cautions: int) -> Iterator[dict[str, int | bool]]:
    """Yield chart, cautions and whether the columns must be whole, the best card first."""
    lowest = len(_CHART_HEIGHTS) - 1
    for chart in range(lowest + 1):
        yield {"chart": chart, "cautions": cautions, "whole": True}
    for kept in range(cautions, -1, -1):
        yield {"chart": lowest, "cautions": kept, "whole": False}


def _cuts(whole: dict[str, int], order: Sequence[tuple[str, int]]) -> list[dict[str, int]]:
    """Return the lists cut shorter and shorter: each named part in turn down to the length beside it."""
    tries = [whole]
    for part, least in order:
        while tries[-1][part] > least:
            tries.append({**tries[-1], part: tries[-1][part] - 1})
    return tries
