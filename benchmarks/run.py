"""Measures our engine beside its peers: prints one table, writes out/bench.json and out/bench.png.

    python benchmarks/run.py              everything, 12 minutes at most on a quiet machine
    python benchmarks/run.py --quick      a smoke run of less than a minute; its figures mean nothing
    python benchmarks/run.py --write-docs everything, and the results put into docs/bench.md
    python benchmarks/run.py plan         only how long a whole plan takes

docs/bench.md tells how it is measured. The peers are in requirements-bench.lock; `make bench` installs them.
"""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from typing import Any

from measure import HERE, machine, others, versions

__all__ = ["main"]

OUT = HERE.parent / "out"
PAGE = HERE.parent / "docs" / "bench.md"
BEGIN, END = "<!-- results: begin -->", "<!-- results: end -->"


def measure(quick: bool) -> dict[str, Any]:
    """Return every result."""
    from equations import rates
    from first import first
    from flops import flops
    from many import many
    from one import OURS, one
    from order import order, stiffness
    from peers_jax import check_equations
    from plan_time import plan
    from report import at_level
    from robust import robust
    from task import ENOUGH_K, ensemble, the_task

    start = time.perf_counter()
    told: dict[str, float] = {}
    result: dict[str, Any] = {"machine": machine(), "versions": versions(), "mode": "quick" if quick else "full"}
    result["equations"] = check_equations(rates, ensemble(40), the_task(), 20 if quick else 500)
    with others(told, "one bowl"):
        result["one"] = one(quick)
    with others(told, "ensembles"):
        result["many"] = many(quick)
    with others(told, "robustness"):
        result["robust"] = robust(quick, {n: s["tol_K"] for n, s in result["many"]["solvers"].items()})
    with others(told, "arithmetic"):
        curve = result["one"]["ends" if result["one"]["ends"] else "grid"][OURS]
        point = at_level(curve, ENOUGH_K) or curve[-1]
        result["flops"] = flops(point["tol_K"])
        result["order"], result["stiffness"] = order(), stiffness(20 if quick else 200)
    with others(told, "new processes"):
        result["first"] = first(quick)
    with others(told, "plan"):
        result["plan"] = plan(quick)
    result["others"], result["took_s"] = told, time.perf_counter() - start
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
    parser.add_argument("part", nargs="?", choices=["all", "plan"], default="all", help="what to measure")
    parser.add_argument("--quick", action="store_true", help="prove that it runs, in less than a minute")
    parser.add_argument("--write-docs", action="store_true", help="put the results into docs/bench.md")
    asked = parser.parse_args()
    if asked.part == "plan":
        from plan_time import plan

        print(json.dumps(plan(asked.quick), indent=1))
        return
    result = measure(asked.quick)
    import plot
    import report

    OUT.mkdir(exist_ok=True)
    (OUT / "bench.json").write_text(json.dumps(result, indent=1), encoding="utf-8")
    plot.draw(result, OUT / "bench.png")
    print(report.text(result))
    print("Written: out/bench.json, out/bench.png")
    if asked.write_docs and not asked.quick:
        write_docs(report.markdown(result))


if __name__ == "__main__":
    main()
