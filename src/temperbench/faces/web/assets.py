"""Our own style sheets, scripts and mark, and the house's typeface from its package. Nothing comes from outside."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib import resources

import fontpkg_atkinson_hyperlegible as typeface
from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

__all__ = ["asset_url", "assets_router"]

_KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_FONTS = {"regular.ttf": "Regular", "bold.ttf": "Bold"}
_FOREVER = {"cache-control": "public, max-age=31536000, immutable"}
_SOON = {"cache-control": "public, max-age=3600"}


@cache
def _asset(name: str) -> bytes | None:
    """Return a file of the package's own static folder."""
    stem, dot, ending = name.rpartition(".")
    if not stem.replace("_", "").isalnum() or dot + ending not in _KINDS:
        return None
    path = resources.files("temperbench.faces.web").joinpath("static", name)
    return path.read_bytes() if path.is_file() else None


@cache
def _edition() -> str:
    """Return a word that changes when any asset does: scripts load each other by names beside their own."""
    folder = resources.files("temperbench.faces.web").joinpath("static")
    names = sorted(path.name for path in folder.iterdir() if path.is_file())
    return hashlib.sha256(b"".join(_asset(name) or b"" for name in names)).hexdigest()[:10]


def asset_url(name: str) -> str:
    """Return the address of an asset; it changes with the assets, so that it can be kept for ever."""
    return f"/static/{_edition()}/{name}"


def assets_router() -> APIRouter:
    """Return the routes of what never changes."""
    router = APIRouter(include_in_schema=False)

    @router.get("/static/{edition}/{name}")
    async def asset(edition: str, name: str) -> Response:
        content = _asset(name) if edition == _edition() else None
        if content is None:
            raise HTTPException(404, "There is no such file.")
        return Response(content, media_type=_KINDS[name[name.rindex(".") :]], headers=_FOREVER)

    @router.get("/fonts/{name}")
    async def font(name: str) -> Response:
        if name not in _FONTS:
            raise HTTPException(404, "There is no such typeface.")
        content = (typeface.ROOT / "files" / f"AtkinsonHyperlegible-{_FONTS[name]}.ttf").read_bytes()
        return Response(content, media_type="font/ttf", headers=_FOREVER)

    @router.get("/favicon.svg")
    async def mark() -> Response:
        return Response(_asset("mark.svg"), media_type="image/svg+xml", headers=_SOON)

    return router
