"""Backup while the book is in use, and restoring one: all of it or nothing."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from temperbench.book.checks import to_json
from temperbench.book.errors import BookDamaged, BookError, BookNewer
from temperbench.book.exports import FORMAT, ordered_rows
from temperbench.book.integrity import find_faults
from temperbench.book.migrate import newest, steps
from temperbench.book.store import open_store
from temperbench.book.tables import JSON_COLUMNS, METADATA
from temperbench.foundation.errors import InputError

__all__ = ["Rows", "backup_rows", "copy_file", "put_back", "replaceable"]

Rows = Iterator[tuple[str, dict[str, Any]]]  # name of the table, row as stored
_MAGIC = b"SQLite format 3\0"
_AT_ONCE = 200
_WAIT_S = 30
# Columns that a backup of an older layout lacks, with what they are for its rows.
_LATER: dict[str, dict[str, dict[str, Any]]] = {"b001": {"happenings": {"advice": {}}}}


def copy_file(book: Path, target: Path) -> None:
    """Copy a SQLite book in use into ``target``: one state of it, in one file, checked."""
    with (
        closing(sqlite3.connect(book, timeout=_WAIT_S)) as source,
        closing(sqlite3.connect(target, isolation_level=None)) as copy,
    ):
        source.backup(copy)  # in one step: writers go on in the log meanwhile
        copy.execute("PRAGMA journal_mode=DELETE")
        verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
    if verdict != "ok":
        raise BookDamaged(str(book), verdict)


@contextmanager
def backup_rows(path: Path) -> Iterator[Rows]:
    """Give the rows of a backup, a SQLite file or JSON lines, owners before what belongs to them."""
    with path.open("rb") as file:
        magic = file.read(len(_MAGIC))
    if magic == _MAGIC:
        with tempfile.TemporaryDirectory() as folder:  # a copy, as it may have to be brought up to date
            yield _of_file(path, Path(folder) / "copy.sqlite")
    else:
        yield _of_lines(path)


def _of_file(path: Path, copy: Path) -> Rows:
    for ending in ("", "-wal"):
        beside = path.with_name(path.name + ending)
        if beside.exists():
            shutil.copyfile(beside, copy.with_name(copy.name + ending))
    try:
        store = open_store(copy, "OFF", _WAIT_S, fresh=False)
        try:
            with store.reading() as connection:
                for name in JSON_COLUMNS:
                    with ordered_rows(connection, METADATA.tables[name]) as rows:
                        for row in rows:
                            yield name, row
        finally:
            store.close()
    except BookError as error:  # told of the backup, not of our copy
        raise type(error)(str(path), error.detail) from error


def _of_lines(path: Path) -> Rows:
    place = str(path)
    with path.open(encoding="utf-8") as file:
        try:
            head = json.loads(next(file))
            if head["temperbench_book"] != FORMAT or head["revision"] not in {step.revision for step in steps()}:
                raise BookNewer(place, f"revision {head['revision']}")
            if head["whole"] is not True:
                raise InputError("file", path.name, "a backup", "an export leaves things out: take a backup instead")
            later = {} if head["revision"] == newest() else _LATER[head["revision"]]
            count = 0
            for line in file:
                found = json.loads(line)
                if "end" in found:
                    break
                yield found["table"], _as_stored(found["table"], {**later.get(found["table"], {}), **found["row"]})
                count += 1
            if found.get("rows") != count or file.read(1):
                raise BookDamaged(place, f"{count} rows, but its last line does not say so")
        except (KeyError, TypeError, ValueError, StopIteration, UnboundLocalError) as error:
            if isinstance(error, InputError):
                raise
            raise BookDamaged(place, "a line is not one of a backup") from error


def _as_stored(name: str, row: dict[str, Any]) -> dict[str, Any]:
    if set(row) != set(METADATA.tables[name].c.keys()):
        raise KeyError(name)
    return row | {column: to_json(column, row[column]) for column in JSON_COLUMNS[name]}


def replaceable(connection: Connection) -> bool:
    """Tell whether the book holds nothing yet that restoring would take away."""
    tables = [METADATA.tables[name] for name in JSON_COLUMNS if name != "settings"]
    return not any(connection.execute(select(func.count()).select_from(table)).scalar() for table in tables)


def put_back(connection: Connection, rows: Rows, place: str) -> int:
    """Put the rows of a backup in place of all there is, check the book, and return their number."""
    for name in reversed(JSON_COLUMNS):
        connection.execute(delete(METADATA.tables[name]))
    waiting: list[dict[str, Any]] = []
    count, last = 0, ""
    for name, row in rows:
        if waiting and (name != last or len(waiting) == _AT_ONCE):
            connection.execute(insert(METADATA.tables[last]), waiting)
            waiting = []
        waiting.append(row)
        count, last = count + 1, name
    if waiting:
        connection.execute(insert(METADATA.tables[last]), waiting)
    faults = find_faults(connection)
    if faults:
        first = faults[0]
        raise BookDamaged(place, f"{len(faults)} faults, the first in {first.table} {first.id}: {first.text}")
    return count
