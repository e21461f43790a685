"""A run's page: what was used, the advice as it was said then, its lot found again and taken from stock."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection

from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.app.run_record import Said, Used
from temperbench.book.book import Book
from temperbench.book.errors import BookFull
from temperbench.book.rows import Entry, StockMove
from temperbench.insight.live import Happening, Move
from temperbench.insight.live_run import LiveRun

NOW = 1_773_480_413_000
JOB = RawJob({"chocolate": "dark", "grams": 900.0, "oven_w": 900.0})
PACK = {"chocolate": "dark", "fat_pct": 37.5, "lot": "L-0412"}


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
    """Give a kitchen with kit and a lot of 5 kg."""
    one = opened(tmp_path)
    one.save_thing("oven", "Bench oven", {"oven_w": 900}, id="oven-1")
    one.save_thing("bowl", "Blue bowl", {"bowl": "plastic"}, id="bowl-1")
    one.save_thing("thermometer", "Black probe", {"thermometer": "probe"}, id="probe-1")
    one.save_lot("House dark", {**PACK, "stock_g": 5000.0}, id="lot-1")
    yield one
    one.close()
    one.book.close()


def opened(folder: Path) -> Kitchen:
    """Return a kitchen on the book of a folder."""
    return Kitchen(Book.open(folder / "kitchen.book"), lambda: NOW, particles=40)


def start(kitchen: Kitchen, run: str = "run-1", lot: str = "lot-1") -> None:
    """Begin a bowl with everything of the kit."""
    things = {"oven": "oven-1", "bowl": "bowl-1", "thermometer": "probe-1", "lot": lot}
    kitchen.start(JOB, "Bars", id=run, pressed_ms=NOW - 100_000, things=things)


def left(kitchen: Kitchen, lot: str = "lot-1") -> float:
    """Return what is left of a lot. [g]"""
    found = kitchen.book.lot(lot)
    assert found is not None
    return found.stock_g


def tap(kitchen: Kitchen, id: str, kind: str, **said: Any) -> None:
    """Press a key on the tablet."""
    kitchen.tap("run-1", Happening(id, kind, NOW + 1000 * len(id), **said), "tablet")


def test_what_was_used_is_told_by_the_kitchens_names(kitchen: Kitchen) -> None:
    """Chocolate, grams, lot, oven, bowl and thermometer; a renamed bowl has its new name."""
    start(kitchen)
    kitchen.save_thing("bowl", "Old blue bowl", {"bowl": "plastic"}, id="bowl-1")
    used = kitchen.run_record("run-1").used
    assert used == Used(
        "dark", 900.0, "microwave", "L-0412", "House dark", "Bench oven", "Old blue bowl", "Black probe"
    )


def test_what_was_not_chosen_is_told_by_the_answers(kitchen: Kitchen) -> None:
    """Without kit the oven's label, the bowl and the thermometer of the job stand there; no lot is made up."""
    kitchen.start(RawJob({**JOB.values, "bowl": "glass"}), id="run-1", pressed_ms=NOW)
    used = kitchen.run_record("run-1").used
    assert (used.lot_code, used.lot_name, used.oven, used.bowl) == ("", "", "900 W", "glass")


@pytest.mark.parametrize("search", ["L-0412", "l-04", "house bars", "DARK"])
def test_a_lot_finds_its_runs(kitchen: Kitchen, search: str) -> None:
    """The book is searched by the lot's code and name too; runs of other lots are not found by it."""
    start(kitchen)
    kitchen.save_lot("Bulk", {"chocolate": "milk", "lot": "M-1"}, id="lot-2")
    kitchen.start(RawJob({**JOB.values, "chocolate": "milk"}), "Other", id="run-2", things={"lot": "lot-2"})
    assert [line.id for line in kitchen.runs(search)] == ["run-1"]
    assert [line.id for line in kitchen.runs("m-1")] == ["run-2"]


