"""Pages about bowls: the kitchen today, start a bowl, the live bowl, its card, the book and a run of it."""

from __future__ import annotations

import time
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from temperbench.app.results import FLOWS, LUMPS
from temperbench.faces.drawing import live_caption
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door
from temperbench.faces.web.downloads import TABLES, add_downloads
from temperbench.faces.web.forms import begun_ms, start_form
from temperbench.faces.web.keep_page import keep_address
from temperbench.faces.web.live_page import can_ask, extras, last_taps, pieces, thermometers
from temperbench.faces.web.looks import look_of
from temperbench.faces.web.probes import Probes
from temperbench.faces.web.rendering import Rendering
from temperbench.faces.web.starting import KINDS, METHODS, SEEDS, Proposed, in_form_words
from temperbench.foundation.errors import InputError

__all__ = ["form_of", "page_router"]

_PAGE_OF_BOOK = 40
_ASKED = ("method", "seed_with", "lot", "grams", "bloomed")  # what another page may fill in on the start page
_RunId = Annotated[str, Path(pattern=r"^[A-Za-z0-9_.:-]{1,64}$")]


async def form_of(request: Request) -> dict[str, str]:
    """Return the text fields of a posted form."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    return {key: "".join(sign for sign in value if sign.isprintable()) for key, value in texts.items()}


def page_router(kitchen: Door, rendering: Rendering, probes: Probes) -> APIRouter:
    """Return the routes of the pages about bowls."""
    router = APIRouter(include_in_schema=False)
    _add_today(router, kitchen, rendering)
    _add_start(router, kitchen, rendering)
    _add_bowl(router, kitchen, rendering, probes)
    _add_book(router, kitchen, rendering)
    add_downloads(router, kitchen)
    return router


def _add_today(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    @router.get("/")
    async def today(request: Request) -> HTMLResponse:
        lines = await ask(kitchen.running)
        views = [await ask(kitchen.view, line.id) for line in lines]
        done = [line for line in await ask(kitchen.runs, "", 6) if line.state == "finished"]
        return rendering.page(request, "today.html", views=views, done=done[:3])

    @router.get("/device")
    async def device(request: Request) -> HTMLResponse:
        return rendering.page(request, "device.html")


def _add_start(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    async def shown(request: Request, given: dict[str, str], trouble: InputError | None) -> HTMLResponse:
        kit, lots, last = await ask(kitchen.kit), await ask(kitchen.lots), await ask(kitchen.defaults)
        status = 422 if trouble else 200
        return rendering.page(
            request, "start.html", status=status, kit=kit, lots=lots, last=last, given=given, trouble=trouble,
            proposed=Proposed(given, last), methods=METHODS, kinds=KINDS, seeds=SEEDS,
        )  # fmt: skip

    @router.get("/start")
    async def start(request: Request) -> HTMLResponse:
        asked = request.query_params
        return await shown(
            request, {k: asked[k][:80] for k in _ASKED if asked.get(k, "").isprintable() and k in asked}, None
        )

    @router.post("/start")
    async def begin(request: Request) -> Response:
        given = await form_of(request)
        kit, lots = await ask(kitchen.kit), await ask(kitchen.lots)
        asked = start_form(given, kit, lots, look_of(request.cookies))
        try:
            view = await ask(
                kitchen.start,
                asked.job,
                asked.title,
                id=asked.id,
                pressed_ms=begun_ms(asked.pressed_ms, time.time_ns() // 1_000_000),
                things=asked.things,
            )
        except InputError as trouble:
            return await shown(request, given, in_form_words(trouble))
        return RedirectResponse(f"/bowls/{view.run_id}", 303)


def _add_bowl(router: APIRouter, kitchen: Door, rendering: Rendering, probes: Probes) -> None:
    @router.get("/bowls/{run_id}")
    async def live(request: Request, run_id: _RunId) -> HTMLResponse:
        view = await ask(kitchen.view, run_id)
        look = look_of(request.cookies)
        taps = last_taps(await ask(kitchen.standing, run_id), look)
        first = {**pieces(view, look), "probes": probes.shown(run_id, look), "taps": taps}
        job = await ask(kitchen.job_of, run_id)
        method = str(job.get("method", ""))
        readers = thermometers(str(job.get("thermometer") or ""), await ask(kitchen.kit))
        return rendering.page(
            request, "live.html", view=view, first=first, lumps=LUMPS, flows=FLOWS, extras=extras(method),
            can_ask=can_ask(method), keep=keep_address(job, look), thermometers=readers,
        )  # fmt: skip

    @router.get("/runs/{run_id}/card")
    async def card(request: Request, run_id: _RunId) -> HTMLResponse:
        return rendering.page(request, "card.html", view=await ask(kitchen.view, run_id))

    @router.get("/runs/{run_id}/card.pdf")
    async def card_pdf(run_id: _RunId, page: Literal["A4", "Letter"] = "A4") -> Response:
        content = await ask(kitchen.card, run_id, page)
        return Response(content, media_type="application/pdf")


def _add_book(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    @router.get("/book")
    async def book(
        request: Request,
        search: Annotated[str, Query(max_length=80, pattern=r"^[^\x00-\x1f\x7f]*$")] = "",
        before: Annotated[int | None, Query(ge=0, le=9_999_999_999_999)] = None,
    ) -> HTMLResponse:
        lines = await ask(kitchen.runs, search, _PAGE_OF_BOOK + 1, before)
        older: Any = lines[_PAGE_OF_BOOK - 1].started_ms if len(lines) > _PAGE_OF_BOOK else None
        return rendering.page(
            request, "book.html", lines=lines[:_PAGE_OF_BOOK], search=search, older=older, tables=TABLES
        )

    @router.get("/runs/{run_id}")
    async def run(request: Request, run_id: _RunId) -> HTMLResponse:
        record = await ask(kitchen.run_record, run_id)
        look = look_of(request.cookies)
        said = look.written(live_caption(record.view, fahrenheit=look.fahrenheit))
        return rendering.page(request, "run.html", record=record, view=record.view, caption=said)
