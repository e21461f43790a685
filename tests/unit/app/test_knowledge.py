"""What runs teach of oven, bowl and chocolate, each apart: kept with its conditions, faded with age, used next time."""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sample_plan import sample_plan
from temperbench.app.job_fields import RawJob
from temperbench.app.kit import KitShelf
from temperbench.app.kitchen import Kitchen
from temperbench.app.knowledge import learnt_of, stored
from temperbench.app.plan_bowl import MEMBERS
from temperbench.app.results import BurstPlan
from temperbench.book.book import Book
from temperbench.book.rows import KitVersion, Run
from temperbench.foundation.quantities import Spread
from temperbench.insight.job import BowlJob
from temperbench.insight.learning import absorbed_ends, as_ends, band_of, carried, power_band
from temperbench.insight.learnt import Learnt
from temperbench.insight.live import Happening
from temperbench.insight.setup_job import know, power_of
from temperbench.insight.wording import holds_for
from temperbench.kitchen.bowl_layout import POWER
from temperbench.kitchen.members import dimensions, from_cube
from unit.app.conftest import NOW, Clock

DAY_MS = 86_400_000
JOB = BowlJob("dark", 1000.0, 1000.0)
THINGS = {"oven": "K1", "bowl": "K2", "lot": "L1"}
RUNS = (
    ("burst", {"seconds": 50.0}), ("stir", {"seconds": 20.0}), ("reading", {"celsius": 29.4}),
    ("burst", {"seconds": 25.0}), ("stir", {"seconds": 20.0}), ("reading", {"celsius": 32.3}),
    ("lumps", {"level": "some"}), ("burst", {"seconds": 10.0}), ("stir", {"seconds": 60.0}),
    ("reading", {"celsius": 33.4}), ("lumps", {"level": "none"}),
)  # fmt: skip


def taught(shelf: KitShelf, band: tuple[float, float, float], clock: Clock, **where: Any) -> None:
    """Append what a run taught of the oven, as `Knowledge.keep` does."""
    run = f"run-{len(shelf._book.runs())}"
    shelf._book.add_run(Run(run, "Bars", {}))
    conditions = {"bowl": "K2", "material": "plastic", "grams": 1000.0, "chocolate": "dark", **where}
    learnt = {"absorbed_w": [*band], "prior_w": [1.0, 2.0, 3.0], "words": run}
    shelf._book.add_version(KitVersion(f"V-{run}", "K1", learnt, conditions, clock.now_ms, "run", run))


@pytest.fixture
def furnished(shelf: KitShelf) -> KitShelf:
    """Return a shelf with an oven, two bowls and a lot."""
    shelf.save_thing("oven", "Bench oven", {"oven_w": 1000}, "K1")
    shelf.save_thing("bowl", "Blue bowl", {"bowl": "plastic", "bowl_g": 220}, "K2")
    shelf.save_thing("bowl", "Glass bowl", {"bowl": "glass"}, "K3")
    shelf.save_lot("House dark", {"chocolate": "dark"}, "L1")
    return shelf


def power(shelf: KitShelf, things: dict[str, str], job: BowlJob = JOB) -> Spread:
    """Return the band of the power drawn for a job, with all that is known of its things."""
    rows = from_cube(know(job, shelf.knowledge.of(things, job)).setup, UNIT).rows[:, POWER]
    low, mid, high = np.quantile(rows, [0.05, 0.5, 0.95])
    return Spread(float(low), float(mid), float(high))


UNIT = np.random.default_rng(3).random((len(dimensions(know(JOB).setup)), 4000))


def width(band: Spread) -> float:
    """Return how wide a band is."""
    return band.high - band.low


def test_what_is_drawn_has_the_band_that_was_learnt(furnished: KitShelf, clock: Clock) -> None:
    """A figure kept as 5, 50 and 95 % is drawn with these, not from a triangle that ends there."""
    taught(furnished, (590.0, 620.0, 650.0), clock)
    band = power(furnished, THINGS)
    assert (band.low, band.mid, band.high) == pytest.approx((590.0, 620.0, 650.0), abs=4.0)


