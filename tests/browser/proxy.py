"""A TCP proxy that can fall silent, as Wi-Fi does: it keeps connections open and passes nothing on."""

from __future__ import annotations

import asyncio
import contextlib
import threading

__all__ = ["PausableProxy"]


class PausableProxy:
    """Passes bytes between a browser and a server until it is told to be silent."""

    def __init__(self, port: int) -> None:
        """Stand before a server on a port of this machine."""
        self._target = port
        self._open = threading.Event()
        self._open.set()
        self._loop = asyncio.new_event_loop()
        self._started = threading.Event()
        self.port = 0
        self._writers: set[asyncio.StreamWriter] = set()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> PausableProxy:
        self._thread.start()
        self._started.wait(10)
        return self

    def __exit__(self, *_: object) -> None:
        self._open.set()
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(10)

    def pause(self) -> None:
        """Pass nothing on; open connections stay open."""
        self._open.clear()

    def go_on(self) -> None:
        """Pass on again, what was held back first."""
        self._open.set()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        server = self._loop.run_until_complete(asyncio.start_server(self._serve, "127.0.0.1", 0))
        self.port = server.sockets[0].getsockname()[1]
        self._started.set()
        self._loop.run_forever()
        server.close()
        tasks = asyncio.all_tasks(self._loop)
        for task in tasks:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*tasks, return_exceptions=True))
        for writer in self._writers:
            writer.transport.abort()
        self._loop.run_until_complete(asyncio.sleep(0.05))
        self._loop.close()

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            onward = await asyncio.open_connection("127.0.0.1", self._target)
        except OSError:
            writer.close()
            return
        self._writers |= {writer, onward[1]}
        with contextlib.suppress(asyncio.CancelledError):
            await asyncio.gather(self._pass(reader, onward[1]), self._pass(onward[0], writer))
        writer.close()
        onward[1].close()

    async def _pass(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            while data := await reader.read(65536):
                while not self._open.is_set():
                    await asyncio.sleep(0.05)
                writer.write(data)
                await writer.drain()
            writer.write_eof()
        except (OSError, RuntimeError):
            writer.close()
