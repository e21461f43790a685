"""Plans, advice and keeping with and without a thermometer: without one nothing reads, and no look has two answers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from temperbench.insight.burst_plan import plan_bursts
from temperbench.insight.by_eye import least_of_each_look, rows_by_eye
from temperbench.insight.job import BowlJob
from temperbench.insight.keeping.ask import HEATERS, KeepAsk
from temperbench.insight.keeping.keep_bowl import keep_bowl
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LiveRun
from temperbench.insight.methods.method_plan import MethodPlan, ReadsDo
from temperbench.insight.methods.planners import PLANNERS, plan_by_method
from temperbench.insight.plan import BurstPlan
from temperbench.insight.telling import Telling
from unit.insight.cook import Cook
from unit.insight.method_cook import MethodCook

FEW = 48  # bowls: words are looked at, not risks
JOBS = {
    "bath": BowlJob("dark", 1000.0, method="bath", thermometer="none"),
    "cabinet": BowlJob("milk", 1000.0, method="cabinet", thermometer="none"),
    "kettle": BowlJob("dark", 4000.0, method="kettle", thermometer="none"),
    "buttons": BowlJob("dark", 1000.0, method="seed", thermometer="none"),
    "block": BowlJob("white", 1000.0, method="seed", seed_with="block", thermometer="none"),
    "powder": BowlJob("dark", 1000.0, method="seed", seed_with="butter-crystals", thermometer="none"),
    "cream": BowlJob("milk", 1000.0, method="seed", seed_with="ripened-butter", thermometer="none"),
    "tabling": BowlJob("dark", 1000.0, method="tabling", thermometer="none"),
    "cold bowl": BowlJob("dark", 1000.0, method="cold-bowl", thermometer="none"),
}
OVEN = BowlJob("dark", 1000.0, oven_w=1000.0, thermometer="none")
READS = re.compile(r"\b(?:read|reads|reading|readings|your (?:own )?thermometer)\b", re.IGNORECASE)
UNPICKED = re.compile(r"[<>{}|⟨⟩]|Telling|  ")  # what is left of a wording that nobody picked, or of an empty one


def heard(said: list[str], reads: bool) -> None:
    """Hold sentences to who is told: some speak of readings to a thermometer, none without; nothing is unpicked."""
    assert [text for text in said if UNPICKED.search(text)] == []
    spoken = [text for text in said if READS.search(text)]
    assert (spoken != []) if reads else (spoken == [])


def words_of(plan: MethodPlan) -> list[str]:
    """Return every sentence of a plan of a method."""
    return [
        plan.title, *(text for step in plan.steps for text in (step.do, step.detail)),
        *(text for row in plan.reads_then for text in (row.when, row.do, row.looks)),
        *(text for fault in plan.faults for text in (fault.seen, fault.cause, fault.do)),
        *(warning.text for warning in plan.warnings), *plan.rules, *plan.cautions, *plan.holds_for,
        *plan.defaults_used, *plan.washing_up,
    ]  # fmt: skip


def words_of_bursts(plan: BurstPlan) -> list[str]:
    """Return every sentence of a plan of bursts."""
    return [
        plan.title, *plan.rules, plan.carries.text, *(warning.text for warning in plan.warnings), *plan.cautions,
        *plan.holds_for, *plan.defaults_used, *(row.advice for row in plan.rescue),
        *(row.looks for row in plan.reads_then),
    ]  # fmt: skip


def test_every_method_is_walked() -> None:
    """The jobs of this file are of every method that has a planner, seeds of all kinds included."""
    assert {job.method for job in JOBS.values()} == set(PLANNERS)


@pytest.mark.parametrize("name", JOBS)
def test_nothing_reads_in_a_plan_by_eye(name: str) -> None:
    """No sentence of a plan without a thermometer speaks of a reading; each look of a point has one answer."""
    plan = plan_by_method(JOBS[name], members=FEW)
    heard(words_of(plan), reads=False)
    assert [row for row in plan.reads_then if (row.reads_from_c, row.reads_to_c) != (None, None)] == []
    looks = [(row.when, row.looks) for row in plan.reads_then]
    assert sorted(set(looks)) == sorted(looks)
    assert "thermometer" not in plan.washing_up


@pytest.mark.parametrize("name", JOBS)
def test_a_plan_with_a_thermometer_speaks_of_readings(name: str) -> None:
    """With one, the same plan tells readings and their ranges, and the thermometer is washed up too."""
    plan = plan_by_method(replace(JOBS[name], thermometer="probe"), members=FEW)
    heard(words_of(plan), reads=True)
    assert [row for row in plan.reads_then if (row.reads_from_c, row.reads_to_c) == (None, None)] == []
    assert "thermometer" in plan.washing_up


@pytest.mark.parametrize("thermometer", ["none", "probe"])
@pytest.mark.parametrize("risk", [0.02, 1e-4])
def test_bursts_are_told_by_eye_or_by_readings(thermometer: str, risk: float) -> None:
    """Rules, warnings and the table of bursts speak of looks or of readings, also where the risk is not held."""
    plan = plan_bursts(replace(OVEN, thermometer=thermometer, risk=risk), members=FEW)
    heard(words_of_bursts(plan), reads=thermometer == "probe")
    looks = [(row.stage, row.looks) for row in plan.reads_then]
    assert thermometer == "probe" or sorted(set(looks)) == sorted(looks)


@pytest.mark.parametrize("warm_with", HEATERS)
def test_keeping_is_told_by_eye_or_by_readings(warm_with: str) -> None:
    """Rules, alarms and the end of keeping speak of looks without a thermometer, and of readings with one."""
    for thermometer in ("none", "probe"):
        job = replace(OVEN, thermometer=thermometer)
        ask = KeepAsk(job, 20.0, warm_with=warm_with, refill_g=300.0, every_min=10.0)
        plan = keep_bowl(ask, members=8)
        said = [
            plan.title, *plan.rules, *plan.stop_rules, *plan.cautions, *plan.defaults_used, plan.clear_rule,
            *(alarm.text for alarm in plan.alarms), *(warning.text for warning in plan.warnings),
            *(step.do for step in plan.steps),
        ]  # fmt: skip
        heard(said, reads=thermometer == "probe")


def outcomes(run: LiveRun, now_ms: int) -> list[str]:
    """Return what is advised after tests, words and acts of every outcome, each tried from where a run is."""
    oven = run.job.method == "microwave"
    hot = Happening("x", "burst", now_ms, seconds=90.0) if oven else Happening(
        "x", "bath", now_ms, seconds=900.0, celsius=60.0)  # fmt: skip
    stirred, thick = Happening("y", "stir", now_ms, seconds=60.0), Happening("y", "flow", now_ms, level="hardly")
    cases = [
        *((Happening("x", "test", now_ms, **told),) for told in (
            {}, {"minutes": 3.0, "look": "lines"}, {"minutes": 3.0, "look": "dull"}, {"minutes": 9.0, "look": "sheen"},
        )),
        (Happening("x", "test", now_ms, minutes=2.0, look="sheen"), thick), (thick,), (hot,), (hot, stirred),
        (Happening("x", "stand", now_ms, seconds=3000.0), stirred), (Happening("x", "finished", now_ms),),
    ]  # fmt: skip
    said = []
    for case in cases:
        kept = run.kept()
        for happening in case:
            run.fold(happening)
            move = run.move()
            said += [move.headline, move.reason, move.changes_mind]
        run.back_to(kept)
    return said


SLOW = ("kettle",)  # half an hour in short steps


@pytest.mark.parametrize("name", [pytest.param(n, marks=pytest.mark.slow) if n in SLOW else n for n in JOBS])
def test_nothing_reads_in_advice_by_eye(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No move speaks of a reading to a cook who goes by looks from the store to the test, whatever comes of it."""
    cook = MethodCook(JOBS[name], particles=60)
    monkeypatch.setattr(cook, "read", cook.look)
    said = []
    for _ in range(12):
        move = cook.run.move()
        said += [move.headline, move.reason, move.changes_mind]
        if move.kind in ("test", "ready", "finished", "full melt"):
            break
        cook.do(move)
    assert len(said) >= 9
    heard([*said, *outcomes(cook.run, cook.now_ms)], reads=False)


