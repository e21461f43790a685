"""A full or read-only disk: said in one sentence, nothing acknowledged that is not stored, nothing stored lost."""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from book_disk import report
from temperbench.book.book import Book
from temperbench.book.errors import (
    BookBusy,
    BookDamaged,
    BookError,
    BookFull,
    BookReadOnly,
    BookUnreachable,
    on_disk,
    translated,
)
from temperbench.book.rows import Entry, Run


@pytest.mark.parametrize("mount", [True, False], ids=["a disk", "a limit"])
def test_a_full_disk_takes_nothing_it_does_not_keep(tmp_path: Path, mount: bool) -> None:
    """Every receipt given before the disk was full is good, none was given after, and with room it goes on."""
    found = report("full", tmp_path, mount=mount)
    kept = found["kept"]
    assert isinstance(kept, list)
    assert 10 < len(kept) < 2000
    assert found["stored"] == kept
    assert found["went_on"] == [len(kept) + 1, True]
    assert found["faults"] == 0
    for said in (found["said"], found["again"], found["backup"]):
        assert isinstance(said, str)
        assert said.startswith("BookFull: ")
        assert said.endswith("nothing of this was stored; free some space on it, then press again.")
    assert found["left"] == []


@pytest.mark.parametrize("mount", [True, False], ids=["a disk", "a limit"])
def test_no_room_for_a_new_book(tmp_path: Path, mount: bool) -> None:
    """A disk without room for a new book is called full."""
    said = report("no room", tmp_path, mount=mount)["said"]
    assert isinstance(said, str)
    assert said.startswith("BookFull: ")


@pytest.mark.parametrize("mount", [True, False], ids=["a disk", "rights"])
def test_a_read_only_disk_can_be_read(tmp_path: Path, mount: bool) -> None:
    """A book on it opens for reading with all it holds, also after its server died, and says that it takes nothing."""
    found = report("read only", tmp_path, mount=mount)
    for name in ("shut", "died"):
        book = found[name]
        assert isinstance(book, dict)
        assert book["read_only"] is True
        assert book["stored"] == ["E1"]
        assert book["faults"] == 0
        assert book["append"].startswith("BookReadOnly: ")
        assert book["export"].startswith("BookReadOnly: ")
    assert str(found["new"]).startswith("BookReadOnly: ")


def test_a_busy_book_is_said_to_be_busy(tmp_path: Path) -> None:
    """When another program holds the book for too long the writer is told, and afterwards can write."""
    where = tmp_path / "book.sqlite"
    with Book.open(where, busy_s=0.05) as book:
        book.add_run(Run("R1", "Milk", {}))
        other = sqlite3.connect(where, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookBusy, match="another program is writing in it"):
            book.append("R1", [Entry("E1", "stir", 1)])
        assert book.happenings("R1") == []
        other.execute("ROLLBACK")
        other.close()
        assert [receipt.seq for receipt in book.append("R1", [Entry("E1", "stir", 1)])] == [1]


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        (sqlite3.SQLITE_FULL, BookFull),
        (sqlite3.SQLITE_READONLY_DBMOVED, BookReadOnly),
        (sqlite3.SQLITE_BUSY_SNAPSHOT, BookBusy),
        (sqlite3.SQLITE_CORRUPT_INDEX, BookDamaged),
        (sqlite3.SQLITE_IOERR_WRITE, BookFull),
        (sqlite3.SQLITE_IOERR_READ, BookUnreachable),
    ],
)
def test_what_sqlite_says_is_understood(tmp_path: Path, code: int, kind: type[BookError]) -> None:
    """Each fault of the disk below a running book gets its own name."""
    error = sqlite3.OperationalError("it says")
    error.sqlite_errorcode = code
    with pytest.raises(kind) as caught, translated("book.sqlite", tmp_path / "book.sqlite"):
        raise OperationalError("INSERT", {}, error)
    assert str(caught.value).startswith("book.sqlite: ")
    assert caught.value.detail == "it says"


class PostgresError(Exception):
    """What a driver raises: an error with a code of five letters."""

    def __init__(self, sqlstate: str) -> None:
        """Take the code."""
        super().__init__("it says")
        self.sqlstate = sqlstate


@pytest.mark.parametrize(
    ("state", "kind"),
    [
        ("53100", BookFull),
        ("25006", BookReadOnly),
        ("55P03", BookBusy),
        ("57P01", BookUnreachable),
        ("08006", BookUnreachable),
        ("XX001", BookDamaged),
    ],
)
def test_what_postgres_says_is_understood(state: str, kind: type[BookError]) -> None:
    """Each fault of the server's disk gets the name the same fault of a file has."""
    with pytest.raises(kind), translated("postgresql://book@/", None):
        raise OperationalError("INSERT", {}, PostgresError(state))


@pytest.mark.parametrize(("number", "kind"), [(errno.ENOSPC, BookFull), (errno.EROFS, BookReadOnly)])
def test_what_the_disk_says_of_an_export_is_understood(number: int, kind: type[BookError]) -> None:
    """A file that cannot be written for people is told like one of the book."""
    with pytest.raises(kind, match=r"^out\.csv: "), on_disk("out.csv"):
        raise OSError(number, os.strerror(number))


def test_other_errors_are_not_dressed_up(tmp_path: Path) -> None:
    """A fault of ours stays what it is."""
    with pytest.raises(ZeroDivisionError), translated("book", tmp_path), on_disk("book"):
        raise ZeroDivisionError
    with pytest.raises(FileNotFoundError), on_disk("book"):
        raise FileNotFoundError(errno.ENOENT, "gone")


def test_nobody_else_may_read_the_book(tmp_path: Path) -> None:
    """The book, its log and its backup are readable by their owner only: they hold what pairs a tablet."""
    with Book.open(tmp_path / "book.sqlite") as book:
        book.save_setting("secret.pairing", "x")
        book.backup(tmp_path / "backup.sqlite")
        assert {stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir()} == {0o600}
