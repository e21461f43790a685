"""Runs and what happened in them: rows in and out, inside a transaction somebody else opened."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, Table, func, or_, select, update
from sqlalchemy.dialects import postgresql, sqlite

from temperbench.book.checks import checked_id, checked_text, checked_word, folded, from_json, to_json
from temperbench.book.moments import checked_ms
from temperbench.book.rows import Entry, Run, Stored, StoredEntry
from temperbench.book.tables import happenings, runs
from temperbench.foundation.errors import InputError, OutOfRange

__all__ = [
    "add_run", "append", "insert_once", "last_number", "mapping", "next_number", "read_happenings", "read_run",
    "read_runs", "set_state",
]  # fmt: skip

_MOST = 1000  # runs on one page, and entries in one append


def insert_once(connection: Connection, table: Table, values: dict[str, Any]) -> bool:
    """Insert a row unless its primary key is there already, and tell whether it was new."""
    make = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    key = list(table.primary_key)
    statement = make(table).values(**values).on_conflict_do_nothing(index_elements=key).returning(*key)
    return connection.execute(statement).first() is not None


def next_number(connection: Connection, table: Table, owner: str, number: str, owner_id: str) -> int:
    """Return the number that follows the last one of an owner's rows. The owner must be locked."""
    last = connection.execute(select(func.max(table.c[number])).where(table.c[owner] == owner_id)).scalar()
    return int(last or 0) + 1


def mapping(text: str) -> dict[str, Any]:
    """Return a kept JSON object."""
    found = from_json(text)
    assert isinstance(found, dict)
    return found


def add_run(connection: Connection, run: Run, now_ms: int) -> bool:
    """Keep a new run and tell whether it was new; an id that stands for another run raises `InputError`."""
    title = checked_text("title", run.title)
    row = {
        "id": checked_id("run", run.id),
        "title": title,
        "found_by": folded(f"{title} {checked_text('words', run.words, 2000, empty=True)}"),
        "job": to_json("job", dict(run.job)),
        "state": checked_word("state", run.state),
        "created_ms": checked_ms("created", run.created_ms or now_ms),
    }
    if insert_once(connection, runs, row):
        return True
    kept = connection.execute(select(runs.c.title, runs.c.job).where(runs.c.id == run.id)).one()
    if (kept.title, kept.job) != (row["title"], row["job"]):
        raise InputError("run", run.id, "an id of its own for each run", "start the run again with a new id")
    return False


def set_state(connection: Connection, run_id: str, state: str) -> None:
    """Change the state a run is shown with."""
    word = checked_word("state", state)
    if connection.execute(update(runs).where(runs.c.id == run_id).values(state=word)).rowcount == 0:
        raise _no_run(run_id)


def _no_run(run_id: str) -> InputError:
    return InputError("run", run_id, "the id of a run in this book", "start the run first")


def append(connection: Connection, run_id: str, entries: Sequence[Entry], now_ms: int) -> tuple[Stored, ...]:
    """Write entries in the order given, each once, and return a receipt for each."""
    checked_id("run", run_id)
    if len(entries) > _MOST:
        raise OutOfRange("entries", len(entries), f"0 to {_MOST}", "send them in parts")
    owner = connection.execute(select(runs.c.id).where(runs.c.id == run_id).with_for_update()).first()
    if owner is None:
        raise _no_run(run_id)
    seq = next_number(connection, happenings, "run_id", "seq", run_id)
    receipts = []
    for entry in entries:
        row = _entry_row(entry) | {"run_id": run_id, "seq": seq, "arrived_ms": checked_ms("arrived", now_ms)}
        if insert_once(connection, happenings, row):
            receipts.append(Stored(entry.id, seq, new=True))
            seq += 1
        else:
            receipts.append(_known(connection, row))
    return tuple(receipts)


def _entry_row(entry: Entry) -> dict[str, Any]:
    return {
        "id": checked_id("id", entry.id),
        "kind": checked_word("kind", entry.kind),
        "pressed_ms": checked_ms("pressed", entry.pressed_ms),
        "device": checked_text("device", entry.device, empty=True),
        "payload": to_json("payload", dict(entry.payload)),
        "advice": to_json("advice", dict(entry.advice)),
    }


def _known(connection: Connection, row: dict[str, Any]) -> Stored:
    """Return the receipt of an entry that came before. The same id for something else is a fault of the device."""
    kept = connection.execute(select(happenings).where(happenings.c.id == row["id"])).one()
    if (kept.run_id, kept.kind, kept.payload) != (row["run_id"], row["kind"], row["payload"]):
        raise InputError("id", row["id"], "an id of its own for each happening", "send it again with a new id")
    return Stored(kept.id, kept.seq, new=False)


def read_happenings(connection: Connection, run_id: str, after: int = 0) -> list[StoredEntry]:
    """Return what happened in a run after a number, in the order of arrival."""
    query = select(happenings).where(happenings.c.run_id == run_id, happenings.c.seq > after)
    return [_entry(row) for row in connection.execute(query.order_by(happenings.c.seq))]


def last_number(connection: Connection, run_id: str) -> int:
    """Return the number of the last happening of a run, 0 when nothing happened yet: one look into an index."""
    last = connection.execute(select(func.max(happenings.c.seq)).where(happenings.c.run_id == run_id)).scalar()
    return int(last or 0)


def _entry(row: Row[Any]) -> StoredEntry:
    return StoredEntry(
        id=row.id,
        kind=row.kind,
        pressed_ms=row.pressed_ms,
        payload=mapping(row.payload),
        device=row.device,
        advice=mapping(row.advice),
        run_id=row.run_id,
        seq=row.seq,
        arrived_ms=row.arrived_ms,
    )


def _selected() -> Select[Any]:
    count = select(func.count()).where(happenings.c.run_id == runs.c.id).scalar_subquery().label("happenings")
    return select(runs, count)


def _run(row: Row[Any]) -> Run:
    words = row.found_by.removeprefix(folded(row.title)).strip()
    return Run(row.id, row.title, mapping(row.job), row.state, words, row.created_ms, row.happenings)


def read_run(connection: Connection, run_id: str) -> Run | None:
    """Return a run; None when there is none of this id."""
    row = connection.execute(_selected().where(runs.c.id == run_id)).first()
    return None if row is None else _run(row)


def read_runs(connection: Connection, search: str, limit: int, before: str | None, state: str | None) -> list[Run]:
    """Return runs, the newest first: those found by every word of ``search``, after the run ``before``."""
    if not 1 <= limit <= _MOST:
        raise OutOfRange("limit", limit, f"1 to {_MOST}", "ask for fewer runs at once")
    query = _selected()
    for word in folded(checked_text("search", search, empty=True)).split():
        query = query.where(runs.c.found_by.contains(word, autoescape=True))
    if state is not None:
        query = query.where(runs.c.state == state)
    if before is not None:
        last = connection.execute(select(runs.c.created_ms).where(runs.c.id == before)).scalar()
        if last is None:
            raise _no_run(before)
        older = or_(runs.c.created_ms < last, (runs.c.created_ms == last) & (runs.c.id < before))
        query = query.where(older)
    ordered = query.order_by(runs.c.created_ms.desc(), runs.c.id.desc()).limit(limit)
    return [_run(row) for row in connection.execute(ordered)]
