"""A kitchen in memory for the tests of the web face: deterministic, quick, and plausible to look at.

Its figures make pages look real and prove nothing about chocolate.
"""

from __future__ import annotations

import io
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from fake_bowl import FakeBowl, seconds_after
from sample_plan import sample_plan
from temperbench import __version__
from temperbench.app.check_job import check_job
from temperbench.app.job_fields import RawJob
from temperbench.app.keep_book import BookCopy
from temperbench.app.kit_facts import check_facts
from temperbench.app.remembered import remembered
from temperbench.app.results import Happening, LiveView, WhatIf
from temperbench.app.run_record import Said, Used
from temperbench.faces.paper import card_pdf
from temperbench.foundation.errors import InputError, one_of

__all__ = ["FakeKitchen", "furnished"]


@dataclass(frozen=True)
class Line:
    """A run as one line."""

    id: str
    title: str
    state: str
    started_ms: int
    headline: str
    now_c: float
    stop_c: float


@dataclass(frozen=True)
class Step:
    """One happening with the advice before it."""

    happening: Happening
    advice: Said
    device: str
    undone: bool


@dataclass(frozen=True)
class Record:
    """A whole run."""

    view: LiveView
    used: Used
    happenings: tuple[Step, ...]


@dataclass(frozen=True)
class Thing:
    """Something of the kitchen, or a lot of the larder."""

    id: str
    kind: str
    name: str
    facts: Mapping[str, object]
    learnt: tuple[str, ...] = ()


@dataclass
class Run:
    """A run as it is kept: how it began and what was pressed."""

    id: str
    title: str
    grams: float
    started_ms: int
    method: str = "microwave"
    chocolate: str = "dark"
    lot: str = ""
    taps: list[tuple[Happening, str]] = field(default_factory=list)


