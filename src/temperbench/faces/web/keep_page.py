"""The page "Keep it in temper": what is kept and with what, and what to do at every look, with its card."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_fields import KEEP_FIELDS
from temperbench.app.keep_results import KeepPlan
from temperbench.faces.drawing.keep_chart import keep_caption, keep_chart_svg, keep_height
from temperbench.faces.told.keep_words import alone_told, asks_told, kept_told, memory_told, pause_told, reads_told
from temperbench.faces.web.asking import ask
from temperbench.faces.web.cards import card_answer
from temperbench.faces.web.comparisons import FIRST_LOOK_S, Busy, Comparisons, Making, Working
from temperbench.faces.web.door import Door, Lot, Thing
from temperbench.faces.web.forms import start_form, with_unit
from temperbench.faces.web.looks import Look, look_of
from temperbench.faces.web.rendering import Rendering
from temperbench.faces.web.starting import KINDS, Proposed, in_form_words
from temperbench.foundation.errors import InputError
from temperbench.foundation.quantities import parse_grams
from temperbench.foundation.units import Pixel, Second

__all__ = ["HEATERS_TOLD", "Keep", "keep_address", "keep_router"]

HEATERS_TOLD = {
    "microwave": ("Microwave", "bursts at every look"),
    "heat-gun": ("Heat gun", "while it is stirred"),
    "bath": ("Warm bath", "bowl over warm water"),
    "none": ("Nothing", "it is only stirred"),
}
_KEEP_PLACES = {
    "minutes": "How long", "at_c": "Reads now", "flows": "It flows", "tempered": "How it was tempered",
    "every_min": "Minutes between looks", "warm_with": "Warm with", "gun_w": "Heat gun", "leaves_g_h": "Used an hour",
    "returns_share": "Comes back", "returns_c": "What comes back", "refill_g": "Refill at hand",
    "refill_c": "The refill", "refill": "What the refill is",
}  # fmt: skip
_METHODS = {"microwave": "microwave", "bath": "bath"}  # whose own questions a way of warming shares
_BARE = re.compile(r"[0-9]*[.,]?[0-9]+")
_WIDE, _NARROW = 960.0, 352.0
_REFRESH_S = 2
_CARD_WAIT_S = 30.0  # for a plan that is no longer kept

Keep = Callable[..., KeepPlan]


def keep_router(kitchen: Door, rendering: Rendering, keep: Keep) -> APIRouter:
    """Return the routes of the page and of its card.

    Parameters
    ----------
    kitchen : Door
        Whose larder and kit are offered. [-]
    rendering : Rendering
        Of the pages. [-]
    keep : Keep
        Plans how to keep a bowl. [-]

    Returns
    -------
    APIRouter
        The routes. [-]
    """
    router, plans = APIRouter(include_in_schema=False), Comparisons[KeepPlan]()

    async def planned(request: Request, *, patient: bool = False) -> KeepPlan | Working:
        wait_s = _CARD_WAIT_S if patient else FIRST_LOOK_S
        kit, lots = await ask(kitchen.kit), await ask(kitchen.lots)
        raw, keeping = _question(_given(request), kit, lots, look_of(request.cookies))
        return await _answer(plans, _key(raw, keeping), lambda say: keep(raw, keeping, progress=say), wait_s)

    @router.get("/keep")
    async def page(request: Request) -> HTMLResponse:
        given, look = _given(request), look_of(request.cookies)
        lots, kit, last = await ask(kitchen.lots), await ask(kitchen.kit), await ask(kitchen.defaults)
        found: KeepPlan | Working | None = None
        refused: InputError | None = None
        if "minutes" in given:  # the form always sends it; an address from a live bowl only fills the form in
            try:
                found = await planned(request)
            except InputError as error:
                refused = error
        return rendering.page(
            request, "keep.html", status=422 if refused else 200, given=given, lots=lots, kit=kit, last=last,
            kinds=KINDS, heaters=HEATERS_TOLD, trouble=refused, proposed=Proposed(given, last), refresh_s=_REFRESH_S,
            card=_card(request), **_shown(found, look),
        )  # fmt: skip

    @router.get("/keep/card.pdf")
    async def card(request: Request, page: Literal["A4", "Letter"] = "A4") -> Response:
        found = await planned(request, patient=True)
        if isinstance(found, Working):
            raise HTTPException(503, "The plan is still being made; ask for its card again in a minute.")
        return await card_answer(found, look_of(request.cookies), page)

    return router


def keep_address(job: Mapping[str, object], look: Look) -> str:
    """Return the address of the page with the form filled in for a bowl.

    Parameters
    ----------
    job : Mapping[str, object]
        Answers of the bowl's job. [-]
    look : Look
        Units of the device. [-]

    Returns
    -------
    str
        Nothing is planned before somebody presses the key. [-]
    """
    known = {"lot": job.get("chocolate"), "oven_w": job.get("oven_w"), "room_c": job.get("room_c"),
             "bowl": job.get("bowl"), "thermometer": job.get("thermometer")}  # fmt: skip
    filled = {
        key: f"{value:g}" if isinstance(value, float) else str(value)
        for key, value in known.items()
        if value not in (None, "")
    }
    if job.get("grams") not in (None, ""):
        filled["grams"] = Proposed({}, job).grams(look)
    return f"/keep?{urlencode(filled)}"


async def _answer(
    plans: Comparisons[KeepPlan], key: Hashable, make: Making[KeepPlan], wait_s: Second
) -> KeepPlan | Working:
    """Return a plan, or how far it is; refusals are in the words of the form, and too many at once are sent away."""
    try:
        return await ask(plans.ask, key, make, wait_s)
    except InputError as error:
        raise in_form_words(error) from None
    except Busy:
        raise HTTPException(503, "Other plans are being made; ask again in a minute.") from None


def _given(request: Request) -> dict[str, str]:
    return {key: value[:80] for key, value in request.query_params.items() if value.isprintable()}


def _card(request: Request) -> str:
    """Return the address of the card of the same question, to which the paper is added."""
    asked = [(key, value) for key, value in request.query_params.multi_items() if value and key != "page"]
    return f"/keep/card.pdf?{urlencode([*asked, ('page', '')])}"


def _question(given: Mapping[str, str], kit: Sequence[Thing], lots: Sequence[Lot], look: Look) -> tuple[RawJob, RawJob]:
    """Return the bowl and what is asked about keeping it; bare figures are in the device's units."""
    method = _METHODS.get(given.get("warm_with", ""), "microwave")
    job = start_form({**given, "method": method}, kit, lots, look).job
    values = {key: value for key, value in job.values.items() if key != "method"}
    asked = {f.key: with_unit(f.key, given[f.key], look) for f in KEEP_FIELDS if given.get(f.key, "").strip()}
    if _BARE.fullmatch(asked.get("returns_share", "")):
        asked["returns_share"] += " %"
    if look.ounces and _BARE.fullmatch(asked.get("leaves_g_h", "")):
        grams = parse_grams(f"{asked['leaves_g_h']} oz", _KEEP_PLACES["leaves_g_h"])
        asked["leaves_g_h"] = f"{grams:.1f} g/h"
    return RawJob(values, job.places), RawJob(asked, _KEEP_PLACES)


