"""The live bowl as named pieces of a page: the first page holds them, the WebSocket sends those that follow."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

from temperbench.app.results import Doubt, Happening, LiveView, Move
from temperbench.faces.drawing import live_caption, live_chart_svg, live_height
from temperbench.faces.drawing.words import forecast
from temperbench.faces.web.door import Thing
from temperbench.faces.web.looks import Look, told
from temperbench.faces.web.telling import happened
from temperbench.foundation.units import Pixel

__all__ = ["Act", "Extra", "act_for", "can_ask", "extras", "headline_parts", "last_taps", "pieces", "thermometers"]

_BURST_MOST_S, _STIR_MOST_S, _GRAMS_MOST, _CABINET_MOST_MIN = 300, 3600, 20000, 600
_ENDED = "full melt"
_READERS = {"probe": "Probe", "infrared": "Infrared"}
_PROBE = "probe "  # begins the device of a reading that a probe sent


@dataclass(frozen=True)
class Extra:
    """A key for what happened beside the advised move, with the figure it begins at."""

    kind: str
    label: str
    field: str
    value: int
    unit: str
    step: int
    made: str = ""  # material of what is stirred in, where it is not buttons


_BURST = Extra("burst", "Burst", "seconds", 10, "s", 1)
_BATH = Extra("bath", "Over warm water", "seconds", 30, "s", 5)
_HEATED = {
    "microwave": (_BURST,), "bath": (_BATH,),
    "cabinet": (Extra("cabinet", "In the cabinet", "seconds", 30, "min", 5), _BATH),
    "kettle": (Extra("kettle", "Held in the kettle", "seconds", 10, "min", 1),),
    "seed": (_BATH, _BURST),
    "tabling": (Extra("tabled", "Scraped back from the slab", "grams", 500, "g", 10), _BATH, _BURST),
    "cold-bowl": (_BATH, _BURST),
}  # fmt: skip
_ASKED_FIRST = ("microwave", "bath", "cabinet")  # whose heating can be asked about before it is done


def extras(method: str) -> tuple[Extra, ...]:
    """Return what else can happen to a bowl of a method."""
    return (
        Extra("stir", "Stirred", "seconds", 30, "s", 5),
        Extra("stand", "Stood", "seconds", 30, "s", 5),
        *_HEATED.get(method, ()),
        Extra("added", "Stirred in buttons", "grams", 50, "g", 5),
        Extra("added", "Stirred in melted chocolate", "grams", 100, "g", 5, "melted"),
        Extra("taken", "Taken", "grams", 250, "g", 50),
    )


def can_ask(method: str) -> bool:
    """Whether "what would so many seconds more do" has an answer for a method."""
    return method in _ASKED_FIRST


def thermometers(own: str, kit: Sequence[Thing]) -> list[tuple[str, str, str]]:
    """Return between which thermometers a reading has to choose: nothing when the kitchen has one kind only.

    Parameters
    ----------
    own : str
        Kind of the job's own; the usual one when empty. [-]
    kit : Sequence[Thing]
        What the kitchen has. [-]

    Returns
    -------
    list[tuple[str, str, str]]
        Kind, title and the names in this kitchen, the job's own kind first. [-]
    """
    names: dict[str, list[str]] = {own if own in _READERS else next(iter(_READERS)): []} if own != "none" else {}
    for thing in kit:
        kind = str(thing.facts.get("thermometer") or "probe") if thing.kind == "thermometer" else ""
        if kind in _READERS:
            names.setdefault(kind, []).append(thing.name)
    return [(kind, _READERS[kind], ", ".join(found)) for kind, found in names.items()] if len(names) > 1 else []


@dataclass(frozen=True)
class Act:
    """The key that says a move was done: what it sends, and the figure that can be put right before."""

    kind: str  # of the happening it sends; "open test" opens the setting test, "" sends nothing
    label: str
    amount: int = 0
    unit: str = ""  # "s", "min" or "g"; "" when there is no figure
    step: int = 1
    most: int = 0
    material: str = ""  # of what is stirred in, where it is not buttons
    with_it: tuple[tuple[str, str | float], ...] = ()  # what else is sent along: bath, seed, full melt

    @property
    def along(self) -> dict[str, str | float]:
        """What is sent along, by the names of a happening."""
        return {**dict(self.with_it), **({"material": self.material} if self.material else {})}


def act_for(move: Move) -> Act:
    """Return the key that answers a move.

    Parameters
    ----------
    move : Move
        The next move. [-]

    Returns
    -------
    Act
        What the key says and sends. [-]
    """
    seconds = move.seconds or 0
    grams = move.portions_g[0] if move.portions_g else move.grams or 0  # the headline asks for one portion at a time
    acts = {
        "burst": Act("burst", "Burst done", seconds, "s", 1, _BURST_MOST_S),
        "warm": Act("bath" if move.celsius is not None else "burst", "Warmed", seconds, "s", 1, _BURST_MOST_S),
        "stir": Act("stir", "Stirred", seconds or 30, "s", 5, _STIR_MOST_S),
        "wait": Act("stand", "Waited", seconds or 60, "s", 10, _STIR_MOST_S),
        "draw down": Act("stir", "Stirred", seconds or 60, "s", 10, _STIR_MOST_S),
        "test": Act("open test", "Start the test"),
        "ready": Act("taken", "Taken", grams or 250, "g", 50, _GRAMS_MOST),
        "rescue": Act("added", "Stirred in", grams, "g", 5, _GRAMS_MOST),
        "thin": Act("added", "Stirred in", grams, "g", 5, _GRAMS_MOST, "melted"),
        _ENDED: Act("finished", "End this bowl"),
    }
    found = acts.get(move.kind) or _of_method(move, seconds, grams)
    along = {"celsius": move.celsius, "seed": move.seed, "level": move.level}
    if found.kind == "melted":
        along["grams"] = move.grams
    given = tuple((name, value) for name, value in along.items() if value is not None)
    return replace(found, with_it=given if found.kind not in ("", "open test") else ())


def _of_method(move: Move, seconds: int, grams: int) -> Act:
    """Return the key of a move that only other methods than the microwave's have."""
    acts = {
        "melt": Act("melted", "Melted, and held"),
        "seed": Act("added", "Stirred in", grams, "g", 5, _GRAMS_MOST),
        "block out": Act("block out", "Block taken out"),
        "bath": Act("bath", "Off the bath", seconds, "s", 5, _STIR_MOST_S),
        "lift": Act("bath", "Off the bath", seconds, "s", 5, _STIR_MOST_S),
        "chill": Act("bath", "Out of the water", seconds, "s", 5, _STIR_MOST_S),
        "cabinet": Act("cabinet", "Out of the cabinet", round(seconds / 60), "min", 5, _CABINET_MOST_MIN),
        "kettle": Act("kettle", "Held", round(seconds / 60), "min", 1, _CABINET_MOST_MIN),
        "table": Act("tabled", "Scraped back", grams, "g", 10, _GRAMS_MOST),
    }
    return acts.get(move.kind, Act("", ""))


