"""What may be said to have happened to a bowl, and that nothing is kept which a bowl cannot follow."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from temperbench.app.happenings import check_happening, happening_of, payload_of
from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.book.errors import BookFull
from temperbench.book.rows import Entry, StockMove
from temperbench.foundation.errors import InputError
from temperbench.insight.live import Happening

NOW = 1_773_480_413_000
BEFORE = {"tap-1": "burst", "tap-2": "undo", "tap-3": "lumps"}
JOB = RawJob({"chocolate": "dark", "grams": 900.0, "oven_w": 900.0})


@pytest.mark.parametrize(
    ("kind", "said", "place"),
    [
        ("melt", {}, "kind"),
        ("burst", {}, "seconds"),
        ("reading", {}, "celsius"),
        ("reading", {"celsius": 400.0}, "celsius"),
        ("reading", {"celsius": 31.0, "thermometer": "finger"}, "thermometer"),
        ("lumps", {"level": "thick"}, "level"),
        ("flow", {"level": "many"}, "level"),
        ("test", {"film": "marble"}, "film"),
        ("bath", {"celsius": 45.0}, "seconds"),
        ("bath", {"seconds": 60.0, "level": "many"}, "level"),
        ("stir", {"seconds": 60.0, "level": "left"}, "level"),
        ("cabinet", {}, "seconds"),
        ("kettle", {}, "seconds"),
        ("melted", {}, "celsius"),
        ("tabled", {"celsius": 27.0}, "grams"),
        ("added", {"grams": 10.0, "seed": "sugar"}, "seed"),
        ("test", {"look": "pretty"}, "look"),
        ("moved", {"grams": 0.0}, "grams"),
        ("undo", {"of": "tap-9"}, "of"),
        ("undo", {"of": "tap-2"}, "of"),
        ("corrected", {"of": "tap-9", "seconds": 3.0}, "of"),
        ("corrected", {"of": "tap-2", "seconds": 3.0}, "of"),
        ("corrected", {"of": "tap-3", "level": "thick"}, "level"),
    ],
)
def test_what_cannot_be_is_refused(kind: str, said: dict[str, Any], place: str) -> None:
    """Each kind has its own words and figures, and what it speaks of must have happened."""
    with pytest.raises(InputError) as fault:
        check_happening(Happening("tap-5", kind, NOW, **said), BEFORE, NOW)
    assert place == fault.value.field


def test_a_runaway_clock_is_said(kitchen: Kitchen) -> None:
    """A press more than five minutes ahead of the kitchen is a clock to be set, for a tap and for a start."""
    check_happening(Happening("tap-5", "finished", NOW + 300_000), BEFORE, NOW)
    with pytest.raises(InputError, match="clock"):
        check_happening(Happening("tap-5", "finished", NOW + 300_001), BEFORE, NOW)
    with pytest.raises(InputError, match="clock"):
        kitchen.start(JOB, id="run-2", pressed_ms=NOW + 7 * 86_400_000)
    assert [line.id for line in kitchen.runs()] == ["run-1"]


def test_a_press_time_that_cannot_be_is_moved_to_one_that_can(kitchen: Kitchen) -> None:
    """Nothing is pressed after now or before its bowl began: the book keeps the nearer of the two; a start alike."""
    for name, at_ms in (("early", NOW - 3_600_000), ("right", NOW - 20_000), ("late", NOW + 60_000)):
        kitchen.tap("run-1", Happening(name, "lumps", at_ms, level="many"), "tablet")
    assert [row.pressed_ms for row in kitchen.book.happenings("run-1")] == [NOW - 100_000, NOW - 20_000, NOW]
    assert kitchen.tap("run-1", Happening("late", "lumps", NOW + 60_000, level="many"), "tablet").happenings == 3
    assert kitchen.start(JOB, id="run-2", pressed_ms=NOW + 60_000).started_ms == NOW


def test_a_happening_comes_back_from_the_book_as_it_went_in() -> None:
    """Only what was said is kept."""
    one = Happening("tap-5", "reading", NOW, celsius=31.4, thermometer="probe")
    assert payload_of(one) == {"celsius": 31.4, "thermometer": "probe"}
    assert one == happening_of(one.id, one.kind, one.pressed_ms, payload_of(one))


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
    """Give a kitchen with one bowl."""
    one = Kitchen(Book.open(tmp_path / "kitchen.book"), lambda: NOW, particles=40)
    one.start(JOB, id="run-1", pressed_ms=NOW - 100_000)
    yield one
    one.close()
    one.book.close()


def test_what_the_book_refuses_did_not_happen(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a full disk a tap is answered with the fault, the bowl stays as it was, and sent again it is taken once."""
    burst = Happening("tap-1", "burst", NOW, seconds=55.0)
    before = kitchen.view("run-1")

    def full(run_id: str, rows: list[Entry], moves: list[StockMove]) -> None:
        raise BookFull(run_id, f"{len(rows)} and {len(moves)}")

    with monkeypatch.context() as patched:
        patched.setattr(kitchen.book, "append", full)
        with pytest.raises(BookFull):
            kitchen.tap("run-1", burst, "tablet")
        assert before == kitchen.view("run-1")
    after = kitchen.tap("run-1", burst, "tablet")
    assert after == kitchen.tap("run-1", burst, "tablet")
    assert (after.happenings, len(kitchen.book.happenings("run-1"))) == (1, 1)


def test_what_a_bowl_cannot_follow_is_not_kept(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the engine on one tap becomes a refusal, and neither book nor bowl has the tap."""
    before = kitchen.view("run-1")
    with monkeypatch.context() as patched:
        patched.setattr("temperbench.insight.live_run.LiveRun.view", lambda run: 1 / (run.clock_ms * 0))
        with pytest.raises(InputError, match="this bowl can follow"):
            kitchen.tap("run-1", Happening("tap-1", "burst", NOW, seconds=55.0), "tablet")
    assert (before, []) == (kitchen.view("run-1"), kitchen.book.happenings("run-1"))


def test_a_kept_happening_that_no_longer_makes_sense_is_passed_over(kitchen: Kitchen) -> None:
    """A book of another release still opens."""
    kitchen.book.append("run-1", [Entry("old-1", "lumps", NOW, {"level": "gone for good"}, "tablet")])
    kitchen.book.append("run-1", [Entry("tap-1", "burst", NOW, {"seconds": 55.0}, "tablet")])
    again = Kitchen(kitchen.book, lambda: NOW, particles=40)
    assert (again.view("run-1").happenings, len(again.run_record("run-1").happenings)) == (1, 2)
    again.close()


def test_what_stands_can_be_taken_back_by_any_device(kitchen: Kitchen) -> None:
    """The last happenings, each with its device; what was undone on another one is gone from the list."""
    for number, (kind, device, said) in enumerate(
        (
            ("burst", "tablet", {"seconds": 9.0}),
            ("stir", "phone", {"seconds": 9.0}),
            ("undo", "tablet", {"of": "tap-1"}),
        )
    ):
        kitchen.tap("run-1", Happening(f"tap-{number}", kind, NOW + number, **said), device)
    assert [(h.id, device) for h, device in kitchen.standing("run-1")] == [("tap-0", "tablet")]
