"""A real server of the web face in a thread, over a kitchen in memory; it can be stopped and started again."""

from __future__ import annotations

import socket
import threading
import time
from typing import Any

import uvicorn

from temperbench.faces.web import WebSettings, create_app

__all__ = ["Served"]


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """A kitchen on a free port of this machine."""

    def __init__(self, kitchen: Any, *, beat_s: float = 5.0, silence_s: float = 12.0) -> None:
        """Prepare; nothing is served before `start`."""
        self.kitchen, self.port = kitchen, _free_port()
        self._settings = WebSettings(port=self.port, beat_s=beat_s, silence_s=silence_s, retry_most_s=2.0)
        self._server: uvicorn.Server | None = None
        self._thread: threading.Thread | None = None

    @property
    def address(self) -> str:
        """Where a browser finds it."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> Served:
        """Serve, and come back when the port answers."""
        config = uvicorn.Config(
            create_app(self.kitchen, self._settings), host="127.0.0.1", port=self.port, log_level="error",
            access_log=False, ws="websockets-sansio", timeout_graceful_shutdown=1, lifespan="off",
        )  # fmt: skip
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        until = time.monotonic() + 20
        while not self._server.started and time.monotonic() < until:
            time.sleep(0.02)
        return self

    def stop(self) -> None:
        """End the server as a kill does for its clients: connections close, the port is shut."""
        if self._server is not None and self._thread is not None:
            self._server.should_exit = True
            self._thread.join(15)
