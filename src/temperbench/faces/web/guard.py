"""What every request passes first: name and origin, role, pace, size; and the headers of every answer."""

from __future__ import annotations

import ipaddress
import logging
import re
import time
from collections import OrderedDict
from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from temperbench.faces.web.access import Access
from temperbench.faces.web.settings import WebSettings

__all__ = ["HEADERS", "LARGEST_BODY", "LARGEST_LOG", "ErrorPage", "Guard", "Pace"]

LARGEST_BODY = 65536
LARGEST_LOG = 2_000_000  # of a logger's file on the page of the cooling curve
_CONTENT = (
    "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'; object-src 'self'; "
    "img-src 'self'; style-src 'self'; script-src 'self'; connect-src 'self'; font-src 'self'"
)
HEADERS = {
    "content-security-policy": _CONTENT,
    "x-content-type-options": "nosniff",
    "x-frame-options": "SAMEORIGIN",
    "referrer-policy": "same-origin",  # without any, a browser posts our own forms with no origin
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
_OPEN = re.compile(r"/(?:pair|static/.*|fonts/.*|favicon\.svg)")
_OWNERS = re.compile(r"/(?:devices|api/devices|kit/change|larder/change|book/backup|book/export)(?:/.*)?")
_OWNERS_WRITE = re.compile(r"/(?:kit|larder|api/kit|api/lots|api/away)(?:/.*)?")
_PROBES = re.compile(r"/api/(?:time|probes|probes/[^/]+/readings)")
_COSTLY = re.compile(r"/api/runs/[^/]+/what-if|.*/card\.pdf|/api/runs/[^/]+/card|/wrong|/methods|/keep|/book/.*")
_MOST_DEVICES = 4096
_WENT_WRONG = (
    "Something went wrong here, and this was not done. Go back and try again; the log of the server says more."
)
_log = logging.getLogger(__name__)

ErrorPage = Callable[[Request, int, str], Response]  # of a sentence, for a person


class Pace:
    """A bucket of tokens for each device: refilled steadily, emptied by presses."""

    def __init__(self, per_s: float, at_once: int, clock: Callable[[], float]) -> None:
        """Begin with every bucket full."""
        self._per_s, self._at_once, self._clock = per_s, at_once, clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allows(self, device: str) -> bool:
        """Take one token of a device; say whether there was one."""
        now = self._clock()
        left, before = self._buckets.pop(device, (float(self._at_once), now))
        left = min(float(self._at_once), left + (now - before) * self._per_s)
        allowed = left >= 1.0
        self._buckets[device] = (left - 1.0 if allowed else left, now)
        if len(self._buckets) > _MOST_DEVICES:
            self._buckets.popitem(last=False)
        return allowed


class Guard:
    """The ASGI layer around the whole application."""

    def __init__(
        self,
        app: ASGIApp,
        settings: WebSettings,
        access: Access,
        error_page: ErrorPage,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Stand before an application."""
        self._app, self._settings, self._access, self._error_page = app, settings, access, error_page
        self._writes = Pace(settings.writes_per_s, settings.writes_at_once, clock)
        self._pairings = Pace(settings.pairings_per_minute / 60.0, settings.pairings_per_minute, clock)
        self._names = {"127.0.0.1", "::1", "local" + "host", settings.host.lower(), *map(str.lower, settings.names)}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        role = self._access.role_of(scope)
        probe = self._access.probe_of(scope) if role == "probe" else None
        scope.setdefault("state", {}).update(role=role, probe=probe)
        refusal = self._refusal(scope, role)
        if refusal is None:
            await self._pass(scope, _limited(receive, scope), self._dressed(send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})
        else:
            await self._answer(scope, *refusal)(scope, receive, self._dressed(send))

    async def _pass(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through; should the application fail, say so in a sentence and leave the rest to the log."""
        begun = False

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self._app(scope, receive, watched)
        except Exception:
            if begun or scope["type"] != "http":
                raise
            _log.exception("A request could not be answered.")
            await self._answer(scope, 500, _WENT_WRONG)(scope, receive, send)

    def _answer(self, scope: Scope, status: int, reason: str) -> Response:
        """Return the answer to a request that is not done: a page for a person, JSON for a program."""
        wants_page = "text/html" in Headers(scope=scope).get("accept", "") and not scope["path"].startswith("/api")
        headers = {401: {"www-authenticate": "Bearer"}, 429: {"retry-after": "2"}}.get(status, {})
        if not wants_page:
            return JSONResponse({"message": reason}, status, headers)
        if status == 401:
            return RedirectResponse("/pair", 303)
        if status == 421:  # who asks by a foreign name is told nothing of the kitchen
            return PlainTextResponse(reason, status)
        page = self._error_page(Request(scope), status, reason)
        page.headers.update(headers)
        return page

    def _refusal(self, scope: Scope, role: str | None) -> tuple[int, str] | None:
        """Return status and reason when a request must not pass."""
        writes = scope.get("method", "GET") not in ("GET", "HEAD")
        device = _device(scope)
        return self._misdirected(scope, writes) or self._not_allowed(scope["path"], writes, role, device)

    def _misdirected(self, scope: Scope, writes: bool) -> tuple[int, str] | None:
        """Return what is wrong with where a request comes from or with its size."""
        headers = Headers(scope=scope)
        if not self._is_our_name(headers.get("host", "")):
            return 421, "This server is not known by that name."
        if (writes or scope["type"] == "websocket") and not _same_origin(headers):
            return 403, "This came from another page."
        return None if _is_small(headers, _most(scope)) else (413, "Too much was sent at once.")

    def _not_allowed(self, path: str, writes: bool, role: str | None, device: str) -> tuple[int, str] | None:
        """Return why this device may not do this, or not now."""
        if path == "/pair" and writes and not self._pairings.allows(device):
            return 429, "Too many attempts; wait a minute."
        if _OPEN.fullmatch(path):
            return None
        if role is None:
            return 401, "This device is not paired with the kitchen yet."
        if not _may(role, path, writes):
            return 403, "Only an owner of the kitchen may do this."
        if (writes or _COSTLY.fullmatch(path)) and not self._writes.allows(device):
            return 429, "Too many presses at once; the next one is taken in a moment."
        return None

    def _is_our_name(self, host: str) -> bool:
        """Whether the name in the address is one of ours: a foreign name may not point a browser at this server."""
        name = (urlsplit(f"//{host}").hostname or "") if _is_plain(host) else ""
        if name in self._names:
            return True
        try:
            return self._settings.lan and bool(ipaddress.ip_address(name))
        except ValueError:
            return self._settings.lan and name.endswith(".local")

    def _dressed(self, send: Send) -> Send:
        """Return a sender that puts the headers on every answer."""

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                if self._settings.secure:
                    headers["strict-transport-security"] = "max-age=15552000"
                if "cache-control" not in headers:
                    headers["cache-control"] = "no-store"
            await send(message)

        return dressed


def _device(scope: Scope) -> str:
    """Return whose presses are counted together: a probe's by its name, so that it takes nobody's place."""
    probe = scope.get("state", {}).get("probe")
    return f"probe {probe}" if probe else str((scope.get("client") or ("?", 0))[0])


def _is_plain(host: str) -> bool:
    return re.fullmatch(r"[A-Za-z0-9.\-]+(?::[0-9]{1,5})?|\[[0-9a-fA-F:]+\](?::[0-9]{1,5})?", host) is not None


def _same_origin(headers: Headers) -> bool:
    """Whether a write comes from our own page, or from a program that is no browser."""
    origin = headers.get("origin")
    if origin is None:
        return headers.get("sec-fetch-site", "none") in ("none", "same-origin")
    return urlsplit(origin).netloc.lower() == headers.get("host", "").lower() != ""


def _most(scope: Scope) -> int:
    """Return how many bytes a request may bring."""
    return LARGEST_LOG if scope.get("path") == "/curve" else LARGEST_BODY


def _is_small(headers: Headers, most: int) -> bool:
    length = headers.get("content-length", "0")
    return length.isascii() and length.isdigit() and len(length) < 10 and int(length) <= most


def _may(role: str, path: str, writes: bool) -> bool:
    if role == "owner":
        return True
    if role == "probe":
        return _PROBES.fullmatch(path) is not None
    return not (_OWNERS.fullmatch(path) or (writes and _OWNERS_WRITE.fullmatch(path)))


def _limited(receive: Receive, scope: Scope) -> Receive:
    """Return a receiver that ends a request whose body grows beyond the limit."""
    if scope["type"] != "http":
        return receive
    taken, most = 0, _most(scope)

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        return {"type": "http.disconnect"} if taken > most else message

    return limited
