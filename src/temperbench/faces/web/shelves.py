"""Pages about what the kitchen has: larder, kit, and the two-point check of a thermometer."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door, Thing
from temperbench.faces.web.forms import lot_facts, thing_facts
from temperbench.faces.web.looks import look_of
from temperbench.faces.web.pages import form_of
from temperbench.faces.web.probes import Probes
from temperbench.faces.web.rendering import Rendering
from temperbench.foundation.errors import InputError

__all__ = ["shelf_router"]

_STEPS = ("ice", "warm", "done")


def shelf_router(kitchen: Door, rendering: Rendering, probes: Probes) -> APIRouter:
    """Return the routes of larder, kit and check."""
    router = APIRouter(include_in_schema=False)
    _add_larder(router, kitchen, rendering)
    _add_kit(router, kitchen, rendering, probes)
    _add_check(router, kitchen, rendering)
    return router


def _add_larder(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    async def shown(request: Request, given: dict[str, str], trouble: InputError | None) -> HTMLResponse:
        status = 422 if trouble else 200
        lots = await ask(kitchen.lots)
        return rendering.page(request, "larder.html", status=status, lots=lots, given=given, trouble=trouble)

    @router.get("/larder")
    async def larder(request: Request) -> HTMLResponse:
        return await shown(request, {}, None)

    @router.post("/larder")
    async def keep(request: Request) -> Response:
        given = await form_of(request)
        try:
            facts = lot_facts(given, look_of(request.cookies))
            await ask(kitchen.save_lot, given.get("name", "")[:80], facts)
        except InputError as trouble:
            return await shown(request, given, trouble)
        return RedirectResponse("/larder", 303)


def _add_kit(router: APIRouter, kitchen: Door, rendering: Rendering, probes: Probes) -> None:
    async def shown(request: Request, given: dict[str, str], trouble: InputError | None) -> HTMLResponse:
        status = 422 if trouble else 200
        kit, bowls = await ask(kitchen.kit), {line.id: line.title for line in await ask(kitchen.running)}
        shown_probes = probes.shown(None, look_of(request.cookies))
        return rendering.page(
            request, "kit.html", status=status, kit=kit, given=given, trouble=trouble, probes=shown_probes,
            channels=probes.status().channels, bowls=bowls,
        )  # fmt: skip

    @router.get("/kit")
    async def kit(request: Request) -> HTMLResponse:
        return await shown(request, {}, None)

    @router.post("/kit")
    async def keep(request: Request) -> Response:
        given = await form_of(request)
        kind = given.get("kind", "")
        try:
            facts = thing_facts(kind, given, look_of(request.cookies))
            await ask(kitchen.save_thing, kind, given.get("name", "")[:80], facts)
        except InputError as trouble:
            return await shown(request, given, trouble)
        return RedirectResponse("/kit", 303)


def _add_check(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    async def thermometer(thing_id: str) -> Thing:
        found = [t for t in await ask(kitchen.kit) if t.id == thing_id and t.kind == "thermometer"]
        if not found:
            raise HTTPException(404, "There is no such thermometer in the kit.")
        return found[0]

    @router.get("/check/{thing_id}")
    async def check(request: Request, thing_id: str, step: str = "ice", ice_c: str = "") -> HTMLResponse:
        thing = await thermometer(thing_id)
        at = step if step in _STEPS else "ice"
        return rendering.page(request, "check.html", thing=thing, step=at, ice_c=ice_c[:20], trouble=None)

    @router.post("/check/{thing_id}")
    async def checked(request: Request, thing_id: str) -> Response:
        thing = await thermometer(thing_id)
        given = await form_of(request)
        try:
            facts = {**thing.facts, **thing_facts("thermometer", given, look_of(request.cookies))}
            await ask(kitchen.save_thing, "thermometer", thing.name, facts, id=thing.id)
        except InputError as trouble:
            ice_c = given.get("ice_c", "")[:20]
            return rendering.page(
                request, "check.html", status=422, thing=thing, step="warm", ice_c=ice_c, trouble=trouble
            )
        return RedirectResponse(f"/check/{thing.id}?step=done", 303)
