"""What runs taught about ovens, bowls and lots, and checks about thermometers: kept with its conditions, and used."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime

from temperbench.app.kit_facts import usable_check
from temperbench.book import rows
from temperbench.book.book import Book
from temperbench.book.checks import Json, new_id
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.insight.job import BowlJob
from temperbench.insight.learning import (
    OF_BOWL,
    OF_CHOCOLATE,
    Taught,
    absorbed_ends,
    as_ends,
    band_of,
    carried,
    power_band,
    taught_by,
    widened,
    words_of,
)  # fmt: skip
from temperbench.insight.learnt import FIGURES, Learnt
from temperbench.insight.live_run import LiveRun
from temperbench.insight.setup_job import know, power_of
from temperbench.kitchen.setup import Setup

__all__ = ["LOT", "Knowledge", "checked_ms", "last_entered", "learnt_of", "stored"]

LOT = "lot"  # each lot has a row in the kit too, for the versions of what was entered and learnt
_OWN = {"oven": ("absorbed_w",), "bowl": OF_BOWL, LOT: OF_CHOCOLATE}
_POWER, _BOWL, _MATERIAL, _GRAMS, _CHOCOLATE = "absorbed_w", "bowl", "material", "grams", "chocolate"
_DAY_MS = 86_400_000.0
_SHOWN = 3


def stored(learnt: Learnt) -> dict[str, Json]:
    """Return what is known of a bowl's things as its run keeps it."""
    kept: dict[str, Json] = {"holds": [*learnt.holds]} if learnt.holds else {}
    for name in FIGURES:
        spread = getattr(learnt, name)
        if spread is not None:
            kept[name] = _three(spread)
    return kept


def learnt_of(kept: Mapping[str, object]) -> Learnt:
    """Return what was known of a bowl's things when it started, from what its run kept."""
    holds = kept.get("holds")
    figures = {name: _spread(kept[name]) for name in FIGURES if name in kept}
    return Learnt(**figures, holds=tuple(str(line) for line in holds) if isinstance(holds, list) else ())


def last_entered(versions: list[rows.KitVersion]) -> rows.KitVersion | None:
    """Return what was entered last."""
    return next((v for v in reversed(versions) if v.source == "entered"), None)


def checked_ms(version: rows.KitVersion) -> int:
    """Return when the check in a version of a thermometer was made."""
    kept = version.conditions.get("checked_ms")
    return kept if isinstance(kept, int) else version.learnt_ms


