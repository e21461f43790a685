"""Plans of methods whose paths are hard to draw: a night, rounds on a slab, many short phases, and a plain one.

The paths are straight between waypoints and prove nothing about chocolate.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby, pairwise

from sample_method import sample_method, sample_method_awkward
from temperbench.app.results import Band, Leg, MethodPlan, MethodStep, PathPhase

__all__ = ["PATHS"]

_NONE = Band(0.0, 0.0, 0.0)
# phase, seconds, reading at its end, grams in or out at its start
_Way = Sequence[tuple[str, float, float, int | None]]
_CRYSTALS: _Way = (
    ("clear", 920, 45.0, None), ("clear", 600, 45.0, None), ("draw down", 210, 35.0, None), ("seed", 120, 33.1, 10),
    ("draw down", 240, 32.0, None),
)  # fmt: skip
_NIGHT: _Way = (("melt", 37900, 30.9, None), ("melt", 60, 30.9, None), ("lift", 560, 34.0, None),
                ("draw down", 360, 32.0, None))  # fmt: skip
_ROUNDS: _Way = (
    ("clear", 1530, 45.0, None), ("table", 600, 33.0, 2900), ("table", 560, 30.0, 2600), ("table", 580, 27.6, 2500),
    ("lift", 90, 31.5, None),
)  # fmt: skip
_PORTIONS: _Way = (
    ("clear", 1320, 45.0, None), ("seed", 45, 40.7, 80), ("seed", 60, 37.0, 80), ("seed", 110, 33.7, 85),
    ("draw down", 300, 32.0, None),
)  # fmt: skip


def _plan(way: _Way, title: str) -> MethodPlan:
    spots, clock = [(0.0, 20.0)], 0.0
    for _, seconds, reading, _ in way:
        clock += seconds
        spots.append((clock, reading))
    spots += [(clock + 900.0, 31.2), (clock + 2700.0, 29.0)]
    path = [
        (t1 + (t2 - t1) * i / 8, c1 + (c2 - c1) * i / 8) for (t1, c1), (t2, c2) in pairwise(spots) for i in range(8)
    ]
    times, mid = zip(*path, spots[-1], strict=True)
    leg = Leg(times, tuple(c - 1.1 for c in mid), mid, tuple(c + 0.8 for c in mid))
    phases, start = [], 0.0
    for name, rows in groupby(way, key=lambda row: row[0]):
        end = start + sum(row[1] for row in rows)
        phases.append(PathPhase(name, start, end))
        start = end
    phases.append(PathPhase("keep", start, start + 2700.0))
    steps = tuple(
        MethodStep(name, f"Do the part called {name}", "Stir first, then read.", grams, Band(s, s, s), "falls to",
                   reading, Band(reading - 0.5, reading, reading + 0.5), _NONE, hands_on=name != "melt")
        for name, s, reading, grams in way
    )  # fmt: skip
    return replace(sample_method(), title=title, path=leg, phases=tuple(phases), steps=steps)


def _portions() -> MethodPlan:
    return _plan(_PORTIONS, "1000 g dark chocolate, full melt and seed, steel bowl")


def _crystals() -> MethodPlan:
    return replace(_plan(_CRYSTALS, "1000 g dark chocolate, full melt and seed, steel bowl"), draw_down_c=35.0)


def _night() -> MethodPlan:
    plan = _plan(_NIGHT, "1000 g dark chocolate, a part-melt in a warm cabinet, steel bowl")
    return replace(plan, clear_c=None, lift_c=34.0)


def _rounds() -> MethodPlan:
    return replace(_plan(_ROUNDS, "5000 g dark chocolate, tabling, steel bowl"), draw_down_c=27.5, lift_c=31.5)


PATHS: dict[str, Callable[[], MethodPlan]] = {
    "portions": _portions, "crystals": _crystals, "night": _night, "rounds": _rounds, "plain": sample_method,
    "awkward": sample_method_awkward,
}  # fmt: skip
