"""Two servers on one book, as two processes would be: each shows what the other took in, and loses nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.book.errors import BookUnreachable
from temperbench.book.rows import Entry, StockMove, Stored
from temperbench.insight.live import Happening

NOW = 1_773_480_413_000
JOB = RawJob({"chocolate": "dark", "grams": 900.0, "oven_w": 900.0})


def opened(folder: Path) -> Kitchen:
    """Return a kitchen with a connection of its own to the same book."""
    return Kitchen(Book.open(folder / "kitchen.book"), lambda: NOW, particles=40)


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[tuple[Kitchen, Kitchen]]:
    """Give two kitchens that both show one bowl."""
    two = opened(tmp_path), opened(tmp_path)
    two[0].start(JOB, id="run-1", pressed_ms=NOW - 100_000)
    two[1].view("run-1")
    yield two
    for one in two:
        one.close()
        one.book.close()


def burst(number: int, seconds: float = 20.0) -> Happening:
    """Return a burst."""
    return Happening(f"tap-{number}", "burst", NOW + 30_000 * number, seconds=seconds)


def test_both_show_the_same(pair: tuple[Kitchen, Kitchen]) -> None:
    """What one took in is in the view of the other at once, byte for byte, whichever took it; undo too."""
    for number in range(4):
        pair[number % 2].tap("run-1", burst(number), "tablet")
        assert pair[0].view("run-1") == pair[1].view("run-1")
    pair[1].tap("run-1", Happening("undo-1", "undo", NOW + 200_000, of="tap-2"), "phone")
    views = [one.view("run-1") for one in pair]
    assert views[0] == views[1]
    assert (views[0].happenings, [one.last("run-1") for one in pair]) == (5, [5, 5])
    assert [s.undone for s in pair[0].run_record("run-1").happenings] == [False, False, True, False, False]


def test_a_kitchen_opened_later_says_the_same(pair: tuple[Kitchen, Kitchen], tmp_path: Path) -> None:
    """Replaying the book gives what both showed."""
    for number in range(3):
        pair[number % 2].tap("run-1", burst(number), "tablet")
    later = opened(tmp_path)
    assert later.view("run-1") == pair[0].view("run-1") == pair[1].view("run-1")
    assert later.what_if("run-1", 10) == pair[0].what_if("run-1", 10)
    later.close()
    later.book.close()


def test_a_tap_between_look_and_writing_is_folded_in_the_order_of_the_book(
    pair: tuple[Kitchen, Kitchen], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other kitchen writes after this one has looked: both answer by what the book has, in its order."""
    append = pair[0].book.append

    def late(run_id: str, rows: list[Entry], moves: list[StockMove]) -> tuple[Stored, ...]:
        pair[1].tap("run-1", burst(1, 9.0), "phone")
        return append(run_id, rows, moves=moves)

    with monkeypatch.context() as patched:
        patched.setattr(pair[0].book, "append", late)
        answered = pair[0].tap("run-1", burst(2), "tablet")
    assert [row.id for row in pair[0].book.happenings("run-1")] == ["tap-1", "tap-2"]
    assert answered == pair[0].view("run-1") == pair[1].view("run-1")
    assert answered.happenings == 2


def test_the_same_tap_sent_to_both_is_taken_once(pair: tuple[Kitchen, Kitchen]) -> None:
    """A device that turns to the other server sends its tap again."""
    views = [one.tap("run-1", burst(1), "tablet") for one in (*pair, pair[0])]
    assert views[0] == views[1] == views[2]
    assert len(pair[0].book.happenings("run-1")) == 1


def test_a_book_that_cannot_be_read_leaves_the_bowl_on_screen(
    pair: tuple[Kitchen, Kitchen], monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the disk is away the last view stays; nothing is made up."""
    before = pair[0].view("run-1")

    def away(run_id: str) -> int:
        raise BookUnreachable(run_id)

    monkeypatch.setattr(pair[0].book, "last_number", away)
    assert pair[0].view("run-1") == before