@pytest.mark.parametrize(
    ("things", "grams"),
    [({"bowl": "K3"}, 1000.0), ({}, 2000.0), ({}, 500.0), ({"bowl": "K3"}, 3000.0), ({"bowl": ""}, 1000.0)],
)
def test_another_bowl_or_amount_starts_narrower(
    things: dict[str, str], grams: float, furnished: KitShelf, clock: Clock
) -> None:  # fmt: skip
    """Never wider than with nothing known, narrower though not as narrow as the same bowl, and moved the same way."""
    job = dataclasses.replace(JOB, grams=grams)
    used = {key: id for key, id in {**THINGS, **things}.items() if id}
    unknown, unknown_same = power(furnished, used, job), power(furnished, THINGS)
    taught(furnished, (580.0, 610.0, 640.0), clock)
    known, same = power(furnished, used, job), power(furnished, THINGS)
    assert width(same) / width(unknown_same) < width(known) / width(unknown) < 0.95
    assert (known.mid < unknown.mid) is (same.mid < unknown_same.mid)
    assert any("carried over from 1000 g dark in “Blue bowl”" in h for h in furnished.knowledge.of(used, job).holds)


@given(mid=st.floats(0.0, 1.0), left=st.floats(0.02, 1.0), grams=st.floats(60.0, 8000.0))
@settings(max_examples=60, deadline=None, derandomize=True, database=None)
def test_carried_over_is_never_wider(mid: float, left: float, grams: float) -> None:
    """Whatever a run found, the band for another amount is at most as wide as the first prior."""
    there, here = power_band(JOB), power_band(JOB, grams / 1000.0)
    centre, half = there.low + mid * (there.high - there.low), 0.5 * left * (there.high - there.low)
    learnt = Spread(centre - half, centre, centre + half)
    found = carried(learnt, there, here, band_of(power_of(JOB)[0]))
    assert width(found) <= width(here) + 1e-9
    assert width(found) < width(here) or left > 0.99
    assert width(as_ends(found, absorbed_ends(JOB, grams / 1000.0))) <= width(absorbed_ends(JOB, grams / 1000.0))


def test_each_bowl_has_its_own_record(furnished: KitShelf, clock: Clock) -> None:
    """After a bowl of glass, plastic still starts from its own; the newest alike counts."""
    taught(furnished, (580.0, 600.0, 620.0), clock)
    taught(furnished, (590.0, 610.0, 630.0), clock, grams=1030.0)
    taught(furnished, (680.0, 700.0, 720.0), clock, bowl="K3", material="glass")
    taught(furnished, (640.0, 660.0, 680.0), clock, chocolate="milk")
    assert power(furnished, THINGS).mid == pytest.approx(610.0, abs=4.0)
    assert power(furnished, {**THINGS, "bowl": "K3"}).mid == pytest.approx(700.0, abs=4.0)
    assert power(furnished, THINGS, dataclasses.replace(JOB, chocolate="milk")).mid == pytest.approx(660.0, abs=4.0)


def test_bowls_without_a_name_go_by_what_they_are_of(furnished: KitShelf, clock: Clock) -> None:
    """Unnamed glass and unnamed plastic are not the same bowl, and an unnamed bowl is not the blue one."""
    taught(furnished, (590.0, 610.0, 630.0), clock, bowl="", material="glass")
    glass, plastic = (dataclasses.replace(JOB, bowl=material) for material in ("glass", "plastic"))
    said = [furnished.knowledge.of(things, job).holds[0] for things, job in
            (({"oven": "K1"}, glass), ({"oven": "K1"}, plastic), (THINGS, glass))]  # fmt: skip
    assert ["carried over" in line for line in said] == [False, True, True]


def test_knowledge_widens_back_to_what_was_assumed_at_first(furnished: KitShelf, clock: Clock) -> None:
    """Half the gain is given back after 90 days, all of it after years, whatever prior the run itself had."""
    first = power(furnished, THINGS)
    taught(furnished, (600.0, 610.0, 620.0), clock)
    new = power(furnished, THINGS)
    clock.now_ms += 90 * DAY_MS
    later = power(furnished, THINGS)
    clock.now_ms += 20 * 365 * DAY_MS
    old = power(furnished, THINGS)
    assert width(new) < width(later) < width(old)
    assert width(later) == pytest.approx(0.5 * (width(new) + width(first)), rel=0.12)
    assert (old.low, old.high) == pytest.approx((first.low, first.high), rel=0.04)


