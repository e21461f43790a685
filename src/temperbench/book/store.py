"""The database below the book: opens it, sets it up for durability, and gives transactions to read or write in."""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool, QueuePool

from temperbench.book.errors import BookError, BookReadOnly, BookUnreachable, disk_fault, on_disk, translated
from temperbench.book.migrate import needs_upgrade, upgrade
from temperbench.foundation.errors import InputError, one_of
from temperbench.foundation.units import Second

__all__ = ["SYNCHRONOUS", "Store", "open_store", "used_elsewhere"]

SYNCHRONOUS = ("EXTRA", "FULL", "NORMAL", "OFF")
_READS = "book_reads"
_NAME = "temperbench"  # of our sessions at a PostgreSQL server
_OTHERS = text(
    "SELECT count(*) FROM pg_stat_activity"
    " WHERE datname = current_database() AND application_name = :name AND pid <> pg_backend_pid()"
)
_POOL = {"pool_size": 8, "max_overflow": 40}  # a web server runs up to 40 threads


@dataclass
class Store:
    """An open database."""

    place: str  # for people; never with a password
    path: Path | None  # the file, when there is one
    writer: Engine
    reader: Engine
    read_only: bool = False
    fault: BookError | None = None  # of the last attempt to write
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a transaction that sees one state of the book from its first read to its end."""
        with translated(self.place, self.path), self.reader.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a transaction that is on the disk when the block ends without an error, and nowhere when not."""
        try:
            if self.read_only:
                raise BookReadOnly(self.place)
            with self._lock, translated(self.place, self.path), self.writer.begin() as connection:
                yield connection
        except BookError as fault:
            self.fault = fault
            raise
        self.fault = None

    def close(self) -> None:
        """Close all connections. A writer in the middle of its work finishes first."""
        with self._lock:
            self.writer.dispose()


def open_store(where: str | Path, synchronous: str, busy_s: Second, *, fresh: bool = True) -> Store:
    """Open a SQLite file by path or a PostgreSQL database by URL, and bring its layout up to date.

    Parameters
    ----------
    where
        Path of the file, made when it is not there, or ``postgresql://…``.
    synchronous
        How SQLite waits for the disk, one of `SYNCHRONOUS`.
    busy_s
        How long to wait for another writer. [s]
    fresh
        Whether an empty database may be laid out as a new book.
    """
    one_of("synchronous", synchronous, SYNCHRONOUS)
    place = str(where)
    if "://" in place:
        return _ready(_open_server(place, busy_s), fresh)
    if not place or "\0" in place or place == ":memory:":
        raise InputError("book", place, "the path of a file or a postgresql:// URL", "name a file on a local disk")
    return _ready(_open_file(Path(place).expanduser().absolute(), synchronous, busy_s), fresh)


def _server_url(given: str) -> URL:
    allowed = "the path of a file or postgresql://user@host/database"
    try:
        url = make_url(given)
    except (ArgumentError, ValueError):
        raise InputError("book", given.split("://", maxsplit=1)[0] + "://…", allowed, "correct the URL") from None
    if url.drivername not in {"postgresql", "postgres", "postgresql+psycopg"}:
        raise InputError("book", url.render_as_string(), allowed, "name a file or a PostgreSQL database")
    if find_spec("psycopg") is None:
        raise InputError("book", url.render_as_string(), allowed, "install the driver: temperbench[postgres]")
    return url.set(drivername="postgresql+psycopg")


def _open_server(where: str, busy_s: Second) -> Store:
    url = _server_url(where)
    options = f"-c lock_timeout={round(busy_s * 1000)} -c application_name={_NAME}"
    asked = url.query.get("options", "")
    given = " ".join([asked] if isinstance(asked, str) else asked)
    writer = create_engine(
        url,
        connect_args={"options": f"{options} {given}".strip(), "connect_timeout": max(2, round(busy_s))},
        pool_pre_ping=True,
        **_POOL,
    )
    reader = writer.execution_options(isolation_level="REPEATABLE READ")
    place = url.set(drivername="postgresql", query={}).render_as_string(hide_password=True)
    return Store(place, None, writer, reader)


