"""Tells a person why an answer takes long: the first time on a machine the engine is compiled."""

from __future__ import annotations

import threading
from types import TracebackType
from typing import Self

import click

from temperbench.foundation.compiled import is_cold

__all__ = ["Waiting"]

_PATIENCE_S = 3.0
_COLD = "Preparing the engine for this machine, once: this takes up to half a minute."
_LONG = "Still at work; where a part of the engine is used for the first time, it is being prepared, once."


class Waiting:
    """Says on stderr that it takes long, at once on a machine without compiled code, else after some seconds.

    Used as ``with Waiting() as waiting: plan(progress=waiting.tell)``; quick answers stay without a word.
    """

    def __init__(self, patience_s: float = _PATIENCE_S) -> None:
        """Take the seconds after which a silent person begins to wonder."""
        self._spoken = threading.Event()
        self._timer = threading.Timer(patience_s, self._speak, [_LONG])
        self._timer.daemon = True

    def __enter__(self) -> Self:
        """Begin to wait."""
        if is_cold():
            self._speak(_COLD)
        else:
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop waiting, whatever came of it."""
        self._timer.cancel()

    def tell(self, step: str) -> None:
        """Show how far it has come, if the person has been told that it takes long."""
        if self._spoken.is_set():
            click.echo(f"  {step}.", err=True)

    def _speak(self, text: str) -> None:
        self._spoken.set()
        click.echo(text, err=True)