def _key(raw: RawJob, asked: RawJob) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((key, str(value)) for part in (raw, asked) for key, value in part.values.items()))


def _shown(found: KeepPlan | Working | None, look: Look) -> dict[str, Any]:
    """Return what the template shows: nothing, what is done now, or the plan with its drawings."""
    empty: dict[str, Any] = {"plan": None, "working": None}
    if isinstance(found, Working):
        return {**empty, "working": found}
    if found is None:
        return empty
    plan = found

    def draw(width: Pixel) -> str:
        return look.drawn(
            lambda theme: keep_chart_svg(plan, width, keep_height(width, theme), theme, fahrenheit=look.fahrenheit)
        )

    rows = [
        (reads_told(row, look.fahrenheit), asks_told(row.easy_s, 0), asks_told(row.thick_s, row.thick_g))
        for row in plan.table
    ]
    return {
        **empty, "plan": plan, "rows": rows, "every": f"{plan.every_min:g} min", "kept": kept_told(plan),
        "over": max(plan.risk_lost, plan.risk_scorch) > plan.risk_asked, "alone": alone_told(plan),
        "memory": memory_told(plan), "pauses": pause_told(plan) if len(plan.pauses) > 1 else (),
        "wide": draw(_WIDE), "narrow": draw(_NARROW),
        "caption": look.written(keep_caption(plan, fahrenheit=look.fahrenheit)),
    }  # fmt: skip
