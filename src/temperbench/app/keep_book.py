"""Use case: the batch book as a whole. Backup while it is in use, restoring, exports, and the integrity check."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

from temperbench.book.book import Book
from temperbench.book.exports import CSV_TABLES
from temperbench.book.files import checked_source
from temperbench.book.rows import Finding
from temperbench.book.store import used_elsewhere
from temperbench.foundation.errors import InputError, one_of

__all__ = ["BookCopy", "backup_book", "check_book", "copy_of", "export_book", "restore_book"]

_COPIES = ("backup", "lines", *CSV_TABLES)
_ENDINGS = (".csv", ".jsonl")


@dataclass(frozen=True)
class BookCopy:
    """A backup or an export, ready to be read; its file is already gone from the disk and leaves nothing behind."""

    name: str  # for a file of the person's own: letters, digits, - and a full stop
    file: BinaryIO


def _existing(where: str) -> str:
    """Return the place of a book that is there already: none is made just to be copied."""
    if "://" in where or ("\0" not in where and Path(where).expanduser().is_file()):
        return where
    raise InputError("book", where, "a batch book that is there", "say where it is with --book")


def backup_book(where: str, target: str) -> Path:
    """Write a complete copy of a book, which may be in use; never over another file.

    Parameters
    ----------
    where : str
        Path of the book or a PostgreSQL URL. [-]
    target : str
        Path of the new file. [-]

    Returns
    -------
    Path
        The new file. [-]
    """
    with Book.open(_existing(where)) as book:
        return book.backup(target)


def restore_book(where: str, source: str, *, replace: bool = False) -> int:
    """Put a backup in place of a book that nobody has open, and return the number of rows.

    Parameters
    ----------
    where : str
        Path of the book, made when it is not there, or a PostgreSQL URL. [-]
    source : str
        Path of the backup. [-]
    replace : bool
        Whether a book that holds something may be replaced. [-]

    Returns
    -------
    int
        Rows put back. [-]
    """
    backup = checked_source(source)
    if used_elsewhere(where):
        raise InputError("book", where, "a book that nobody has open", "stop the kitchen that is served from it first")
    with Book.open(where) as book:
        return book.restore(backup, replace=replace)


def export_book(where: str, target: str, table: str | None = None, run_id: str | None = None) -> int:
    """Write a table for a spreadsheet or the book as JSON lines, by the ending; return the number of rows.

    Parameters
    ----------
    where : str
        Path of the book or a PostgreSQL URL. [-]
    target : str
        Path of the new file, ending in .csv or .jsonl. [-]
    table : str | None
        Which table a CSV holds; happenings when not told. [-]
    run_id : str | None
        One run; all when not told. [-]

    Returns
    -------
    int
        Rows written. [-]
    """
    ending = Path(target.replace("\0", "")).suffix.lower()
    if ending not in _ENDINGS:
        raise InputError("file", target, f"a name ending in {' or '.join(_ENDINGS)}", "add the ending")
    if ending == ".jsonl" and table is not None:
        raise InputError("--table", table, "a table when a .csv is written", "leave it out: JSON lines hold all tables")
    with Book.open(_existing(where)) as book:
        if ending == ".csv":
            return book.export_csv(target, table or "happenings", run_id)
        return book.export_jsonl(target, run_id)


def check_book(where: str) -> list[Finding]:
    """Return everything that is wrong in a book, which may be in use; an empty list when it is sound."""
    with Book.open(_existing(where)) as book:
        return book.check()


def copy_of(book: Book, what: str, now_ms: int) -> BookCopy:
    """Return a backup or an export of an open book, to be sent on.

    Parameters
    ----------
    book : Book
        The book; it may be written meanwhile. [-]
    what : str
        "backup", "lines" for JSON lines, or the name of a table for a CSV. [-]
    now_ms : int
        Now, UTC in milliseconds, for the name. [-]

    Returns
    -------
    BookCopy
        With an open file, to be closed by whoever reads it. [-]
    """
    one_of("what", what, _COPIES)
    with tempfile.TemporaryDirectory(prefix="temperbench-") as folder:  # for its owner alone
        path = Path(folder) / ("copy.csv" if what in CSV_TABLES else "copy.jsonl")
        if what == "backup":
            book.backup(path)
        elif what == "lines":
            book.export_jsonl(path)
        else:
            book.export_csv(path, what)
        file = path.open("rb")  # stays readable when the folder goes
    in_lines = what == "lines" or (what == "backup" and file.read(1) == b"{")
    file.seek(0)
    ending = "csv" if what in CSV_TABLES else "jsonl" if in_lines else "book"
    day = datetime.fromtimestamp(now_ms / 1000, UTC)
    return BookCopy(f"kitchen-{what.replace('_', '-')}-{day:%Y-%m-%d}.{ending}", file)
