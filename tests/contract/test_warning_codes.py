"""The codes of warnings: docs/json.md lists every one that the package can give, and no other."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from contract.tree import ROOT, functions, modules, parsed, relative

_CODE = re.compile(r"[a-z]+(?:-[a-z]+)+")
_PAIR = "tuple[str, str]"  # what the rooms below insight return for a warning: code and text
_BELOW = ("src/temperbench/matter", "src/temperbench/kitchen")


def called(tree: ast.Module) -> set[str]:
    """Return the codes that stand first in a ``Warning_``."""
    return {code for call in warning_calls(tree) for code in written(call.args[0])}


def paired(tree: ast.Module) -> set[str]:
    """Return the codes that stand first in a pair, in functions that say they return pairs."""
    return {
        code
        for _, function in functions(tree)
        if function.returns is not None and _PAIR in ast.unparse(function.returns)
        for node in ast.walk(function)
        if isinstance(node, ast.Tuple) and len(node.elts) == 2
        for code in written(node.elts[0])
    }


def warning_calls(tree: ast.Module) -> Iterator[ast.Call]:
    """Yield every making of a ``Warning_``."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Warning_":
            yield node


def written(node: ast.expr) -> list[str]:
    """Return the codes written at a place: one, or one for each side of an ``if``."""
    if isinstance(node, ast.IfExp):
        return [*written(node.body), *written(node.orelse)]
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def passes_on(node: ast.expr) -> bool:
    """Whether a ``Warning_`` is made of a pair or of another one, whose code was found where that was made."""
    return isinstance(node, ast.Starred) or (isinstance(node, ast.Attribute) and node.attr == "code")


def listed() -> list[tuple[str, str, str]]:
    """Return the rows of the table: code, what it means, what to do."""
    page = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    section = page.partition("## Codes of `warnings`\n")[2].partition("\n## ")[0]
    return re.findall(r"^\| `([\w-]+)` \| ([^|]+) \| ([^|]+) \|$", section, flags=re.MULTILINE)


def test_the_page_lists_every_code_once_and_no_other() -> None:
    """A code that was added stands in the table, one that is gone does not."""
    given = {code for path in modules("src") for code in called(parsed(path))}
    given |= {code for path in modules(*_BELOW) for code in paired(parsed(path))}
    codes = [code for code, _, _ in listed()]
    assert sorted(codes) == sorted(given)


def test_every_row_says_what_it_means_and_what_to_do() -> None:
    """No cell of the table is empty, and every code is small words with hyphens."""
    assert [row for row in listed() if not all(cell.strip() for cell in row) or not _CODE.fullmatch(row[0])] == []


@pytest.mark.parametrize("path", modules("src"), ids=relative)
def test_every_code_is_written_where_its_warning_is_made(path: Path) -> None:
    """A code made up of parts, or kept in a variable, would escape the list above."""
    firsts = [call.args[0] for call in warning_calls(parsed(path))]
    assert [ast.unparse(first) for first in firsts if not written(first) and not passes_on(first)] == []


def test_codes_are_found_however_a_warning_is_made() -> None:
    """In a call, on both sides of an ``if``, in a list of pairs and in one pair; other pairs do not count."""
    made = ast.parse(
        "def f() -> int:\n    g(('no-a', 1), Warning_('one-a', t), Warning_('two-a' if x else 'two-b', t))"
    )
    assert (called(made), paired(made)) == ({"one-a", "two-a", "two-b"}, set())
    listed_ones = ast.parse("def h() -> tuple[tuple[str, str], ...]:\n    found.append(('three-a', text))")
    single = ast.parse("def k() -> tuple[str, str] | None:\n    return 'four-a', text")
    assert (paired(listed_ones), paired(single)) == ({"three-a"}, {"four-a"})