def test_the_stock_of_a_lot_falls_with_its_bowls(kitchen: Kitchen) -> None:
    """By the grams of the bowl, once however often the start is sent; buttons later; undo brings them back."""
    start(kitchen)
    start(kitchen)
    assert left(kitchen) == pytest.approx(4100.0)
    tap(kitchen, "tap-1", "added", grams=60.0)
    tap(kitchen, "tap-1", "added", grams=60.0)
    assert left(kitchen) == pytest.approx(4040.0)
    tap(kitchen, "tap-22", "corrected", of="tap-1", grams=40.0)
    assert left(kitchen) == pytest.approx(4060.0)
    tap(kitchen, "tap-333", "undo", of="tap-1")
    assert left(kitchen) == pytest.approx(4100.0)
    moves = kitchen.book.stock_moves("lot-1")
    assert [(m.grams, m.reason, m.run_id) for m in moves] == [
        (5000.0, "received", None), (-900.0, "taken", "run-1"), (-60.0, "taken", "run-1"),
        (20.0, "returned", "run-1"), (40.0, "returned", "run-1"),
    ]  # fmt: skip
    assert kitchen.book.check() == []


@pytest.mark.parametrize("said", [{"seed": "butter-crystals"}, {"seed": "block"}, {"material": "melted"}])
def test_only_buttons_are_taken_from_the_lot(kitchen: Kitchen, said: dict[str, str]) -> None:
    """Cocoa butter, a block or melted chocolate may come from anywhere."""
    start(kitchen)
    tap(kitchen, "tap-1", "added", grams=9.0, **said)
    assert left(kitchen) == pytest.approx(4100.0)


def test_a_lot_whose_stock_was_never_told_does_not_fall_below_nothing(kitchen: Kitchen) -> None:
    """Where nobody counts, nothing is taken off; counted later, only what is taken after that."""
    kitchen.save_lot("Uncounted", {"chocolate": "dark"}, id="lot-2")
    start(kitchen, lot="lot-2")
    tap(kitchen, "tap-1", "added", grams=60.0)
    assert kitchen.book.stock_moves("lot-2") == []
    kitchen.save_lot("Uncounted", {"chocolate": "dark", "stock_g": 700.0}, id="lot-2")
    tap(kitchen, "tap-22", "added", grams=60.0)
    assert left(kitchen, "lot-2") == pytest.approx(700.0)


def test_stock_and_tap_are_kept_together_or_not_at_all(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the move cannot be written, the tap is refused and the bowl stays as it was."""
    start(kitchen)

    def full(connection: Connection, move: StockMove, now_ms: int) -> None:
        raise BookFull(move.lot_id, f"{connection.dialect.name} at {now_ms}")

    with monkeypatch.context() as patched:
        patched.setattr("temperbench.book.shelf.move_stock", full)
        with pytest.raises(BookFull):
            tap(kitchen, "tap-1", "added", grams=60.0)
    assert (kitchen.book.happenings("run-1"), left(kitchen)) == ([], pytest.approx(4100.0))
    assert kitchen.view("run-1").happenings == 0


def test_advice_is_kept_as_it_was_said(kitchen: Kitchen, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was on screen before each tap stays, though a later release would say something else."""
    start(kitchen)
    shown = []
    for number in range(3):
        shown.append(kitchen.view("run-1").move)
        tap(kitchen, f"tap-{'1' * (number + 1)}", "burst", seconds=15.0)
    other = Move("wait", "Later advice", "Later reason", "")
    monkeypatch.setattr(LiveRun, "move", lambda _: other)
    later = opened(tmp_path)
    for one in (kitchen, later):
        steps = one.run_record("run-1").happenings
        assert [step.advice for step in steps] == [Said(move.headline, move.reason) for move in shown]
    later.close()
    later.book.close()


def test_advice_of_an_older_release_is_worked_out_anew_and_says_so(kitchen: Kitchen) -> None:
    """A row without advice shows what this release says before it, marked; rows with advice keep theirs."""
    start(kitchen)
    first = kitchen.view("run-1").move
    kitchen.book.append("run-1", [Entry("old-1", "burst", NOW, {"seconds": 30.0}, "tablet")])
    second = kitchen.view("run-1").move
    tap(kitchen, "tap-22", "stir", seconds=20.0)
    assert [step.advice for step in kitchen.run_record("run-1").happenings] == [
        Said(first.headline, first.reason, anew=True),
        Said(second.headline, second.reason),
    ]
