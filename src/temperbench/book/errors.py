"""What can go wrong with the book itself: its disk, its file, its server. Each error is one sentence for people."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from temperbench.foundation.errors import Unavailable

__all__ = [
    "BookBusy", "BookDamaged", "BookError", "BookFull", "BookNewer", "BookReadOnly", "BookUnreachable",
    "disk_fault", "on_disk", "translated",
]  # fmt: skip


class BookError(Unavailable):
    """The book cannot do what was asked. Nothing of it was stored, so the same entries may be sent again."""

    problem = "something went wrong with the book"
    remedy = "look at the log of the server"

    def __init__(self, place: str, detail: str = "") -> None:
        """Keep place and detail apart, so that a banner can show the sentence and a log the rest."""
        self.place = place
        self.detail = detail
        more = f" ({detail})" if detail else ""
        super().__init__(f"{place}: {self.problem}{more}, and nothing of this was stored; {self.remedy}.")


class BookFull(BookError):
    """The disk has no room left."""

    problem = "the disk is full or over its quota"
    remedy = "free some space on it, then press again"


class BookReadOnly(BookError):
    """The disk, the folder or the database may be read but not written."""

    problem = "the disk or folder can be read but not written"
    remedy = "make it writable or open the book elsewhere, then press again"


class BookBusy(BookError):
    """Another writer held the book for too long."""

    problem = "another program is writing in it for too long"
    remedy = "press again, and if it goes on look which program that is"


class BookDamaged(BookError):
    """The file is not a book, or a damaged one."""

    problem = "the file is damaged or is not a batch book"
    remedy = "keep the file as it is and restore the last backup"


class BookNewer(BookError):
    """The book was written by a later release, whose layout this one does not know."""

    problem = "it was written by a newer release of temperbench"
    remedy = "install that release here too"


class BookUnreachable(BookError):
    """The file cannot be opened, or the server does not answer."""

    problem = "it cannot be reached"
    remedy = "check that the disk is there or the database server is running, then press again"


_SQLITE: dict[int, type[BookError]] = {
    sqlite3.SQLITE_FULL: BookFull,
    sqlite3.SQLITE_READONLY: BookReadOnly,
    sqlite3.SQLITE_BUSY: BookBusy,
    sqlite3.SQLITE_LOCKED: BookBusy,
    sqlite3.SQLITE_CORRUPT: BookDamaged,
    sqlite3.SQLITE_NOTADB: BookDamaged,
}
_POSTGRES: dict[str, type[BookError]] = {  # SQLSTATE, or its class of two letters
    "53100": BookFull,
    "25006": BookReadOnly,
    "42501": BookReadOnly,  # insufficient privilege
    "40001": BookBusy,
    "40P01": BookBusy,
    "55P03": BookBusy,
    "57014": BookBusy,
    "XX": BookDamaged,
    "08": BookUnreachable,
    "53": BookUnreachable,
    "57": BookUnreachable,
    "28": BookUnreachable,
    "3D": BookUnreachable,
}
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_READ_ONLY = {errno.EROFS, errno.EACCES, errno.EPERM}


def disk_fault(path: Path) -> type[BookError]:
    """Look at the disk below a file that could not be opened or written, and tell what is wrong with it."""
    folder = path.parent
    try:
        state = os.statvfs(folder)
    except OSError:
        return BookUnreachable
    if state.f_flag & os.ST_RDONLY or not os.access(folder, os.W_OK):
        return BookReadOnly
    if path.exists() and not os.access(path, os.W_OK):
        return BookReadOnly
    room = state.f_bfree if os.geteuid() == 0 else state.f_bavail
    return BookFull if room == 0 else BookUnreachable


def _of_sqlite(error: sqlite3.Error, path: Path) -> type[BookError] | None:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the extended code keeps its kind in the low byte
    if code in {sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN}:
        fault = disk_fault(path)
        # Written, but not taken, by a disk with room: only quotas and limits on the size of a file do that.
        limited = fault is BookUnreachable and error.sqlite_errorcode == sqlite3.SQLITE_IOERR_WRITE
        return BookFull if limited else fault
    return _SQLITE.get(code)


def _of_postgres(error: BaseException, *, lost: bool) -> type[BookError] | None:
    state = getattr(error, "sqlstate", None)
    if state is None:  # the driver itself failed: no connection, or the connection broke
        return BookUnreachable if lost or type(error).__name__ == "OperationalError" else None
    return _POSTGRES.get(state) or _POSTGRES.get(state[:2])


@contextmanager
def translated(place: str, path: Path | None) -> Iterator[None]:
    """Turn what the database or the disk says inside the block into a `BookError`; let everything else pass."""
    try:
        yield
    except DBAPIError as error:
        original = error.orig
        if isinstance(original, sqlite3.Error) and path is not None:
            kind = _of_sqlite(original, path)
        else:
            kind = _of_postgres(original or error, lost=error.connection_invalidated)
        if kind is None:
            raise
        raise kind(place, " ".join(str(original).split())) from error
    except sqlite3.Error as error:
        kind = _of_sqlite(error, path) if path is not None else None
        if kind is None:
            raise
        raise kind(place, str(error)) from error
    except SQLAlchemyError as error:  # no connection free in the pool
        if type(error).__name__ != "TimeoutError":
            raise
        raise BookBusy(place) from error


@contextmanager
def on_disk(place: str) -> Iterator[None]:
    """Turn what the disk says inside the block into a `BookError` of the file ``place``; let everything else pass."""
    try:
        yield
    except OSError as error:
        if error.errno not in _FULL | _READ_ONLY:
            raise
        kind = BookFull if error.errno in _FULL else BookReadOnly
        raise kind(place, error.strerror or "") from error