class FakeKitchen:
    """The door of the application, without physics, without a disk."""

    def __init__(self, clock: Callable[[], float] = time.time) -> None:
        """Begin with an empty kitchen and a clock that gives seconds."""
        self._clock = clock
        self._lock = threading.RLock()
        self._runs: dict[str, Run] = {}
        self._things: dict[str, Thing] = {}
        self._lots: dict[str, Thing] = {}
        self._last: dict[str, object] = {}
        self._places: dict[str, str] = {}
        self._away: set[str] = set()
        self.fault = ""

    def _now_ms(self) -> int:
        return int(self._clock() * 1000)

    def start(
        self,
        raw_job: RawJob,
        title: str | None = None,
        *,
        id: str | None = None,
        pressed_ms: int | None = None,
        things: Mapping[str, str] | None = None,
    ) -> LiveView:
        """Begin a bowl."""
        job = check_job(raw_job)
        with self._lock:
            name = title or f"{job.grams:.0f} g {job.chocolate} chocolate"
            key = id or f"run-{len(self._runs) + 1}"
            lot, at_ms = (things or {}).get("lot", ""), pressed_ms or self._now_ms()
            self._runs.setdefault(key, Run(key, name, job.grams, at_ms, job.method, job.chocolate, lot))
            self._last = remembered(self._last, raw_job.values, things or {})
            return self.view(key)

    def tap(self, run_id: str, happening: Happening, device: str) -> LiveView:
        """Take in one happening, once."""
        with self._lock:
            run = self._runs[run_id]
            known = {h.id for h, _ in run.taps}
            if happening.kind in ("undo", "corrected") and happening.of not in known:
                raise InputError("of", happening.of or "nothing", "the id of something that happened", "look again")
            if happening.id not in known:
                run.taps.append((happening, device))
                run.taps.sort(key=lambda pair: pair[0].pressed_ms)
            return self.view(run_id)

    def _folded(self, run: Run, count: int | None = None) -> FakeBowl:
        taps = [h for h, _ in run.taps[:count]]
        gone = {h.of for h in taps if h.kind == "undo"}
        bowl = FakeBowl(run.id, run.title, run.grams, run.started_ms, len(taps))
        for happening in taps:
            if happening.kind not in ("undo", "corrected") and happening.id not in gone:
                bowl.take(happening)
        return bowl

    def view(self, run_id: str) -> LiveView:
        """Return the bowl as it is."""
        with self._lock:
            return self._folded(self._runs[run_id]).view()

    def last(self, run_id: str) -> int:
        """Return how much happened."""
        return len(self._runs[run_id].taps)

    def standing(self, run_id: str, most: int = 5) -> list[tuple[Happening, str]]:
        """Return the last happenings that were not taken back."""
        with self._lock:
            taps = self._runs[run_id].taps
            gone = {h.of for h, _ in taps if h.kind == "undo"}
            stand = [(h, d) for h, d in taps if h.kind not in ("undo", "corrected") and h.id not in gone]
            return stand[-most:]

    def what_if(self, run_id: str, seconds: int) -> WhatIf:
        """Return what a burst would do."""
        if not 1 <= seconds <= 120:
            raise InputError("seconds", seconds, "1 to 120 s", "ask for a shorter burst")
        with self._lock:
            return self._folded(self._runs[run_id]).what_if(seconds)

    def _line(self, run: Run) -> Line:
        view = self.view(run.id)
        return Line(run.id, run.title, view.state, run.started_ms, view.move.headline, view.now_c.mid, view.stop_c)

    def running(self) -> list[Line]:
        """Return the bowls not finished."""
        return [line for line in self.runs() if line.state != "finished"]

    def runs(self, search: str = "", limit: int = 50, before_ms: int | None = None) -> list[Line]:
        """Return runs by title, the newest first."""
        words = search.lower().split()
        with self._lock:
            lines = [self._line(r) for r in self._runs.values() if all(w in r.title.lower() for w in words)]
        kept = [line for line in lines if before_ms is None or line.started_ms < before_ms]
        return sorted(kept, key=lambda line: -line.started_ms)[:limit]

    def run_record(self, run_id: str) -> Record:
        """Return a whole run."""
        with self._lock:
            run = self._runs[run_id]
            gone = {h.of for h, _ in run.taps if h.kind == "undo"}
            before = [self._folded(run, i).view().move for i in range(len(run.taps))]
            steps = [
                Step(h, Said(move.headline, move.reason), device, h.id in gone)
                for move, (h, device) in zip(before, run.taps, strict=True)
            ]
            return Record(self.view(run_id), self._used(run), tuple(steps))

    def _used(self, run: Run) -> Used:
        lot = self._lots.get(run.lot)
        code, name = (str(lot.facts.get("lot", "")), lot.name) if lot else ("", "")
        return Used(run.chocolate, run.grams, run.method, code, name, "1000 W", "plastic", "probe")

    def job_of(self, run_id: str) -> Mapping[str, object]:
        """Return the answers of a run's job."""
        self.view(run_id)
        method = self._runs[run_id].method
        return {"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0, "method": method}

    def card(self, run_id: str, page: str) -> bytes:
        """Return a card of the usual plan under the run's title."""
        plan = replace(sample_plan(), title=self._runs[run_id].title)
        return card_pdf(plan, page=page, made_on=date(2026, 3, 14), version=__version__)

    def kit(self, away: bool = False) -> list[Thing]:
        """Return ovens, bowls, thermometers in use, or put away."""
        return [thing for thing in self._things.values() if (thing.id in self._away) is away]

    def save_thing(self, kind: str, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Thing:
        """Keep a thing."""
        one_of("kind", kind, ("oven", "bowl", "thermometer"))
        return _keep(self._things, kind, name, facts, id)

    def lots(self, away: bool = False) -> list[Thing]:
        """Return the larder: what is in use, or put away."""
        return [lot for lot in self._lots.values() if (lot.id in self._away) is away]

    def save_lot(self, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Thing:
        """Keep a lot."""
        return _keep(self._lots, "lot", name, facts, id)

    def put_away(self, id: str, away: bool = True) -> None:
        """Put away, or take back."""
        if id not in {**self._things, **self._lots}:
            raise KeyError(id)
        self._away = {*self._away, id} if away else self._away - {id}

    def probe_places(self) -> Mapping[str, str]:
        """Return which run each probe is in."""
        return dict(self._places)

    def place_probe(self, probe: str, run_id: str | None) -> None:
        """Keep which run a probe is in."""
        if run_id is None:
            self._places.pop(probe, None)
        else:
            self._places[probe] = run_id

    def book_copy(self, what: str) -> BookCopy:
        """Return a file that says what it would be."""
        return BookCopy(f"kitchen-{what}.txt", io.BytesIO(f"all of {what}".encode()))

    def trouble(self) -> str:
        """Return the fault a test has put here."""
        return self.fault

    def defaults(self) -> Mapping[str, object]:
        """Return what was used last."""
        return dict(self._last)


def _keep(shelf: dict[str, Thing], kind: str, name: str, facts: Mapping[str, object], id: str | None) -> Thing:
    if not name.strip():
        raise InputError("name", name, "a word or two", "say what you call it in this kitchen")
    facts = check_facts(kind, facts)
    key = id or f"{kind}-{len(shelf) + 1}"
    before = shelf.get(key)
    learnt = before.learnt if before else ()
    if "reference_c" in facts:
        off = (_figure(facts["ice_c"]) + _figure(facts["warm_c"]) - _figure(facts["reference_c"])) / 2
        learnt = (f"Reads {abs(off):.1f} °C {'high' if off > 0 else 'low'}; readings are corrected by that.",)
    shelf[key] = Thing(key, kind, name.strip(), {**(before.facts if before else {}), **facts}, learnt)
    return shelf[key]


def _figure(value: object) -> float:
    return float(str(value).replace(",", "."))


def furnished(clock: Callable[[], float] = time.time) -> FakeKitchen:
    """Return a kitchen with kit, lots, one finished run and two running bowls."""
    kitchen = FakeKitchen(clock)
    kitchen.save_thing("oven", "Bench oven", {"oven_w": 1000})
    kitchen.save_thing("oven", "Small oven by the door", {"oven_w": 800, "oven_inverter": True})
    kitchen.save_thing("bowl", "Blue 2.5 L", {"bowl": "plastic", "bowl_g": 220, "bowl_l": 2.5})
    kitchen.save_thing("thermometer", "Black probe", {"thermometer": "probe"})
    kitchen._things["oven-1"] = replace(
        kitchen._things["oven-1"], learnt=("Gives about 610 W to the blue bowl with 1000 g; the label says 1000 W.",)
    )
    pack = {"chocolate": "dark", "cocoa_pct": 58, "fat_pct": 37.5, "stock_g": 7400}
    kitchen.save_lot("House dark 58 %", {**pack, "lot": "L-0412", "best_before": "2027-02-01"})
    kitchen.save_lot("House milk 36 %", {"chocolate": "milk", "cocoa_pct": 36, "fat_pct": 38, "stock_g": 5200})
    now = int(clock() * 1000)
    _run(kitchen, "demo-1", "1000 g house dark, bars", now - 93_600_000, _whole())
    _run(kitchen, "demo-2", "700 g house milk, half shells", now - 560_000, _whole()[:9])
    _run(kitchen, "demo-3", "1000 g house dark, bars", now - 150_000, _whole()[:4])
    return kitchen


def _whole() -> Sequence[dict[str, object]]:
    """Return what a calm run is made of, without the times."""
    return (
        {"kind": "burst", "seconds": 60.0}, {"kind": "stir", "seconds": 30.0},
        {"kind": "reading", "celsius": 30.4, "thermometer": "probe"}, {"kind": "lumps", "level": "many"},
        {"kind": "burst", "seconds": 20.0}, {"kind": "stir", "seconds": 20.0},
        {"kind": "reading", "celsius": 32.5, "thermometer": "probe"}, {"kind": "burst", "seconds": 16.0},
        {"kind": "stir", "seconds": 30.0}, {"kind": "reading", "celsius": 33.9, "thermometer": "probe"},
        {"kind": "stir", "seconds": 440.0}, {"kind": "reading", "celsius": 31.9, "thermometer": "probe"},
        {"kind": "test", "minutes": 2.2, "look": "sheen", "film": "paper"}, {"kind": "taken", "grams": 900.0},
        {"kind": "finished"},
    )  # fmt: skip


def _run(kitchen: FakeKitchen, key: str, title: str, at_ms: int, steps: Sequence[dict[str, object]]) -> None:
    values = {
        "chocolate": "milk" if "milk" in title else "dark",
        "grams": int(title.split(maxsplit=1)[0]),
        "oven_w": 1000,
    }
    kitchen.start(RawJob(values), title, id=key, pressed_ms=at_ms)
    t = float(at_ms)
    for i, step in enumerate(steps):
        t += 1000 * seconds_after(step)
        kitchen.tap(key, replace(Happening(f"{key}-{i}", "", int(t)), **step), "tablet")