class Knowledge:
    """What is learnt, in the book: appended, never written over."""

    def __init__(self, book: Book, clock: Callable[[], int]) -> None:
        """Take the open book and a clock (UTC ms)."""
        self._book, self._clock = book, clock

    # Kept

    def keep(self, run: LiveRun, things: Mapping[str, object]) -> None:
        """Keep what a finished run taught about its oven, its bowl and its lot, each apart, with the conditions.

        The same run again, finished once more with more or with less, is a new version and the one that counts.
        """
        if not run.folded:
            return
        found, where = taught_by(run.filter), self._conditions(run, things)
        for kind, names in _OWN.items():
            id = things.get(kind)
            told = {name: found[name] for name in names if name in found}
            if not isinstance(id, str) or (kind == LOT and not self._is_of(id, run.job.chocolate)):
                continue
            if (told or kind != "oven") and self._has_row(id, kind):
                self._append(id, run, self._kept(kind, told, where, _day(run.started_ms)), where)

    def _conditions(self, run: LiveRun, things: Mapping[str, object]) -> dict[str, Json]:
        bowl = str(things.get("bowl", ""))
        return {_BOWL: bowl, _MATERIAL: run.known.bowl.material, _GRAMS: run.job.grams, _CHOCOLATE: run.job.chocolate}

    def _is_of(self, lot: str, chocolate: str) -> bool:
        """Tell whether a lot is of this kind of chocolate: a bowl of milk chocolate says nothing of a dark lot."""
        found = next((one.lot for one in self._book.lots() if one.lot.id == lot), None)
        return found is not None and found.composition.get("chocolate") == chocolate

    def _has_row(self, id: str, kind: str) -> bool:
        """Tell whether a thing is there; a lot of an old book gets its row in the kit now."""
        if any(one.id == id and one.kind == kind for one in self._book.things()):
            return True
        lot = next((one.lot for one in self._book.lots() if one.lot.id == id), None) if kind == LOT else None
        if lot is None:
            return False
        return self._book.save_thing(rows.Thing(id, LOT, lot.name))

    def _kept(self, kind: str, told: Mapping[str, Taught], where: Mapping[str, Json], day: str) -> dict[str, Json]:
        counting = {name: one for name, one in told.items() if one.counts}
        kept: dict[str, Json] = {name: _three(one.after) for name, one in counting.items()}
        kept |= {_PRIOR.get(name, f"prior_{name}"): _three(one.before) for name, one in counting.items()}
        if not counting:
            words = f"The bowl of {day} taught nothing more of it."
        elif kind == "oven":
            after = counting[_POWER].after
            load = f"{_figure(where[_GRAMS]):.0f} g {where[_CHOCOLATE]}"
            words = f"About {_watts(after)} into {self._bowl_name(where)} with {load}, bowl of {day}."
        else:
            words = f"{'. '.join(words_of(name, one.after) for name, one in counting.items())}; bowl of {day}."
        return {**kept, "words": words}

    def _bowl_name(self, where: Mapping[str, Json]) -> str:
        named = {one.id: f"“{one.name}”" for one in self._book.things("bowl")}
        return named.get(str(where.get(_BOWL)), f"a {where.get(_MATERIAL, '')} bowl".replace("a  ", "a "))

    def _append(self, id: str, run: LiveRun, learnt: dict[str, Json], where: dict[str, Json]) -> None:
        before = [v for v in self._book.versions(id) if v.run_id == run.run_id]
        if before and dict(before[-1].learnt) == learnt and dict(before[-1].conditions) == where:
            return
        now = self._clock()
        self._book.add_version(rows.KitVersion(new_id(now), id, learnt, where, now, source="run", run_id=run.run_id))

    # Shown

    def lines(self, id: str, kind: str) -> tuple[str, ...]:
        """Return what is known of a thing in plain words, the newest last."""
        runs = [v for v in self._runs(id) if "words" in v.learnt]
        known = [v for v in runs if any(name in v.learnt for name in _OWN.get(kind, ()))]
        shown: list[rows.KitVersion] = []
        for one in known:
            if kind == "oven" and any(_alike(one.conditions, other.conditions) for other in shown):
                continue
            shown.append(one)
        least = shown[: _SHOWN if kind == "oven" else 1] or runs[:1]
        return tuple(str(v.learnt["words"]) for v in reversed(least))

    def _runs(self, id: str) -> Iterator[rows.KitVersion]:
        """Return what runs taught of a thing, the newest first; of a run finished twice what it taught last."""
        seen: set[str | None] = set()
        for version in reversed(self._book.versions(id)):
            if version.source == "run" and version.run_id not in seen:
                seen.add(version.run_id)
                yield version

    # Used

    def of(self, things: Mapping[str, str], job: BowlJob) -> Learnt:
        """Return what is known of these things for this job, as old as it is by now."""
        first = know(job).setup
        figures: dict[str, Spread] = {}
        holds: list[str] = []
        power = self._power(things, job) if job.method == "microwave" and "oven" in things else None
        if power is not None:
            figures[_POWER] = power[0]
            holds.append(power[1])
        for kind, names in _OWN.items():
            if kind in things and (kind == "bowl" or (kind == LOT and self._is_of(things[kind], job.chocolate))):
                self._own(things[kind], names, first, figures, holds)
        bias = self.bias(things.get("thermometer"))
        if bias is not None:
            figures["bias_c"] = bias
            side = "high" if bias.mid >= 0.0 else "low"
            holds.append(f"thermometer put right: by its check it reads {abs(bias.mid):.1f} °C {side}")
        return Learnt(**figures, holds=tuple(holds))

    def _days(self, since_ms: int) -> float:
        return (self._clock() - since_ms) / _DAY_MS

    def _own(
        self, id: str, names: tuple[str, ...], first: Setup, figures: dict[str, Spread], holds: list[str]
    ) -> None:  # fmt: skip
        """Add what the newest run that taught anything says of a bowl or a lot."""
        version = next((v for v in self._runs(id) if any(name in v.learnt for name in names)), None)
        said: list[str] = []
        for name in names if version else ():
            prior: Spread = getattr(first, name)
            if version is None or name not in version.learnt or prior.is_exact:
                continue
            band = _spread(version.learnt[name])
            if not prior.low <= band.mid <= prior.high:  # what was entered has changed since
                continue
            aged = widened(band, band_of(prior), self._days(version.learnt_ms))
            figures[name] = as_ends(aged, prior)
            words = words_of(name, aged)
            said.append(words[:1].lower() + words[1:])
        if version is not None and said:
            holds.append(f"{' and '.join(said)}, as learnt on {_day(version.learnt_ms)}")

    def _power(self, things: Mapping[str, str], job: BowlJob) -> tuple[Spread, str] | None:
        """Power of the oven into this bowl: from the newest run alike in bowl, amount and chocolate, or the newest."""
        versions = [v for v in self._runs(things["oven"]) if _POWER in v.learnt]
        here: dict[str, Json] = {_BOWL: things.get("bowl", ""), _MATERIAL: know(job).bowl.material,
                                 _GRAMS: job.grams, _CHOCOLATE: job.chocolate}  # fmt: skip
        version = next((v for v in versions if _alike(v.conditions, here)), next(iter(versions), None))
        if version is None:
            return None
        band, prior, ends = _spread(version.learnt[_POWER]), power_band(job), absorbed_ends(job)
        day, grams = _day(version.learnt_ms), _figure(version.conditions[_GRAMS])
        source = f"learnt with this bowl, amount and chocolate on {day}"
        if not _alike(version.conditions, here):
            there = power_band(job, grams / 1000.0)
            band = carried(band, there, prior, band_of(power_of(job)[0]))
            chocolate, bowl = version.conditions.get(_CHOCOLATE, ""), self._bowl_name(version.conditions)
            source = f"carried over from {grams:.0f} g {chocolate} in {bowl} on {day}"
        if not ends.low <= band.mid <= ends.high:  # the label that was entered has changed since
            return None
        aged = widened(band, prior, self._days(version.learnt_ms))
        return as_ends(aged, ends), f"oven gives this bowl about {_watts(aged)}, {source}"

    def bias(self, thermometer: str | None) -> Spread | None:
        """Return the bias of a thermometer at working temperature by its check: in ice, and warm beside a reference."""
        entered = last_entered(self._book.versions(thermometer)) if thermometer else None
        check = usable_check(entered.learnt) if entered else None
        if entered is None or check is None:
            return None
        ice, warm, true = check
        share = number("live.check_at") / true
        offset = ice * (1.0 - share) + (warm - true) * share
        known = number("live.check_known")
        band, prior = Spread(offset - known, offset, offset + known), Spread(offset - 0.3, offset, offset + 0.3)
        return widened(band, prior, self._days(checked_ms(entered)))


