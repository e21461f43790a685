"""The kitchen in which bowls are live: the door of every face to runs, kit, larder and the batch book.

A tap is in the book before it is answered. What a bowl is follows from its happenings alone, so that a kitchen that
was killed goes on where it was. Particles move in the background while the oven runs.
"""

from __future__ import annotations

import dataclasses
import logging
import threading
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from temperbench.app.banner import banner
from temperbench.app.check_job import check_job
from temperbench.app.happenings import check_happening, check_press, happening_of, payload_of, placed
from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.app.keep_book import BookCopy, copy_of
from temperbench.app.kit import KitShelf, Lot, Thing
from temperbench.app.knowledge import learnt_of, stored
from temperbench.app.plan_bowl import MEMBERS
from temperbench.app.remembered import remembered
from temperbench.app.results import BurstPlan, MethodPlan
from temperbench.app.run_record import RunRecord, Said, Step, advice_kept, advice_said, used_in
from temperbench.app.stock import START, button_grams, move_of
from temperbench.book.book import Book
from temperbench.book.checks import Json, new_id
from temperbench.book.errors import BookError
from temperbench.book.rows import Entry, Run, StoredEntry
from temperbench.foundation.errors import InputError
from temperbench.foundation.units import Celsius
from temperbench.insight.burst_plan import plan_bursts
from temperbench.insight.job import BowlJob
from temperbench.insight.learnt import Learnt
from temperbench.insight.live import Happening, LiveView, Move, WhatIf
from temperbench.insight.live_run import LiveRun, counting
from temperbench.insight.methods.planners import plan_by_method
from temperbench.insight.settled import Memory
from temperbench.insight.setup_job import know
from temperbench.insight.wording import title as told

__all__ = ["Kitchen", "RunLine"]

_JOB_KEYS = tuple(f.key for f in FIELDS)
_LONGEST_BURST_S = 1200.0
_PLACES = "probe places"
_LOG = logging.getLogger(__name__)


@dataclass(frozen=True)
class RunLine:
    """A run as one line of a list."""

    id: str
    title: str
    state: str
    started_ms: int
    headline: str
    now_c: Celsius
    stop_c: Celsius


@dataclass
class _Live:
    run: LiveRun
    title: str
    lock: threading.RLock
    lot: str | None = None  # whose stock it takes from
    shown: Move | None = None  # the advice that was shown last
    anew: list[Said] = dataclasses.field(default_factory=list)  # advice that an older release did not keep
    last: int = 0  # number of the last happening of the book that was folded
    owed: list[Happening] = dataclasses.field(default_factory=list)  # in the book, but line and learning are not yet

    def view(self) -> LiveView:
        view = dataclasses.replace(self.run.view(), title=self.title)
        self.shown = view.move
        return view

    def fold(self, rows: list[StoredEntry]) -> None:
        """Fold what the book has after what was folded."""
        for row in rows:
            _fold_kept(self.run, happening_of(row.id, row.kind, row.pressed_ms, row.payload))
            self.last = row.seq


