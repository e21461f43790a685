"""One runner for every published check value: reads the ``*.toml`` files beside it, calls, compares, cites.

A file holds ``[[check]]`` rows:

``id``
    Unique over all files.
``call``
    ``"module:function"``, the module below ``temperbench``, for example ``"matter.thermal:specific_heat"``.
``args``
    Table of keyword arguments; left out when there are none.
``pick``
    Optional path into the result, its parts joined by dots: attribute names, keys or positions.
``expect``
    The published number, or a list of numbers.
``abs`` or ``rel``
    Exactly one tolerance: absolute, in the unit of the result, or relative to the expected number.
``kind``
    printed (stands so in the source), derived (arithmetic on what stands there), digitised (read off a
    figure) or practice (common trade practice; then ``source`` says "Common trade practice").
``source``, ``where``
    Citation in plain text, and the place in it. ``where`` is required when ``basis`` is "read".
``basis``
    One of the evidence marks of `temperbench.foundation.evidence.BASES`.

Numbers computed by this project's own model do not belong here: they are regression values, not checks.
"""

from __future__ import annotations

import importlib
import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from temperbench.foundation.evidence import BASES

KINDS = {"printed", "derived", "digitised", "practice"}
REQUIRED = {"id", "call", "expect", "kind", "source", "basis"}
OPTIONAL = {"args", "pick", "abs", "rel", "where"}


def read_checks(folder: Path) -> list[dict[str, Any]]:
    """Return the checks of every table in a folder, each with the name of its file."""
    checks = []
    for path in sorted(folder.glob("*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        assert set(table) == {"check"}, f"{path.name}: only [[check]] rows belong here, found {sorted(table)}"
        checks += [{**row, "file": path.name} for row in table["check"]]
    return checks


def faults(check: Mapping[str, Any]) -> list[str]:
    """Say in words what is wrong with a row; an empty list when it is well formed."""
    keys = set(check) - {"file"}
    found = [f"lacks {key}" for key in sorted(REQUIRED - keys)]
    found += [f"has the unknown key {key}" for key in sorted(keys - REQUIRED - OPTIONAL)]
    if len(keys & {"abs", "rel"}) != 1:
        found.append("needs exactly one of abs and rel")
    if check.get("kind") not in KINDS:
        found.append(f"kind is not one of {sorted(KINDS)}")
    if check.get("basis") not in BASES:
        found.append(f"basis is not one of {sorted(BASES)}")
    if check.get("basis") == "read" and not check.get("where"):
        found.append("basis read needs where")
    return found


def picked(result: Any, path: str) -> Any:
    """Follow a dotted path of attributes, keys and positions into a result."""
    for part in path.split(".") if path else []:
        if isinstance(result, Mapping):
            result = result[part]
        elif part.isdigit():
            result = result[int(part)]
        else:
            result = getattr(result, part)
    return result


def run(check: Mapping[str, Any]) -> None:
    """Call the function of a check and compare; the assertion message carries the citation."""
    module, _, function = check["call"].partition(":")
    call = getattr(importlib.import_module(f"temperbench.{module}"), function)
    result = picked(call(**check.get("args", {})), str(check.get("pick", "")))
    expect = check["expect"]
    wanted = [float(v) for v in expect] if isinstance(expect, list) else [float(expect)]
    got = [float(v) for v in result] if isinstance(expect, list) else [float(result)]
    cited = f"{check['source']} ({check.get('where') or 'place not stated'}; {check['kind']}, {check['basis']})"
    assert len(wanted) == len(got), f"{check['id']}: {len(got)} figures for {len(wanted)}. Source: {cited}"
    for place, (want, have) in enumerate(zip(wanted, got, strict=True)):
        allowed = check["abs"] if "abs" in check else check["rel"] * abs(want)
        message = f"{check['id']}[{place}]: expected {want:g} within {allowed:g}, got {have:g}. Source: {cited}"
        assert math.isclose(have, want, rel_tol=0.0, abs_tol=allowed), message


CHECKS = read_checks(Path(__file__).parent)


@pytest.mark.parametrize("check", CHECKS, ids=[f"{c['file']}:{c.get('id')}" for c in CHECKS])
def test_published_value(check: Mapping[str, Any]) -> None:
    """A value printed in or derived from a cited source comes out of the function named for it."""
    assert faults(check) == []
    run(check)


def test_ids_are_unique() -> None:
    """No two checks of any file share an id, so that a report can name one."""
    ids: Sequence[str] = [check["id"] for check in CHECKS]
    assert sorted(set(ids)) == sorted(ids)


EXAMPLE = {
    "id": "example", "call": "foundation.errors:within", "expect": 3.0, "abs": 0.1, "kind": "printed",
    "args": {"field": "x", "value": 3.0, "low": 0.0, "high": 9.0, "unit": "1", "remedy": "none"},
    "source": "Example 1999, Journal of Examples 1:1", "where": "table 1", "basis": "read",
}  # fmt: skip


def test_failure_prints_the_citation() -> None:
    """A check that fails tells where its number stands, and how it was obtained."""
    with pytest.raises(AssertionError, match=r"Example 1999, Journal of Examples 1:1 \(table 1; printed, read\)"):
        run({**EXAMPLE, "expect": 3.2})


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"rel": 0.1}, "needs exactly one of abs and rel"),
        ({"kind": "guessed"}, f"kind is not one of {sorted(KINDS)}"),
        ({"basis": "heard"}, f"basis is not one of {sorted(BASES)}"),
        ({"where": ""}, "basis read needs where"),
        ({"tolerance": 1}, "has the unknown key tolerance"),
    ],
)
def test_malformed_rows_are_named(change: dict[str, Any], fault: str) -> None:
    """A row with a missing tolerance, an unknown mark or a missing place is refused in words."""
    assert faults(EXAMPLE) == []
    assert faults({**EXAMPLE, **change}) == [fault]
