"""Reads a serial line: on each line of text a number or a JSON object. A port that goes away is tried again."""

from __future__ import annotations

import logging
from threading import Event, Thread

import serial

from temperbench.faces.feed.pipeline import Feed
from temperbench.faces.feed.settings import SerialSettings
from temperbench.foundation.units import Second

__all__ = ["SerialFeed"]

_LOG = logging.getLogger(__name__)
_LISTEN_S = 0.25  # after so long without a byte, see whether to stop
_LONGEST_LINE = 1024


class SerialFeed:
    """One port in a thread of its own; it is opened again by itself, after pauses that double."""

    def __init__(
        self, feed: Feed, settings: SerialSettings, first_wait_s: Second = 1.0, longest_wait_s: Second = 30.0
    ) -> None:
        """Prepare; nothing is opened before `start`.

        Parameters
        ----------
        feed
            Where the lines go.
        settings
            The port.
        first_wait_s
            Pause before the first try to open it again. [s]
        longest_wait_s
            Longest pause. [s]
        """
        self._feed, self._settings = feed, settings
        self._waits = (first_wait_s, longest_wait_s)
        self._name = f"serial {settings.port}"
        self._stopping = Event()
        self._thread: Thread | None = None

    def start(self) -> None:
        """Begin to read, in a thread."""
        if self._thread is not None:
            return
        self._stopping.clear()
        self._thread = Thread(target=self._run, name=self._name, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Close the port and wait for the thread to end. May be called twice."""
        self._stopping.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
            self._feed.say(self._name, f"The port {self._settings.port} is closed.", ok=False, calm=True)

    def _run(self) -> None:
        first, longest = self._waits
        wait = first
        while not self._stopping.is_set():
            try:
                with serial.Serial(self._settings.port, self._settings.baud, timeout=_LISTEN_S) as port:
                    self._feed.say(self._name, f"Reading the port {self._settings.port}.", ok=True)
                    wait = first
                    self._read(port)
            except (OSError, ValueError) as fault:  # SerialException is an OSError
                _LOG.debug("%s: %s", self._name, type(fault).__name__)
                self._feed.say(self._name, f"The port {self._settings.port} cannot be read; trying again.", ok=False)
                self._stopping.wait(wait)
                wait = min(2.0 * wait, longest)

    def _read(self, port: serial.Serial) -> None:
        """Read lines until told to stop. The first is left out: it may have begun before we listened."""
        rest, whole = bytearray(), False
        while not self._stopping.is_set():
            rest += port.read(max(1, min(port.in_waiting, _LONGEST_LINE)))
            *lines, last = rest.replace(b"\r", b"\n").split(b"\n")
            for line in lines:
                if whole and line.strip():
                    self._feed.take(bytes(line), probe=self._settings.probe, shape=self._settings.shape)
                whole = True
            rest = last
            if len(rest) > _LONGEST_LINE:  # noise, or a wrong baud rate
                rest, whole = bytearray(), False
