"""Kit and larder of a kitchen, and what was learnt about each thing, kept apart with the conditions it holds for."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from temperbench.app.job_fields import FIELDS
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

_KINDS = ("oven", "bowl", "thermometer")
_CHECK_FACTS = ("ice_c", "warm_c", "reference_c")
_LOT_FACTS = ("lot", "best_before", "stock_g")
_JOB_KEYS = tuple(f.key for f in FIELDS)
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

    def kit(self) -> list[Thing]:
        """Return every thing, in the order it was entered."""
        return [self._thing(t) for t in self._book.things()]

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
        """Keep a thing and its facts; raise `InputError` for what cannot be."""
        one_of("kind", kind, _KINDS)
        kept = _facts(facts, (*_JOB_KEYS, *_CHECK_FACTS))
        now = self._clock()
        thing = rows.Thing(id or new_id(now), kind, name)
        self._book.save_thing(thing)
        self._book.add_version(rows.KitVersion(new_id(now), thing.id, kept, {}, now))
        return self._thing(thing)

    # Lots

    def lots(self) -> list[Lot]:
        """Return every lot."""
        return [Lot(s.lot.id, s.lot.name, {**s.lot.composition, "stock_g": s.stock_g}) for s in self._book.lots()]

    def save_lot(self, name: str, facts: Mapping[str, object], id: str | None) -> Lot:
        """Keep a lot and what its pack says; raise `InputError` for what cannot be."""
        kept = _facts(facts, (*_JOB_KEYS, *_LOT_FACTS))
        now = self._clock()
        lot_id = id or new_id(now)
        before = self._book.lot(lot_id)
        stock = kept.pop("stock_g", None)
        self._book.save_lot(
            rows.Lot(lot_id, str(kept.get("lot", "")) or name, name, kept, before.lot.received_ms if before else now)
        )
        if isinstance(stock, int | float):
            change = float(stock) - (before.stock_g if before else 0.0)
            if change:
                reason = "counted" if before else "received"
                self._book.move_stock(rows.StockMove(new_id(now), lot_id, change, reason, now))
        return next(lot for lot in self.lots() if lot.id == lot_id)

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
        entered = [v for v in self._book.versions(thermometer) if v.source == "entered"]
        facts = dict(entered[-1].learnt) if entered else {}
        if not all(isinstance(facts.get(k), int | float) for k in _CHECK_FACTS):
            return None
        ice, warm, true = (float(str(facts[k])) for k in _CHECK_FACTS)
        share = number("live.check_at") / true
        offset = ice * (1.0 - share) + (warm - true) * share
        known = number("live.check_known")
        days = (self._clock() - entered[-1].learnt_ms) / _DAY_MS
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


def _facts(facts: Mapping[str, object], known: tuple[str, ...]) -> dict[str, Json]:
    kept: dict[str, Json] = {}
    for key, value in facts.items():
        if key not in known:
            raise InputError(key, str(value), ", ".join(known), "leave it out")
        if value is not None and not isinstance(value, str | int | float | bool):
            raise InputError(key, str(value), "text, a number, or yes or no", "write it plainly")
        kept[key] = value
    return kept
