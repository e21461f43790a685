"""The results laid out: as plain text for a terminal, and as the block of docs/bench.md."""

from __future__ import annotations

from collections.abc import Iterable

from tables import Cells, Told, tables
from words import findings, preamble

__all__ = ["markdown", "text"]

PAGE_WIDTH = 118


def _wrapped(text: str, width: int) -> list[str]:
    lines, line = [], ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line]


def _line(cells: Cells, widths: Iterable[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def text(result: Told, width: int = 110) -> str:
    """Return everything as plain text of at most so many columns."""
    out = ["temperbench benchmark", *(line for told in preamble(result) for line in _wrapped(told, width))]
    for title, head, rows in tables(result):
        out += ["", title]
        columns = list(zip(head, *rows, strict=True))
        widths = [max(len(c) for c in column) for column in columns]
        out += [_line(cells, widths) for cells in (head, *rows)]
    out.append("")
    for said in findings(result):
        out += _wrapped("- " + said, width)
    return "\n".join(out)


def markdown(result: Told) -> str:
    """Return everything as the block of docs/bench.md."""
    out = [line for told in preamble(result) for line in [*_wrapped(told, PAGE_WIDTH), ""]]
    for title, head, rows in tables(result):
        out += [f"### {title}", "", f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
        out += [f"| {' | '.join(row)} |" for row in rows]
        out.append("")
    out += ["### In words", ""]
    out += [line for said in findings(result) for line in _wrapped("- " + said, PAGE_WIDTH)]
    return "\n".join(out)
