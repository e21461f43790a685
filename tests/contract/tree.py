"""The files of the project as the contracts see them: where they are, what they import, define and say."""

from __future__ import annotations

import ast
import importlib.util
import os
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import ModuleType

__all__ = [
    "PACKAGE", "ROOT", "definitions", "folders", "functions", "module_name", "modules", "parsed", "relative",
    "script", "strings", "text_files",
]  # fmt: skip

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "temperbench"
_PRIVATE = {".git", ".venv", ".venv-bench", "__pycache__", ".pytest_cache", ".mypy_cache", ".ruff_cache",
            ".hypothesis", "out", "dist", "build"}  # fmt: skip
_BINARY = {".pdf", ".png", ".jpg", ".npz", ".woff2", ".ttf", ".otf", ".ico"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Definition = Function | ast.ClassDef


def relative(path: Path) -> str:
    """Return a path as written from the project's root."""
    return path.relative_to(ROOT).as_posix()


def _walk() -> Iterator[tuple[Path, list[str]]]:
    for place, below, files in os.walk(ROOT):
        below[:] = sorted(n for n in below if n not in _PRIVATE and not n.endswith(".egg-info"))
        yield Path(place), sorted(set(files) - _PRIVATE)  # .git is a file in a linked working tree


def folders() -> list[Path]:
    """Return every folder of the project that holds a file or a folder, the root left out."""
    return [place for place, files in _walk() if place != ROOT and (files or any(place.iterdir()))]


def text_files() -> list[Path]:
    """Return every text file of the project."""
    return [place / name for place, files in _walk() for name in files if Path(name).suffix not in _BINARY]


def modules(*tops: str) -> list[Path]:
    """Return the Python files below these folders of the root."""
    return sorted(path for top in tops for path in (ROOT / top).rglob("*.py") if not _PRIVATE & set(path.parts))


@cache
def parsed(path: Path) -> ast.Module:
    """Return the syntax tree of a Python file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=relative(path))


def module_name(path: Path) -> str:
    """Return the dotted name of a module below ``src``."""
    parts = path.relative_to(ROOT / "src").with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def functions(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """Yield every function and method at any depth, with its dotted name inside the module."""

    def inside(node: ast.AST, prefix: str) -> Iterator[tuple[str, Function]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, Definition):
                name = f"{prefix}{child.name}"
                if not isinstance(child, ast.ClassDef):
                    yield name, child
                yield from inside(child, f"{name}.")
            else:
                yield from inside(child, prefix)

    yield from inside(tree, "")


def definitions(body: list[ast.stmt], *, imported: bool = False) -> set[str]:
    """Return the public names a module body defines; with ``imported``, also those it imports."""
    names: set[str] = set()
    for node in body:
        if isinstance(node, Definition):
            names.add(node.name)
        elif isinstance(node, ast.Assign):
            targets = [leaf for target in node.targets for leaf in ast.walk(target)]
            names |= {t.id for t in targets if isinstance(t, ast.Name) and isinstance(t.ctx, ast.Store)}
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            names.add(node.target.id)
        elif isinstance(node, ast.If | ast.Try | ast.With):
            inner = [*node.body, *getattr(node, "orelse", []), *getattr(node, "finalbody", [])]
            inner += [line for handler in getattr(node, "handlers", []) for line in handler.body]
            names |= definitions(inner, imported=imported)
        elif imported and isinstance(node, ast.ImportFrom) and node.module != "__future__":
            names |= {alias.asname or alias.name for alias in node.names}
    return {name for name in names if not name.startswith("_")}


def strings(tree: ast.Module) -> set[str]:
    """Return every string written in a module, docstrings and other bare strings left out."""
    bare = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in bare
    }


@cache
def script(name: str) -> ModuleType:
    """Return a module of the ``scripts`` folder, which is not a package."""
    spec = importlib.util.spec_from_file_location(f"scripts_{name}", ROOT / "scripts" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
