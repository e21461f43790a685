"""The integrity check: numbers without gaps, no row without its owner, JSON that reads, moments that can be."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table, func, select

from temperbench.book.checks import from_json
from temperbench.book.moments import LATEST_MS
from temperbench.book.rows import Finding
from temperbench.book.tables import JSON_COLUMNS, METADATA, MOMENT_COLUMNS, happenings, kit_versions, stock_moves

__all__ = ["find_faults"]

_NUMBERED = ((happenings, "run_id", "seq"), (kit_versions, "thing_id", "version"), (stock_moves, "lot_id", "seq"))
_ARRAYS = {"allergens"}
_ANY = {"value"}


def find_faults(connection: Connection) -> list[Finding]:
    """Return everything that is wrong in the book; an empty list when it is sound."""
    found = _file_faults(connection) if connection.dialect.name == "sqlite" else []
    for table, owner, number in _NUMBERED:
        found += _gaps(connection, table, owner, number)
    for name in JSON_COLUMNS:
        table = METADATA.tables[name]
        found += _orphans(connection, table)
        found += _cells(connection, table)
    return found


def _file_faults(connection: Connection) -> list[Finding]:
    rows = connection.exec_driver_sql("PRAGMA integrity_check").scalars()
    return [Finding("file", "", str(text)) for text in rows if text != "ok"]


def _gaps(connection: Connection, table: Table, owner: str, number: str) -> list[Finding]:
    column = table.c[number]
    query = select(table.c[owner], func.count(), func.count(column.distinct()), func.min(column), func.max(column))
    found = []
    for key, count, distinct, low, high in connection.execute(query.group_by(table.c[owner])):
        if not (low == 1 and high == count == distinct):
            found.append(Finding(table.name, str(key), f"{count} rows are numbered {low} to {high}"))
    return found


def _orphans(connection: Connection, table: Table) -> list[Finding]:
    found = []
    for key in table.foreign_keys:
        lost = key.parent.is_not(None) & key.parent.not_in(select(key.column))
        for row in connection.execute(select(table.c.id, key.parent).where(lost)):
            found.append(Finding(table.name, str(row[0]), f"there is no {row[1]} in {key.column.table.name}"))
    return found


def _cells(connection: Connection, table: Table) -> list[Finding]:
    """Look at JSON and moments as they lie there, without the checks that reading them would make."""
    texts, moments = JSON_COLUMNS[table.name], MOMENT_COLUMNS[table.name]
    key = next(iter(table.primary_key))
    query = select(key, *(table.c[name] for name in (*texts, *moments)))
    found = []
    with connection.execute(query.execution_options(yield_per=500)) as rows:
        for row in rows:
            cells = row._mapping
            faults = [f"{name} is not the JSON it should be" for name in texts if not _reads(name, cells[name])]
            faults += [f"{name} is not a moment" for name in moments if not _moment(cells[name])]
            found += [Finding(table.name, str(row[0]), fault) for fault in faults]
    return found


def _reads(name: str, text: Any) -> bool:
    try:
        value = from_json(text)
    except (TypeError, ValueError):
        return False
    return name in _ANY or isinstance(value, list if name in _ARRAYS else dict)


def _moment(value: Any) -> bool:
    return value is None or (isinstance(value, int) and 0 <= value <= LATEST_MS)