def test_a_changed_label_ends_what_was_learnt_under_it(furnished: KitShelf, clock: Clock) -> None:
    """A power that the oven as it is entered now cannot give is passed over."""
    taught(furnished, (590.0, 610.0, 630.0), clock)
    small = dataclasses.replace(JOB, oven_w=500.0)
    assert furnished.knowledge.of(THINGS, small).absorbed_w is None
    assert furnished.knowledge.of(THINGS, JOB).absorbed_w is not None


def test_what_a_run_was_started_with_comes_back(furnished: KitShelf, clock: Clock) -> None:
    """A run keeps what was known of its things when it began, for good; runs of earlier books have two figures."""
    taught(furnished, (590.0, 610.0, 630.0), clock)
    learnt = furnished.knowledge.of(THINGS, JOB)
    assert learnt == learnt_of(json.loads(json.dumps(stored(learnt))))
    assert Learnt() == learnt_of({})
    old = learnt_of({"absorbed_w": [600.0, 610.0, 620.0], "bias_c": [0.1, 0.2, 0.3]})
    assert know(JOB, old).setup.delivered_w == Spread(600.0, 610.0, 620.0)
    assert know(JOB, old).setup.coupling == Spread.exact(1.0)


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """Give a kitchen in which one bowl of glass, its weight not known, was finished."""
    book = Book.open(tmp_path_factory.mktemp("lived") / "kitchen.book")
    kitchen = Kitchen(book, lambda: NOW + 3_600_000, particles=200)
    kitchen.save_thing("oven", "Bench oven", {"oven_w": 1000}, id="K1")
    kitchen.save_thing("bowl", "Glass bowl", {"bowl": "glass"}, id="K2")
    kitchen.save_lot("House dark", {"chocolate": "dark", "fat_pct": 37.5}, id="L1")
    raw = RawJob({"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0, "bowl": "glass", "fat_pct": 37.5})
    kitchen.start(raw, "Bars", id="run-1", pressed_ms=NOW, things=THINGS)
    at = NOW
    for number, (kind, said) in enumerate(RUNS):
        at += int(1000 * said.get("seconds", 5.0)) + 5000
        kitchen.tap("run-1", Happening(f"tap-{number}", kind, at, **said), "tablet")
    kitchen.tap("run-1", Happening("tap-end", "finished", at + 5000), "tablet")
    yield kitchen
    kitchen.close()
    book.close()


def from_runs(kitchen: Kitchen, id: str) -> list[KitVersion]:
    """Return what runs taught of a thing."""
    return [v for v in kitchen.book.versions(id) if v.source == "run"]


def test_oven_bowl_and_chocolate_learn_apart(lived: Kitchen) -> None:
    """One run teaches each of the three its own figures, with bowl, amount and chocolate it holds for."""
    oven, bowl, lot = (from_runs(lived, id)[-1] for id in ("K1", "K2", "L1"))
    here = {"bowl": "K2", "material": "glass", "grams": 1000.0, "chocolate": "dark"}
    assert [dict(v.conditions) for v in (oven, bowl, lot)] == [here] * 3
    assert set(oven.learnt) == {"absorbed_w", "prior_w", "words"}
    assert "absorbed_w" not in {*bowl.learnt, *lot.learnt}
    assert set(lot.learnt) - {"words"} <= {"hardness", "prior_hardness"}
    line = next(one.learnt[0] for one in lived.kit() if one.id == "K1")
    assert re.fullmatch(r"About \d+ W \(\d+ to \d+\) into “Glass bowl” with 1000 g dark, bowl of 2026-03-14\.", line)


def test_what_a_run_does_not_tell_is_said(lived: Kitchen) -> None:
    """Each thing has a line: what was learnt, or that nothing was."""
    things = {one.id: one.learnt for one in [*lived.kit(), *lived.lots()]}
    for id in ("K2", "L1"):
        kept = from_runs(lived, id)[-1].learnt
        assert things[id] == (kept["words"],)
        assert ("taught nothing" in str(kept["words"])) is (set(kept) == {"words"})


def test_finished_again_takes_the_later_knowledge(lived: Kitchen) -> None:
    """Undone and finished after one more reading, the run counts once, with what it taught last."""
    before = from_runs(lived, "K1")
    at = NOW + 300_000
    lived.tap("run-1", Happening("undo-1", "undo", at, of="tap-end"), "tablet")
    lived.tap("run-1", Happening("tap-more", "reading", at + 1000, celsius=33.0), "tablet")
    lived.tap("run-1", Happening("tap-end-2", "finished", at + 2000), "tablet")
    after = from_runs(lived, "K1")
    lived.tap("run-1", Happening("tap-end-2", "finished", at + 2000), "tablet")
    assert (len(after), len(from_runs(lived, "K1"))) == (len(before) + 1, len(after))
    assert after[-1].learnt != before[-1].learnt
    assert next(one.learnt for one in lived.kit() if one.id == "K1") == (after[-1].learnt["words"],)


def test_a_lot_learns_from_its_own_kind_only(lived: Kitchen) -> None:
    """A bowl of milk chocolate that names a dark lot neither uses nor changes what is known of that lot."""
    before = from_runs(lived, "L1")
    raw = RawJob({"chocolate": "milk", "grams": 900.0, "oven_w": 1000.0, "bowl": "glass"})
    run = lived.start(raw, things=THINGS, pressed_ms=NOW).run_id
    for number, kind in enumerate(("burst", "finished")):
        lived.tap(run, Happening(f"{run}-{number}", kind, NOW + 60_000 * (number + 1), seconds=40.0), "tablet")
    assert lived._of(run).run.known.setup.hardness == know(BowlJob("milk", 900.0, 1000.0)).setup.hardness
    assert before == from_runs(lived, "L1")
    assert from_runs(lived, "K2")[-1].run_id == run


def test_the_next_bowl_and_the_card_start_from_it(lived: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same bowl begins with a narrower power, and the planner of a card is handed what is known by now."""
    asked: list[Learnt] = []

    def planner(job: BowlJob, *, members: int, learnt: Learnt) -> BurstPlan:
        assert (job.grams, members) == (1000.0, MEMBERS)
        asked.append(learnt)
        return sample_plan()

    monkeypatch.setattr("temperbench.app.kitchen.plan_bursts", planner)
    plain = lived.start(RawJob({"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0, "bowl": "glass"})).run_id
    known = lived.start(RawJob({"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0, "bowl": "glass"}),
                        id="run-2", things=THINGS).run_id  # fmt: skip
    for run in (plain, known, "run-1"):
        lived.plan(run)
    bands = [np.ptp(np.quantile(lived._of(run).run.filter.figure("power"), [0.05, 0.95])) for run in (plain, known)]
    assert bands[1] < 0.8 * bands[0]
    assert [learnt.absorbed_w is None for learnt in asked] == [True, False, False]
    assert any("with this bowl, amount and chocolate on 2026-03-14" in line for line in asked[-1].holds)
    lived.plan(known)
    assert len(asked) == 3


def test_a_plan_says_what_it_holds_for() -> None:
    """What was learnt stands under the conditions of the plan, and in place of what was assumed and warned of."""
    line = "oven gives this bowl about 610 W (590 to 630), learnt with this bowl, amount and chocolate on 2026-03-14"
    glass, hard = dataclasses.replace(JOB, bowl="glass"), Spread(0.5, 0.7, 0.9)
    learnt = Learnt(absorbed_w=Spread(580.0, 610.0, 640.0), wall_share=Spread(0.12, 0.14, 0.16),
                    wall_heat=Spread(500.0, 600.0, 700.0), hardness=hard, holds=(line,))  # fmt: skip
    plain, known = know(glass), know(glass, learnt)
    assert (holds_for(glass, known)[-1], known.setup.hardness) == (line, hard)
    for words in ("from the label", "unknown hardness"):
        assert any(words in said for said in plain.defaults_used)
        assert not any(words in said for said in known.defaults_used)
    assert (known.setup.wall_share, known.setup.wall_heat) == (learnt.wall_share, learnt.wall_heat)
    assert any("takes about 14 % of the power" in warning.text for warning in known.warnings)