class Kitchen:
    """One kitchen with its book. Threads may share it, and other kitchens the book: each takes in what others wrote."""

    def __init__(
        self,
        book: Book,
        clock: Callable[[], int],
        print_card: Callable[[BurstPlan | MethodPlan, str], bytes] | None = None,
        particles: int | None = None,
        memory: Memory | None = None,
    ) -> None:
        """Take an open book, a clock (UTC ms), what prints cards, and how many particles a bowl has if not as usual.

        A ``memory`` keeps settled particles from one process to the next, so that bowls open at once.
        """
        self.book, self._clock, self._print, self._particles = book, clock, print_card, particles
        self._memory = memory
        self._shelf = KitShelf(book, clock)
        self._knowledge = self._shelf.knowledge
        self._live: dict[str, _Live] = {}
        self._lock = threading.Lock()
        self._idle = ThreadPoolExecutor(max_workers=1, thread_name_prefix="settle")

    def close(self) -> None:
        """Wait for what is under way in the background."""
        self._idle.shutdown(wait=True)

    # Bowls

    def start(
        self, raw_job: RawJob, title: str | None = None, *, id: str | None = None, pressed_ms: int | None = None,
        things: Mapping[str, str] | None = None,
    ) -> LiveView:  # fmt: skip
        """Begin a bowl; the same id twice is one bowl. ``things`` names its oven, bowl, thermometer and lot by id."""
        job = check_job(raw_job)
        now = self._clock()
        pressed = now if pressed_ms is None else pressed_ms
        check_press(pressed, now)
        run_id = id or new_id(now)
        kept: dict[str, Json] = {key: value for key in _JOB_KEYS if (value := getattr(job, key)) is not None}
        chosen = dict(things or {})
        self._shelf.check_things(chosen)
        begun: dict[str, Json] = {
            "job": kept,
            "things": {**chosen},
            "learnt": stored(self._knowledge.of(chosen, job)),
            "pressed_ms": min(pressed, now),
        }
        name = title or told(job, know(job))
        lot = self.book.lot(chosen["lot"]) if "lot" in chosen else None
        words = f"{job.chocolate} {job.stock}" + (f" {lot.lot.code} {lot.lot.name}" if lot else "")
        move = None
        if lot is not None and self.book.stock_moves(lot.lot.id):  # a lot whose stock was never told has none to fall
            move = move_of(run_id, START, lot.lot.id, job.grams, min(pressed, now))
        self.book.add_run(Run(run_id, name, begun, words=words), [move] if move else [])
        self.book.save_setting("defaults", remembered(self.defaults(), raw_job.values, chosen))
        return self.view(run_id)

    def _of(self, run_id: str) -> _Live:
        with self._lock:
            if run_id in self._live:
                return self._live[run_id]
        run, title = self._fresh(run_id)
        live = _Live(run, title, threading.RLock(), self._draws_on(run_id))
        live.fold(self.book.happenings(run_id))
        with self._lock:
            return self._live.setdefault(run_id, live)

    @contextmanager
    def _held(self, run_id: str) -> Iterator[_Live]:
        """Give a bowl as the book has it now, for as long as nobody else in this process may change it."""
        live = self._of(run_id)
        with live.lock:
            with suppress(BookError):  # a book that cannot be read for now: what is known is shown, with the banner
                self._catch_up(live)
            yield live

    def _catch_up(self, live: _Live) -> None:
        """Fold what another process has written in the book meanwhile."""
        if self.book.last_number(live.run.run_id) > live.last:
            live.fold(self.book.happenings(live.run.run_id, live.last))

    def _fresh(self, run_id: str) -> tuple[LiveRun, str]:
        row = self.book.run(run_id)
        if row is None:
            raise KeyError(run_id)
        kept = dict(row.job)
        answers: Any = kept["job"]
        job = BowlJob(**answers)
        known = know(job, learnt_of(_mapping(kept.get("learnt"))))
        return LiveRun(
            run_id, job, int(str(kept["pressed_ms"])), known, particles=self._particles, memory=self._memory
        ), row.title

    def tap(self, run_id: str, happening: Happening, device: str) -> LiveView:
        """Take in what happened and answer with the next move; the same id twice is one happening."""
        with self._held(run_id) as live:
            view, new = self._taken_in(live, happening, device)
            if new:
                live.owed.append(happening)
            if live.owed:
                self._keep_line(view)
                if view.state == "finished":
                    self._learn(live)
                live.owed.clear()
        self._idle.submit(self._settle, live)
        return view

    def _learn(self, live: _Live) -> None:
        """Keep what a finished bowl taught; what cannot be learnt from is no reason to refuse a tap that is kept."""
        try:
            self._knowledge.keep(live.run, _mapping(self._stored(live.run.run_id).get("things")))
        except (ValueError, KeyError, IndexError, ArithmeticError):  # InputError is a ValueError
            _LOG.exception("Nothing could be learnt from run %s", live.run.run_id)

    def _taken_in(self, live: _Live, happening: Happening, device: str) -> tuple[LiveView, bool]:
        """Fold a happening and keep it in the book: both or neither. Return the view, and whether it was new."""
        run = live.run
        now, sent = self._clock(), happening
        happening = placed(sent, run.started_ms, now)
        said = advice_kept(live.shown or run.move())
        entry = Entry(happening.id, happening.kind, happening.pressed_ms, payload_of(happening), device, said)
        if run.has(happening.id):
            return live.view(), self.book.append(run.run_id, [entry])[0].new
        check_happening(sent, {h.id: h.kind for h in run.all}, now)
        before, shown, buttons = run.kept(), live.shown, button_grams(run.all)
        try:
            view = _followed(live, happening)  # first: what a bowl cannot follow must not be in the book
            taken, move = button_grams(run.all) - buttons, None
            if live.lot is not None:
                move = move_of(run.run_id, happening.id, live.lot, taken, happening.pressed_ms, device)
            receipt = self.book.append(run.run_id, [entry], moves=[move] if move else [])[0]
        except BaseException:
            live.shown = shown
            run.back_to(before)
            raise
        if receipt.new and receipt.seq == live.last + 1:
            live.last = receipt.seq
            return view, True
        run.back_to(before)  # another process was in between: what the book has is folded in its order
        self._catch_up(live)
        return live.view(), receipt.new

    def _draws_on(self, run_id: str) -> str | None:
        """Return the lot whose stock fell when the bowl began."""
        lot = _mapping(self._stored(run_id).get("things")).get("lot")
        moves = self.book.stock_moves(lot) if isinstance(lot, str) else []
        return str(lot) if any(move.run_id == run_id for move in moves) else None

    def _stored(self, run_id: str) -> Mapping[str, object]:
        row = self.book.run(run_id)
        return {} if row is None else dict(row.job)

    def _settle(self, live: _Live) -> None:
        with live.lock:
            ahead = live.run.filter.branch()
        ahead.settle()  # takes seconds: without the lock, so that taps are answered meanwhile
        with live.lock:
            live.run.filter.use(ahead)

    def _keep_line(self, view: LiveView) -> None:
        state = "finished" if view.state == "finished" else "running"
        self.book.set_state(view.run_id, state)
        self.book.save_setting(_line_key(view.run_id), {"state": view.state, "headline": view.move.headline,
                               "now_c": view.now_c.mid, "stop_c": view.stop_c})  # fmt: skip

    def view(self, run_id: str) -> LiveView:
        """Return the bowl as it is; raise `KeyError` when there is none of this id."""
        with self._held(run_id) as live:
            return live.view()

    def last(self, run_id: str) -> int:
        """Return the number of the last happening of a bowl, whichever kitchen took it in: quick, for looking often."""
        return self.book.last_number(run_id)

    def what_if(self, run_id: str, seconds: int) -> WhatIf:
        """Return what a burst of so many seconds would do; over a bath or in a cabinet, so many seconds there."""
        if not 0 <= seconds <= _LONGEST_BURST_S:
            raise InputError("seconds", seconds, f"0 to {_LONGEST_BURST_S:.0f} s", "ask for a shorter burst")
        with self._held(run_id) as live:
            return live.run.what_if(seconds)

    # Lists

    def _line(self, run: Run) -> RunLine:
        kept = _mapping(self.book.setting(_line_key(run.id)))
        if not kept:
            view = self.view(run.id)
            kept = {"state": view.state, "headline": view.move.headline, "now_c": view.now_c.mid, "stop_c": view.stop_c}
        started = int(str(run.job.get("pressed_ms", run.created_ms)))
        return RunLine(run.id, run.title, str(kept["state"]), started, str(kept["headline"]),
                       float(str(kept["now_c"])), float(str(kept["stop_c"])))  # fmt: skip

    def running(self) -> list[RunLine]:
        """Return the bowls that are not finished, the newest first."""
        return [self._line(r) for r in self.book.runs(limit=50, state="running")]

    def runs(self, search: str = "", limit: int = 50, before_ms: int | None = None) -> list[RunLine]:
        """Return runs found by all words searched for, in title, chocolate or lot, the newest first."""
        found = self.book.runs(search, limit)
        while before_ms is not None and found and found[-1].created_ms >= before_ms:
            more = self.book.runs(search, limit, found[-1].id)
            if not more:
                break
            found = more
        kept = [r for r in found if before_ms is None or r.created_ms < before_ms]
        return [self._line(r) for r in kept[:limit]]

    def run_record(self, run_id: str) -> RunRecord:
        """Return a whole run with the advice before each happening; raise `KeyError` for an unknown id."""
        view, run = self.view(run_id), self.book.run(run_id)
        if run is None:
            raise KeyError(run_id)
        rows = self.book.happenings(run_id)
        every = [happening_of(r.id, r.kind, r.pressed_ms, r.payload) for r in rows]
        standing = {h.id for h in counting(every)}
        kept = [advice_said(row) for row in rows]
        lacking = max((n for n, said in enumerate(kept, 1) if said is None), default=0)
        anew = self._anew(run_id, every[:lacking])
        steps = [
            Step(h, kept[n] or anew[n], row.device, h.kind not in ("undo", "corrected") and h.id not in standing)
            for n, (row, h) in enumerate(zip(rows, every, strict=True))
        ]
        return RunRecord(view, used_in(self.book, run), tuple(steps))

    def _anew(self, run_id: str, every: list[Happening]) -> list[Said]:
        """What this release says before each happening, by folding anew: for those whose advice was not kept."""
        live = self._of(run_id)
        if len(live.anew) < len(every):
            run, _ = self._fresh(run_id)
            found = []
            for h in every:
                move = run.move()
                found.append(Said(move.headline, move.reason, anew=True))
                _fold_kept(run, h)
            live.anew = found
        return live.anew

    def job_of(self, run_id: str) -> Mapping[str, object]:
        """Return the answers of a run's job by their keys; raise `KeyError` for an unknown id."""
        stored = self._stored(run_id)
        if not stored:
            raise KeyError(run_id)
        return _mapping(stored.get("job"))

    def standing(self, run_id: str, most: int = 5) -> list[tuple[Happening, str]]:
        """Return the last happenings of a bowl that were not taken back, with the device of each, the newest last."""
        rows = self.book.happenings(run_id)
        devices = {row.id: row.device for row in rows}
        stand = counting([happening_of(r.id, r.kind, r.pressed_ms, r.payload) for r in rows])
        return [(h, devices[h.id]) for h in stand[-most:]]

    def plan(self, run_id: str) -> BurstPlan | MethodPlan:
        """Return the plan of a run's job by its own method, with what is known of its things by now, for its card."""
        job, kept = self._of(run_id).run.job, _mapping(self._stored(run_id).get("things"))
        things = {kind: id for kind, id in kept.items() if isinstance(id, str)}
        return _plan(job, self._knowledge.of(things, job))

    def card(self, run_id: str, page: str) -> bytes:
        """Return the card of a run as a PDF."""
        if self._print is None:
            raise InputError("card", page, "a kitchen with a printer of cards", "open the kitchen with one")
        return self._print(self.plan(run_id), page)

    # Kit and larder

    def kit(self, away: bool = False) -> list[Thing]:
        """Return ovens, bowls and thermometers in use, or those that were put away."""
        return self._shelf.kit(away)

    def save_thing(self, kind: str, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Thing:
        """Keep a new thing, or a new version of a known one; raise `InputError` for what cannot be."""
        return self._shelf.save_thing(kind, name, facts, id)

    def lots(self, away: bool = False) -> list[Lot]:
        """Return the lots of the larder in use, or those that were put away."""
        return self._shelf.lots(away)

    def save_lot(self, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Lot:
        """Keep a new lot, or a new version of a known one; raise `InputError` for what cannot be."""
        return self._shelf.save_lot(name, facts, id)

    def put_away(self, id: str, away: bool = True) -> None:
        """Put a thing or a lot away, or take it back; raise `KeyError` for an unknown id. What is known of it stays."""
        self._shelf.put_away(id, away)

    def probe_places(self) -> dict[str, str]:
        """Return which run each thermometer probe is in, as it was kept."""
        return {probe: str(run) for probe, run in _mapping(self.book.setting(_PLACES)).items()}

    def place_probe(self, probe: str, run_id: str | None) -> None:
        """Keep which run a probe is in; None: it was taken out."""
        with self._lock:
            places: dict[str, Json] = {k: v for k, v in self.probe_places().items() if k != probe}
            self.book.save_setting(_PLACES, places if run_id is None else {**places, probe: run_id})

    def book_copy(self, what: str) -> BookCopy:
        """Return a backup of the book, or an export: "backup", "lines", or the name of a table."""
        return copy_of(self.book, what, self._clock())

    def trouble(self) -> str:
        """Return why nothing can be kept in the book now, as of the last attempt; nothing when it can."""
        return "" if self.book.fault is None else banner(self.book.fault)

    def defaults(self) -> Mapping[str, object]:
        """Return what was used last: job keys, and the ids oven_id, bowl_id, thermometer_id and lot_id."""
        return _mapping(self.book.setting("defaults"))


@lru_cache(maxsize=32)
def _plan(job: BowlJob, learnt: Learnt) -> BurstPlan | MethodPlan:
    planner = plan_bursts if job.method == "microwave" else plan_by_method
    return planner(job, members=MEMBERS, learnt=learnt)


def _mapping(value: object) -> dict[str, object]:
    return dict(value) if isinstance(value, Mapping) else {}


def _line_key(run_id: str) -> str:
    return f"line.{run_id}"


def _followed(live: _Live, h: Happening) -> LiveView:
    """Fold what is new and return the view; what the engine cannot follow raises `InputError`."""
    try:
        live.run.fold(h)
        return live.view()
    except InputError:
        raise
    except (ValueError, KeyError, IndexError, ArithmeticError):
        _LOG.exception("Run %s cannot follow %s", live.run.run_id, h)
        raise InputError("kind", h.kind, "what this bowl can follow", "check the figures") from None


def _fold_kept(run: LiveRun, h: Happening) -> None:
    """Fold what the book has; what this release cannot make sense of is passed over, so that the bowl still opens."""
    try:
        run.fold(h)
    except (ValueError, KeyError):  # InputError is a ValueError
        _LOG.warning("Happening %s of run %s cannot be understood and is passed over", h.id, run.run_id)
