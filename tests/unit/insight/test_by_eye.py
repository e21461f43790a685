"""Plans and advice without a thermometer: nothing is said to read, and no look has two answers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from temperbench.insight.burst_plan import plan_bursts
from temperbench.insight.by_eye import advised_by_eye, least_of_each_look, planned_by_eye, seen
from temperbench.insight.job import BowlJob
from temperbench.insight.live_run import LiveRun
from temperbench.insight.methods.method_plan import MethodPlan, ReadsDo
from temperbench.insight.methods.planners import plan_by_method
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
READS = re.compile(r"\b(?:read|reads|reading|readings)\b", re.IGNORECASE)


def words_of(plan: MethodPlan) -> list[str]:
    """Return every sentence of a plan of a method."""
    return [
        plan.title, *(text for step in plan.steps for text in (step.do, step.detail)),
        *(text for row in plan.reads_then for text in (row.when, row.do, row.looks)),
        *(text for fault in plan.faults for text in (fault.seen, fault.cause, fault.do)),
        *(warning.text for warning in plan.warnings), *plan.rules, *plan.cautions, *plan.holds_for,
        *plan.defaults_used, *plan.washing_up,
    ]  # fmt: skip


@pytest.mark.parametrize("name", JOBS)
def test_nothing_reads_in_a_plan_by_eye(name: str) -> None:
    """No sentence of a plan without a thermometer speaks of a reading; each look of a point has one answer."""
    plan = plan_by_method(JOBS[name], members=FEW)
    assert [text for text in words_of(plan) if READS.search(text)] == []
    assert [row for row in plan.reads_then if (row.reads_from_c, row.reads_to_c) != (None, None)] == []
    looks = [(row.when, row.looks) for row in plan.reads_then]
    assert sorted(set(looks)) == sorted(looks)
    assert "thermometer" not in plan.washing_up


def test_nothing_reads_in_bursts_by_eye() -> None:
    """Rules, warnings and the table of bursts without a thermometer speak of looks, each once at a stage."""
    plan = plan_bursts(BowlJob("dark", 1000.0, oven_w=1000.0, thermometer="none"), members=FEW)
    said = [*plan.rules, plan.carries.text, *(warning.text for warning in plan.warnings), *plan.cautions]
    assert [text for text in said if READS.search(text)] == []
    looks = [(row.stage, row.looks) for row in plan.reads_then]
    assert sorted(set(looks)) == sorted(looks)


@pytest.mark.parametrize("name", ["bath", "buttons", "block", "powder", "tabling", "cold bowl"])
def test_nothing_reads_in_advice_by_eye(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No move speaks of a reading to a cook who goes by looks from the store to the setting test."""
    cook = MethodCook(JOBS[name])
    monkeypatch.setattr(cook, "read", cook.look)
    said = []
    for _ in range(12):
        move = cook.run.move()
        said += [move.headline, move.reason, move.changes_mind]
        if move.kind in ("test", "ready", "finished", "full melt"):
            break
        cook.do(move)
    assert len(said) >= 9
    assert [text for text in said if READS.search(text)] == []


def test_a_bowl_that_was_read_is_advised_by_readings() -> None:
    """Whoever planned by eye and then reads is told of readings."""
    by_eye = LiveRun("a", JOBS["bath"], 0, particles=60)
    by_probe = LiveRun("a", replace(JOBS["bath"], thermometer="probe"), 0, particles=60)
    assert READS.search(by_probe.move().changes_mind) is not None
    assert READS.search(by_eye.move().changes_mind) is None
    assert by_eye.move() == advised_by_eye(by_eye.move())


@pytest.mark.parametrize(
    ("said", "instead"),
    [
        ("No lump left and it flows with ease: stop, whatever it reads.", "No lump left and it flows with ease: stop."),
        ("it reads above 34.5 °C", "it is thin and not cool at the lip, above 34.5 °C"),
        ("Stir first, then read: buttons can look whole.", "Stir first, then look: buttons can look whole."),
        ("Take the block out when it reads 31.5 °C; set and dry, it serves again.",
         "Take the block out when it keeps its skin, at about 31.5 °C; set and dry, it serves again."),
        ("A reading of 27.0 °C: out of the water.", "About 27.0 °C: out of the water."),
        ("Already spread like bread, ready.", "Already spread like bread, ready."),
    ],
)  # fmt: skip
def test_what_is_read_becomes_what_is_seen(said: str, instead: str) -> None:
    """Readings become looks or what they are about; words that only look like them stay."""
    assert seen(said) == instead


def test_what_looks_alike_is_one_row_with_the_least() -> None:
    """An eye cannot tell two rows of one look apart: the smaller portion stands, and it is looked at again."""
    rows = tuple(
        ReadsDo("then", None, None, f"stir in {g} g", g, None, looks)
        for g, looks in ((0, "lumps stay"), (155, "gone at once"), (125, "gone at once"), (205, "gone at once"))
    )
    assert least_of_each_look(rows, lambda r: r.looks, lambda r: r.amount_g or 0) == (rows[0], rows[2])
    plan = plan_by_method(replace(JOBS["cabinet"], thermometer="probe"), members=FEW)
    assert planned_by_eye(replace(plan, reads_then=rows)).reads_then == (rows[0], rows[2])
