"""The planner of keeping: from what a cook says of a bowl in temper to the frozen plan that every face shows."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import quantile_band
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.choose import Choice, measured
from temperbench.insight.keeping.clear import clear_rows, clear_rule
from temperbench.insight.keeping.forecast import leg, look_on, thickening, track
from temperbench.insight.keeping.heaters import heater_of
from temperbench.insight.keeping.result import Alarm, KeepPlan, KeepStep, Refill, Track
from temperbench.insight.keeping.run import Kept, Look, keep
from temperbench.insight.keeping.start import bowls_in_temper, middle_in_temper
from temperbench.insight.keeping.table import table_rows
from temperbench.insight.keeping.words import (
    alarm_texts,
    cautions_of,
    defaults_of,
    done,
    keep_title,
    rules_of,
    stop_rules_of,
    warnings_of,
)
from temperbench.insight.plan import Leg, Workable
from temperbench.insight.setup_job import know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures, temperatures

__all__ = ["KEEP_SOURCES", "keep_bowl", "told_in_full", "used_up_min"]

_WITHOUT_MEANING = ("Chocolate at the start", "Temperature of the bowl")
KEEP_SOURCES = (
    "keep.every", "keep.minutes", "keep.kept_share", "keep.thin_share", "keep.most_added", "keep.returns_crystals",
    "keep.clear_min", "bowl.thick_ratio", "bowl.lost", "crystals.growth", "crystals.breeding",
)  # fmt: skip


def told_in_full(ask: KeepAsk, at: Temperatures) -> KeepAsk:
    """Return what was said with the usual figure in place of everything that was not."""
    refill_c = at.work_to_c if ask.refill == "in-temper" else number("keep.warm_chocolate_c")
    return dataclasses.replace(
        ask,
        at_c=at.work_to_c if ask.at_c is None else ask.at_c,
        gun_w=number("keep.gun_w") if ask.gun_w is None else ask.gun_w,
        bath_c=number("keep.bath_c") if ask.bath_c is None else ask.bath_c,
        returns_c=number("keep.returns_c") if ask.returns_c is None else ask.returns_c,
        refill_c=refill_c if ask.refill_c is None else ask.refill_c,
    )


def keep_bowl(
    ask: KeepAsk, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None
) -> KeepPlan:
    """Plan how to keep a bowl in temper; ``members`` fresh bowls measure what the plan achieves.

    Raises `temperbench.foundation.errors.InputError` for a job that cannot be.
    """
    say = progress or (lambda _: None)
    known = know(ask.job)
    at = temperatures(known)
    full = told_in_full(ask, at)
    used_up = used_up_min(full)
    minutes = full.minutes if used_up is None else min(full.minutes, math.floor(used_up))
    say("Looking ahead at the bowl left alone")
    rng = np.random.default_rng([seed, 19])
    alone = look_on(
        bowls_in_temper(known, full, at, members, rng), known.chocolate.kind, number("bowl.unheated.longest")
    )
    say("Trying ways of keeping it")
    found = measured(known, full, at, minutes, members, seed)
    choice, kept = found.choice, found.kept
    one = middle_in_temper(known, full, at)
    middle = keep(one.copy(), heater_of(full, known, 1), choice.table, full, minutes, choice.every_min, at.scorch_c,
                  np.random.default_rng(0))  # fmt: skip
    say("Writing it down")
    left_alone = thickening(alone)
    held = _held(kept, minutes)
    share = float((kept.ends_min() > minutes - 1e-9).mean())
    return KeepPlan(
        title=keep_title(full, known), minutes=minutes, **dataclasses.asdict(at), left_alone=left_alone,
        every_min=choice.every_min, kept_c=choice.table.kept_c, thin_c=choice.table.thin_c,
        table=table_rows(choice.table, one, full.refill_c if full.refill_g > 0.0 and full.refill == "melted" else None),
        steps=_steps(middle, kept, full), heat=_heat(kept), ratio=_ratio(kept), held=held, workable_share=share,
        risk_lost=float(np.isfinite(kept.lost_min).mean()), risk_scorch=float(kept.scorched.mean()),
        risk_asked=known.job.risk, risk_members=members,
        pauses=found.pauses, refills=_refills(middle, full), used_up_min=used_up,
        alarms=_alarms(alone.thick_s, alone.cold_s, choice, middle, full, used_up, held, known.say),
        stop_rules=stop_rules_of(full, at, choice.table, known.say), clear=clear_rows(known),
        clear_rule=clear_rule(known.chocolate.kind),
        rules=rules_of(full, at, choice.table, known.say),
        cautions=cautions_of(full, known.say),
        defaults_used=(*_needed(known.defaults_used), *defaults_of(ask, full, known.say)),
        warnings=(*known.warnings, *warnings_of(full, known, at, minutes, share)),
        sources=tuple(dict.fromkeys((*known.sources, *KEEP_SOURCES))),
    )  # fmt: skip


def _needed(defaults: tuple[str, ...]) -> tuple[str, ...]:
    """Leave out what makes no difference to a bowl that is in temper already."""
    return tuple(line for line in defaults if not line.startswith(_WITHOUT_MEANING))


def used_up_min(ask: KeepAsk) -> float | None:
    """Minutes until bowl and refill are used up; None when they outlast the time asked."""
    leaves = ask.leaves_g_h * (1.0 - ask.returns_share) / 60.0
    if leaves <= 0.0:
        return None
    minutes = (ask.job.grams * (1.0 - number("keep.used_up")) + ask.refill_g) / leaves
    return round(minutes, 1) if minutes < ask.minutes else None


def _held(kept: Kept, minutes: float) -> Workable:
    low, mid, high = np.round(np.quantile(np.minimum(kept.ends_min(), minutes), [0.05, 0.5, 0.95]), 0)
    ended = np.isfinite(kept.ends_min())
    causes = {"too thick": kept.thick_min, "too cold": kept.cold_min, "lost": kept.lost_min}
    first = {name: float((times <= kept.ends_min())[ended].sum()) for name, times in causes.items()}
    by = "as long as wanted" if ended.mean() < 0.5 else max(first, key=lambda name: first[name])
    return Workable(float(low), float(mid), float(high), by)


def _steps(middle: Kept, kept: Kept, ask: KeepAsk) -> tuple[KeepStep, ...]:
    found = []
    for own, look in zip(middle.looks, kept.looks, strict=True):
        found.append(
            KeepStep(
                own.at_min, quantile_band(look.before_c, 1), quantile_band(look.after_c, 1),
                quantile_band(look.warm_s, 0), quantile_band(look.add_g, 0), round(float(own.grams[0])),
                quantile_band(look.ratio, 2), float(look.ok.mean()),
                done(own, ask),
            )
        )  # fmt: skip
    return tuple(found)


def _times(looks: list[Look]) -> Array:
    after = number("keep.stir") + number("bowl.rest.handling")
    return np.array([60.0 * look.at_min + late for look in looks for late in (0.0, after)])


def _heat(kept: Kept) -> Leg:
    values = np.array([column for look in kept.looks for column in (look.before_c, look.after_c)]).T
    return leg(_times(kept.looks), values)


def _ratio(kept: Kept) -> Track:
    values = np.array([column for look in kept.looks for column in (look.ratio_before, look.ratio)]).T
    return track(_times(kept.looks), values)


def _refills(middle: Kept, ask: KeepAsk) -> tuple[Refill, ...]:
    at_c = ask.refill_c if ask.refill_c is not None else number("keep.warm_chocolate_c")
    return tuple(Refill(look.at_min, float(look.add_g[0]), at_c) for look in middle.looks if look.add_g[0] > 0.0)


def _alarms(
    thick_s: Array, cold_s: Array, choice: Choice, middle: Kept, ask: KeepAsk,
    used_up: float | None, held: Workable, say: Telling,
) -> tuple[Alarm, ...]:  # fmt: skip
    texts = alarm_texts(choice.every_min, ask, say)
    found = [Alarm("look", choice.every_min, texts["look"])]
    share, before = number("keep.alarm_at"), number("keep.warn_before")
    for kind, seconds in (("thick", thick_s), ("cold", cold_s)):
        at_s = float(np.quantile(seconds, share, method="lower"))
        if at_s <= 60.0 * number("bowl.unheated.longest"):
            found.append(Alarm(kind, round(max(0.0, at_s / 60.0 - before), 1), texts[kind]))
    refills = _refills(middle, ask)
    if refills:
        total = sum(refill.add_g for refill in refills)
        found.append(Alarm("refill", refills[0].at_min, texts["refill"].format(refills[0].add_g, len(refills), total)))
    if used_up is not None:
        found.append(Alarm("used up", used_up, texts["used up"]))
    if held.ends_by != "as long as wanted":
        found.append(Alarm("stop", held.mid, texts["stop"]))
    return tuple(sorted(found, key=lambda alarm: alarm.at_min))