@pytest.mark.parametrize("reads", [False, True])
def test_bursts_are_advised_by_eye_or_by_readings(reads: bool) -> None:
    """In the oven too: from the store until the bowl is smooth and in its window, and after every outcome there."""
    cook = Cook(replace(OVEN, thermometer="probe" if reads else "none"), particles=60)
    said: list[str] = []
    for _ in range(16):
        move = cook.run.move()
        said += [move.headline, move.reason, move.changes_mind]
        cook.act(*(("burst", float(move.seconds or 0)) if move.kind == "burst" else ("stir", 30.0)))
        if move.kind != "burst" and cook.look() == "none":
            break
    while float(cook.truth.temperature()[0]) > cook.run.at.work_to_c:
        cook.act("stir", 60.0)
    heard([*said, *outcomes(cook.run, cook.now_ms)], reads)


def test_a_bowl_that_was_read_is_advised_by_readings() -> None:
    """Whoever planned by eye and then reads is told of readings, until that reading is taken back."""
    run = LiveRun("a", JOBS["bath"], 0, particles=60)
    assert READS.search(run.move().changes_mind) is None
    run.fold(Happening("h1", "reading", 1000, celsius=20.0, thermometer="probe"))
    assert READS.search(run.move().changes_mind) is not None
    run.fold(Happening("h2", "undo", 2000, of="h1"))
    assert READS.search(run.move().changes_mind) is None


def test_the_same_is_said_both_ways() -> None:
    """Each phrase has its two wordings, with the temperature to as many decimals as asked."""
    by_reading, by_eye = Telling(True), Telling(False)
    assert (by_reading.either("a", "b"), by_eye.either("a", "b")) == ("a", "b")
    assert (by_reading.read, by_eye.read) == ("read", "look")
    assert by_reading.reads_above(34.52) == "it reads above 34.5 °C"
    assert by_eye.reads_above(34.52) == "it is thin and not cool at the lip, above 34.5 °C"
    assert by_reading.above(33.0, 0) == "A reading above 33 °C"
    assert by_eye.above(33.04) == "Thin and not cool at the lip, above about 33.0 °C"
    assert (by_reading.near(45.0, 0), by_eye.near(45.0, 0)) == ("A reading near 45 °C", "About 45 °C")
    assert (by_reading.down_to(27.0), by_eye.down_to(27.0)) == ("A reading of 27.0 °C", "About 27.0 °C")


def test_what_looks_alike_is_one_row_with_the_least() -> None:
    """An eye cannot tell two rows of one look apart: the smaller portion stands, without its range of readings."""
    rows = tuple(
        ReadsDo("then", 30.0 + i, 31.0 + i, f"stir in {g} g", g, None, looks)
        for i, (g, looks) in enumerate(
            ((0, "stay"), (155, "gone at once"), (125, "gone at once"), (205, "gone at once"))
        )
    )
    assert least_of_each_look(rows, lambda r: r.looks, lambda r: r.amount_g or 0) == (rows[0], rows[2])
    assert rows_by_eye(rows) == tuple(replace(r, reads_from_c=None, reads_to_c=None) for r in (rows[0], rows[2]))
