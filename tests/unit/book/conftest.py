"""Books for the tests: each test that asks for ``book`` runs on SQLite and on PostgreSQL."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from book_postgres import NoServer, new_schema, server
from temperbench.book.book import Book

START_MS = 1_790_000_000_000


@pytest.fixture(scope="session")
def postgres() -> Iterator[Callable[[], str]]:
    """Give what makes an empty schema and returns its URL. No server: CI fails, elsewhere the test says why."""
    numbers = count(1)
    try:
        with server() as folder:
            yield lambda: new_schema(folder, f"book{next(numbers)}")
    except NoServer as error:
        said = f"PostgreSQL was NOT tested: {error}"
        if os.environ.get("CI"):
            pytest.fail(said)
        pytest.skip(said)


@pytest.fixture
def ticks() -> Callable[[], int]:
    """Give a clock that is a second later each time it is asked."""
    return count(START_MS, 1000).__next__


@pytest.fixture(params=["sqlite", "postgres"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Give the place of a book that is not there yet."""
    if request.param == "sqlite":
        return str(tmp_path / "book.sqlite")
    place: str = request.getfixturevalue("postgres")()
    return place


@pytest.fixture
def book(where: str, ticks: Callable[[], int]) -> Iterator[Book]:
    """Give an empty book."""
    with Book.open(where, ticks, synchronous="OFF") as opened:
        yield opened


@pytest.fixture
def file_book(tmp_path: Path, ticks: Callable[[], int]) -> Iterator[Book]:
    """Give an empty book in a file, for what is decided before any database is asked."""
    with Book.open(tmp_path / "file.sqlite", ticks, synchronous="OFF") as opened:
        yield opened
