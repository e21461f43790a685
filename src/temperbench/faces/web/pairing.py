"""Letting a tablet in: a square code to scan, a page that takes the token, a pass in return."""

from __future__ import annotations

from typing import Annotated, Literal
from urllib.parse import quote

import segno
from fastapi import APIRouter, Form, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from temperbench.faces.web.access import PASS, Access
from temperbench.faces.web.probe_tokens import ProbeTokens
from temperbench.faces.web.rendering import Rendering
from temperbench.faces.web.settings import WebSettings
from temperbench.foundation.errors import InputError

__all__ = ["pairing_address", "pairing_router"]

_DAY_S = 86400


def pairing_address(base: str, token: str) -> str:
    """Return the address in the square code. The token stands after the #, which no browser sends and no log sees.

    Parameters
    ----------
    base : str
        Such as http://192.168.1.20:8460. [-]
    token : str
        Of a role. [-]

    Returns
    -------
    str
        The whole address. [-]
    """
    return f"{base}/pair#{quote(token)}"


def pairing_router(access: Access, settings: WebSettings, rendering: Rendering, tokens: ProbeTokens) -> APIRouter:
    """Return the routes of pairing."""
    router = APIRouter(include_in_schema=False)

    @router.get("/pair")
    async def ask_for_token(request: Request) -> HTMLResponse:
        return rendering.page(request, "pair.html", refused=False)

    @router.post("/pair")
    async def pair(request: Request, token: Annotated[str, Form(max_length=200)] = "") -> Response:
        role = access.role_for_token(token.strip())
        if role is None:
            return rendering.page(request, "pair.html", status=403, refused=True)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            PASS, access.new_pass(role), max_age=settings.pass_days * _DAY_S, httponly=True, samesite="strict",
            secure=settings.secure,
        )  # fmt: skip
        return answer

    @router.get("/devices/{role}.svg")
    async def code(request: Request, role: Literal["cook", "owner"]) -> Response:
        base = _base(request, settings)
        square = segno.make(pairing_address(base, getattr(settings.secrets, role)), error="m", micro=False)
        svg = square.svg_inline(scale=6, border=4, dark="#000", light="#fff")
        return Response(svg.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1), media_type="image/svg+xml")

    _add_devices(router, settings, rendering, tokens)
    return router


def _add_devices(router: APIRouter, settings: WebSettings, rendering: Rendering, tokens: ProbeTokens) -> None:
    def shown(request: Request, **more: object) -> HTMLResponse:
        status = 422 if more.get("trouble") else 200
        given = {"trouble": None, "probe": "", "token": "", **more}
        base = _base(request, settings)
        return rendering.page(request, "devices.html", status=status, base=base, probes=tokens.names(), **given)

    @router.get("/devices")
    async def devices(request: Request) -> HTMLResponse:
        return shown(request)

    @router.post("/devices/probes")
    async def issue(request: Request, name: Annotated[str, Form(max_length=200)] = "") -> HTMLResponse:
        try:
            token = await run_in_threadpool(tokens.issue, name.strip())
        except InputError as trouble:
            return shown(request, trouble=trouble, probe=name)
        return shown(request, probe=name.strip(), token=token)

    @router.post("/devices/probes/withdraw")
    async def withdraw(name: Annotated[str, Form(max_length=200)] = "") -> Response:
        await run_in_threadpool(tokens.withdraw, name)
        return RedirectResponse("/devices", 303)


def _base(request: Request, settings: WebSettings) -> str:
    return settings.address or str(request.base_url).rstrip("/")
