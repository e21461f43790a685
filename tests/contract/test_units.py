"""The unit in a docstring is the unit of the annotation."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

from contract.tree import Function, functions, modules, parsed, relative
from temperbench.foundation import units

SYMBOLS = {name: get_args(getattr(units, name))[1].symbol for name in units.__all__ if name != "Unit"}
BRACKET = re.compile(r"\[([^\[\]]+)\]")


def aliases(annotation: ast.expr | None) -> list[str]:
    """Return the unit aliases named in an annotation, in order and once each."""
    if annotation is None:
        return []
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        return aliases(ast.parse(annotation.value, mode="eval").body)
    names = [n.id for n in ast.walk(annotation) if isinstance(n, ast.Name)]
    names += [n.attr for n in ast.walk(annotation) if isinstance(n, ast.Attribute)]
    return [name for name in dict.fromkeys(names) if name in SYMBOLS]


def sections(docstring: str) -> dict[str, list[str]]:
    """Split a numpy-style docstring at its underlined headings."""
    lines = docstring.splitlines()
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for line, after in zip(lines, [*lines[1:], ""], strict=True):
        if after.strip() and set(after.strip()) == {"-"}:
            heading = line.strip()
            found[heading] = []
        elif not (line.strip() and set(line.strip()) == {"-"}):
            found[heading].append(line)
    return found


def described(lines: list[str]) -> dict[str, str]:
    """Return the text of every name in a Parameters section."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in lines:
        if line.strip() and not line.startswith(" "):
            names = [name.strip().lstrip("*") for name in line.split(" : ")[0].split(",")]
            found |= dict.fromkeys(names, "")
        else:
            found |= {name: f"{found[name]} {line.strip()}".strip() for name in names}
    return found


def unit_faults(function: Function) -> list[str]:
    """Say where the docstring of a function and its annotated units differ."""
    args = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    wanted = {arg.arg: aliases(arg.annotation) for arg in args if aliases(arg.annotation)}
    returned = aliases(function.returns)
    if not wanted and not returned:
        return []
    parts = sections(ast.get_docstring(function) or "")
    texts = described(parts.get("Parameters", []))
    faults = []
    for name, found in wanted.items():
        written = BRACKET.findall(texts.get(name, ""))
        if not written or [written[-1]] != [SYMBOLS[alias] for alias in found]:
            faults.append(f"{name} is {found} but its text says {written or 'no unit'}")
    plain = {arg.arg for arg in args} <= {"self"}  # a property or a method without arguments: one sentence will do
    told = BRACKET.findall(" ".join(parts.get("Returns", parts[""] if plain else [])))
    faults += [f"returns {alias} but says {told}" for alias in returned if SYMBOLS[alias] not in told]
    return faults


def public(name: str) -> bool:
    """Tell whether no part of a dotted name starts with an underscore."""
    return not any(part.startswith("_") for part in name.split("."))


@pytest.mark.parametrize("path", modules("src"), ids=relative)
def test_units_stand_in_docstrings(path: Path) -> None:
    """Every public function tells the unit of each annotated argument and result, as its alias has it."""
    faults = [
        f"{name}: {fault}"
        for name, function in functions(parsed(path))
        if public(name)
        for fault in unit_faults(function)
    ]
    assert faults == []


def test_aliases_are_unique() -> None:
    """A unit has one alias."""
    assert sorted(set(SYMBOLS.values())) == sorted(SYMBOLS.values())


EXAMPLE = '''
def dew(air: Celsius, share: Fraction | None = None) -> tuple[Celsius, Second]:
    """Tell when a surface sweats.

    Parameters
    ----------
    air
        Air temperature,
        away from the wall. [°C]
    share
        Vapour pressure over saturation pressure. [1]

    Returns
    -------
        Dew point [°C] and the time until it shows. [s]
    """
'''


@pytest.mark.parametrize(
    ("change", "faults"),
    [
        (("", ""), []),
        (("wall. [°C]", "wall. [K]"), ["air is ['Celsius'] but its text says ['K']"]),
        ((" [1]", ""), ["share is ['Fraction'] but its text says no unit"]),
        (("shows. [s]", "shows."), ["returns Second but says ['°C']"]),
    ],
)
def test_a_wrong_unit_is_found(change: tuple[str, str], faults: list[str]) -> None:
    """The reader of docstrings passes the house's example and names each spoilt unit."""
    function = ast.parse(EXAMPLE.replace(*change) if change[0] else EXAMPLE).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert faults == unit_faults(function)