def headline_parts(headline: str) -> tuple[str, str, str]:
    """Split a move's headline into verb, figure and what follows, so that verb and figure fit a line of a phone each.

    Parameters
    ----------
    headline : str
        Such as "Burst 12 s", "Test now" or "Stir 3 min, test again". [-]

    Returns
    -------
    tuple[str, str, str]
        "Stir", "3 min" and "test again"; what there is not is empty. [-]
    """
    found = re.fullmatch(r"(\D+?) (\d[\d.,]*(?: ?[a-zA-Z%]+)?)[,;:]? ?(.*)", headline)
    if found:
        return found[1], found[2], found[3]
    words = headline.split(" ")
    splits = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words) + 1)]
    verb, rest = min(splits, key=lambda pair: max(map(len, pair)))
    return verb, rest, ""


def pieces(view: LiveView, look: Look, width: Pixel | None = None) -> dict[str, object]:
    """Return all that a page of a running bowl shows, in a device's units, ready to be sent as JSON.

    Parameters
    ----------
    view : LiveView
        The bowl. [-]
    look : Look
        The device's theme and units. [-]
    width : Pixel | None
        Width of the device's chart; None while it is not known, and then there is no chart. [px]

    Returns
    -------
    dict[str, object]
        Texts, figures, the answering key, the countdown and the chart. [-]
    """
    verb, figure, tail = headline_parts(told(view.move.headline, look))
    found: dict[str, object] = {
        "run": view.run_id,
        "count": view.happenings,
        "state": view.state,
        "kind": view.move.kind,
        "verb": verb,
        "figure": figure,
        "tail": tail,
        "reason": told(view.move.reason, look),
        "mind": told(view.move.changes_mind, look),
        "risk": _risk(view.move),
        "now": look.written(forecast(view.now_c, look.fahrenheit)),
        "now_c": view.now_c.mid,
        "solid": f"{view.solid_pct_of_fat.mid:.0f} % ({view.solid_pct_of_fat.low:.0f} to "
        f"{view.solid_pct_of_fat.high:.0f})",
        "portions": _portions([look.grams(g) for g in view.move.portions_g]),
        **_doubted(view.doubt, look),
        "learnt": [told(line, look) for line in view.learnt],
        "keeping": [told(line, look) for line in view.keeping.lines] if view.keeping else [],
        "caption": look.written(live_caption(view, fahrenheit=look.fahrenheit)),
        "test_pass_min": view.test_pass_min,
        "workable": f"{view.workable_min.mid:.0f} min ({view.workable_min.low:.0f} to {view.workable_min.high:.0f})",
        "countdown": asdict(view.countdown) if view.countdown else None,
        "act": _act(act_for(view.move)),
    }
    if width is not None:
        height = live_height(width, look.drawing)
        svg = live_chart_svg(view, width, height, look.drawing, fahrenheit=look.fahrenheit)
        found["chart"] = look.drawing_of(svg)
    return found


