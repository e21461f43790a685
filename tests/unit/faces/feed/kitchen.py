"""What the tests of the feed share: a door that keeps what comes through it, and a clock that is turned by hand."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from temperbench.app.results import Happening

START = 1_773_480_413_000


@dataclass
class Door:
    """Takes readings of running bowls; knows which bowls run."""

    bowls: tuple[str, ...] = ("run-1", "run-2")
    came: list[tuple[str, Happening, str]] = field(default_factory=list)
    fault: Exception | None = None

    def __call__(self, run_id: str, happening: Happening, device: str) -> None:
        """Keep a reading."""
        if self.fault is not None:
            raise self.fault
        if run_id not in self.bowls:
            raise KeyError(run_id)
        self.came.append((run_id, happening, device))


@dataclass
class Clock:
    """Milliseconds that pass only when told."""

    now: int = START

    def __call__(self) -> int:
        """Return the time."""
        return self.now


def until(wanted: Callable[[], object], seconds: float = 10.0) -> None:
    """Wait until something is so; fail when it never is."""
    end = time.monotonic() + seconds
    while not wanted():
        if time.monotonic() > end:
            raise AssertionError(f"not so within {seconds} s")
        time.sleep(0.01)
