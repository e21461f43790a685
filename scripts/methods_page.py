"""Write what docs/methods.md takes from the engine: each method's path as a picture, its numbers, the comparison.

``--quick`` takes few bowls and writes nothing, for the tests. A run takes a minute at most.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
from collections.abc import Callable
from pathlib import Path

from temperbench.app.compare_methods import compare_methods
from temperbench.app.job_fields import RawJob
from temperbench.app.plan_bowl import plan_bowl
from temperbench.app.plan_method import plan_method
from temperbench.app.results import Band, BurstPlan, Comparison, MethodPlan, MethodRow
from temperbench.faces.drawing import (
    caption,
    chart_svg,
    fitting_height,
    method_caption,
    method_chart_svg,
    method_height,
)
from temperbench.faces.drawing.words import minutes_between
from temperbench.faces.told.method_words import time_told
from temperbench.foundation.evidence import rows
from validation_tables.page import filled, percent, table

__all__ = [
    "AMOUNTS", "MEMBERS", "METHODS", "PAGE", "PICTURES", "WIDTH", "compared", "digest", "main", "method_blocks",
    "numbers", "picture", "planned",
]  # fmt: skip

PAGE = Path(__file__).resolve().parents[1] / "docs" / "methods.md"
PICTURES = PAGE.parent / "methods"
WIDTH = 760.0
MEMBERS = 512
# Block and picture of the page: what is planned beside 1 kg of dark chocolate, and its name in tables.
METHODS: dict[str, tuple[str, dict[str, object]]] = {
    "microwave": ("microwave", {"oven_w": "1000"}),
    "bath": ("warm bath", {"method": "bath"}),
    "cabinet": ("cabinet overnight", {"method": "cabinet"}),
    "kettle": ("holding kettle", {"method": "kettle"}),
    "seed-buttons": ("seed with buttons", {"method": "seed"}),
    "seed-block": ("seed with a block", {"method": "seed", "seed_with": "block"}),
    "seed-crystals": ("seed with butter crystals", {"method": "seed", "seed_with": "butter-crystals"}),
    "seed-creamy": ("seed with creamy butter", {"method": "seed", "seed_with": "ripened-butter"}),
    "tabling": ("tabling", {"method": "tabling"}),
    "cold-bowl": ("cold bowl", {"method": "cold-bowl"}),
}
AMOUNTS = (("300 g", "300", 1), ("1 kg", "1000", 1), ("5 kg", "5000", 2), ("20 kg", "20000", 4))  # and people
# Rows behind the plans; those of the live bowl, of keeping, of curves and of trouble do not touch this page.
_TABLES = {
    "around", "bowl", "chain", "cold", "compare", "composition", "crystals", "dip", "film", "flow", "kinetics",
    "material", "method", "oven", "plan", "seed", "slab", "surfaces", "tabling", "thermal", "thermometers", "usual",
    "vessels",
}  # fmt: skip
Plan = BurstPlan | MethodPlan
Say = Callable[[str], None]


def digest() -> str:
    """Return a digest of every figure and spread behind the plans."""
    kept = [r for key, r in sorted(rows().items()) if key.split(".")[0] in _TABLES]
    text = "\n".join(f"{r.id}|{r.value}|{r.low}|{r.high}|{r.unit}" for r in kept)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def planned(name: str, members: int) -> Plan:
    """Return the plan of 1 kg of dark chocolate by a method."""
    raw = RawJob({"chocolate": "dark", "grams": "1000", **METHODS[name][1]})
    return plan_bowl(raw, members=members) if name == "microwave" else plan_method(raw, members=members)


def picture(plan: Plan) -> str:
    """Return the drawing of a plan's path."""
    if isinstance(plan, BurstPlan):
        return chart_svg(plan, WIDTH, fitting_height(WIDTH, "light"), "light") + "\n"
    return method_chart_svg(plan, WIDTH, method_height(WIDTH, "light"), "light") + "\n"


def method_blocks(plans: dict[str, Plan]) -> dict[str, str]:
    """Return the picture and its sentence for every method."""
    found = {}
    for name, plan in plans.items():
        told = caption(plan) if isinstance(plan, BurstPlan) else method_caption(plan)
        found[name] = f"![{told}](methods/{name}.svg)\n\n*{told}*"
    return found


