"""The page "Which method?": what is at hand, and all methods side by side, each leading to the start page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from starlette.exceptions import HTTPException

from temperbench.app.compare_fields import COMPARE_FIELDS
from temperbench.app.job_fields import RawJob
from temperbench.app.results import Comparison, MethodRow
from temperbench.faces.drawing.methods_chart import methods_caption, methods_chart_svg, minutes_told, risk_told
from temperbench.faces.web.asking import ask
from temperbench.faces.web.comparisons import Busy, Comparisons, Working
from temperbench.faces.web.door import Door, Lot
from temperbench.faces.web.forms import start_form
from temperbench.faces.web.help_forms import PLACES
from temperbench.faces.web.looks import Look, look_of
from temperbench.faces.web.rendering import Rendering
from temperbench.faces.web.starting import KINDS, Proposed, in_form_words
from temperbench.foundation.errors import InputError

__all__ = ["KIT_TOLD", "METHODS_MOST", "SKILLS_TOLD", "Compare", "methods_router"]

KIT_TOLD = {
    "oven": "Microwave oven", "bath": "Warm water bath", "cabinet": "Warm cabinet", "slab": "Slab",
    "ice": "Cold water or ice", "kettle": "Holding kettle", "seed-buttons": "Chocolate in temper, as seed",
    "butter-crystals": "Cocoa butter crystals", "ripened-butter": "Creamy cocoa butter",
}  # fmt: skip
SKILLS_TOLD = {"new": "New to it", "some": "Some practice", "practised": "Practised"}
METHODS_MOST = 10  # methods, each way of seeding counted
_Have = Annotated[list[Annotated[str, Query(max_length=20)]], Query(default_factory=list, max_length=20)]
_WIDE = 960.0
_REFRESH_S = 2

Compare = Callable[..., Comparison]


def methods_router(kitchen: Door, rendering: Rendering, compare: Compare) -> APIRouter:
    """Return the route of the page.

    Parameters
    ----------
    kitchen : Door
        Whose larder is offered. [-]
    rendering : Rendering
        Of the pages. [-]
    compare : Compare
        Compares the methods. [-]

    Returns
    -------
    APIRouter
        The route. [-]
    """
    router, comparisons = APIRouter(include_in_schema=False), Comparisons[Comparison]()

    @router.get("/methods")
    async def methods(request: Request, have: _Have) -> HTMLResponse:
        given = {key: value[:80] for key, value in request.query_params.items() if value.isprintable()}
        look, lots, last = look_of(request.cookies), await ask(kitchen.lots), await ask(kitchen.defaults)
        found: Comparison | Working | None = None
        refused: InputError | None = None
        if given.get("grams"):
            raw, asked = _question(given, have, lots, look)
            try:
                found = await ask(comparisons.ask, _key(raw, asked), lambda say: compare(raw, asked, progress=say))
            except InputError as error:
                refused = in_form_words(error)
            except Busy:
                raise HTTPException(503, "Other comparisons are being made; ask again in a minute.") from None
        return rendering.page(
            request, "methods.html", status=422 if refused else 200, given=given, have=set(have), lots=lots, last=last,
            kinds=KINDS, kit_told=KIT_TOLD, skills=SKILLS_TOLD, trouble=refused, proposed=Proposed(given, last),
            most=METHODS_MOST, refresh_s=_REFRESH_S, **_shown(found, given, look),
        )  # fmt: skip

    return router


def _question(given: Mapping[str, str], have: Sequence[str], lots: Sequence[Lot], look: Look) -> tuple[RawJob, RawJob]:
    """Return the job and what is asked about it; a bare amount is in the device's unit."""
    job = start_form({**given, "method": "microwave"}, [], lots, look).job
    values = {key: value for key, value in job.values.items() if key != "method"}
    if given.get("people", "").strip():
        values["people"] = given["people"].strip()
    asked: dict[str, object] = {f.key: given[f.key] for f in COMPARE_FIELDS if given.get(f.key, "").strip()}
    if have:
        asked["have"] = tuple(have)
    return RawJob(values, job.places), RawJob(asked, {**PLACES, "minutes": "Minutes", "skill": "Practice"})


def _key(raw: RawJob, asked: RawJob) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((key, str(value)) for part in (raw, asked) for key, value in part.values.items()))


def _shown(found: Comparison | Working | None, given: Mapping[str, str], look: Look) -> dict[str, Any]:
    """Return what the template shows: nothing, how far it is, or rows with picture."""
    empty: dict[str, Any] = {"found": None, "working": None, "chart": "", "caption": "", "rows": [], "not_here": []}
    if isinstance(found, Working):
        return {**empty, "working": found}
    if found is None:
        return empty
    rows = [_row(row, given) for row in found.rows if row.why_not is None]
    left_out = [row for row in found.rows if row.why_not is not None]
    return {
        **empty, "found": found, "rows": rows, "not_here": left_out, "caption": look.written(methods_caption(found)),
        "chart": look.drawn(lambda theme: methods_chart_svg(found, _WIDE, theme)),
    }  # fmt: skip


def _row(row: MethodRow, given: Mapping[str, str]) -> dict[str, Any]:
    """Return what is shown of a method that is possible."""
    chosen = {"method": row.method, "seed_with": row.seed_with or "", "lot": given.get("lot", ""),
              "grams": given.get("grams", ""), "bloomed": given.get("bloomed", "")}  # fmt: skip
    return {
        "row": row,
        "total": "" if row.total_min is None else minutes_told(row.total_min),
        "hands": "" if row.hands_on_min is None else minutes_told(row.hands_on_min),
        "lost": "" if row.risk_lost is None else risk_told(row.risk_lost),
        "scorch": "" if row.risk_scorch is None else risk_told(row.risk_scorch),
        "start": f"/start?{urlencode({key: value for key, value in chosen.items() if value})}",
    }
