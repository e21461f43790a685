"""No sentence of a plan, an advice or keeping speaks of a reading to everyone: beside it stands what an eye is told."""

from __future__ import annotations

import ast
import re

from contract.tree import PACKAGE, parsed, relative

READS = re.compile(r"\b(?:read|reads|reading|readings|your (?:own )?thermometer)\b", re.IGNORECASE)
ELSEWHERE = ("curve", "trouble")  # rooms for a logged series and for what a cook has told
KIND = "reading"  # of a happening
FOR_READERS = (  # said only to someone who has just read, or who reads in the infrared; or of a label
    "the thermometer off, reading about ", "the reading is wrong: stir and read again",
    "This does not fit: the reading may be wrong, the thermometer off, the bowl fuller than entered, or ",
    "An infrared thermometer reads a skin that has cooled", "An infrared thermometer reads the skin",
    "read the microwave output on the oven's label",
)  # fmt: skip


def one_sided(tree: ast.Module) -> list[tuple[int, str]]:
    """Return line and text of what speaks of a reading, docstrings and the first of two wordings left out."""
    left_out: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            left_out.add(id(node.value))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "either":
            left_out |= {id(part) for part in ast.walk(node.args[0])}
    texts = [n for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)]
    return [
        (text.lineno, str(text.value)) for text in texts if id(text) not in left_out and READS.search(str(text.value))
    ]


def test_a_reading_always_has_its_look_beside_it() -> None:
    """In `insight/` what speaks of a reading is the first of two wordings (`Telling.either`), or meant for readers."""
    found, used = {}, set()
    for path in sorted((PACKAGE / "insight").rglob("*.py")):
        if path.parent.name in ELSEWHERE:
            continue
        for line, text in one_sided(parsed(path)):
            meant = [begin for begin in FOR_READERS if text.startswith(begin)]
            used |= set(meant)
            if text != KIND and not meant:
                found[f"{relative(path)}:{line}"] = text
    assert found == {}
    assert used == set(FOR_READERS)


def test_a_one_sided_sentence_would_be_found() -> None:
    """The rule sees plain and formatted sentences and the second of two wordings, and no docstring."""
    source = (
        '"""It reads."""\nA = f"then read {1}"\nB = say.either(f"it reads {1}", "no reading")\nC = "bread, ready"\n'
    )
    assert one_sided(ast.parse(source)) == [(2, "then read "), (3, "no reading")]
