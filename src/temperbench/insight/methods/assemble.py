"""From a measured run to the frozen plan: bands of every step, path with its phases, what comes after, words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.insight.after_stop import After, after_stop, quantile_band, setting_test
from temperbench.insight.by_eye import rows_by_eye
from temperbench.insight.methods.method_plan import Fault, MethodPlan, MethodStep, PathPhase, ReadsDo
from temperbench.insight.methods.script import Record, Run, Safe
from temperbench.insight.plan import Leg, Warning_
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.insight.wording import title
from temperbench.kitchen.members import nominal
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["Told", "assemble"]

_LOW = 0.05
_DOWN = "Stir down into the working window"
_DOWN_DETAIL = "Off the heat, stirring now and then; then make the setting test before you use it."


@dataclass(frozen=True)
class Told:
    """What a method says of itself, beside what was measured."""

    clear_c: float | None = None
    draw_down_c: float | None = None
    lift_c: float | None = None
    melt_g: float = 0.0
    seed_g: float | None = None
    portions_g: tuple[float, ...] = ()
    reads_then: tuple[ReadsDo, ...] = ()
    faults: tuple[Fault, ...] = ()
    rules: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    holds_for: tuple[str, ...] = ()
    washing_up: tuple[str, ...] = ()
    warnings: tuple[Warning_, ...] = ()
    defaults_used: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def assemble(known: Known, at: Temperatures, safe: Safe[Any], told: Told, seed: int) -> MethodPlan:
    """Return the plan of a method from its measured run and what it says of itself."""
    run, job = safe.run, known.job
    run.finish()
    after = after_stop(run.bowls, at, known.chocolate.kind)
    one = nominal(known.setup)
    test = setting_test(run.bowls.members, one, after, at, np.random.default_rng([seed, 9]))
    total = (run.clock + after.in_window_s) / 60.0
    return MethodPlan(
        title=title(job, known), method=job.method, clear_c=told.clear_c, draw_down_c=told.draw_down_c,
        lift_c=told.lift_c, work_from_c=at.work_from_c, work_to_c=at.work_to_c, limit_c=at.limit_c,
        scorch_c=at.scorch_c, steps=_steps(run, after, at),
        portions_g=tuple(round(g) for g in told.portions_g),
        seed_g=None if told.seed_g is None else round(told.seed_g), melt_g=round(told.melt_g),
        reads_then=told.reads_then if known.say.reads else rows_by_eye(told.reads_then),
        faults=told.faults, risk_lost=safe.risk_lost, risk_scorch=safe.risk_scorch,
        risk_asked=job.risk, risk_members=len(run), thermometer=known.thermometer.kind,
        crystals_pct_of_fat=quantile_band(100.0 * run.bowls.stable(), 1), total_min=quantile_band(total, 1),
        hands_on_min=quantile_band((run.hands + after.in_window_s) / 60.0, 1), path=_path(run, after),
        phases=_phases(run, after), draw_down_min=after.draw_down_min, setting_test=test, workable=after.workable,
        held=after.held, washing_up=told.washing_up, defaults_used=(*known.defaults_used, *told.defaults_used),
        warnings=(*_risk_warning(known, safe), *known.warnings, *told.warnings, *_measured_warnings(safe)),
        sources=tuple(dict.fromkeys((*known.sources, *told.sources))), rules=told.rules, cautions=told.cautions,
        holds_for=told.holds_for,
    )  # fmt: skip


def _taken(run: Run) -> list[Record]:
    """Return the steps that at least one bowl in twenty takes."""
    return [record for record in run.records if record.active.mean() >= _LOW]


def _steps(run: Run, after: After, at: Temperatures) -> tuple[MethodStep, ...]:
    steps = [_step(record) for record in _taken(run)]
    waits = after.in_window_s
    if np.median(waits) > 0.0:
        warm = np.full(len(run), at.work_to_c)
        steps.append(
            MethodStep("draw down", _DOWN, _DOWN_DETAIL, None, quantile_band(waits, 0), "falls to", at.work_to_c,
                       quantile_band(np.minimum(run.temperature(), warm), 1), after.crystals, hands_on=True)
        )  # fmt: skip
    return tuple(steps)


def _step(record: Record) -> MethodStep:
    some = record.active
    amount = round(float(np.median(record.grams[some]))) or None
    return MethodStep(
        record.phase, record.name, record.detail, amount, quantile_band(record.seconds[some], 0), record.until,
        record.until_c, quantile_band(record.after_c[some], 1), quantile_band(100.0 * record.crystals[some], 1),
        record.hands_on,
    )  # fmt: skip


def _path(run: Run, after: After) -> Leg:
    """The whole path: the method on the bowls' common clock, then down and through the window."""
    up, down = run.path(), after.down
    start = up.t_s[-1]
    times = (*up.t_s, *(start + t for t in down.t_s[1:]))
    before = (up.low_c, up.mid_c, up.high_c, up.hottest_c)
    behind = (down.low_c, down.mid_c, down.high_c, down.high_c)
    columns = ((*a, *b[1:]) for a, b in zip(before, behind, strict=True))
    return Leg(times, *columns)


