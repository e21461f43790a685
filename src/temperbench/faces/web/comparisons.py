"""Comparisons of methods on their way: they take a minute, so they are made in the background and asked for again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field

from temperbench.app.results import Comparison

__all__ = ["Busy", "Comparisons", "Making", "Working"]

Making = Callable[[Callable[[str], None]], Comparison]
_KEPT = 24
_AT_ONCE = 4
_FIRST_LOOK_S = 0.5  # a refusal or a known answer comes within it


class Busy(Exception):
    """Too many comparisons are under way already."""


@dataclass(frozen=True)
class Working:
    """One is being made."""

    words: str  # what is done now
    done: int  # methods that are planned
    queued: bool  # another one is made before


@dataclass
class _One:
    ready: threading.Event = field(default_factory=threading.Event)
    steps: list[str] = field(default_factory=list)
    found: Comparison | None = None
    error: Exception | None = None


class Comparisons:
    """Those made and those under way. One is made at a time, so that bowls are still answered at once."""

    def __init__(self) -> None:
        """Begin with none."""
        self._lock, self._turn = threading.Lock(), threading.Lock()
        self._known: OrderedDict[Hashable, _One] = OrderedDict()

    def ask(self, key: Hashable, make: Making) -> Comparison | Working:
        """Return a comparison, or how far it is; it is begun when it was never asked for.

        Parameters
        ----------
        key : Hashable
            What was asked; the same question is one comparison. [-]
        make : Making
            Makes it, telling step by step what it does. [-]

        Returns
        -------
        Comparison | Working
            The answer, or what is done now. [-]
        """
        with self._lock:
            one = self._known.get(key)
            if one is None:
                one = self._begun(key, make)
            self._known.move_to_end(key)
        one.ready.wait(_FIRST_LOOK_S)
        if not one.ready.is_set():
            said = list(one.steps)
            return Working(said[-1] if said else "Waiting for its turn", max(0, len(said) - 1), not said)
        if one.error is not None:
            with self._lock:
                self._known.pop(key, None)
            raise one.error
        if one.found is None:
            raise RuntimeError("a comparison ended without an answer")
        return one.found

    def _begun(self, key: Hashable, make: Making) -> _One:
        if sum(not other.ready.is_set() for other in self._known.values()) >= _AT_ONCE:
            raise Busy
        one = self._known[key] = _One()
        done = [k for k, other in self._known.items() if other.ready.is_set()]
        for old in done[: max(0, len(self._known) - _KEPT)]:
            del self._known[old]
        threading.Thread(target=self._made, args=(one, make), name="compare methods", daemon=True).start()
        return one

    def _made(self, one: _One, make: Making) -> None:
        try:
            with self._turn:
                one.found = make(one.steps.append)
        except Exception as error:  # told to whoever asks, and to the log by the server
            one.error = error
        finally:
            one.ready.set()
