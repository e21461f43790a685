"""How the page is put together: checks with their marks, tables, marked blocks, the digest of the data tables."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from scipy.special import betaincinv

from temperbench.foundation.evidence import Value, rows

__all__ = ["Check", "block_names", "check_table", "digest", "filled", "fitted_rows", "interval", "percent", "table"]

# Tables behind a bowl's plan; the rows of other rooms do not touch this page.
MODELS = ("bowl", "composition", "crystals", "film", "flow", "kinetics", "oven", "surfaces", "thermal", "thermometers",
          "vessels")  # fmt: skip
PLANNER = ("carry", "plan", "rescue")


@dataclass(frozen=True)
class Check:
    """One published or practised figure beside the model's own."""

    name: str
    expected: str
    low: float  # what counts as agreement, in the unit of the result
    high: float
    got: tuple[float, ...]
    shown: str  # the result in words and figures
    mark: str  # an evidence mark
    source: str
    fitted: str = ""  # rows that were fitted to this observation: then it is no validation

    @property
    def agrees(self) -> bool:
        """Whether every figure lies within what was expected."""
        return all(self.low <= g <= self.high for g in self.got)

    @property
    def verdict(self) -> str:
        """Say for the table whether all, some or no figures agree, and whether they were fitted to it."""
        within = sum(self.low <= g <= self.high for g in self.got)
        word = "agrees" if self.agrees else "**partly**" if within else "**differs**"
        return f"{word}, fitted to it" if self.fitted else word


def table(head: Sequence[str], lines: Iterable[Sequence[object]]) -> str:
    """Return a table in Markdown; figures are set to the right."""
    body = [[str(cell) for cell in line] for line in lines]
    right = [all(_is_figure(line[i]) for line in body) for i in range(len(head))]
    rule = ["---:" if r else "---" for r in right]
    return "\n".join("| " + " | ".join(line) + " |" for line in [list(head), rule, *body])


def _is_figure(text: str) -> bool:
    return bool(text) and text.strip("*")[:1] in "0123456789-−<–"


def check_table(checks: Sequence[Check]) -> str:
    """Return expected beside got for every check."""
    head = ("Check", "Expected", "Model", "Mark", "Source", "Verdict")
    return table(head, [(c.name, c.expected, c.shown, c.mark, c.source, c.verdict) for c in checks])


def percent(share: float, digits: int = 1) -> str:
    """Return a share in per cent."""
    return f"{100.0 * share:.{digits}f} %"


def interval(hits: int, of: int) -> tuple[float, float]:
    """Return the exact binomial 95 % interval of a share (Clopper and Pearson)."""
    low = float(betaincinv(hits, of - hits + 1, 0.025)) if hits else 0.0
    high = float(betaincinv(hits + 1, of - hits, 0.975)) if hits < of else 1.0
    return low, high


def digest(planner: bool = False) -> str:
    """Return a digest of every figure and spread of the models' rows, or of the planner's settings."""
    tables = PLANNER if planner else MODELS
    kept = [r for key, r in sorted(rows().items()) if key.split(".")[0] in tables]
    text = "\n".join(f"{r.id}|{r.value}|{r.low}|{r.high}|{r.unit}" for r in kept)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def fitted_rows() -> list[Value]:
    """Return the rows whose figure was fitted, in the order of their ids."""
    return [r for _, r in sorted(rows().items()) if r.basis == "fitted"]


def _marks(name: str) -> tuple[str, str]:
    return f"<!-- {name}: begin -->\n", f"<!-- {name}: end -->"


def block_names(text: str) -> list[str]:
    """Return the names of the marked blocks of a page, in order."""
    return [line[5 : -len(": begin -->")] for line in text.splitlines() if line.endswith(": begin -->")]


def filled(text: str, blocks: Mapping[str, str]) -> str:
    """Return the page with these blocks written anew; a block without its marks is an error."""
    for name, body in blocks.items():
        begin, end = _marks(name)
        if text.count(begin) != 1 or text.count(end) != 1:
            raise ValueError(f"the page needs the marks of {name} exactly once")
        before, rest = text.split(begin)
        text = f"{before}{begin}{body}\n{end}{rest.split(end)[1]}"
    return text
