"""The typesetter: texts and pictures in, a PDF of one page out; what is cut when not all of it fits."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from typing import Any

import fontpkg_atkinson_hyperlegible as typeface
import segno
import typst

__all__ = ["PAGES", "CardError", "fits", "set_page", "square"]

PAGES = {"A4": ("a4", 527.0), "Letter": ("us-letter", 544.0)}  # name of the paper, width between margins. [pt]


class CardError(RuntimeError):
    """The card could not be set cleanly: a fault of the template or of a list that no page can hold."""


def set_page(content: dict[str, Any], made_on: date, files: Sequence[str]) -> bytes:
    """Give texts and pictures to the typesetter; raise `CardError` for anything it complains about."""
    folder = resources.files("temperbench.faces.paper")
    template = b"\n".join(folder.joinpath(name).read_bytes() for name in files)
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


def fits(
    whole: Mapping[str, int], charts: int, cuts: Sequence[tuple[str, int]], at_once: frozenset[str]
) -> list[dict[str, int]]:
    """Return what may stand on the page, the best card first: the tallest chart, then the longest lists.

    Parameters
    ----------
    whole : Mapping[str, int]
        Length of every list. [-]
    charts : int
        Heights of the chart to try, the tallest first. [-]
    cuts : Sequence[tuple[str, int]]
        Lists in the order in which they are cut, each with the length it is cut down to. [-]
    at_once : frozenset[str]
        Parts that are there or not, never cut short. [-]

    Returns
    -------
    list[dict[str, int]]
        Lengths of lists and number of the chart, one after the other. [-]
    """
    tries = [{"chart": chart, **whole} for chart in range(charts)]
    for part, least in cuts:
        if part in at_once:
            tries.append({**tries[-1], part: least})
        while tries[-1][part] > least:
            tries.append({**tries[-1], part: tries[-1][part] - 1})
    return tries


def square(text: str) -> str:
    """Return the square code of a text as SVG."""
    code = io.BytesIO()
    segno.make(text, error="l", micro=False).save(code, kind="svg", border=0, xmldecl=False)
    return code.getvalue().decode("utf-8")
