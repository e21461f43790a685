"""The REST interface under /api, described by /api/openapi.json."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import asdict
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from temperbench.app.results import LiveView, WhatIf
from temperbench.faces.drawing import live_chart_svg, live_height, rule_svg
from temperbench.faces.web.api_models import Away, Keep, Problem, Start, Tap, raw_job
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door, Lot, RunLine, Thing
from temperbench.faces.web.hub import Hub
from temperbench.faces.web.looks import commas_in
from temperbench.faces.web.probes import Probes

__all__ = ["api_router"]

_RunId = Annotated[str, Path(pattern=r"^[A-Za-z0-9_.:-]{1,64}$")]
_Width = Annotated[float, Query(ge=300, le=4000, allow_inf_nan=False, description="px")]
_Ground = Literal["light", "dark", "contrast", "print"]
_TROUBLES: dict[int | str, dict[str, Any]] = {
    400: {"model": Problem}, 401: {"model": Problem}, 403: {"model": Problem}, 404: {"model": Problem},
    413: {"model": Problem}, 422: {"model": Problem}, 429: {"model": Problem}, 503: {"model": Problem},
}  # fmt: skip
_PDF: dict[int | str, dict[str, Any]] = {200: {"content": {"application/pdf": {}}}}
_SVG: dict[int | str, dict[str, Any]] = {200: {"content": {"image/svg+xml": {}}}}


def api_router(kitchen: Door, hub: Hub, probes: Probes) -> APIRouter:
    """Return the routes of the REST interface."""
    router = APIRouter(prefix="/api", responses=_TROUBLES)
    _add_runs(router, kitchen, hub, probes)
    _add_answers(router, kitchen)
    _add_drawings(router, kitchen)
    _add_shelves(router, kitchen)
    return router


def _line(line: RunLine) -> dict[str, object]:
    names = ("id", "title", "state", "started_ms", "headline", "now_c", "stop_c")
    return {name: getattr(line, name) for name in names}


def _thing(thing: Thing | Lot) -> dict[str, object]:
    return {
        "id": thing.id,
        "kind": getattr(thing, "kind", "lot"),
        "name": thing.name,
        "facts": dict(thing.facts),
        "learnt": list(thing.learnt),
    }


def _add_runs(router: APIRouter, kitchen: Door, hub: Hub, probes: Probes) -> None:
    @router.get("/time")
    async def server_time() -> dict[str, int]:
        """Return the server's clock, UTC ms."""
        return {"now_ms": time.time_ns() // 1_000_000}

    @router.get("/runs")
    async def runs(
        search: Annotated[str, Query(max_length=80, pattern=r"^[^\x00-\x1f\x7f]*$")] = "",
        limit: Annotated[int, Query(ge=1, le=200)] = 50,
        before_ms: Annotated[int | None, Query(ge=0, le=9_999_999_999_999)] = None,
    ) -> list[dict[str, object]]:
        """Return runs of the book, the newest first."""
        return [_line(line) for line in await ask(kitchen.runs, search, limit, before_ms)]

    @router.post("/runs", status_code=201)
    async def start(start: Start) -> LiveView:
        """Begin a bowl; the same id twice is one bowl."""
        return await ask(
            kitchen.start,
            raw_job(start.job),
            start.title,
            id=start.id,
            pressed_ms=start.pressed_ms,
            things=_plain(start.things),
        )

    @router.get("/runs/{run_id}")
    async def view(run_id: _RunId) -> LiveView:
        """Return a bowl as it is."""
        return await ask(kitchen.view, run_id)

    @router.post("/runs/{run_id}/happenings")
    async def tap(request: Request, run_id: _RunId, tap: Tap) -> LiveView:
        """Take in what happened; answered only when it is stored. The same id twice is one happening."""
        device = (request.headers.get("x-device") or request.state.role)[:40]
        what = tap.happening()
        after = await ask(kitchen.tap, run_id, what, device)
        await ask(probes.happened, run_id, what)
        hub.changed(run_id)
        return after


def _add_answers(router: APIRouter, kitchen: Door) -> None:
    @router.get("/runs/{run_id}/record")
    async def record(run_id: _RunId) -> dict[str, object]:
        """Return a whole run: the bowl, what was used, what happened, and what was advised before each."""
        found = await ask(kitchen.run_record, run_id)
        steps = [
            {"happening": asdict(s.happening), "advice": asdict(s.advice), "device": s.device, "undone": s.undone}
            for s in found.happenings
        ]
        return {"view": asdict(found.view), "used": asdict(found.used), "happenings": steps}

    @router.get("/runs/{run_id}/what-if")
    async def what_if(run_id: _RunId, seconds: Annotated[int, Query(ge=1, le=120)]) -> WhatIf:
        """Return what a burst of so many seconds would do."""
        return await ask(kitchen.what_if, run_id, seconds)


def _plain(things: Mapping[Any, str]) -> dict[str, str]:
    return {str(kind): key for kind, key in things.items()}


def _add_drawings(router: APIRouter, kitchen: Door) -> None:
    @router.get("/runs/{run_id}/card", response_class=Response, responses=_PDF)
    async def card(run_id: _RunId, page: Literal["A4", "Letter"] = "A4") -> Response:
        """Return the card of a run as a PDF."""
        content = await ask(kitchen.card, run_id, page)
        headers = {"content-disposition": 'inline; filename="bench-card.pdf"'}
        return Response(content, media_type="application/pdf", headers=headers)

    @router.get("/runs/{run_id}/chart.svg", response_class=Response, responses=_SVG)
    async def chart(
        run_id: _RunId, width: _Width = 700, theme: _Ground = "light", fahrenheit: bool = False, comma: bool = False
    ) -> Response:
        """Return the chart of a bowl, drawn for a width; with decimal commas if asked."""
        view = await ask(kitchen.view, run_id)
        svg = live_chart_svg(view, width, live_height(width, theme), theme, fahrenheit=fahrenheit)
        return Response(commas_in(svg) if comma else svg, media_type="image/svg+xml")

    @router.get("/runs/{run_id}/rule.svg", response_class=Response, responses=_SVG)
    async def rule(
        run_id: _RunId, width: _Width = 560, theme: _Ground = "light", fahrenheit: bool = False, comma: bool = False
    ) -> Response:
        """Return the degree rule of a bowl, drawn for a width; with decimal commas if asked."""
        svg = rule_svg(await ask(kitchen.view, run_id), width, theme, fahrenheit=fahrenheit)
        return Response(commas_in(svg) if comma else svg, media_type="image/svg+xml")


def _add_shelves(router: APIRouter, kitchen: Door) -> None:
    @router.get("/kit")
    async def kit(away: bool = False) -> list[dict[str, object]]:
        """Return ovens, bowls and thermometers with what was learnt about each: those in use, or those put away."""
        return [_thing(thing) for thing in await ask(kitchen.kit, away)]

    @router.post("/kit/{kind}", status_code=201)
    async def save_thing(kind: Literal["oven", "bowl", "thermometer"], keep: Keep) -> dict[str, object]:
        """Keep an oven, a bowl or a thermometer; with the id of a known one, a new version of it."""
        return _thing(await ask(kitchen.save_thing, kind, keep.name, keep.facts, id=keep.id))

    @router.get("/lots")
    async def lots(away: bool = False) -> list[dict[str, object]]:
        """Return the lots of the larder: those in use, or those put away."""
        return [_thing(lot) for lot in await ask(kitchen.lots, away)]

    @router.post("/lots", status_code=201)
    async def save_lot(keep: Keep) -> dict[str, object]:
        """Keep a lot of chocolate; with the id of a known one, a new version of it."""
        return _thing(await ask(kitchen.save_lot, keep.name, keep.facts, id=keep.id))

    @router.post("/away")
    async def put_away(away: Away) -> dict[str, bool | str]:
        """Put a thing or a lot away, or take it back: it stays in the book and is no longer offered."""
        await ask(kitchen.put_away, away.id, away.away)
        return {"id": away.id, "away": away.away}

    @router.get("/defaults")
    async def defaults() -> dict[str, object]:
        """Return what was used last."""
        return dict(await ask(kitchen.defaults))
