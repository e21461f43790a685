"""Use case: where a figure comes from."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.errors import InputError, nearest
from temperbench.foundation.evidence import BASES, Source, Value, rows, source, sources

__all__ = ["Evidence", "ask_sources"]


@dataclass(frozen=True)
class Evidence:
    """One figure with the work it comes from and what its evidence mark means."""

    value: Value
    work: Source
    basis_means: str


def ask_sources(asked: str | None = None) -> tuple[Evidence, ...]:
    """Return the figures behind an id, a beginning of ids, or a cited work's key; all figures without one.

    Parameters
    ----------
    asked : str | None
        An id such as ``limit.grams``, a beginning such as ``limit``, or a work's key. [-]

    Returns
    -------
    tuple[Evidence, ...]
        At least one figure, in the order of their ids. [-]
    """
    found = sorted(rows().values(), key=lambda value: value.id)
    if asked is not None:
        word = asked.strip().lower().rstrip(".")
        exact = [value for value in found if value.id.lower() == word]
        found = exact or [value for value in found if _belongs(value, word)]
    if not found:
        raise _unknown(asked or "")
    return tuple(Evidence(value, source(value.source), BASES[value.basis]) for value in found)


def _belongs(value: Value, word: str) -> bool:
    return bool(word) and (value.id.lower().startswith(f"{word}.") or value.source.lower() == word)


def _unknown(asked: str) -> InputError:
    guess = nearest(asked[:80], [*rows(), *sources()])
    advice = f"did you mean “{guess}”?" if guess else "leave it out to list all"
    return InputError("ID", asked, "an id, the beginning of ids, or the key of a cited work", advice)
