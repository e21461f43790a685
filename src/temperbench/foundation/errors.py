"""The errors a person may see. Every one names the field, the value, what is allowed and what to do."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

__all__ = ["InputError", "NotGiven", "OutOfRange", "Unavailable", "nearest", "one_of", "shown", "within"]


class InputError(ValueError):
    """Something a person gave cannot be used.

    The message is one sentence that names the field, the value, the allowed range and the remedy.
    """

    def __init__(self, field: str, value: object, allowed: str, remedy: str) -> None:
        """Keep the four parts apart, so that a page can mark the field."""
        self.field = field
        self.value = value
        self.allowed = allowed
        self.remedy = remedy
        end = "" if remedy.endswith("?") else "."
        super().__init__(f"{field}: {shown(value)} is not usable; allowed is {allowed}; {remedy}{end}")


class Unavailable(RuntimeError):
    """Something outside the program cannot be used now: a disk, a file, a server. One sentence with the remedy."""


class OutOfRange(InputError):
    """A number outside the range in which it has a meaning."""


class NotGiven(InputError):
    """Something needed that was not given."""

    def __init__(self, field: str, value: object, allowed: str, remedy: str) -> None:
        """Say that it is needed instead of showing a value."""
        super().__init__(field, value, allowed, remedy)
        self.args = (f"{field}: needed but not given; allowed is {allowed}; {remedy}.",)


def shown(value: object) -> str:
    """Write a value for an error message: short, quoted when it is text."""
    text = f"“{value}”" if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else str(value)
    text = " ".join(text.split())
    return text if len(text) <= 60 else text[:57] + "…"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word most like ``word``, or None when nothing is alike."""
    found = difflib.get_close_matches(word.lower(), list(known), n=1, cutoff=0.5)
    return found[0] if found else None


def within(field: str, value: float, low: float, high: float, unit: str, remedy: str) -> float:
    """Return ``value`` when it is finite and between ``low`` and ``high``; raise `OutOfRange` otherwise."""
    if not low <= value <= high:  # also catches not-a-number
        raise OutOfRange(field, value, f"{low:g} to {high:g} {unit}".rstrip(), remedy)
    return value


def one_of(field: str, value: str, known: Iterable[str], remedy: str = "") -> str:
    """Return ``value`` when it is a known word; raise `InputError` with the nearest word otherwise."""
    words = list(known)
    if value in words:
        return value
    guess = nearest(value, words)
    advice = f"did you mean “{guess}”?" if guess else (remedy or "choose one of these")
    raise InputError(field, value, ", ".join(words), advice.rstrip("."))