def numbers(name: str, plan: Plan) -> tuple[str, ...]:
    """Return the line of a method in the table of numbers."""
    if isinstance(plan, BurstPlan):
        down = plan.draw_down_min
        total = Band(*(plan.total_min + d for d in (down.low, down.mid, down.high)))
        hands, aims, seed = total, f"stop {plan.stop_c:.1f}", "none"
    else:
        total, hands = plan.total_min, plan.hands_on_min
        seed = "none" if plan.seed_g is None else f"{plan.seed_g} g"
        named = (("clear", plan.clear_c), ("draw down", plan.draw_down_c), ("lift", plan.lift_c))
        aims = ", ".join(f"{word} {at:.1f}" for word, at in named if at is not None) or f"limit {plan.limit_c:.1f}"
    crystals = plan.crystals_pct_of_fat
    return (
        METHODS[name][0], aims, time_told(total), minutes_between(hands.low, hands.mid, hands.high), seed,
        f"{crystals.mid:.1f} ({crystals.low:.1f} to {crystals.high:.1f})",
        percent(plan.risk_lost), percent(plan.risk_scorch),
    )  # fmt: skip


_HEAD = ("Method", "Aims, °C", "In all", "At the bowl", "Seed", "Crystals, % of fat", "Lost", "Scorched")


def _cell(row: MethodRow) -> str:
    if row.why_not is not None or row.total_min is None or row.hands_on_min is None or row.risk_lost is None:
        return _short(row.why_not or "")
    total = f"{row.total_min.mid:.0f}" if row.total_min.mid < 180.0 else f"{row.total_min.mid / 60.0:.1f} h"
    over = "" if row.keeps_risks else " (!)"
    seed = "" if row.seed_g is None else f", {row.seed_g} g"
    return f"{total} / {row.hands_on_min.mid:.0f}{seed}, {percent(row.risk_lost)}{over}"


def _short(why: str) -> str:
    return "too much" if "too much" in why else "too little" if "too little" in why else why


def compared(found: dict[str, Comparison]) -> str:
    """Return all methods for all amounts: one line a method, and what is advised."""
    cells = {amount: {row.name: row for row in each.rows} for amount, each in found.items()}
    names = [row.name for row in next(iter(found.values())).rows]
    lines = [[name, *(_cell(cells[amount][name]) for amount in found)] for name in sorted(names, key=_place)]
    lines.append(["**advised**", *(f"**{each.best}**" for each in found.values())])
    return table(("Method", *found), lines)


def _place(name: str) -> int:
    order = [told for told, _ in METHODS.values()]
    return order.index(name) if name in order else order.index("holding kettle")


def _compare(members: int | None, say: Say) -> dict[str, Comparison]:
    found = {}
    for amount, grams, people in AMOUNTS:
        say(f"all methods side by side, {amount}")
        hands = f"{amount}, {people} {'person' if people == 1 else 'people'}"
        found[hands] = compare_methods(RawJob({"chocolate": "dark", "grams": grams, "people": str(people)}), RawJob(),
                                       members=members)  # fmt: skip
    return found


def main(words: list[str]) -> int:
    """Write the page and its pictures."""
    parser = argparse.ArgumentParser(description="Write what docs/methods.md takes from the engine.")
    parser.add_argument("--quick", action="store_true", help="few bowls, and write nothing")
    quick = parser.parse_args(words).quick

    def say(text: str) -> None:
        print(f"  {text}", flush=True)

    members = 32 if quick else MEMBERS
    plans: dict[str, Plan] = {}
    for name in METHODS:
        say(f"1 kg dark, {METHODS[name][0]}")
        plans[name] = planned(name, members)
    blocks = method_blocks(plans)
    blocks["numbers"] = table(_HEAD, [numbers(name, plan) for name, plan in plans.items()])
    blocks["amounts"] = compared(_compare(32 if quick else None, say))
    blocks["data"] = f"Computed with the figures and spreads `{digest()}`, {members} bowls for each plan."
    text = filled(PAGE.read_text(encoding="utf-8"), blocks)
    if quick:
        return 0
    PICTURES.mkdir(exist_ok=True)
    for name, plan in plans.items():
        (PICTURES / f"{name}.svg").write_text(picture(plan), encoding="utf-8")
    PAGE.write_text(text, encoding="utf-8")
    print(f"Wrote {PAGE.name} and {len(plans)} pictures")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
