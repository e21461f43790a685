"""Who looks at which bowl: every open page of a bowl hears of it as soon as something happened."""

from __future__ import annotations

import asyncio
from collections import defaultdict

__all__ = ["Hub"]


class Hub:
    """One event for each open page, set when its bowl changed. Those of another server on the book are not here."""

    def __init__(self) -> None:
        """Begin with nobody looking."""
        self._pages: dict[str, set[asyncio.Event]] = defaultdict(set)
        self._loop: asyncio.AbstractEventLoop | None = None

    def join(self, run_id: str) -> asyncio.Event:
        """Return the event of a new page."""
        self._loop = asyncio.get_running_loop()
        event = asyncio.Event()
        self._pages[run_id].add(event)
        return event

    def leave(self, run_id: str, event: asyncio.Event) -> None:
        """Forget a page."""
        self._pages[run_id].discard(event)
        if not self._pages[run_id]:
            del self._pages[run_id]

    def changed(self, run_id: str) -> None:
        """Tell every page of a bowl, from the server's own loop."""
        for event in self._pages.get(run_id, ()):
            event.set()

    def changed_elsewhere(self, run_id: str) -> None:
        """Tell every page of a bowl, from any thread: for thermometer probes."""
        if self._loop is not None and self._loop.is_running():
            self._loop.call_soon_threadsafe(self.changed, run_id)

    def watching(self, run_id: str) -> int:
        """Return how many pages show a bowl."""
        return len(self._pages.get(run_id, ()))