def _portions(amounts: list[str]) -> str:
    """Say how much goes in one after the other; nothing for a single portion."""
    told = f"In {len(amounts)} portions, each stirred in before the next: {', '.join(amounts)}."
    return told if len(amounts) > 1 else ""


def _doubted(doubt: Doubt | None, look: Look) -> dict[str, object]:
    """Say what does not fit, what may explain it, and whether checking the thermometer would tell."""
    if doubt is None:
        return {"doubt": "", "explanations": [], "check": False}
    lines = [told(line, look) for line in doubt.explanations]
    return {"doubt": told(doubt.text, look), "explanations": lines, "check": doubt.check}


def _act(act: Act) -> dict[str, object]:
    return {**{k: v for k, v in asdict(act).items() if k != "with_it"}, "along": act.along}


def last_taps(standing: Sequence[tuple[Happening, str]], look: Look) -> list[dict[str, str]]:
    """Return what the undo key may take back, the newest last: what hands pressed, on whichever device.

    Parameters
    ----------
    standing : Sequence[tuple[Happening, str]]
        Happenings that were not taken back, each with its device. [-]
    look : Look
        The device's units. [-]

    Returns
    -------
    list[dict[str, str]]
        Id, words and device of each. [-]
    """
    return [
        {"id": what.id, "words": told(happened(what), look), "device": device}
        for what, device in standing
        if not device.startswith(_PROBE)
    ]


def _risk(move: Move) -> str:
    """Say what a burst risks; nothing for moves without risk."""
    if not (move.risk_lost or move.risk_scorch):
        return ""
    return f"Risk of losing the temper {_percent(move.risk_lost)}, of scorching {_percent(move.risk_scorch)}."


def _percent(share: float) -> str:
    return "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"
