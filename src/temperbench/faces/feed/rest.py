"""The REST door of the feed: a probe posts its readings, whoever shows it asks how the probes are."""

from __future__ import annotations

import hmac
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse
from fastapi.security import HTTPBearer

from temperbench.faces.feed.message import LARGEST, Refusal, checked_name
from temperbench.faces.feed.pipeline import Feed, Taken
from temperbench.foundation.errors import InputError

__all__ = ["Allowed", "one_token", "probe_router"]

Allowed = Callable[[Request, str | None], bool]  # who asks, and which probe's readings they bring, if any

_TEMPERATURE = {"anyOf": [{"type": "number"}, {"type": "string"}]}
_READING = {
    "type": "object",
    "required": ["celsius"],
    "properties": {
        "probe": {"type": "string"},
        "celsius": _TEMPERATURE,
        "at": {"anyOf": [{"type": "number"}, {"type": "string"}], "description": "UTC: milliseconds, or ISO 8601"},
        "bowl": {"type": "string", "description": "id of a run"},
    },
}
_ONE = {"anyOf": [_READING, _TEMPERATURE]}
_LIST = {"type": "array", "items": _ONE, "minItems": 1}
_BODY = {"anyOf": [_ONE, _LIST, {"type": "object", "required": ["readings"], "properties": {"readings": _LIST}}]}
_TOKEN = HTTPBearer(auto_error=False, description="The probes' token.")  # describes; `allowed` decides
_POSTED = {"requestBody": {"required": True, "content": {"application/json": {"schema": _BODY}}}}
_SAYS: dict[int | str, dict[str, Any]] = {
    200: {"description": "Some or all were taken; those refused are named."},
    401: {"description": "The token is missing or wrong."},
    413: {"description": "Too much at once."},
    422: {"description": "None could be used; why, for each."},
}


def one_token(token: str) -> Allowed:
    """Return the check that lets in whoever sends this token. Raises ``ValueError`` for an empty one."""
    if not token:
        raise ValueError("an empty token would let everybody in")
    known = token.encode()

    def allowed(request: Request, probe: str | None) -> bool:
        del probe
        scheme, _, given = request.headers.get("authorization", "").partition(" ")
        same = hmac.compare_digest(given.strip().encode("utf-8", "surrogateescape"), known)
        return same and scheme.lower() == "bearer"

    return allowed


def probe_router(feed: Feed, allowed: Allowed) -> APIRouter:
    """Return the routes of the feed.

    Parameters
    ----------
    feed
        Where readings go.
    allowed
        Whether whoever asks may bring readings of a probe, or see how all are.

    Returns
    -------
        Routes below ``/api/probes``.
    """
    router = APIRouter(prefix="/api/probes", tags=["probes"], dependencies=[Depends(_TOKEN)])

    @router.post(
        "/{probe}/readings",
        summary="Readings of a probe: one, or a list in order",
        response_class=JSONResponse,
        responses=_SAYS,
        openapi_extra=_POSTED,
    )
    async def post_readings(probe: str, request: Request) -> JSONResponse:
        if not allowed(request, probe):
            return _shut()
        try:
            checked_name("probe", probe)
        except InputError as fault:
            return JSONResponse({"taken": 0, "refused": [{"index": 0, "why": str(fault)}]}, 422)
        body = await _body(request)
        if body is None:
            return JSONResponse({"taken": 0, "refused": [{"index": 0, "why": f"Send at most {LARGEST} bytes."}]}, 413)
        return _answer(await run_in_threadpool(feed.take, body, probe=probe))

    @router.get(
        "",
        summary="How the probes are",
        response_class=JSONResponse,
        responses={401: _SAYS[401]},
    )
    async def get_status(request: Request) -> JSONResponse:
        if not allowed(request, None):
            return _shut()
        return JSONResponse(asdict(feed.status()))

    return router


def _shut() -> JSONResponse:
    return JSONResponse({"detail": "A probe needs its token."}, 401, {"WWW-Authenticate": "Bearer"})


async def _body(request: Request) -> bytes | None:
    """Return the body; None as soon as it is longer than any message may be."""
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > LARGEST:
            return None
    return bytes(body)


def _answer(results: tuple[Taken | Refusal, ...]) -> JSONResponse:
    refused = [{"index": i, "why": one.why} for i, one in enumerate(results) if isinstance(one, Refusal)]
    taken = len(results) - len(refused)
    return JSONResponse({"taken": taken, "refused": refused}, 200 if taken else 422)
