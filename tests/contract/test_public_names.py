"""What a module offers is what it says it offers."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from contract.tree import definitions, modules, parsed, relative


def offered(tree: ast.Module) -> list[str] | None:
    """Return the names in ``__all__``; None when the module has none."""
    for node in tree.body:
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if any(isinstance(t, ast.Name) and t.id == "__all__" for t in targets):
                return list(ast.literal_eval(node.value))
    return None


@pytest.mark.parametrize("path", modules("src"), ids=relative)
def test_all_is_what_is_public(path: Path) -> None:
    """``__all__`` holds every public name defined in the module and no other.

    A module that defines none, an ``__init__`` above all, may offer names it imports.
    """
    tree = parsed(path)
    names = offered(tree)
    assert names is not None, "no __all__"
    assert len(set(names)) == len(names)
    own = definitions(tree.body)
    passed_on = set() if own else definitions(tree.body, imported=True)
    assert set(names) - passed_on - {"__version__"} == own


@pytest.mark.parametrize("path", modules("src", "scripts", "benchmarks", "tests"), ids=relative)
def test_modules_say_what_they_are(path: Path) -> None:
    """Every module opens with a docstring."""
    assert ast.get_docstring(parsed(path))


@pytest.mark.parametrize("path", modules("tests"), ids=relative)
def test_tests_say_what_they_promise(path: Path) -> None:
    """Every test has a docstring, and none is skipped or expected to fail."""
    tests = [n for n in ast.walk(parsed(path)) if isinstance(n, ast.FunctionDef) and n.name.startswith("test_")]
    assert [node.name for node in tests if not ast.get_docstring(node)] == []
    marks = {ast.unparse(d) for node in tests for d in node.decorator_list}
    assert set() == {mark for mark in marks if "mark.skip" in mark or "mark.xfail" in mark}


def test_a_name_behind_a_branch_counts() -> None:
    """Names defined under ``if`` or ``try`` are public too; underscored and imported ones are not."""
    code = "from a import b\nif 1:\n    X = 1\ntry:\n    def f(): pass\nexcept OSError:\n    _g = 2\ny: int = 3"
    assert {"X", "f", "y"} == definitions(ast.parse(code).body)
    assert {"X", "f", "y", "b"} == definitions(ast.parse(code).body, imported=True)
