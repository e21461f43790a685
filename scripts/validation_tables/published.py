"""The check values kept as data in ``tests/published``: run, counted, and the worst of each page told."""

from __future__ import annotations

import importlib
import importlib.util
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from validation_tables.page import table

__all__ = ["Outcome", "outcomes", "published_table"]

FOLDER = Path(__file__).resolve().parents[2] / "tests" / "published"


@dataclass(frozen=True)
class Outcome:
    """One check: which page, how it was obtained, and how much of its tolerance it uses."""

    file: str
    id: str
    kind: str
    basis: str
    used: float  # deviation over tolerance; 1 is the limit
    relative: float  # deviation over the expected value


@cache
def outcomes() -> list[Outcome]:
    """Run every check with the runner of the tests."""
    spec = importlib.util.spec_from_file_location("published_runner", FOLDER / "test_published.py")
    assert spec is not None
    assert spec.loader is not None
    runner = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(runner)
    found = []
    for check in runner.read_checks(FOLDER):
        module, _, function = check["call"].partition(":")
        call = getattr(importlib.import_module(f"temperbench.{module}"), function)
        result = runner.picked(call(**check.get("args", {})), str(check.get("pick", "")))
        many = isinstance(check["expect"], list)
        wanted, got = (check["expect"], list(result)) if many else ([check["expect"]], [result])
        used = relative = 0.0
        for want, have in zip(wanted, got, strict=True):
            off = abs(float(have) - float(want))
            allowed = check["abs"] if "abs" in check else check["rel"] * abs(want)
            used = max(used, off / allowed if allowed else (0.0 if off == 0.0 else float("inf")))
            relative = max(relative, off / abs(want) if want else off)
        found.append(Outcome(check["file"], check["id"], check["kind"], check["basis"], used, relative))
    return found


def published_table() -> str:
    """Return a line for each page, kind and mark."""
    groups: dict[tuple[str, str, str], list[Outcome]] = defaultdict(list)
    for o in outcomes():
        groups[o.file.removesuffix(".toml").replace("_", " "), o.kind, o.basis].append(o)
    lines = []
    for (page, kind, basis), own in sorted(groups.items()):
        worst = max(own, key=lambda o: o.used)
        within = sum(o.used <= 1.0 for o in own)
        lines.append((
            page, kind, basis, len(own), within, f"{100.0 * worst.used:.0f} %", f"{100.0 * worst.relative:.3f} %",
            f"`{worst.id}`",
        ))  # fmt: skip
    total = outcomes()
    lines.append(("all", "", "", len(total), sum(o.used <= 1.0 for o in total), "", "", ""))
    head = ("Page", "Kind", "Mark", "Checks", "Within tolerance", "Worst, of its tolerance", "Worst, of its value",
            "Which")  # fmt: skip
    return table(head, lines)
