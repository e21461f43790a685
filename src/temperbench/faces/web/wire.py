"""The WebSocket of one bowl: the view at once and after every change, a heartbeat between."""

from __future__ import annotations

import asyncio
import contextlib
import time

from fastapi import APIRouter, WebSocket, WebSocketDisconnect
from pydantic import ValidationError
from starlette.exceptions import HTTPException

from temperbench.app.faults import BookError
from temperbench.app.results import LiveView
from temperbench.faces.web.api_models import See
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door
from temperbench.faces.web.hub import Hub
from temperbench.faces.web.live_page import last_taps, pieces
from temperbench.faces.web.looks import Look
from temperbench.faces.web.probes import Probes
from temperbench.faces.web.settings import WebSettings

__all__ = ["wire_router"]

_LOOK_S = 1.0  # how often the book is asked whether another server took a tap for this bowl
_LONGEST = 1000  # characters of a message from a device
_NOT_FOUND, _NOT_READ, _TROUBLE = 4404, 4400, 4503


def wire_router(kitchen: Door, hub: Hub, settings: WebSettings, probes: Probes) -> APIRouter:
    """Return the route of the WebSocket."""
    router = APIRouter()

    @router.websocket("/wire/{run_id}")
    async def wire(socket: WebSocket, run_id: str) -> None:
        """Serve one open page of a bowl."""
        await socket.accept()
        page = _Page(socket, kitchen, run_id, probes)
        event = hub.join(run_id)
        telling = asyncio.create_task(page.tell(event, settings.beat_s))
        try:
            await page.hear(event)
        except WebSocketDisconnect:
            pass
        finally:
            hub.leave(run_id, event)
            telling.cancel()
            with contextlib.suppress(asyncio.CancelledError, WebSocketDisconnect, RuntimeError):
                await telling

    return router


class _Page:
    """One open page: what it wants to see, and what it is sent."""

    def __init__(self, socket: WebSocket, kitchen: Door, run_id: str, probes: Probes) -> None:
        self._socket, self._kitchen, self._run_id, self._probes = socket, kitchen, run_id, probes
        self._see: See | None = None
        self._told = 0  # number of the last happening that was in the view sent

    async def hear(self, event: asyncio.Event) -> None:
        """Take in how the page wants to see its bowl; each time it says so it gets the view anew."""
        while True:
            text = await self._socket.receive_text()
            try:
                self._see = See.model_validate_json(text[:_LONGEST])
            except ValidationError:
                await self._socket.close(_NOT_READ)
                return
            event.set()

    async def tell(self, event: asyncio.Event, beat_s: float) -> None:
        """Send the view when something changed, and a heartbeat with the state of the probes when nothing did."""
        beat_at = time.monotonic() + beat_s
        while True:
            left = max(0.0, beat_at - time.monotonic())
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(event.wait(), min(left, _LOOK_S))
            if event.is_set() or await self._changed_elsewhere():
                event.clear()
                if self._see is not None and not await self._view(self._see):
                    return
            elif time.monotonic() >= beat_at:
                await self._send({"t": "beat", **self._around(self._see)})
            else:
                continue
            beat_at = time.monotonic() + beat_s

    async def _changed_elsewhere(self) -> bool:
        """Whether a server beside this one took something in for this bowl since the view was sent."""
        if self._see is None:
            return False
        try:
            return await ask(self._kitchen.last, self._run_id) > self._told
        except (HTTPException, BookError):  # said when the view itself is asked for
            return False

    async def _view(self, see: See) -> bool:
        """Send the view; say whether there is one."""
        look = Look(see.theme, see.fahrenheit, see.ounces, see.comma)
        try:
            found = await ask(self._shown, look, see.width)
        except HTTPException:
            await self._socket.close(_NOT_FOUND)
            return False
        except (BookError, OSError, ValueError):
            await self._socket.close(_TROUBLE)
            return False
        await self._send({"t": "view", **found, **self._around(see)})
        return True

    def _shown(self, look: Look, width: float) -> dict[str, object]:
        self._told = self._kitchen.last(self._run_id)
        view: LiveView = self._kitchen.view(self._run_id)
        return {**pieces(view, look, width), "taps": last_taps(self._kitchen.standing(self._run_id), look)}

    def _around(self, see: See | None) -> dict[str, object]:
        """What a page shows beside its bowl: whether the book can be written, and how the probes are."""
        look = Look() if see is None else Look(see.theme, see.fahrenheit, see.ounces, see.comma)
        return {"banner": self._kitchen.trouble(), "probes": self._probes.shown(self._run_id, look)}

    async def _send(self, message: dict[str, object]) -> None:
        await self._socket.send_json({**message, "now_ms": time.time_ns() // 1_000_000})
