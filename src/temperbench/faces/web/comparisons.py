"""Answers on their way: what takes seconds or a minute is made in the background and asked for again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from temperbench.foundation.units import Second

__all__ = ["FIRST_LOOK_S", "Busy", "Comparisons", "Making", "Working"]

_T = TypeVar("_T")
Making = Callable[[Callable[[str], None]], _T]
_KEPT = 24
_AT_ONCE = 4
FIRST_LOOK_S = 0.5  # a refusal or a known answer comes within it


class Busy(Exception):
    """Too many answers are under way already."""


@dataclass(frozen=True)
class Working:
    """One is being made."""

    words: str  # what is done now
    done: int  # steps that are made
    queued: bool  # another one is made before


@dataclass
class _One(Generic[_T]):
    ready: threading.Event = field(default_factory=threading.Event)
    steps: list[str] = field(default_factory=list)
    found: _T | None = None
    error: Exception | None = None


class Comparisons(Generic[_T]):
    """Those made and those under way. One is made at a time, so that bowls are still answered at once."""

    def __init__(self) -> None:
        """Begin with none."""
        self._lock, self._turn = threading.Lock(), threading.Lock()
        self._known: OrderedDict[Hashable, _One[_T]] = OrderedDict()

    def ask(self, key: Hashable, make: Making[_T], wait_s: Second = FIRST_LOOK_S) -> _T | Working:
        """Return an answer, or how far it is; it is begun when it was never asked for.

        Parameters
        ----------
        key : Hashable
            What was asked; the same question is answered once. [-]
        make : Making[_T]
            Makes it, telling step by step what it does. [-]
        wait_s : Second
            How long to wait for it before telling how far it is. [s]

        Returns
        -------
        _T | Working
            The answer, or what is done now. [-]
        """
        with self._lock:
            one = self._known.get(key)
            if one is None:
                one = self._begun(key, make)
            self._known.move_to_end(key)
        one.ready.wait(wait_s)
        if not one.ready.is_set():
            said = list(one.steps)
            return Working(said[-1] if said else "Waiting for its turn", max(0, len(said) - 1), not said)
        if one.error is not None:
            with self._lock:
                self._known.pop(key, None)
            raise one.error
        if one.found is None:
            raise RuntimeError("it ended without an answer")
        return one.found

    def _begun(self, key: Hashable, make: Making[_T]) -> _One[_T]:
        if sum(not other.ready.is_set() for other in self._known.values()) >= _AT_ONCE:
            raise Busy
        one = self._known[key] = _One[_T]()
        done = [k for k, other in self._known.items() if other.ready.is_set()]
        for old in done[: max(0, len(self._known) - _KEPT)]:
            del self._known[old]
        threading.Thread(target=self._made, args=(one, make), name="answer on its way", daemon=True).start()
        return one

    def _made(self, one: _One[_T], make: Making[_T]) -> None:
        try:
            with self._turn:
                one.found = make(one.steps.append)
        except Exception as error:  # told to whoever asks, and to the log by the server
            one.error = error
        finally:
            one.ready.set()