def _open_file(path: Path, synchronous: str, busy_s: Second) -> Store:
    place = str(path)
    if path.is_dir():
        raise InputError("book", place, "the path of a file", "name a file inside this folder")
    if not path.parent.is_dir():
        raise BookUnreachable(place, f"there is no folder {path.parent}")
    only = disk_fault(path) is BookReadOnly
    if only and not path.exists():
        raise BookReadOnly(place)
    if not only:
        with translated(place, path), on_disk(place):
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))  # nobody else's: it holds what pairs a tablet
            _into_wal(path, place, busy_s)
    connect = _read_only_connector(path, busy_s) if only else _connector(path, synchronous, busy_s)
    writer = create_engine("sqlite+pysqlite://", creator=connect, poolclass=QueuePool, **_POOL)
    reader = writer.execution_options(**{_READS: True})

    @event.listens_for(writer, "begin")
    def begin(connection: Connection) -> None:
        reads = only or connection.get_execution_options().get(_READS)
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return Store(place, path, writer, reader, only, BookReadOnly(place) if only else None)


def used_elsewhere(where: str | Path) -> bool:
    """Tell whether anyone has a book open, in this process or another; ask before opening it.

    Whoever has a SQLite book open holds a lock that keeps its write-ahead log in place. At a PostgreSQL server it is
    any other session of ours in the same database, as far as this user may see it.
    """
    if "://" in str(where):
        url = _server_url(str(where))
        place = url.set(drivername="postgresql", query={}).render_as_string(hide_password=True)
        with translated(place, None), create_engine(url, poolclass=NullPool).connect() as session:
            return bool(session.execute(_OTHERS, {"name": _NAME}).scalar())
    if "\0" in str(where):
        return False  # said when it is opened
    path = Path(where).expanduser().absolute()
    if not path.is_file():
        return False
    with translated(str(path), path), closing(sqlite3.connect(path, timeout=0.0, isolation_level=None)) as session:
        if session.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            return False
        try:
            session.execute("PRAGMA journal_mode=DELETE")  # the next opening puts it back
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF not in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
                raise
            return True
    return False


def _into_wal(path: Path, place: str, busy_s: Second) -> None:
    """Switch the file to a write-ahead log; SQLite does not wait for others here, so we do."""
    until = time.monotonic() + busy_s
    with closing(sqlite3.connect(path, timeout=busy_s, isolation_level=None)) as connection:
        while True:
            try:
                mode = connection.execute("PRAGMA journal_mode").fetchone()[0]
                if mode != "wal":
                    mode = connection.execute("PRAGMA journal_mode=WAL").fetchone()[0]
                break
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                    raise
                time.sleep(0.01)
    if mode != "wal":
        raise BookUnreachable(place, "this disk cannot keep a write-ahead log; a book needs a local disk")


def _connector(path: Path, synchronous: str, busy_s: Second) -> Callable[[], sqlite3.Connection]:
    def connect() -> sqlite3.Connection:
        # No isolation level: the driver starts no transaction by itself, ours begin as `begin` says.
        connection = sqlite3.connect(path, timeout=busy_s, isolation_level=None, check_same_thread=False)
        try:
            connection.execute("PRAGMA foreign_keys=ON")
            connection.execute(f"PRAGMA synchronous={synchronous}")
        except BaseException:
            connection.close()
            raise
        return connection

    return connect


def _read_only_connector(path: Path, busy_s: Second) -> Callable[[], sqlite3.Connection]:
    """Connect without writing a byte. What still stands in the log is read too, unless there is none to read."""
    log = path.with_name(f"{path.name}-wal")
    still = "" if log.exists() and log.stat().st_size else "&immutable=1"
    uri = f"file:{quote(str(path))}?mode=ro{still}"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(uri, uri=True, timeout=busy_s, isolation_level=None, check_same_thread=False)

    return connect


def _ready(store: Store, fresh: bool) -> Store:
    """Bring the layout up to date and give the store back; close it when that fails."""
    try:
        with store.reading() as connection:
            behind = needs_upgrade(connection, store.place, fresh=fresh)
        if behind:
            _upgrade(store)
    except BaseException:
        store.close()
        raise
    return store


def _upgrade(store: Store) -> None:
    if store.read_only:
        raise BookReadOnly(store.place, "its layout is older than this release and has to be rewritten")
    with translated(store.place, store.path), store.writer.connect() as connection:
        if store.path is not None:  # tables may be made anew: what points at them is checked at the end
            connection.connection.cursor().execute("PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                upgrade(connection, store.place)
        finally:
            if store.path is not None:
                connection.connection.cursor().execute("PRAGMA foreign_keys=ON")
