"""The batch book: the one object through which runs, kit, lots and settings are kept and found again."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from sqlalchemy.exc import IntegrityError

from temperbench.book import copies, exports, runs, shelf
from temperbench.book.checks import Json, checked_id
from temperbench.book.errors import BookDamaged, BookError, on_disk, translated
from temperbench.book.files import checked_source, checked_target, whole_file
from temperbench.book.integrity import find_faults
from temperbench.book.moments import Clock, wall_clock
from temperbench.book.rows import (
    Entry,
    Finding,
    KitVersion,
    Lot,
    LotOnShelf,
    Run,
    StockMove,
    Stored,
    StoredEntry,
    Thing,
)  # fmt: skip
from temperbench.book.store import Store, open_store
from temperbench.foundation.errors import InputError
from temperbench.foundation.units import Second

__all__ = ["Book"]


class Book:
    """An open batch book. Threads may share it; other processes may have the same book open and write as well.

    What a method has returned is on the disk. When it raises, nothing of it was stored: `InputError` when the rows
    themselves cannot be kept, `BookError` when disk, file or server are at fault. Sending the same rows again is safe.
    """

    def __init__(self, store: Store, clock: Clock) -> None:
        """Take an open store; `Book.open` is the usual way."""
        self._store = store
        self._clock = clock

    @classmethod
    def open(
        cls, where: str | Path, clock: Clock = wall_clock, *, synchronous: str = "FULL", busy_s: Second = 10.0
    ) -> Book:
        """Open a book by the path of its file or by a PostgreSQL URL; make it, or bring it up to date, when needed.

        On a disk that can only be read an existing book opens for reading, and `read_only` says so.

        Parameters
        ----------
        where
            Path of a file on a local disk, or ``postgresql://user@host/database``.
        clock
            Tells the moment of arrival, in milliseconds since 1970, UTC.
        synchronous
            How SQLite waits for the disk: FULL keeps every receipt through a power cut, NORMAL through a crash.
        busy_s
            How long a writer waits for another before it raises `BookBusy`. [s]
        """
        return cls(open_store(where, synchronous, busy_s), clock)

    def __enter__(self) -> Book:
        """Give the book itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Close the book."""
        self.close()

    def close(self) -> None:
        """Close the book; it may be opened again."""
        self._store.close()

    @property
    def place(self) -> str:
        """Where the book is, for people; never with a password."""
        return self._store.place

    @property
    def read_only(self) -> bool:
        """Whether the book was opened on a disk that can only be read."""
        return self._store.read_only

    @property
    def fault(self) -> BookError | None:
        """Why the book cannot be written, as of the last attempt; None when that went well."""
        return self._store.fault

    # Runs and what happened in them

    def add_run(self, run: Run, moves: Sequence[StockMove] = ()) -> bool:
        """Keep a new run and what it takes from stock, and tell whether it was new: sent twice, it is kept once."""
        with self._store.writing() as connection:
            new = runs.add_run(connection, run, self._clock())
            for move in moves if new else ():
                shelf.move_stock(connection, move, self._clock())
        return new

    def append(
        self, run_id: str, rows: Sequence[Entry], state: str | None = None, moves: Sequence[StockMove] = ()
    ) -> tuple[Stored, ...]:
        """Keep what happened in a run, in this order and all or nothing, with its new state and moves of stock, if any.

        Returns a receipt for each row once all are on the disk. A row whose id is there already is not kept again;
        its receipt has the number it got then and ``new`` False.
        """
        with self._store.writing() as connection:
            receipts = runs.append(connection, run_id, rows, self._clock())
            for move in moves if any(one.new for one in receipts) else ():
                shelf.move_stock(connection, move, self._clock())
            if state is not None:
                runs.set_state(connection, run_id, state)
        return receipts

    def set_state(self, run_id: str, state: str) -> None:
        """Change the state a run is listed with."""
        with self._store.writing() as connection:
            runs.set_state(connection, run_id, state)

    def run(self, run_id: str) -> Run | None:
        """Return a run; None when there is none of this id."""
        with self._store.reading() as connection:
            return runs.read_run(connection, run_id)

    def runs(self, search: str = "", limit: int = 50, before: str | None = None, state: str | None = None) -> list[Run]:
        """Return runs, the newest first: with every word of ``search``, older than the run ``before``, in a state."""
        with self._store.reading() as connection:
            return runs.read_runs(connection, search, limit, before, state)

    def happenings(self, run_id: str, after: int = 0) -> list[StoredEntry]:
        """Return what happened in a run, in the order of arrival; with ``after`` only what has a higher number."""
        with self._store.reading() as connection:
            return runs.read_happenings(connection, run_id, after)

    def last_number(self, run_id: str) -> int:
        """Return the number of the last happening of a run, whoever wrote it; 0 when there is none."""
        with self._store.reading() as connection:
            return runs.last_number(connection, run_id)

    # Kit

    def save_thing(self, thing: Thing) -> bool:
        """Keep an oven, a bowl or a thermometer, or its new name and state; tell whether it was new."""
        with self._store.writing() as connection:
            return shelf.save_thing(connection, thing, self._clock())

    def things(self, kind: str | None = None) -> list[Thing]:
        """Return the kit of a kind, or all of it, in the order it was entered."""
        with self._store.reading() as connection:
            return shelf.read_things(connection, kind)

    def add_version(self, version: KitVersion) -> Stored:
        """Append what was learnt about a thing, with the conditions it holds for."""
        with self._store.writing() as connection:
            return shelf.add_version(connection, version, self._clock())

    def versions(self, thing_id: str) -> list[KitVersion]:
        """Return all that was learnt about a thing, the oldest first: the last one is what holds."""
        with self._store.reading() as connection:
            return shelf.read_versions(connection, thing_id)

    # Lots

    def save_lot(self, lot: Lot) -> bool:
        """Keep a lot, or what was corrected in it; tell whether it was new."""
        with self._store.writing() as connection:
            return shelf.save_lot(connection, lot)

    def lots(self) -> list[LotOnShelf]:
        """Return all lots with what is left of each; what expires first stands first."""
        with self._store.reading() as connection:
            return shelf.read_lots(connection)

    def lot(self, lot_id: str) -> LotOnShelf | None:
        """Return a lot and what is left of it; None when there is none of this id."""
        with self._store.reading() as connection:
            return next(iter(shelf.read_lots(connection, checked_id("lot", lot_id))), None)

    def move_stock(self, move: StockMove) -> Stored:
        """Append a change of a lot's stock."""
        with self._store.writing() as connection:
            return shelf.move_stock(connection, move, self._clock())

    def stock_moves(self, lot_id: str) -> list[StockMove]:
        """Return how a lot's stock changed, the oldest first."""
        with self._store.reading() as connection:
            return shelf.read_moves(connection, lot_id)

    # Settings

    def save_setting(self, key: str, value: Json) -> None:
        """Keep a setting. One whose key starts with ``secret.`` is in backups, but never in an export."""
        with self._store.writing() as connection:
            shelf.save_setting(connection, key, value, self._clock())

    def setting(self, key: str, default: Json = None) -> Json:
        """Return a setting, or ``default`` when it was never kept."""
        with self._store.reading() as connection:
            return shelf.read_setting(connection, key, default)

    # Copies and checks

    def backup(self, path: str | Path) -> Path:
        """Write a complete copy while the book is in use: of a file a SQLite file, of a server JSON lines."""
        target = checked_target(path, self._store.path)
        with translated(str(target), target), on_disk(str(target)), whole_file(target) as part:
            if self._store.path is not None and not self.read_only:
                copies.copy_file(self._store.path, part)
            else:
                with self._store.reading() as connection:
                    exports.write_jsonl(connection, part, self._clock(), secrets=True)
        return target

    def restore(self, path: str | Path, *, replace: bool = False) -> int:
        """Put a backup, of either kind, in place of all that is in this book; return the number of rows.

        The backup is checked first, and nothing changes when it is damaged. A book that is not empty is kept unless
        ``replace`` says so.
        """
        source = checked_source(path)
        with copies.backup_rows(source) as rows, self._store.writing() as connection:
            if not replace and not copies.replaceable(connection):
                raise InputError("book", self.place, "an empty book", "back it up, then restore with --replace")
            try:
                return copies.put_back(connection, rows, str(source))
            except IntegrityError as error:
                raise BookDamaged(str(source), str(error.orig)) from error

    def export_csv(self, path: str | Path, table: str = "happenings", run_id: str | None = None) -> int:
        """Write one table, of all runs or of one, for a spreadsheet; return the number of rows."""
        target = checked_target(path, self._store.path, (".csv",))
        with on_disk(str(target)), whole_file(target) as part, self._store.reading() as connection:
            return exports.write_csv(connection, part, table, run_id)

    def export_jsonl(self, path: str | Path, run_id: str | None = None) -> int:
        """Write the book without its secrets, or one run with its happenings, as JSON lines; return the rows."""
        target = checked_target(path, self._store.path, (".jsonl",))
        with on_disk(str(target)), whole_file(target) as part, self._store.reading() as connection:
            return exports.write_jsonl(connection, part, self._clock(), secrets=False, run_id=run_id)

    def check(self) -> list[Finding]:
        """Return everything that is wrong in the book; an empty list when it is sound."""
        with self._store.reading() as connection:
            return find_faults(connection)
