"""What happened to a bowl, on its way into the book and out again: checked before it is kept."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from temperbench.foundation.errors import InputError, one_of
from temperbench.insight.live import ADDITIONS, FILMS, FLOWS, HAPPENINGS, LEFT, LOOKS, LUMPS, SCRAPING, Happening

__all__ = ["check_happening", "check_press", "happening_of", "payload_of", "placed"]

_NEEDED: dict[str, tuple[str, ...]] = {
    "burst": ("seconds",), "stir": ("seconds",), "stand": ("seconds",), "reading": ("celsius",),
    "lumps": ("level",), "flow": ("level",), "added": ("grams",), "taken": ("grams",), "undo": ("of",),
    "corrected": ("of",), "melted": ("celsius",), "bath": ("seconds",), "cabinet": ("seconds",),
    "kettle": ("seconds",), "tabled": ("grams",),
}  # fmt: skip
_LIMITS = {"seconds": (0.0, 36000.0, "s"), "celsius": (-20.0, 150.0, "°C"), "grams": (0.0, 50000.0, "g"),
           "minutes": (0.0, 120.0, "min")}  # fmt: skip
_AHEAD_MIN = 5
_LEVELS = {"lumps": LUMPS, "flow": FLOWS, "bath": (LEFT,), "stir": (SCRAPING,)}
_THERMOMETERS = ("probe", "infrared")


def payload_of(h: Happening) -> dict[str, str | float]:
    """Return what the book keeps of a happening beside its id, kind and time."""
    given = dataclasses.asdict(h)
    return {k: v for k, v in given.items() if v is not None and k not in ("id", "kind", "pressed_ms")}


def happening_of(id: str, kind: str, pressed_ms: int, payload: Mapping[str, object]) -> Happening:
    """Return a happening as the book kept it."""
    said: Any = payload
    return Happening(id, kind, pressed_ms, **said)


def check_press(pressed_ms: int, now_ms: int) -> None:
    """Raise `InputError` for a press time ahead of the kitchen's clock by more than two clocks differ."""
    if pressed_ms > now_ms + 60_000 * _AHEAD_MIN:
        allowed = f"at most {_AHEAD_MIN} min ahead of the kitchen's clock"
        raise InputError("pressed_ms", pressed_ms, allowed, "set the device's clock, or the kitchen's")


def placed(h: Happening, started_ms: int, now_ms: int) -> Happening:
    """Return a happening with a press time that can be: not after this moment, and not before its bowl began.

    Parameters
    ----------
    h
        As it was sent.
    started_ms
        When its bowl began, UTC.
    now_ms
        This machine's clock, UTC.

    Returns
    -------
        The same, moved to the nearer end when its time was outside.
    """
    return dataclasses.replace(h, pressed_ms=max(started_ms, min(h.pressed_ms, now_ms)))


def check_happening(h: Happening, before: Mapping[str, str], now_ms: int) -> None:
    """Raise `InputError` for a happening that cannot be.

    Parameters
    ----------
    h
        What is said to have happened.
    before
        Ids and kinds of what happened to the bowl so far.
    now_ms
        This machine's clock, UTC.
    """
    one_of("kind", h.kind, HAPPENINGS, "send one of these")
    for name in _NEEDED.get(h.kind, ()):
        if getattr(h, name) is None:
            raise InputError(name, "nothing given", f"a value with every {h.kind}", "send it along")
    for name, (low, high, unit) in _LIMITS.items():
        value = getattr(h, name)
        if value is not None and not low <= value <= high:
            raise InputError(name, value, f"{low:g} to {high:g} {unit}", "check number and unit")
    check_press(h.pressed_ms, now_ms)
    kind = before.get(h.of or "") if h.kind == "corrected" else h.kind
    if h.kind == "undo" and before.get(h.of or "") in (None, "undo"):
        raise InputError("of", h.of, "the id of something that happened to this bowl", "look at the bowl again")
    if h.kind == "corrected" and kind in (None, "undo", "corrected"):
        raise InputError("of", h.of, "the id of something that happened to this bowl", "look at the bowl again")
    _check_words(h, kind or h.kind)


def _check_words(h: Happening, kind: str) -> None:
    if h.level is not None and kind in _LEVELS:
        one_of("level", h.level, _LEVELS[kind])
    if h.thermometer is not None:
        one_of("thermometer", h.thermometer, _THERMOMETERS)
    if h.seed is not None:
        one_of("seed", h.seed, ADDITIONS)
    if h.film is not None:
        one_of("film", h.film, FILMS)
    if h.look is not None:
        one_of("look", h.look, LOOKS)
    if kind == "moved" and h.grams is not None and h.grams <= 0.0:
        raise InputError("grams", h.grams, "above 0 g", "weigh the empty bowl, or leave it out")
