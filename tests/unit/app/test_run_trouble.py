"""Trouble with a bowl of the book: readings, times, test and looks come from its own run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from temperbench.app.find_trouble import RawTrouble
from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.app.run_trouble import trouble_of_run
from temperbench.book.book import Book
from temperbench.insight.live import Happening
from temperbench.insight.trouble.from_run import told_by_run

MINUTE = 60_000


def reading(at_min: float, celsius: float) -> Happening:
    """Return a reading so many minutes after the start."""
    return Happening(f"r{at_min}", "reading", int(at_min * MINUTE), celsius=celsius)


def test_a_part_melt_tells_its_hottest_and_the_time_since() -> None:
    """Highest and last reading, minutes since the highest, the test and the looks that still stand."""
    told = told_by_run(
        [
            Happening("a", "burst", 0, seconds=60.0), reading(2, 31.0), Happening("b", "lumps", MINUTE, level="many"),
            Happening("c", "burst", 3 * MINUTE, seconds=15.0), reading(4, 35.5), reading(12, 31.8),
            Happening("d", "flow", 12 * MINUTE, level="thick"),
            Happening("e", "test", 13 * MINUTE, minutes=9.0, look="lines", film="knife"),
        ],
        16 * MINUTE, "microwave",
    )  # fmt: skip
    assert (told.hottest_c, told.reads_c, told.minutes) == (35.5, 31.8, 12.0)
    assert (told.set_min, told.not_set_min, told.film) == (9.0, None, "knife")
    assert told.signs == ("thick", "streaks")


def test_a_seeded_bowl_counts_from_its_seed() -> None:
    """The full melt before the seed is no loss; a smear still soft is not set by then."""
    told = told_by_run(
        [reading(0, 46.0), reading(20, 33.5), Happening("a", "added", 21 * MINUTE, grams=250.0, celsius=20.0),
         reading(24, 32.6), reading(30, 31.4), Happening("b", "test", 31 * MINUTE, minutes=12.0, look="soft")],
        44 * MINUTE, "seed",
    )  # fmt: skip
    assert (told.hottest_c, told.reads_c, told.minutes) == (32.6, None, 20.0)
    assert (told.set_min, told.not_set_min, told.signs) == (None, 12.0, ("will-not-set",))


def test_an_old_reading_is_not_what_the_bowl_reads_now() -> None:
    """A quarter of an hour after it a hot reading tells where the bowl was; a fresh one tells where it is."""
    told = told_by_run([reading(2, 37.0)], 17 * MINUTE, "microwave")
    assert (told.hottest_c, told.reads_c, told.minutes) == (37.0, None, 15.0)
    told = told_by_run([reading(2, 37.0)], 6 * MINUTE, "microwave")
    assert (told.hottest_c, told.reads_c, told.minutes) == (37.0, 37.0, 4.0)


def test_a_run_of_nothing_tells_nothing() -> None:
    """Without happenings nothing is known."""
    told = told_by_run([], 5 * MINUTE, "microwave")
    assert (told.hottest_c, told.reads_c, told.minutes, told.signs) == (None, None, None, ())


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
    """Open a kitchen with a bowl that read 37 °C."""
    made = Kitchen(Book.open(tmp_path / "kitchen.book"), lambda: 15 * MINUTE, particles=32)
    made.start(RawJob({"chocolate": "dark", "grams": 800, "oven_w": 900, "room_c": 20}), id="bowl", pressed_ms=0)
    made.tap("bowl", Happening("one", "reading", 2 * MINUTE, celsius=37.0), "test")
    made.tap("bowl", Happening("two", "reading", 3 * MINUTE, celsius=48.0), "test")
    made.tap("bowl", Happening("three", "undo", 3 * MINUTE, of="two"), "test")
    yield made
    made.close()


def test_the_book_answers_for_its_bowl(kitchen: Kitchen) -> None:
    """Readings of the run count, one that was taken back does not, and what is said now wins."""
    found = trouble_of_run(kitchen, "bowl", RawTrouble(seen=["will not set"], reads=31.5), 15 * MINUTE, members=48)
    assert found.heading == "800 g dark chocolate, microwave"
    assert found.causes[0].key == "overheated"
    said = trouble_of_run(
        kitchen, "bowl", RawTrouble(seen=["thick"], hottest=33.9, reads=31.5), 80 * MINUTE, members=48
    )
    assert said.causes[0].key != "overheated"


def test_a_bowl_that_is_not_there_is_not_guessed(kitchen: Kitchen) -> None:
    """An unknown id is a KeyError, as everywhere in the kitchen."""
    with pytest.raises(KeyError):
        trouble_of_run(kitchen, "none", RawTrouble(seen=["thick"]), 0)