def _phases(run: Run, after: After) -> tuple[PathPhase, ...]:
    """Stretches of the median path: steps of one name that follow each other are one."""
    ends: list[tuple[str, float]] = []
    for record in _taken(run):
        end = float(np.median(record.ended_s))
        if ends and ends[-1][0] == record.phase:
            ends[-1] = (record.phase, end)
        else:
            ends.append((record.phase, end))
    stop = float(np.median(run.clock))
    wait = float(np.median(after.in_window_s))
    if wait > 0.0:
        ends.append(("draw down", stop + wait))
    ends.append(("keep", stop + after.down.t_s[-1]))
    found, start = [], 0.0
    for name, end in ends:
        if end > start:
            found.append(PathPhase(name, round(start, 1), round(end, 1)))
            start = end
    return tuple(found)


def _risk_warning(known: Known, safe: Safe[Any]) -> list[Warning_]:
    """Say first of all when the plan does not hold the risks asked, or is too near them for so many bowls to tell."""
    if safe.kept:
        return []
    job = known.job
    most = job.risk if job.risk_scorch is None else job.risk_scorch
    above = safe.risk_lost > job.risk or safe.risk_scorch > most
    begin = "does not hold the risk you asked for" if above else "is too near the risk you asked for to be sure of it"
    probe = "" if known.thermometer.kind == "probe" else " A checked probe does better."
    text = (
        f"This plan {begin}: {100 * safe.risk_lost:.1f} % of bowls end without enough crystals (asked: at most "
        f"{100 * job.risk:g} %) and {100 * safe.risk_scorch:.1f} % scorch (at most {100 * most:g} %).{probe}"
    )
    return [Warning_("risk-above-asked" if above else "risk-near-asked", text)]


def _measured_warnings(safe: Safe[Any]) -> list[Warning_]:
    """Say what the measured run shows that a cook should know before the first step."""
    found = []
    lumpy = _share(safe.run.bowls.lumpiest() > number("bowl.soft"))
    if lumpy > _LOW:
        text = f"About {100 * lumpy:.0f} % of bowls end with lumps: sieve them out, or warm by half a degree and stir."
        found.append(Warning_("may-stay-lumpy", text))
    thick = _share(_thick(safe.run))
    if thick > _LOW:
        text = f"About {100 * thick:.0f} % of bowls end thick with crystals: warm by 0.5 to 1 °C within the window."
        found.append(Warning_("may-be-thick", text))
    return found


def _thick(run: Run) -> NDArray[np.bool_]:
    """Tell which bowls are too thick to work with ease when the method ends."""
    members = run.bowls.members
    most = crystals_at_ratio(number("bowl.thick_ratio"), members.rows[:, FAT], members.kappa)
    return np.asarray(run.bowls.solid() > most)


def _share(which: NDArray[np.bool_]) -> float:
    return float(np.mean(which))
