"""Compute every table of docs/validation.md; with ``--write`` write them into the page.

``--quick`` takes few bowls, for a look and for the tests. ``--only NAME`` computes one block, by the name of its marks.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from validation_tables import amounts, audit, differences, observations, practice, published, risks, truths
from validation_tables.page import block_names, check_table, digest, filled, fitted_rows, percent, table
from validation_tables.rivals import RIVALS

__all__ = ["BLOCKS", "FULL", "PAGE", "QUICK", "Sizes", "computed", "main"]

PAGE = Path(__file__).resolve().parents[1] / "docs" / "validation.md"


@dataclass(frozen=True)
class Sizes:
    """How many bowls each table runs."""

    risks: tuple[int, ...]  # the first for every kind and thermometer, the others for the default job too
    truths: int
    kinds: int
    amounts: int
    audit: int


FULL = Sizes(risks=(20_000, 100_000), truths=2000, kinds=1000, amounts=1000, audit=1000)
QUICK = Sizes(risks=(64,), truths=24, kinds=24, amounts=24, audit=24)


def _say(text: str) -> None:
    print(f"  {text}", flush=True)


def frozen(_: Sizes) -> dict[str, str]:
    """Return the digests, the date and the rows that were fitted."""
    lines = [
        ("Figures and spreads of the models", f"`{digest()}`"),
        ("Settings of the planner", f"`{digest(planner=True)}`"),
        ("Computed on", date.today().isoformat()),
    ]
    rows = [(f"`{r.id}`", f"{r.value:g}" if isinstance(r.value, float) else str(r.value),
             f"{r.low:g} to {r.high:g}" if r.low is not None and r.high is not None else "not drawn", r.unit,
             r.note or f"source: {r.source}") for r in fitted_rows()]  # fmt: skip
    return {"frozen": table(("What", "Digest or date"), lines),
            "fitted": table(("Row", "Value", "Spread", "Unit", "Fitted to"), rows)}  # fmt: skip


def checks(_: Sizes) -> dict[str, str]:
    """Return published values, closed checks, observations, smears and practice."""
    crystal, plans = observations.crystal_checks(), practice.plan_checks()
    return {
        "published": published.published_table(), "closed": observations.closed_checks(),
        "observations": check_table(crystal), "smears": observations.smear_table(), "practice": check_table(plans),
        "differences": differences.difference_table(),
    }  # fmt: skip


def glass(sizes: Sizes) -> dict[str, str]:
    """Return what heavy glass does."""
    return {"glass": practice.glass_table(sizes.amounts)}


def by_amount(sizes: Sizes) -> dict[str, str]:
    """Return plans and practised sequences for 0.5 to 1.5 kg."""
    return amounts.amount_tables(sizes.amounts)


def routine(sizes: Sizes) -> dict[str, str]:
    """Return the audit of the published routine."""
    return audit.audit_tables(sizes.audit)


def achieved(sizes: Sizes) -> dict[str, str]:
    """Return the achieved risks."""
    return {"risks": risks.risk_table(sizes.risks, _say)}


def contest(sizes: Sizes) -> dict[str, str]:
    """Return truths outside the prior and the rivals on them."""
    found = truths.results(sizes.truths, say=_say)
    wins = {name: sum(f[name].failed <= min(x.failed for x in f.values()) for f in found.values()) for name in RIVALS}
    worst = {name: max(f[name].failed for f in found.values()) for name in RIVALS}
    lines = [(n, text, f"{wins[n]} of {len(found)}", percent(worst[n])) for n, text in RIVALS.items()]
    scores = table(("Name", "How it goes", "Fails least on", "Fails at worst"), lines)
    pair = ("planner", "patient")
    others = {kind: truths.results(sizes.kinds, pair, kind, say=_say) for kind in ("milk", "white")}
    size = f"{sizes.truths} bowls for each truth, the same for every rival."
    return {"truths": f"{size}\n\n{truths.truth_table(found)}", "rivals": f"{scores}\n\n{truths.rival_table(found)}",
            "kinds": truths.kind_table(others)}  # fmt: skip


# What computes which blocks, in the order of the work.
BLOCKS: dict[Callable[[Sizes], dict[str, str]], tuple[str, ...]] = {
    frozen: ("frozen", "fitted"),
    checks: ("published", "closed", "observations", "smears", "practice", "differences"),
    glass: ("glass",),
    by_amount: ("plans", "practised"),
    routine: ("audit", "implied"),
    contest: ("truths", "rivals", "kinds"),
    achieved: ("risks",),
}


def computed(sizes: Sizes, only: str | None = None) -> dict[str, str]:
    """Return the blocks asked for, telling how the work goes."""
    found: dict[str, str] = {}
    jobs = [(make, names) for make, names in BLOCKS.items() if only is None or only in names]
    for number, (make, names) in enumerate(jobs, 1):
        began = time.perf_counter()
        print(f"[{number}/{len(jobs)}] {', '.join(names)}", flush=True)
        made = make(sizes)
        found |= {name: text for name, text in made.items() if only in (None, name)}
        _say(f"{time.perf_counter() - began:.0f} s")
    return found


def main(words: list[str]) -> int:
    """Compute, show or write."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--write", action="store_true", help="write the blocks into docs/validation.md")
    reader.add_argument("--quick", action="store_true", help="few bowls; never written")
    reader.add_argument("--only", choices=sorted(name for names in BLOCKS.values() for name in names))
    asked = reader.parse_args(words)
    if asked.write and asked.quick:
        reader.error("--quick is too coarse to be written")
    blocks = computed(QUICK if asked.quick else FULL, asked.only)
    if asked.write:
        PAGE.write_text(filled(PAGE.read_text(encoding="utf-8"), blocks), encoding="utf-8")
        left = set(block_names(PAGE.read_text(encoding="utf-8"))) - set(blocks)
        print(f"Wrote {', '.join(blocks)} into {PAGE.name}" + (f"; left as they were: {len(left)}" if left else ""))
    else:
        print("\n\n".join(f"## {name}\n\n{text}" for name, text in blocks.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
