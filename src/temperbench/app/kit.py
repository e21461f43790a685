"""Kit and larder of a kitchen, and what was learnt about each thing, kept apart with the conditions it holds for."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from temperbench.app.kit_facts import CHECK, KINDS, best_before_ms, check_facts, usable_check
from temperbench.app.knowledge import LOT, Knowledge, checked_ms, last_entered
from temperbench.book import rows
from temperbench.book.book import Book
from temperbench.book.checks import Json, new_id
from temperbench.foundation.errors import InputError, one_of
from temperbench.foundation.evidence import number

__all__ = ["KitShelf", "Lot", "Thing"]

_IN_USE, _AWAY = "in use", "put away"
_CHECKED = "checked_ms"


@dataclass(frozen=True)
class Thing:
    """An oven, a bowl or a thermometer, with what was entered and what runs have shown."""

    id: str
    kind: str
    name: str
    facts: Mapping[str, object]
    learnt: tuple[str, ...] = ()


@dataclass(frozen=True)
class Lot:
    """A lot of chocolate."""

    id: str
    name: str
    facts: Mapping[str, object]
    learnt: tuple[str, ...] = ()


class KitShelf:
    """Keeps things, lots and knowledge in the book."""

    def __init__(self, book: Book, clock: Callable[[], int]) -> None:
        """Take the open book and a clock (UTC ms)."""
        self._book, self._clock, self.knowledge = book, clock, Knowledge(book, clock)

    # Things

    def kit(self, away: bool = False) -> list[Thing]:
        """Return what is in use, or what was put away, in the order it was entered."""
        return [self._thing(t) for t in self._book.things() if t.kind in KINDS and (t.state == _AWAY) is away]

    def _thing(self, thing: rows.Thing) -> Thing:
        entered = self._entered(thing.id)
        learnt = self.knowledge.lines(thing.id, thing.kind)
        bias = self.knowledge.bias(thing.id) if thing.kind == "thermometer" else None
        if bias is not None:
            side = "high" if bias.mid >= 0.0 else "low"
            at = number("live.check_at")
            learnt += (f"Reads {abs(bias.mid):.1f} °C {side} at {at:.0f} °C; readings are put right.",)
        return Thing(thing.id, thing.kind, thing.name, dict(entered.learnt) if entered else {}, learnt)

    def save_thing(self, kind: str, name: str, facts: Mapping[str, object], id: str | None) -> Thing:
        """Keep a thing and its facts, or a new version of one; raise `InputError` for what cannot be.

        Readings of a check are a check made now; without them a thermometer keeps the one it has.
        """
        one_of("kind", kind, KINDS)
        kept, now = check_facts(kind, facts), self._clock()
        thing = self._row(id or new_id(now), kind, name)
        conditions: dict[str, Json] = {}
        if kind == "thermometer":
            kept, conditions = self._with_check(thing.id, kept, now)
        self._keep_version(thing, kept, conditions, now)
        return self._thing(thing)

    def _row(self, id: str, kind: str, name: str) -> rows.Thing:
        """Return the row of a thing, in the state it is in; refuse an id that belongs to something else."""
        before = next((one for one in self._book.things() if one.id == id), None)
        if before is not None and before.kind != kind:
            taken = f"an id that is not yet that of another {before.kind}"
            raise InputError("id", id, taken, "leave it out to enter something new")
        return rows.Thing(id, kind, name, before.state if before else _IN_USE)

    def put_away(self, id: str, away: bool = True) -> None:
        """Put a thing or a lot away, or take it back; raise `KeyError` for an unknown id. What is known of it stays."""
        row = next((one for one in self._book.things() if one.id == id), None)
        entered = self._entered(id) if row else None
        if row is None:
            lot = next((one.lot for one in self._book.lots() if one.lot.id == id), None)
            if lot is None:
                raise KeyError(id)
            row, entered = rows.Thing(id, LOT, lot.name), rows.KitVersion("", id, lot.composition, {}, 0)
        row = dataclasses.replace(row, state=_AWAY if away else _IN_USE)
        kept, conditions = (entered.learnt, entered.conditions) if entered else ({}, {})
        checked: dict[str, Json] = {}
        if entered is not None and row.kind == "thermometer":
            checked[_CHECKED] = checked_ms(entered)
        self._keep_version(row, kept, {**conditions, **checked}, self._clock())

    def _keep_version(
        self, thing: rows.Thing, kept: Mapping[str, Json], conditions: Mapping[str, Json], now: int
    ) -> None:  # fmt: skip
        """Keep how a thing is now, and that it was entered so: nothing that was entered before is lost."""
        self._book.save_thing(thing)
        said: dict[str, Json] = {**conditions, "name": thing.name, "state": thing.state}
        self._book.add_version(rows.KitVersion(new_id(now), thing.id, kept, said, now))

    def _with_check(self, id: str, kept: dict[str, Json], now: int) -> tuple[dict[str, Json], dict[str, Json]]:
        """Return the facts of a thermometer with its check, and when that was made."""
        if CHECK[0] in kept:
            return kept, {_CHECKED: now}
        before = self._entered(id)
        if before is None or usable_check(before.learnt) is None or _reads(before.learnt) != _reads(kept):
            return kept, {}
        return {**kept, **{key: before.learnt[key] for key in CHECK}}, {_CHECKED: checked_ms(before)}

    def _entered(self, id: str) -> rows.KitVersion | None:
        """Return what was entered last about a thing."""
        return last_entered(self._book.versions(id))

    # Lots

    def lots(self, away: bool = False) -> list[Lot]:
        """Return the lots in use, or those that were put away."""
        gone = {t.id for t in self._book.things(LOT) if t.state == _AWAY}
        return [self._lot(s) for s in self._book.lots() if (s.lot.id in gone) is away]

    def _lot(self, shelved: rows.LotOnShelf) -> Lot:
        return Lot(shelved.lot.id, shelved.lot.name, {**shelved.lot.composition, "stock_g": shelved.stock_g},
                   self.knowledge.lines(shelved.lot.id, LOT))  # fmt: skip

    def save_lot(self, name: str, facts: Mapping[str, object], id: str | None) -> Lot:
        """Keep a lot and what its pack says, or a new version of one; raise `InputError` for what cannot be."""
        kept, now = check_facts("lot", facts), self._clock()
        stock = kept.pop("stock_g", None)
        row = self._row(id or new_id(now), LOT, name)
        before = self._book.lot(row.id)
        code = str(kept.get("lot", "")) or name
        received = before.lot.received_ms if before else now
        self._book.save_lot(rows.Lot(row.id, code, name, kept, received, best_before_ms(kept)))
        self._keep_version(row, kept, {}, now)
        if isinstance(stock, int | float):
            change = float(stock) - (before.stock_g if before else 0.0)
            if change:
                reason = "counted" if before else "received"
                self._book.move_stock(rows.StockMove(new_id(now), row.id, change, reason, now))
        found = self._book.lot(row.id)
        assert found is not None
        return self._lot(found)

    # What a bowl uses

    def check_things(self, things: Mapping[str, str]) -> None:
        """Raise `InputError` for an oven, a bowl, a thermometer or a lot that is not there."""
        kinds = {one.id: one.kind for one in self._book.things()} if things else {}
        for place, id in things.items():
            one_of("things", place, (*KINDS, LOT))
            known = self._book.lot(id) is not None if place == LOT else kinds.get(id) == place
            if not known:
                where = "lot in the larder" if place == LOT else f"{place} in the kit"
                raise InputError(place, id, f"the id of a known {where}", "enter it there first, or leave it out")


def _reads(facts: Mapping[str, object]) -> str:
    return str(facts.get("thermometer", "probe"))
