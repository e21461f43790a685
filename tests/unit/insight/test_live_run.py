"""A run is a fold over its happenings: the same ones give the same views, byte for byte, however they came about."""

from __future__ import annotations

import dataclasses
import functools
import json
import threading
from pathlib import Path

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.insight import live_run
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening, LiveView, Move
from temperbench.insight.live_run import LiveRun

JOB = BowlJob("dark", 1000.0, 1000.0)
FEW = 60
RUN = (
    Happening("a", "burst", 50_000, seconds=45.0),
    Happening("b", "stir", 75_000, seconds=20.0),
    Happening("c", "reading", 80_000, celsius=29.3),
    Happening("d", "lumps", 84_000, level="many"),
    Happening("e", "burst", 110_000, seconds=20.0),
    Happening("f", "stir", 135_000, seconds=20.0),
    Happening("g", "reading", 140_000, celsius=31.6),
    Happening("h", "lumps", 144_000, level="some"),
)


def written(view: LiveView) -> str:
    """The view as JSON."""
    return json.dumps(dataclasses.asdict(view), sort_keys=True)


def folded(happenings: tuple[Happening, ...], settle: bool = False) -> list[str]:
    """Views after each happening."""
    run, views = LiveRun("r", JOB, 0, particles=FEW), []
    for h in happenings:
        run.fold(h)
        views.append(written(run.view()))
        if settle:
            run.settle()
            assert views[-1] == written(run.view()), "settling shows nothing"
    return views


def test_replaying_gives_the_same_views_and_settling_in_between_none_other() -> None:
    """Fold twice, once with the particles moved as early as can be and once as late as can be."""
    late = folded(RUN)
    assert late == folded(RUN)
    assert late == folded(RUN, settle=True)


@pytest.mark.parametrize("of", ["h", "g", "d"])
def test_undoing_is_as_if_it_had_not_been(of: str) -> None:
    """After an undo the view is that of the run without it, save for the count of happenings."""
    run = LiveRun("r", JOB, 0, particles=FEW)
    for h in (*RUN, Happening("u", "undo", 150_000, of=of)):
        run.fold(h)
        run.settle()
    without = LiveRun("r", JOB, 0, particles=FEW)
    for h in RUN:
        if h.id != of:
            without.fold(h)
    expected = dataclasses.replace(without.view(), happenings=len(RUN) + 1)
    assert written(expected) == written(run.view())


def test_correcting_is_as_if_it_had_been_right() -> None:
    """After a correction the view is that of the right figure; undoing the correction brings back the old."""
    run = LiveRun("r", JOB, 0, particles=FEW)
    for h in RUN:
        run.fold(h)
    before = run.view()
    run.fold(Happening("k", "corrected", 150_000, of="g", celsius=31.2))
    right = LiveRun("r", JOB, 0, particles=FEW)
    for h in RUN:
        right.fold(dataclasses.replace(h, celsius=31.2) if h.id == "g" else h)
    assert written(dataclasses.replace(right.view(), happenings=len(RUN) + 1)) == written(run.view())
    run.fold(Happening("l", "undo", 155_000, of="k"))
    assert written(dataclasses.replace(before, happenings=len(RUN) + 2)) == written(run.view())


def test_the_same_press_twice_is_one() -> None:
    """A happening that arrives again changes nothing."""
    run = LiveRun("r", JOB, 0, particles=FEW)
    for h in RUN[:3]:
        run.fold(h)
    before = written(run.view())
    run.fold(RUN[2])
    assert before == written(run.view())


def test_a_branch_settled_elsewhere_is_taken_only_if_nothing_has_happened() -> None:
    """What another thread has settled counts for the happenings it was settled for, and for no others."""
    run, views = LiveRun("r", JOB, 0, particles=FEW), []
    for h in RUN:
        stale = run.filter.branch()
        run.fold(h)
        ahead = run.filter.branch()
        thread = threading.Thread(target=ahead.settle)
        thread.start()
        views.append(written(run.view()))
        thread.join()
        stale.settle()
        run.filter.use(stale)
        run.filter.use(ahead)
    assert folded(RUN) == views


def test_reopening_the_book_gives_the_same_view(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A kitchen that was shut after half a run and opened again shows, and goes on to show, the same."""
    monkeypatch.setattr(live_run, "BowlFilter", functools.partial(_few_particles))
    raw = RawJob({"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0})

    def played(path: Path, shut_after: int | None) -> list[str]:
        kitchen = Kitchen(Book.open(path), lambda: 1_000_000)
        views = [written(kitchen.start(raw, id="01JABCDEFGHJKMNPQRSTVWXYZ0", pressed_ms=1_000))]
        for n, h in enumerate(RUN):
            views.append(written(kitchen.tap("01JABCDEFGHJKMNPQRSTVWXYZ0", h, "tablet")))
            if n == shut_after:
                kitchen.close()
                kitchen.book.close()
                kitchen = Kitchen(Book.open(path), lambda: 9_000_000)
                assert views[-1] == written(kitchen.view("01JABCDEFGHJKMNPQRSTVWXYZ0"))
        kitchen.close()
        kitchen.book.close()
        return views

    assert played(tmp_path / "one.db", None) == played(tmp_path / "two.db", 4)


def _few_particles(known: object, particles: int | None, seed: int) -> BowlFilter:
    return BowlFilter(known, FEW if particles is None else particles, seed)


def test_moving_to_a_warm_bowl_warms_it() -> None:
    """Poured into a heavy warm bowl, the chocolate ends warmer than in a cold one."""
    ends = []
    for celsius in (15.0, 45.0):
        run = LiveRun("r", JOB, 0, particles=FEW)
        for h in (*RUN[:2], Happening("m", "moved", 80_000, material="stoneware", grams=1200.0, celsius=celsius),
                  Happening("s", "stir", 145_000, seconds=60.0)):  # fmt: skip
            run.fold(h)
        ends.append(run.view().now_c.mid)
    assert ends[1] > ends[0] + 1.0


@pytest.mark.parametrize(
    ("kind", "celsius", "counts"),
    [("stir", None, True), ("draw down", None, True), ("wait", None, True), ("bath", 48.0, True), ("chill", 12.0, True),
     ("lift", 40.0, True), ("warm", 40.0, True), ("cabinet", 43.0, True), ("kettle", 34.0, True),
     ("burst", None, False), ("warm", None, False)],
)  # fmt: skip
def test_every_timed_move_has_a_clock_but_those_of_the_oven(
    kind: str, celsius: float | None, counts: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From the last tap, at first from the start, for as long as the move takes; an oven has a timer of its own."""
    run = LiveRun("r", JOB, 7_000, particles=20)
    monkeypatch.setattr(run, "move", lambda: Move(kind, "Do it", "", "", seconds=90, celsius=celsius))
    first = run.view().countdown
    run.fold(Happening("a", "stir", 50_000, seconds=20.0))
    then = run.view().countdown
    if not counts:
        assert (first, then) == (None, None)
        return
    assert first is not None
    assert then is not None
    assert (first.label, first.from_ms, first.until_ms) == ("Do it", 7_000, 97_000)
    assert (then.from_ms, then.until_ms) == (50_000, 140_000)
