"""Physical, legal and trade values with their sources: read from the package's data tables, never written in code.

A table is a TOML file of ``[[value]]`` rows. A row has ``id, value, unit, basis, source`` and may have ``low, high``
(the spread from which estimation may draw), ``range`` (of validity), ``where`` (place in the source) and ``note``.
``value`` is a number or a list of numbers. Works are cited once, in ``sources.toml``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, TypeVar

from temperbench.foundation.errors import InputError, nearest

_T = TypeVar("_T")

__all__ = ["BASES", "Source", "Value", "array", "number", "row", "rows", "source", "sources", "tables"]

BASES = {
    "read": "figure seen in the source's own text",
    "abstract": "seen in an abstract or an excerpt only",
    "recalled": "from memory of the named source, not opened",
    "practice": "common trade practice",
    "fitted": "fitted here to the observations named",
    "assumed": "a modelling default without a published source",
    "derived": "arithmetic on the rows named",
}
_ROW_KEYS = {"id", "value", "unit", "low", "high", "range", "basis", "source", "where", "note"}
_SOURCE_KEYS = {"key", "cite", "doi", "note"}


@dataclass(frozen=True)
class Source:
    """One cited work: a stable key and how it is cited."""

    key: str
    cite: str
    doi: str = ""
    note: str = ""


@dataclass(frozen=True)
class Value:
    """One row of evidence: a figure, its unit, its spread, and where it comes from."""

    id: str
    value: float | tuple[float, ...]
    unit: str
    basis: str
    source: str
    low: float | None = None
    high: float | None = None
    range: str = ""
    where: str = ""
    note: str = ""
    table: str = ""


def _load(name: str) -> dict[str, Any]:
    text = resources.files("temperbench.data").joinpath(name).read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def sources() -> dict[str, Source]:
    """Return every cited work by its key."""
    found: dict[str, Source] = {}
    for entry in _load("sources.toml")["source"]:
        if set(entry) - _SOURCE_KEYS:
            raise ValueError(f"sources.toml: unknown keys {set(entry) - _SOURCE_KEYS} in {entry.get('key')}")
        if entry["key"] in found:
            raise ValueError(f"sources.toml: {entry['key']} stands twice")
        found[entry["key"]] = Source(**entry)
    return found


def source(key: str) -> Source:
    """Return the cited work with this key; raise `InputError` naming the nearest key when there is none."""
    return _pick(sources(), key, "source")


@cache
def tables() -> tuple[str, ...]:
    """Return the names of the value tables, in alphabetical order."""
    names = (entry.name for entry in resources.files("temperbench.data").iterdir())
    return tuple(sorted(n for n in names if n.endswith(".toml") and n != "sources.toml"))


@cache
def rows() -> dict[str, Value]:
    """Return every row of every table by its id. Raises ``ValueError`` for a row that breaks the rules."""
    found: dict[str, Value] = {}
    for table in tables():
        for entry in _load(table).get("value", []):
            checked = _checked(entry, table)
            if checked.id in found:
                raise ValueError(f"{table}: {checked.id} stands twice")
            found[checked.id] = checked
    return found


def _checked(entry: dict[str, Any], table: str) -> Value:
    place = f"{table}: {entry.get('id')}"
    if set(entry) - _ROW_KEYS:
        raise ValueError(f"{place}: unknown keys {sorted(set(entry) - _ROW_KEYS)}")
    if entry.get("basis") not in BASES:
        raise ValueError(f"{place}: basis {entry.get('basis')!r} is not one of {sorted(BASES)}")
    if entry.get("source") not in sources():
        raise ValueError(f"{place}: source {entry.get('source')!r} is not in sources.toml")
    value = entry["value"]
    low, high = entry.get("low"), entry.get("high")
    if isinstance(value, list):
        value = tuple(float(v) for v in value)
    elif low is not None and high is not None and not low <= value <= high:
        raise ValueError(f"{place}: {value} is not between {low} and {high}")
    return Value(**{**entry, "value": value, "table": table})


def _pick(found: dict[str, _T], key: str, field: str) -> _T:
    if key in found:
        return found[key]
    guess = nearest(key, found)
    advice = f"did you mean “{guess}”?" if guess else "list them all to find it"
    raise InputError(field, key, "an id from the tables", advice)


def row(key: str) -> Value:
    """Return the row with this id; raise `InputError` naming the nearest id when there is none."""
    return _pick(rows(), key, "id")


def number(key: str) -> float:
    """Return the single figure of a row."""
    value = row(key).value
    if isinstance(value, tuple):
        raise TypeError(f"{key} is a list; use array()")
    return float(value)


def array(key: str) -> tuple[float, ...]:
    """Return the list of figures of a row."""
    value = row(key).value
    if not isinstance(value, tuple):
        raise TypeError(f"{key} is a single figure; use number()")
    return value
