"""The application: pages, REST interface and WebSocket behind one guard."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware

from temperbench import __version__
from temperbench.app.banner import banner
from temperbench.app.compare_methods import compare_methods
from temperbench.app.faults import BookError
from temperbench.app.keep_bowl import keep_bowl
from temperbench.faces.feed.pipeline import wall_clock_ms
from temperbench.faces.feed.rest import probe_router
from temperbench.faces.feed.settings import FeedSettings
from temperbench.faces.web.access import Access
from temperbench.faces.web.api import api_router
from temperbench.faces.web.assets import assets_router
from temperbench.faces.web.door import Door
from temperbench.faces.web.guard import Guard
from temperbench.faces.web.help_pages import help_router
from temperbench.faces.web.hub import Hub
from temperbench.faces.web.keep_page import Keep, keep_router
from temperbench.faces.web.methods_page import Compare, methods_router
from temperbench.faces.web.pages import page_router
from temperbench.faces.web.pairing import pairing_router
from temperbench.faces.web.probe_tokens import ProbeTokens
from temperbench.faces.web.probes import Probes
from temperbench.faces.web.rendering import Rendering
from temperbench.faces.web.settings import WebSettings
from temperbench.faces.web.shelves import shelf_router
from temperbench.faces.web.wire import wire_router
from temperbench.foundation.errors import InputError

__all__ = ["create_app"]

_NOT_STORED = (
    "This could not be stored: the disk is full or cannot be written. Nothing was taken; make room, then go on."
)


def create_app(
    kitchen: Door,
    settings: WebSettings,
    feed: FeedSettings | None = None,
    clock_ms: Callable[[], int] = wall_clock_ms,
    compare: Compare = compare_methods,
    keep: Keep = keep_bowl,
) -> FastAPI:
    """Return the web application of a kitchen.

    Parameters
    ----------
    kitchen : Door
        The application's kitchen. [-]
    settings : WebSettings
        Where it is served and who may do what. [-]
    feed : FeedSettings | None
        Of thermometer probes; None when only those with a token send something. [-]
    clock_ms : Callable[[], int]
        Tells when a probe's message came, UTC ms. [-]
    compare : Compare
        Compares the methods. [-]
    keep : Keep
        Plans how to keep a bowl. [-]

    Returns
    -------
    FastAPI
        An ASGI application; while its lifespan lasts, brokers and serial lines of probes are listened to. [-]
    """
    hub, tokens, rendering = Hub(), ProbeTokens(settings.folder), Rendering(settings, kitchen.trouble)
    access, probes = Access(settings, tokens=tokens), Probes(kitchen, hub, feed, clock_ms)
    app = FastAPI(
        title="temperbench", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json",
        lifespan=probes.listening,
    )  # fmt: skip
    app.include_router(api_router(kitchen, hub, probes))
    app.include_router(probe_router(probes.feed, _may_bring))
    app.include_router(probes.router())
    app.include_router(wire_router(kitchen, hub, settings, probes))
    app.include_router(assets_router())
    app.include_router(page_router(kitchen, rendering, probes))
    app.include_router(shelf_router(kitchen, rendering, probes))
    app.include_router(help_router(kitchen, rendering, clock_ms))
    _add_planning(app, methods_router(kitchen, rendering, compare), keep_router(kitchen, rendering, keep))
    app.include_router(pairing_router(access, settings, rendering, tokens))
    _add_apologies(app, rendering)
    app.add_middleware(GZipMiddleware, minimum_size=1000)
    app.add_middleware(Guard, settings=settings, access=access, error_page=rendering.trouble)
    return app


def _add_planning(app: FastAPI, *routers: APIRouter) -> None:
    """Add the pages that plan something in the background."""
    for router in routers:
        app.include_router(router)


def _may_bring(request: Request, probe: str | None) -> bool:
    """Whether whoever asks may bring readings of this probe: each for itself; a cook or an owner for any."""
    return request.state.role != "probe" or probe in (None, request.state.probe)


def _add_apologies(app: FastAPI, rendering: Rendering) -> None:
    """Answer every trouble in one sentence: a page for a browser's page, JSON for a program."""

    def answer(request: Request, status: int, message: str, field: str | None = None) -> Response:
        if request.url.path.startswith("/api") or "text/html" not in request.headers.get("accept", ""):
            return JSONResponse({"message": message, "field": field}, status)
        return rendering.trouble(request, status, message)

    @app.exception_handler(InputError)
    async def unusable(request: Request, error: Exception) -> Response:
        return answer(request, 422, str(error), str(getattr(error, "field", "")) or None)

    @app.exception_handler(RequestValidationError)
    async def unreadable(request: Request, error: Exception) -> Response:
        found = error.errors()[0] if isinstance(error, RequestValidationError) and error.errors() else {}
        place = ".".join(str(part) for part in found.get("loc", ())[1:])[:80]
        said = f"{place or 'request'}: {found.get('msg', 'this cannot be read')}"
        return answer(request, 422, said[:300], place or None)

    @app.exception_handler(HTTPException)
    async def refused(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        if status == 400:  # a body that is no text at all: unusable like any other
            return answer(request, 422, "request: its body cannot be read; send JSON as UTF-8")
        detail = error.detail if isinstance(error, HTTPException) else ""
        return answer(request, status, "There is no such page." if detail == "Not Found" else str(detail))

    @app.exception_handler(BookError)
    async def book_trouble(request: Request, error: Exception) -> Response:
        if isinstance(error, BookError) and request.url.path.startswith("/api"):
            return answer(request, 503, banner(error))
        return answer(request, 503, str(error))

    @app.exception_handler(OSError)
    async def not_stored(request: Request, error: Exception) -> Response:
        del error
        return answer(request, 503, _NOT_STORED)
