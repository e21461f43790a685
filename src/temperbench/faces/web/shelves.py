"""Pages about what the kitchen has: larder, kit, and the two-point check of a thermometer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from temperbench.app.kit_facts import CHECK, check_ice
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door, Lot, Thing
from temperbench.faces.web.forms import in_shelf_words, lot_facts, shown_facts, thing_facts, unchanged_kept
from temperbench.faces.web.looks import look_of
from temperbench.faces.web.pages import form_of
from temperbench.faces.web.probes import Probes
from temperbench.faces.web.rendering import Rendering
from temperbench.foundation.errors import InputError

__all__ = ["shelf_router"]

_STEPS = ("ice", "warm", "done")
_Shelf = Literal["kit", "larder"]
_Id = Annotated[str, Path(pattern=r"^[A-Za-z0-9_-]{1,64}$")]


def shelf_router(kitchen: Door, rendering: Rendering, probes: Probes) -> APIRouter:
    """Return the routes of larder, kit and check."""
    router = APIRouter(include_in_schema=False)
    _add_larder(router, kitchen, rendering)
    _add_kit(router, kitchen, rendering, probes)
    _add_entries(router, kitchen, rendering)
    _add_check(router, kitchen, rendering)
    return router


def _add_larder(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    async def shown(request: Request, given: dict[str, str], trouble: InputError | None) -> HTMLResponse:
        status = 422 if trouble else 200
        lots, away = await ask(kitchen.lots), await ask(kitchen.lots, True)
        return rendering.page(
            request, "larder.html", status=status, lots=lots, away=away, given=given, trouble=trouble
        )  # fmt: skip

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
            return await shown(request, given, in_shelf_words(trouble, look_of(request.cookies)))
        return RedirectResponse("/larder", 303)


def _add_kit(router: APIRouter, kitchen: Door, rendering: Rendering, probes: Probes) -> None:
    async def shown(request: Request, given: dict[str, str], trouble: InputError | None) -> HTMLResponse:
        status = 422 if trouble else 200
        kit, bowls = await ask(kitchen.kit), {line.id: line.title for line in await ask(kitchen.running)}
        away = await ask(kitchen.kit, True)
        shown_probes = probes.shown(None, look_of(request.cookies))
        return rendering.page(
            request, "kit.html", status=status, kit=kit, away=away, given=given, trouble=trouble, probes=shown_probes,
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
            return await shown(request, given, in_shelf_words(trouble, look_of(request.cookies)))
        return RedirectResponse("/kit", 303)


def _add_entries(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    """One entry of kit or larder on a page of its own: to be changed, put away or taken back."""

    async def entry(shelf: str, id: str) -> tuple[Thing | Lot, bool]:
        for away in (False, True):
            both: Sequence[Thing | Lot] = await ask(kitchen.lots if shelf == "larder" else kitchen.kit, away)
            found = next((one for one in both if one.id == id), None)
            if found is not None:
                return found, away
        raise HTTPException(404, f"There is no such entry in the {shelf}.")

    @router.get("/{shelf}/change/{id}")
    async def change(request: Request, shelf: _Shelf, id: _Id) -> HTMLResponse:
        one, away = await entry(shelf, id)
        given = {"name": one.name, **shown_facts(one.facts, look_of(request.cookies))}
        return rendering.page(request, "entry.html", shelf=shelf, one=one, away=away, given=given, trouble=None)

    @router.post("/{shelf}/change/{id}")
    async def changed(request: Request, shelf: _Shelf, id: _Id) -> Response:
        one, away = await entry(shelf, id)
        given, look = await form_of(request), look_of(request.cookies)
        if "away" in given:
            await ask(kitchen.put_away, id, given["away"] == "yes")
            return RedirectResponse(f"/{shelf}", 303)
        try:
            name = given.get("name", "")[:80]
            if shelf == "larder":
                await ask(kitchen.save_lot, name, unchanged_kept(lot_facts(given, look), one.facts, look), id=id)
            else:
                kind = getattr(one, "kind", "")
                typed = {key: value for key, value in given.items() if not key.endswith("_c")}
                facts = unchanged_kept(thing_facts(kind, typed, look), one.facts, look)
                await ask(kitchen.save_thing, kind, name, facts, id=id)
        except InputError as trouble:
            shown = in_shelf_words(trouble, look)
            return rendering.page(
                request, "entry.html", status=422, shelf=shelf, one=one, away=away, given=given, trouble=shown
            )
        return RedirectResponse(f"/{shelf}", 303)


def _add_check(router: APIRouter, kitchen: Door, rendering: Rendering) -> None:
    async def thermometer(thing_id: str) -> Thing:
        found = [t for t in await ask(kitchen.kit) if t.id == thing_id and t.kind == "thermometer"]
        if not found:
            raise HTTPException(404, "There is no such thermometer in the kit.")
        return found[0]

    def page(
        request: Request, thing: Thing, step: str, given: Mapping[str, str], trouble: InputError | None
    ) -> HTMLResponse:
        typed = {key: given.get(key, "")[:20] for key in CHECK}
        status = 422 if trouble else 200
        return rendering.page(
            request, "check.html", status=status, thing=thing, step=step, given=typed, trouble=trouble
        )  # fmt: skip

    @router.get("/check/{thing_id}")
    async def check(request: Request, thing_id: str, step: str = "ice", ice_c: str = "") -> HTMLResponse:
        thing = await thermometer(thing_id)
        at, given = step if step in _STEPS else "ice", {"ice_c": ice_c}
        if at == "warm":  # the ice point is judged at once, while the ice is still there
            try:
                check_ice(thing_facts("thermometer", given, look_of(request.cookies)).get("ice_c"))
            except InputError as trouble:
                return page(request, thing, "ice", given, in_shelf_words(trouble, look_of(request.cookies)))
        return page(request, thing, at, given, None)

    @router.post("/check/{thing_id}")
    async def checked(request: Request, thing_id: str) -> Response:
        thing = await thermometer(thing_id)
        given = await form_of(request)
        read = thing_facts("thermometer", {key: given.get(key, "") for key in CHECK}, look_of(request.cookies))
        facts = {**{key: value for key, value in thing.facts.items() if key not in CHECK}, **read}
        try:
            check_ice(read.get("ice_c"))
            await ask(kitchen.save_thing, "thermometer", thing.name, facts, id=thing.id)
        except InputError as trouble:
            step = "ice" if trouble.field == "ice_c" else "warm"
            return page(request, thing, step, given, in_shelf_words(trouble, look_of(request.cookies)))
        return RedirectResponse(f"/check/{thing.id}?step=done", 303)
