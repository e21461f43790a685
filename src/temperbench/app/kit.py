"""Kit and larder of a kitchen, and what was learnt about each thing, kept apart with the conditions it holds for."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from temperbench.app.kit_facts import CHECK, KINDS, best_before_ms, check_facts, usable_check
from temperbench.book import rows
from temperbench.book.book import Book
from temperbench.book.checks import Json, new_id
from temperbench.foundation.errors import InputError, one_of
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.insight.job import BowlJob
from temperbench.insight.learning import absorbed_power, widened
from temperbench.insight.live_run import LiveRun
from temperbench.insight.setup_job import Known
from temperbench.kitchen.oven import chocolate_share

__all__ = ["KitShelf", "Lot", "Thing"]

_LOT = "lot"  # each lot has a row in the kit too, for the versions of what was entered and learnt
_IN_USE, _AWAY = "in use", "put away"
_CHECKED = "checked_ms"
_DAY_MS = 86_400_000.0


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
        self._book, self._clock = book, clock

    # Things

    def kit(self, away: bool = False) -> list[Thing]:
        """Return what is in use, or what was put away, in the order it was entered."""
        return [self._thing(t) for t in self._book.things() if t.kind in KINDS and (t.state == _AWAY) is away]

    def _thing(self, thing: rows.Thing) -> Thing:
        versions = self._book.versions(thing.id)
        entered = [v for v in versions if v.source == "entered"]
        learnt = tuple(str(v.learnt["words"]) for v in versions if v.source == "run" and "words" in v.learnt)
        bias = self._bias(thing.id) if thing.kind == "thermometer" else None
        if bias is not None:
            side = "high" if bias.mid >= 0.0 else "low"
            learnt += (
                f"Reads {abs(bias.mid):.1f} °C {side} at {number('live.check_at'):.0f} °C; readings are put right.",
            )
        return Thing(thing.id, thing.kind, thing.name, dict(entered[-1].learnt) if entered else {}, learnt[-3:])

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
            row, entered = rows.Thing(id, _LOT, lot.name), rows.KitVersion("", id, lot.composition, {}, 0)
        row = dataclasses.replace(row, state=_AWAY if away else _IN_USE)
        kept, conditions = (entered.learnt, entered.conditions) if entered else ({}, {})
        checked: dict[str, Json] = {}
        if entered is not None and row.kind == "thermometer":
            checked[_CHECKED] = _checked_ms(entered)
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
        return {**kept, **{key: before.learnt[key] for key in CHECK}}, {_CHECKED: _checked_ms(before)}

    def _entered(self, id: str) -> rows.KitVersion | None:
        """Return what was entered last about a thing."""
        return next((v for v in reversed(self._book.versions(id)) if v.source == "entered"), None)

    # Lots

    def lots(self, away: bool = False) -> list[Lot]:
        """Return the lots in use, or those that were put away."""
        gone = {t.id for t in self._book.things(_LOT) if t.state == _AWAY}
        return [self._lot(s) for s in self._book.lots() if (s.lot.id in gone) is away]

    def _lot(self, shelved: rows.LotOnShelf) -> Lot:
        return Lot(shelved.lot.id, shelved.lot.name, {**shelved.lot.composition, "stock_g": shelved.stock_g})

    def save_lot(self, name: str, facts: Mapping[str, object], id: str | None) -> Lot:
        """Keep a lot and what its pack says, or a new version of one; raise `InputError` for what cannot be."""
        kept, now = check_facts("lot", facts), self._clock()
        stock = kept.pop("stock_g", None)
        row = self._row(id or new_id(now), _LOT, name)
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
            one_of("things", place, (*KINDS, _LOT))
            known = self._book.lot(id) is not None if place == _LOT else kinds.get(id) == place
            if not known:
                where = "lot in the larder" if place == _LOT else f"{place} in the kit"
                raise InputError(place, id, f"the id of a known {where}", "enter it there first, or leave it out")

    # Knowledge

    def keep_learnt(self, run: LiveRun, things: Mapping[str, object]) -> None:
        """Keep what a finished run taught about its oven, with the bowl and amount it holds for."""
        oven = things.get("oven")
        if not isinstance(oven, str) or not run.folded:
            return
        if any(one.run_id == run.run_id for one in self._book.versions(oven)):
            return
        before, after = absorbed_power(run.filter)
        words = f"about {after.mid:.0f} W ({after.low:.0f} to {after.high:.0f}) into {run.job.grams:.0f} g"
        learnt: dict[str, Json] = {"absorbed_w": [after.low, after.mid, after.high],
                  "prior_w": [before.low, before.mid, before.high],
                  "words": words}  # fmt: skip
        conditions: dict[str, Json] = {
            "bowl": str(things.get("bowl", "")),
            "grams": run.job.grams,
            "chocolate": run.job.chocolate,
        }
        now = self._clock()
        self._book.add_version(
            rows.KitVersion(new_id(now), oven, learnt, conditions, now, source="run", run_id=run.run_id)
        )

    def learnt_for(self, things: Mapping[str, str], job: BowlJob) -> dict[str, list[float]]:
        """Return what is known of these things for this job: absorbed power and thermometer bias, as spreads."""
        found: dict[str, list[float]] = {}
        power = self._power(things, job)
        if power is not None:
            found["absorbed_w"] = [power.low, power.mid, power.high]
        bias = self._bias(things.get("thermometer"))
        if bias is not None:
            found["bias_c"] = [bias.low, bias.mid, bias.high]
        return found

    def _power(self, things: Mapping[str, str], job: BowlJob) -> Spread | None:
        """The newest run of the oven: as it stands for the same bowl and amount, wider for others."""
        oven = things.get("oven")
        versions = [v for v in self._book.versions(oven) if v.source == "run"] if oven else []
        if not versions:
            return None
        newest = versions[-1]
        learnt, prior = _spread(newest.learnt["absorbed_w"]), _spread(newest.learnt["prior_w"])
        spread = widened(learnt, prior, (self._clock() - newest.learnt_ms) / _DAY_MS)
        grams = float(str(newest.conditions["grams"]))
        same_bowl = newest.conditions.get("bowl") == things.get("bowl", "")
        if same_bowl and abs(job.grams / grams - 1.0) <= number("live.same_amount"):
            return spread
        scaled = spread.scaled(chocolate_share(job.grams / 1000.0) / chocolate_share(grams / 1000.0))
        other = number("live.other_bowl")
        return Spread(scaled.low * (1.0 - other), scaled.mid, scaled.high * (1.0 + other))

    def _bias(self, thermometer: str | None) -> Spread | None:
        """Bias at working temperature from a two-point check: ice, and warm beside a reference."""
        if thermometer is None:
            return None
        entered = self._entered(thermometer)
        check = usable_check(entered.learnt) if entered else None
        if entered is None or check is None:
            return None
        ice, warm, true = check
        share = number("live.check_at") / true
        offset = ice * (1.0 - share) + (warm - true) * share
        known = number("live.check_known")
        days = (self._clock() - _checked_ms(entered)) / _DAY_MS
        return widened(Spread(offset - known, offset, offset + known), Spread(offset - 0.3, offset, offset + 0.3), days)

    def applied(self, known: Known, learnt: Mapping[str, object]) -> Known:
        """Return what is known of a job with what was learnt about its things put in."""
        setup = known.setup
        if "absorbed_w" in learnt:
            setup = dataclasses.replace(setup, delivered_w=_spread(learnt["absorbed_w"]), coupling=Spread.exact(1.0))
        if "bias_c" in learnt:
            setup = dataclasses.replace(setup, bias_c=_spread(learnt["bias_c"]))
        return dataclasses.replace(known, setup=setup)


def _spread(value: object) -> Spread:
    if not isinstance(value, list | tuple):
        raise TypeError("a spread is kept as three figures")
    low, mid, high = (float(str(v)) for v in value)
    return Spread(low, mid, high)


def _checked_ms(version: rows.KitVersion) -> int:
    """Return when the check in a version was made."""
    kept = version.conditions.get(_CHECKED)
    return kept if isinstance(kept, int) else version.learnt_ms


def _reads(facts: Mapping[str, object]) -> str:
    return str(facts.get("thermometer", "probe"))
