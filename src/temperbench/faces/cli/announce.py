"""Tells a person why an answer takes long: the first time on a machine the engine is compiled."""

from __future__ import annotations

import sys
import threading
import time
from types import TracebackType
from typing import Self

import click

from temperbench.foundation.compiled import is_cold, parts

__all__ = ["Waiting"]

_PATIENCE_S = 3.0
_LOOK_AGAIN_S = 0.4
_PARTS_A_LINE = 8  # where a line cannot be written over, as in a log
_COLD = "Preparing the engine for this machine, once (up to half a minute): oven, bowl, crystals, films ..."
_LONG = "Still at work: it takes longer on a busy machine, and the first time a kind of job is planned."
_READY = "The engine is ready and kept for the next time."


class Waiting:
    """Says on stderr that it takes long, at once on a machine without compiled code, else after some seconds.

    Used as ``with Waiting() as waiting: plan(progress=waiting.tell)``; quick answers stay without a word. While the
    engine is prepared, the number of parts done is shown, on a terminal in one line that keeps its place.
    """

    def __init__(self, patience_s: float = _PATIENCE_S) -> None:
        """Take the seconds after which a silent person begins to wonder."""
        self._patience_s = patience_s
        self._over = threading.Event()
        self._pen = threading.Lock()
        self._spoken = self._cold = False
        self._begin, self._done = 0.0, 0
        self._watch = threading.Thread(target=self._stay_awake, daemon=True)

    def __enter__(self) -> Self:
        """Begin to wait."""
        self._begin, self._done = time.monotonic(), parts()[0]
        self._cold = is_cold()
        if self._cold:
            self._speak(_COLD)
        self._watch.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop waiting, whatever came of it."""
        self._over.set()
        self._watch.join()
        if self._cold and error is None:
            self._write(_READY)

    def tell(self, step: str) -> None:
        """Show how far it has come, if the person has been told that it takes long."""
        if self._spoken:
            self._write(f"  {step}.")

    def _speak(self, text: str) -> None:
        self._spoken = True
        self._write(text)

    def _stay_awake(self) -> None:
        """Watch the clock and the parts of the engine until the answer is there."""
        if not self._spoken and not self._over.wait(self._patience_s):
            self._speak(_LONG)
        while not self._over.wait(_LOOK_AGAIN_S):
            self._count()

    def _count(self) -> None:
        """Show how many parts are done, when there are more than before."""
        done, known = parts()
        terminal = sys.stderr.isatty()
        if done >= self._done + (1 if terminal else _PARTS_A_LINE):
            self._done = done
            text = f"  {done} of {known} parts ready after {time.monotonic() - self._begin:.0f} s"
            self._write(text, over=terminal)

    def _write(self, text: str, *, over: bool = False) -> None:
        """Write a line; ``over`` leaves it to be written over by the next one."""
        with self._pen:
            wipe = "\r\x1b[2K" if sys.stderr.isatty() else ""
            click.echo(f"{wipe}{text}", nl=not over, err=True)
