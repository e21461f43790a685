"""One runner for the regression tables: reads the ``*.toml`` files beside it, runs the model, compares.

A row has ``id``, ``what`` (a function of one of the ``*_runs``), ``args``, ``expect`` (a list), ``unit``,
``kind`` (always "regression"), ``compare`` (what the row may be compared with, and how that is known) and the
tolerance: ``rel`` of the expected figure, ``abs`` in its unit, or the wider of both. ``note`` may say more.

Values were computed with this model: they show that it stays as it is. What is printed in a source is in
``tests/published``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from regression import around_runs, bowl_runs, model_runs

RUNS = {name: getattr(place, name) for place in (model_runs, bowl_runs, around_runs) for name in place.__all__}
REQUIRED = {"id", "what", "args", "expect", "unit", "kind", "compare", "file"}
OPTIONAL = {"rel", "abs", "note"}


def read_rows(folder: Path) -> list[dict[str, Any]]:
    """Return the rows of every table in a folder, each with the name of its file."""
    rows = []
    for path in sorted(folder.glob("*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        rows += [{**row, "file": path.name} for row in table["check"]]
    return rows


def faults(row: Mapping[str, Any]) -> list[str]:
    """Say in words what is wrong with a row; an empty list when it is well formed."""
    found = [f"lacks {key}" for key in sorted(REQUIRED - set(row))]
    found += [f"has the unknown key {key}" for key in sorted(set(row) - REQUIRED - OPTIONAL)]
    if not {"rel", "abs"} & set(row):
        found.append("needs rel or abs")
    if row.get("kind") != "regression":
        found.append("is not of kind regression")
    return found


def run(row: Mapping[str, Any]) -> None:
    """Run the model and compare figure by figure."""
    found = np.asarray(RUNS[row["what"]](**row["args"]), dtype=np.float64)
    expected = np.array(row["expect"], dtype=np.float64)
    assert found.shape == expected.shape, row["id"]
    allowed = np.maximum(row.get("rel", 0.0) * np.abs(expected), row.get("abs", 0.0))
    wrong = ~(np.abs(found - expected) <= allowed)
    message = f"{row['id']}: expected {expected[wrong]} within {allowed[wrong]} {row['unit']}, got {found[wrong]}"
    assert not wrong.any(), message


ROWS = read_rows(Path(__file__).parent)


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['file']}:{r.get('id')}" for r in ROWS])
def test_model_is_what_it_was(row: Mapping[str, Any]) -> None:
    """The model gives the figure written down, within the tolerance beside it."""
    assert faults(row) == []
    run(row)


def test_ids_are_unique() -> None:
    """No two rows share an id, so that a report can name one."""
    ids = [row["id"] for row in ROWS]
    assert sorted(set(ids)) == sorted(ids)


def test_a_changed_figure_is_found() -> None:
    """A row off by more than its tolerance fails and tells both figures."""
    row = next(r for r in ROWS if r["id"] == "M1")
    with pytest.raises(AssertionError, match=r"M1: expected \[6\.9\] within .* got \[6\.2"):
        run({**row, "expect": [*row["expect"][:3], 6.9, *row["expect"][4:]]})


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"kind": "printed"}, "is not of kind regression"),
        ({"tolerance": 1}, "has the unknown key tolerance"),
    ],
)
def test_malformed_rows_are_named(change: dict[str, Any], fault: str) -> None:
    """A row that passes itself off as something else, or has keys nobody reads, is refused."""
    assert faults({**ROWS[0], **change}) == [fault]
