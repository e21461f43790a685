"""Thermometer probes of the served kitchen: their readings go to running bowls, their states to pages and programs."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Annotated, Any

from fastapi import APIRouter, FastAPI, Path
from pydantic import BaseModel, ConfigDict, Field

from temperbench.app.results import Happening
from temperbench.faces.drawing.words import degrees
from temperbench.faces.feed.listeners import Listeners
from temperbench.faces.feed.pipeline import Feed, FeedStatus, ProbeStatus, wall_clock_ms
from temperbench.faces.feed.settings import FeedSettings
from temperbench.faces.web.api_models import Problem
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door
from temperbench.faces.web.hub import Hub
from temperbench.faces.web.looks import Look, told

__all__ = ["STILL", "Place", "Probes"]

STILL = ("reading", "lumps", "flow", "test", "undo", "corrected")  # what leaves a bowl as it was
_WORDS = {"ok": "fine", "dead": "silent", "spiky": "spikes"}  # of `watch.STATES`, where ours are plainer
_NAME = r"^[0-9A-Za-z][0-9A-Za-z_-]{0,39}$"
_RUN = r"^[0-9A-Za-z][0-9A-Za-z_-]{0,63}$"
_TROUBLES: dict[int | str, dict[str, Any]] = {
    code: {"model": Problem} for code in (401, 403, 404, 413, 421, 422, 429, 503)
}


class Place(BaseModel):
    """Which bowl a probe is in; none takes it out."""

    model_config = ConfigDict(extra="forbid")

    bowl: Annotated[str, Field(pattern=_RUN)] | None


class Probes:
    """The feed, joined to a kitchen and to the pages that show its bowls."""

    def __init__(
        self,
        kitchen: Door,
        hub: Hub,
        settings: FeedSettings | None = None,
        clock_ms: Callable[[], int] = wall_clock_ms,
    ) -> None:
        """Prepare; brokers and serial lines are listened to from `listening` on."""
        self._kitchen, self._hub = kitchen, hub
        places = kitchen.probe_places()
        self.feed = Feed(self._deliver, settings, clock_ms, places=places, placed=kitchen.place_probe)
        self._listeners = Listeners(self.feed)

    def _deliver(self, run_id: str, happening: Happening, device: str) -> None:
        self._kitchen.tap(run_id, happening, device)
        self._hub.changed_elsewhere(run_id)

    @asynccontextmanager
    async def listening(self, app: FastAPI) -> AsyncIterator[None]:
        """Listen for as long as the application runs."""
        del app
        self._listeners.start()
        try:
            yield
        finally:
            await asyncio.to_thread(self._listeners.stop)

    def happened(self, run_id: str, what: Happening) -> None:
        """Hear what a cook did to a bowl: its probes' values from before go into no later reading."""
        if what.kind == "finished":
            self.feed.release(run_id)
        elif what.kind not in STILL:
            self.feed.acted(run_id, what.pressed_ms)

    def status(self) -> FeedStatus:
        """Return how all probes and channels are."""
        return self.feed.status()

    def shown(self, run_id: str | None, look: Look) -> list[dict[str, object]]:
        """Return the probes as a page shows them, those in this bowl first.

        Parameters
        ----------
        run_id : str | None
            The bowl of the page, if it is of one. [-]
        look : Look
            The device's units. [-]

        Returns
        -------
        list[dict[str, object]]
            Name, word, figure and sentence of each. [-]
        """
        found = [_shown(one, run_id, look) for one in self.status().probes]
        return sorted(found, key=lambda one: not one["here"])

    def router(self) -> APIRouter:
        """Return the route that puts a probe into a bowl."""
        router = APIRouter(prefix="/api/probes", tags=["probes"], responses=_TROUBLES)

        @router.post("/{probe}/bowl")
        async def place(probe: Annotated[str, Path(pattern=_NAME)], place: Place) -> Place:
            """Put a probe into a running bowl, or take it out."""
            if place.bowl is not None:
                await ask(self._kitchen.view, place.bowl)
            await ask(self.feed.assign, probe, place.bowl)
            if place.bowl is not None:
                self._hub.changed(place.bowl)
            return place

        return router


def _shown(probe: ProbeStatus, run_id: str | None, look: Look) -> dict[str, object]:
    word = _WORDS.get(probe.state, probe.state)
    if probe.state == "ok" and probe.settling:
        word = "settling"
    fine = probe.state in ("ok", "clock off") and probe.trouble is None
    said = probe.trouble or ("" if probe.state == "ok" else probe.sentence)
    return {
        "probe": probe.probe,
        "word": word,
        "fine": fine,
        "now": "" if probe.now_c is None or word == "silent" else look.written(degrees(probe.now_c, look.fahrenheit)),
        "says": told(said, look),
        "here": run_id is not None and probe.bowl == run_id,
        "bowl": probe.bowl,
    }