_PRIOR = {_POWER: "prior_w"}


def _alike(one: Mapping[str, Json], other: Mapping[str, Json]) -> bool:
    """Tell whether two bowls are the same bowl, amount and chocolate; bowls not in the kit go by what they are of."""
    if one.get(_BOWL, "") != other.get(_BOWL, "") or one.get(_CHOCOLATE) != other.get(_CHOCOLATE):
        return False
    if not one.get(_BOWL) and (one.get(_MATERIAL) is None or one.get(_MATERIAL) != other.get(_MATERIAL)):
        return False
    return abs(_figure(one[_GRAMS]) / _figure(other[_GRAMS]) - 1.0) <= number("live.same_amount")


def _watts(band: Spread) -> str:
    return f"{band.mid:.0f} W ({band.low:.0f} to {band.high:.0f})"


def _figure(value: object) -> float:
    return float(str(value))


def _three(spread: Spread) -> list[Json]:
    return [spread.low, spread.mid, spread.high]


def _spread(value: object) -> Spread:
    if not isinstance(value, list | tuple):
        raise TypeError("a spread is kept as three figures")
    low, mid, high = (float(str(v)) for v in value)
    return Spread(low, mid, high)


def _day(ms: int) -> str:
    return f"{datetime.fromtimestamp(ms / 1000, UTC):%Y-%m-%d}"
