"""Kit and what was learnt of it, lots and their stock, settings: rows in and out, inside an open transaction."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, Table, func, select, update

from temperbench.book.checks import (
    Json,
    checked_currency,
    checked_id,
    checked_key,
    checked_text,
    checked_word,
    from_json,
    is_number,
    to_json,
    to_milligrams,
)  # fmt: skip
from temperbench.book.moments import checked_ms
from temperbench.book.rows import KitVersion, Lot, LotOnShelf, StockMove, Stored, Thing
from temperbench.book.runs import insert_once, mapping, next_number
from temperbench.book.tables import kit, kit_versions, lots, runs, settings, stock_moves
from temperbench.foundation.errors import InputError, OutOfRange

__all__ = [
    "add_version", "move_stock", "read_lots", "read_moves", "read_setting", "read_things", "read_versions", "save_lot",
    "save_setting", "save_thing",
]  # fmt: skip

_DEAREST = 100_000_000


def _save(connection: Connection, table: Table, row: dict[str, Any], kept: tuple[str, ...] = ()) -> bool:
    """Insert a row, or write it over the one with its key, columns ``kept`` left as they are; tell if it was new."""
    if insert_once(connection, table, row):
        return True
    key = next(iter(table.primary_key))
    changed = {name: value for name, value in row.items() if name != key.name and name not in kept}
    connection.execute(update(table).where(key == row[key.name]).values(**changed))
    return False


def _append(connection: Connection, owners: Table, table: Table, link: tuple[str, str], row: dict[str, Any]) -> Stored:
    """Append a numbered row to what an owner has, once; the same id for something else raises `InputError`."""
    owner, number = link
    found = connection.execute(select(owners.c.id).where(owners.c.id == row[owner]).with_for_update()).first()
    if found is None:
        raise InputError(owner.replace("_id", ""), row[owner], f"an id in {owners.name}", "enter it first")
    run = row["run_id"]
    if run is not None and connection.execute(select(runs.c.id).where(runs.c.id == run)).first() is None:
        raise InputError("run", run, "the id of a run in this book", "start the run first")
    row[number] = next_number(connection, table, owner, number, row[owner])
    if insert_once(connection, table, row):
        return Stored(row["id"], row[number], new=True)
    kept = connection.execute(select(table).where(table.c.id == row["id"])).one()._mapping
    if any(kept[name] != value for name, value in row.items() if name not in {number, "arrived_ms"}):
        raise InputError("id", row["id"], "an id of its own for each entry", "send it again with a new id")
    return Stored(row["id"], kept[number], new=False)


def save_thing(connection: Connection, thing: Thing, now_ms: int) -> bool:
    """Keep a thing, or its new name and state; tell whether it was new."""
    row = {
        "id": checked_id("thing", thing.id),
        "kind": checked_word("kind", thing.kind),
        "name": checked_text("name", thing.name),
        "state": checked_word("state", thing.state),
        "created_ms": checked_ms("created", thing.created_ms or now_ms),
    }
    return _save(connection, kit, row, kept=("created_ms",))


def read_things(connection: Connection, kind: str | None = None) -> list[Thing]:
    """Return the things of a kind, or all, in the order they were entered."""
    query = select(kit) if kind is None else select(kit).where(kit.c.kind == kind)
    rows = connection.execute(query.order_by(kit.c.created_ms, kit.c.id))
    return [Thing(row.id, row.kind, row.name, row.state, row.created_ms) for row in rows]


def add_version(connection: Connection, version: KitVersion, now_ms: int) -> Stored:
    """Append what was learnt about a thing."""
    row = {
        "id": checked_id("id", version.id),
        "thing_id": checked_id("thing", version.thing_id),
        "source": checked_word("source", version.source),
        "learnt": to_json("learnt", dict(version.learnt)),
        "conditions": to_json("conditions", dict(version.conditions)),
        "run_id": None if version.run_id is None else checked_id("run", version.run_id),
        "learnt_ms": checked_ms("learnt at", version.learnt_ms),
        "arrived_ms": checked_ms("arrived", now_ms),
    }
    return _append(connection, kit, kit_versions, ("thing_id", "version"), row)


def read_versions(connection: Connection, thing_id: str) -> list[KitVersion]:
    """Return all that was learnt about a thing, the oldest first."""
    query = select(kit_versions).where(kit_versions.c.thing_id == thing_id).order_by(kit_versions.c.version)
    return [_version(row) for row in connection.execute(query)]


def _version(row: Row[Any]) -> KitVersion:
    return KitVersion(
        id=row.id,
        thing_id=row.thing_id,
        learnt=mapping(row.learnt),
        conditions=mapping(row.conditions),
        learnt_ms=row.learnt_ms,
        source=row.source,
        run_id=row.run_id,
        version=row.version,
        arrived_ms=row.arrived_ms,
    )


def save_lot(connection: Connection, lot: Lot) -> bool:
    """Keep a lot, or what was corrected in it; tell whether it was new. Its stock changes by `move_stock` only."""
    if (lot.price_minor is None) != (lot.currency is None):
        raise InputError("price", lot.price_minor, "an amount with its currency, or neither", "give both")
    price = lot.price_minor
    if price is not None and not (is_number(price, int) and 0 <= price <= _DEAREST):
        raise OutOfRange("price", price, f"0 to {_DEAREST} in whole coins", "check the price of a kilogram")
    row = {
        "id": checked_id("lot", lot.id),
        "code": checked_text("lot code", lot.code, empty=True),
        "name": checked_text("name", lot.name),
        "composition": to_json("composition", dict(lot.composition)),
        "received_ms": checked_ms("received", lot.received_ms),
        "best_before_ms": None if lot.best_before_ms is None else checked_ms("best before", lot.best_before_ms),
        "allergens": to_json("allergens", [checked_text("allergen", name) for name in lot.allergens]),
        "price_minor": price,
        "currency": None if lot.currency is None else checked_currency("currency", lot.currency),
    }
    return _save(connection, lots, row)


def read_lots(connection: Connection, lot_id: str | None = None) -> list[LotOnShelf]:
    """Return all lots, or the one of this id, with what is left of each; what expires first stands first."""
    left = (
        select(func.coalesce(func.sum(stock_moves.c.milligrams), 0))
        .where(stock_moves.c.lot_id == lots.c.id)
        .scalar_subquery()
        .label("left")
    )
    query = select(lots, left) if lot_id is None else select(lots, left).where(lots.c.id == lot_id)
    undated = lots.c.best_before_ms.is_(None)
    rows = connection.execute(query.order_by(undated, lots.c.best_before_ms, lots.c.received_ms, lots.c.id))
    return [LotOnShelf(_lot(row), int(row.left) / 1000) for row in rows]


def _lot(row: Row[Any]) -> Lot:
    allergens = from_json(row.allergens)
    assert isinstance(allergens, list)
    return Lot(
        id=row.id,
        code=row.code,
        name=row.name,
        composition=mapping(row.composition),
        received_ms=row.received_ms,
        best_before_ms=row.best_before_ms,
        allergens=tuple(str(name) for name in allergens),
        price_minor=row.price_minor,
        currency=row.currency,
    )


def move_stock(connection: Connection, move: StockMove, now_ms: int) -> Stored:
    """Append a change of a lot's stock."""
    row = {
        "id": checked_id("id", move.id),
        "lot_id": checked_id("lot", move.lot_id),
        "milligrams": to_milligrams("amount", move.grams),
        "reason": checked_word("reason", move.reason),
        "run_id": None if move.run_id is None else checked_id("run", move.run_id),
        "pressed_ms": checked_ms("pressed", move.pressed_ms),
        "arrived_ms": checked_ms("arrived", now_ms),
        "device": checked_text("device", move.device, empty=True),
    }
    return _append(connection, lots, stock_moves, ("lot_id", "seq"), row)


def read_moves(connection: Connection, lot_id: str) -> list[StockMove]:
    """Return how a lot's stock changed, the oldest first."""
    query = select(stock_moves).where(stock_moves.c.lot_id == lot_id).order_by(stock_moves.c.seq)
    return [
        StockMove(
            id=row.id,
            lot_id=row.lot_id,
            grams=row.milligrams / 1000,
            reason=row.reason,
            pressed_ms=row.pressed_ms,
            device=row.device,
            run_id=row.run_id,
            seq=row.seq,
            arrived_ms=row.arrived_ms,
        )
        for row in connection.execute(query)
    ]


def save_setting(connection: Connection, key: str, value: Json, now_ms: int) -> None:
    """Keep a setting, in place of its old value."""
    row = {"key": checked_key("setting", key), "value": to_json("setting", value), "changed_ms": now_ms}
    _save(connection, settings, row)


def read_setting(connection: Connection, key: str, default: Json = None) -> Json:
    """Return a setting, or ``default`` when it was never kept."""
    text = connection.execute(select(settings.c.value).where(settings.c.key == key)).scalar()
    return default if text is None else from_json(text)
