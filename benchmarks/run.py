"""Measures our engine beside its peers: prints one table, writes out/bench.json and out/bench.png.

    python benchmarks/run.py                everything, 12 minutes at most on a quiet machine
    python benchmarks/run.py --quick        a smoke run of less than a minute; its figures mean nothing
    python benchmarks/run.py one plan       these parts again, the others as they were measured before
    python benchmarks/run.py --write-docs   also put the results into docs/bench.md

docs/bench.md tells how it is measured. The peers are in requirements-bench.lock; `make bench` installs them.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from measure import HERE, machine, versions, with_load

__all__ = ["PARTS", "main"]

OUT = HERE.parent / "out"
PAGE = HERE.parent / "docs" / "bench.md"
BEGIN, END = "<!-- results: begin -->", "<!-- results: end -->"
Told = dict[str, Any]


def _one(quick: bool, _result: Told) -> Told:
    from equations import rates
    from one import one
    from peers_jax import check_equations
    from task import ensemble, the_task

    worst = check_equations(rates, ensemble(40), the_task(), 20 if quick else 500)
    return {"equations": worst, **one(quick)}


def _many(quick: bool, _result: Told) -> Told:
    from many import many

    return many(quick)


def _robust(quick: bool, result: Told) -> Told:
    from robust import robust

    return robust(quick, {name: solver["tol_K"] for name, solver in result["many"]["solvers"].items()})


def _arithmetic(quick: bool, result: Told) -> Told:
    from flops import flops
    from one import OURS
    from order import order, stiffness
    from tables import at_level
    from task import ENOUGH_K

    curve = (result["one"]["ends"] or result["one"]["grid"])[OURS]
    tol = (at_level(curve, ENOUGH_K) or curve[-1])["tol_K"]
    return {"flops": flops(tol), "order": order(), "stiffness": stiffness(20 if quick else 200)}


def _first(quick: bool, _result: Told) -> Told:
    from first import first

    return first(quick)


def _plan(quick: bool, _result: Told) -> Told:
    from plan_time import plan

    return plan(quick)


def _curves(quick: bool, _result: Told) -> Told:
    from curves import curves

    return curves(quick)


def _methods(quick: bool, _result: Told) -> Told:
    from method_time import methods

    return methods(quick)


def _live(quick: bool, _result: Told) -> Told:
    from live_filter import live_filter

    return live_filter(quick)


def _turn(quick: bool, _result: Told) -> Told:
    from live_turn import live_turn

    return live_turn(quick)


def _load(quick: bool, _result: Told) -> Told:
    from live_load import live_load

    return live_load(quick)


PARTS: dict[str, Callable[[bool, Told], Told]] = {
    "one": _one, "many": _many, "robust": _robust, "arithmetic": _arithmetic, "first": _first, "plan": _plan,
    "methods": _methods, "curves": _curves, "live": _live, "turn": _turn, "load": _load,
}  # fmt: skip
NEEDS = {"robust": "many", "arithmetic": "one"}


def measure(parts: list[str], quick: bool, kept: Path) -> Told:
    """Measure these parts and keep each as soon as it is there, beside the parts measured before."""
    before: Told = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    result = {**before, "machine": machine(), "versions": versions(), "mode": "quick" if quick else "full"}
    result.setdefault("parts", {})
    for part in parts:
        needed = NEEDS.get(part)
        if needed and needed not in result:
            raise SystemExit(f"Measure the part {needed!r} before {part!r}.")
        result[part], result["parts"][part] = with_load(lambda p=part: PARTS[p](quick, result))
        kept.write_text(json.dumps(result, indent=1), encoding="utf-8")
    return result


def write_docs(block: str, page: Path = PAGE) -> None:
    """Put the results between the two marks of the page."""
    whole = page.read_text(encoding="utf-8")
    before, rest = whole.split(BEGIN)
    after = rest.split(END)[1]
    page.write_text(f"{before}{BEGIN}\n\n{block}\n\n{END}{after}", encoding="utf-8")


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description="Error against time, ours and the peers'.")
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"what to measure: {', '.join(PARTS)}; all if none")
    parser.add_argument("--quick", action="store_true", help="prove that it runs, in less than a minute")
    parser.add_argument("--write-docs", action="store_true", help="put the results into docs/bench.md")
    asked = parser.parse_args()
    unknown = set(asked.parts) - set(PARTS)
    if unknown:
        parser.error(f"no such part: {', '.join(sorted(unknown))}; there are {', '.join(PARTS)}")
    if asked.quick and asked.write_docs:
        parser.error("the figures of a quick run mean nothing: no docs from --quick")
    OUT.mkdir(exist_ok=True)
    name = "bench-quick" if asked.quick else "bench"
    result = measure(asked.parts or list(PARTS), asked.quick, OUT / f"{name}.json")
    import plot
    import report

    print(report.text(result))
    drawn = plot.draw(result, OUT / f"{name}.png")
    print(f"Written: out/{name}.json" + (f", out/{name}.png" if drawn else ""))
    if asked.write_docs:
        write_docs(report.markdown(result))
        print("Written: docs/bench.md")


if __name__ == "__main__":
    main()
