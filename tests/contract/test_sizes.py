"""Files and functions stay small enough to read at one sitting."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from contract.tree import Function, functions, modules, parsed, relative, text_files

MODULE, TEST, FUNCTION, KERNEL, TEMPLATE, CARD = 500, 400, 50, 80, 150, 300
TEMPLATES = {".typ", ".html", ".svg", ".jinja"}


def length(path: Path) -> int:
    """Return the number of lines of a file."""
    return len(path.read_text(encoding="utf-8").splitlines())


def is_kernel(function: Function) -> bool:
    """Tell whether a function is compiled, by the name of one of its decorators."""
    names = {n.id for d in function.decorator_list for n in ast.walk(d) if isinstance(n, ast.Name)}
    names |= {n.attr for d in function.decorator_list for n in ast.walk(d) if isinstance(n, ast.Attribute)}
    return bool(names & {"kernel", "njit"})


LIMITS = {"src": MODULE, "scripts": MODULE, "benchmarks": MODULE, "tests": TEST}


@pytest.mark.parametrize(("top", "limit"), LIMITS.items())
def test_modules_are_short(top: str, limit: int) -> None:
    """No module is longer than its kind may be."""
    assert {relative(p): length(p) for p in modules(top) if length(p) > limit} == {}


def test_functions_are_short() -> None:
    """A function fits a page, a compiled kernel a page and a half, docstring included."""
    faults = {}
    for path in modules("src", "scripts", "benchmarks"):
        for name, function in functions(parsed(path)):
            lines = (function.end_lineno or 0) - function.lineno + 1
            if lines > (KERNEL if is_kernel(function) else FUNCTION):
                faults[f"{relative(path)}:{name}"] = lines
    assert faults == {}


def test_templates_are_short() -> None:
    """A template draws one thing; the one-page card may be twice as long as any other."""
    faults = {}
    for path in text_files():
        if path.suffix in TEMPLATES and "src" in path.parts:
            limit = CARD if path.name == "card.typ" else TEMPLATE
            if length(path) > limit:
                faults[relative(path)] = length(path)
    assert faults == {}


@pytest.mark.parametrize(
    ("code", "answer"),
    [
        ("@njit(cache=True)\ndef f(): pass", True),
        ("@numba.njit\ndef f(): pass", True),
        ("@kernel\ndef f(): pass", True),
        ("@cache\ndef f(): pass", False),
    ],
)
def test_kernels_are_known_by_their_decorator(code: str, answer: bool) -> None:
    """Only a compiled function may be as long as a kernel."""
    function = ast.parse(code).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert answer is is_kernel(function)
