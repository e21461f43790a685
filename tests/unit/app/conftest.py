"""A kitchen's shelf over an empty book, and a clock that a test sets."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from temperbench.app.kit import KitShelf
from temperbench.book.book import Book

NOW = 1_773_480_413_000


class Clock:
    """Tells the time that a test sets."""

    now_ms = NOW

    def __call__(self) -> int:
        """Return the moment, UTC."""
        return self.now_ms


@pytest.fixture
def clock() -> Clock:
    """Return a clock that stands."""
    return Clock()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """Give an empty book."""
    with Book.open(tmp_path / "kitchen.book") as opened:
        yield opened


@pytest.fixture
def shelf(book: Book, clock: Clock) -> KitShelf:
    """Return kit and larder of an empty book."""
    return KitShelf(book, clock)
