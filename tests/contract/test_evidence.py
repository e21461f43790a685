"""Every figure has its evidence, every row has its use, every cited work its row."""

from __future__ import annotations

import re
import tomllib

import pytest

from contract.tree import PACKAGE, modules, parsed, relative, strings
from temperbench.foundation import evidence

CITED = re.compile(r"\[([a-z][a-z0-9_-]+)\]_")


def used(key: str, words: set[str]) -> bool:
    """Tell whether a row's id, or a dotted beginning of it, is among the strings of the code.

    A beginning of one part ("bowl") counts only when written with its dot ("bowl."), as in an f-string.
    """
    parts = key.split(".")
    starts = [".".join(parts[:n]) for n in range(1, len(parts))]
    return key in words or any(f"{start}." in words or ("." in start and start in words) for start in starts)


def test_every_row_resolves() -> None:
    """The tables load: known keys, known bases, known sources, ids unique over all tables."""
    assert len(evidence.rows()) == sum(
        len(tomllib.loads((PACKAGE / "data" / table).read_text(encoding="utf-8")).get("value", []))
        for table in evidence.tables()
    )


def test_values_lie_between_their_bounds() -> None:
    """A single figure is not below its low nor above its high, and low does not exceed high."""
    faults = []
    for row in evidence.rows().values():
        figures = row.value if isinstance(row.value, tuple) else (row.value,)
        low = figures[0] if row.low is None else row.low
        high = figures[-1] if row.high is None else row.high
        if len(figures) == 1 and not low <= figures[0] <= high:
            faults.append(f"{row.table}: {row.id} {row.low} {row.value} {row.high}")
    assert faults == []


def test_rows_say_enough() -> None:
    """A row that was read says where; every row has a unit and a dotted lower-case id."""
    faults = []
    for row in evidence.rows().values():
        if row.basis == "read" and not row.where:
            faults.append(f"{row.id}: basis read without where")
        if not row.unit:
            faults.append(f"{row.id}: no unit")
        if not re.fullmatch(r"[a-z0-9_-]+(\.[a-z0-9_-]+)+", row.id):
            faults.append(f"{row.id}: not a dotted lower-case id")
    assert faults == []


def test_every_row_is_used() -> None:
    """No row lies idle: the code names its id or a dotted beginning of it."""
    words = {word for path in modules("src") for word in strings(parsed(path))}
    assert [f"{row.table}: {key}" for key, row in evidence.rows().items() if not used(key, words)] == []


def test_every_source_is_cited() -> None:
    """No work stands in the bibliography for show: a row draws on each."""
    cited = {row.source for row in evidence.rows().values()}
    assert sorted(set(evidence.sources()) - cited) == []


def test_citations_in_docstrings_resolve() -> None:
    """A ``[key]_`` in the package's text is a key of sources.toml."""
    faults = {
        f"{relative(path)}: {key}"
        for path in modules("src")
        for key in CITED.findall(path.read_text(encoding="utf-8"))
        if key not in evidence.sources()
    }
    assert set() == faults


@pytest.mark.parametrize(
    ("word", "answer"),
    [("bowl.glass.heat", True), ("bowl.glass", True), ("bowl.", True), ("bowl", False), ("bowl.gla", False)],
)
def test_use_is_judged_by_whole_parts(word: str, answer: bool) -> None:
    """A row is used by its id or by whole leading parts of it, not by a bare room word."""
    assert answer is used("bowl.glass.heat", {word})
