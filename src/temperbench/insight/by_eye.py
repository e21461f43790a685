"""What a plan and an advice say to someone without a thermometer: what would be read is seen or felt instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TypeVar

from temperbench.insight.live import Move
from temperbench.insight.methods.method_plan import Fault, MethodPlan, MethodStep, ReadsDo
from temperbench.insight.plan import Warning_

__all__ = ["advised_by_eye", "least_of_each_look", "planned_by_eye", "seen"]

_Row = TypeVar("_Row")
_AT = r"(\d+(?:\.\d+)? °C)"
_HOT = "thin and not cool at the lip"
_SLOW = "the last lumps were slow to go"
# What is said of a reading and what is said instead, the longer wording before the shorter one it holds.
_SAID = tuple(
    (re.compile(pattern), instead)
    for pattern, instead in (
        (r", whatever it reads and however", ", however"),
        (r", whatever it reads", ""),
        (rf"It reads {_AT} or less and no lump is left:", f"No lump is left, and {_SLOW}:"),
        (r"it reads the aim or a little less:", f"{_SLOW}:"),
        (rf"it still reads above {_AT}", f"it is still {_HOT}"),
        (rf"\b([Ii]t) reads above {_AT}", rf"\1 is {_HOT}, above \2"),
        (rf"Reads above {_AT} after stirring", rf"{_HOT.capitalize()} after stirring, above \1"),
        (r"when it reads above the turn", "when it runs freely again"),
        (r"unless it reads above;", "unless it runs freely again;"),
        (rf"block out when it reads {_AT}", r"block out when it keeps its skin, at about \1"),
        (rf"Add it when it reads {_AT}", r"Add it when it is no longer warm at the lip, at about \1"),
        (rf"stir off it, read, until it reads {_AT}", r"stir off it, look, until it flows with ease, at about \1"),
        (r"when it reads so\b", "when it is about as warm"),
        (rf"it reads {_AT}", r"it is at about \1"),
        (rf"The reading on the slab decides, not the clock: {_AT}",
         r"What is seen on the slab decides, not the clock: about \1"),
        (r"at the right reading", "when it is no longer warm at the lip"),
        (r"hotter than the reading", "hotter than the rest"),
        (rf"A reading (?:of|near) {_AT}", r"About \1"),
        (rf"A reading above {_AT}", rf"{_HOT.capitalize()}, above about \1"),
        (r"A lower reading", "A thicker bowl"),
        (r"Each reading:", "Each look:"),
        (r"by the (same )?readings", r"by what is seen"),
        (r"without a reading", "without a look"),
        (r"Read with your own thermometer, not the display", "Go by what you see, not by the display"),
        (r"read in the gathered heap", "look at the gathered heap"),
        (r"With this thermometer and what is known", "By eye, and with what is known"),
        (r"\bread\b(?! the)", "look"),
        (r"\bRead\b(?! the)", "Look"),
    )
)  # fmt: skip


def seen(text: str) -> str:
    """Return a sentence as it is said to someone who has no thermometer.

    Parameters
    ----------
    text : str
        A sentence of a plan or of an advice. [-]

    Returns
    -------
    str
        The same, with looks and feel for readings, and temperatures as what they are about. [-]
    """
    for pattern, instead in _SAID:
        text = pattern.sub(instead, text)
    return text


def least_of_each_look(
    rows: Sequence[_Row], look: Callable[[_Row], Hashable], size: Callable[[_Row], float]
) -> tuple[_Row, ...]:
    """Join rows that an eye cannot tell apart: where they stood first, the one that does least.

    Parameters
    ----------
    rows : Sequence[_Row]
        Rows of a policy judged by eye. [-]
    look : Callable[[_Row], Hashable]
        Point of the method and look of a row. [-]
    size : Callable[[_Row], float]
        How much a row does, such as its seconds. [-]

    Returns
    -------
    tuple[_Row, ...]
        One row for each look. [-]
    """
    found: dict[Hashable, _Row] = {}
    for row in rows:
        known = found.get(look(row))
        found[look(row)] = row if known is None else min(known, row, key=size)
    return tuple(found.values())


def planned_by_eye(plan: MethodPlan) -> MethodPlan:
    """Return a plan of a method in the words of someone without a thermometer, its table keyed by looks.

    Parameters
    ----------
    plan : MethodPlan
        As planned, its risks measured by eye. [-]

    Returns
    -------
    MethodPlan
        The same figures. [-]
    """
    rows = least_of_each_look(plan.reads_then, lambda r: (r.when, r.looks), lambda r: r.amount_g or r.seconds or 0)
    return replace(
        plan,
        steps=tuple(_step(step) for step in plan.steps),
        reads_then=tuple(_row(row) for row in rows),
        faults=tuple(Fault(seen(f.seen), seen(f.cause), seen(f.do)) for f in plan.faults),
        warnings=tuple(Warning_(w.code, seen(w.text)) for w in plan.warnings),
        washing_up=tuple(thing for thing in plan.washing_up if thing != "thermometer"),
        rules=_all(plan.rules), cautions=_all(plan.cautions), holds_for=_all(plan.holds_for),
        defaults_used=_all(plan.defaults_used),
    )  # fmt: skip


def advised_by_eye(move: Move) -> Move:
    """Return a next move in the words of someone without a thermometer."""
    return replace(move, headline=seen(move.headline), reason=seen(move.reason), changes_mind=seen(move.changes_mind))


def _all(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(seen(line) for line in lines)


def _step(step: MethodStep) -> MethodStep:
    return replace(step, do=seen(step.do), detail=seen(step.detail))


def _row(row: ReadsDo) -> ReadsDo:
    return replace(row, when=seen(row.when), do=seen(row.do), reads_from_c=None, reads_to_c=None)
