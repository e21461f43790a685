"""Live bowls of every method: a cook who does what is advised comes to the setting test with a bowl in temper."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from temperbench.foundation.errors import InputError
from temperbench.insight.job import BowlJob
from temperbench.insight.live import HAPPENINGS, MOVES, Happening
from temperbench.insight.live_run import LiveRun
from temperbench.insight.methods.live_now import Course, course_of
from unit.insight.method_cook import MethodCook

JOBS = {
    "bath": BowlJob("dark", 1000.0, method="bath"),
    "bath, milk": BowlJob("milk", 600.0, method="bath", bath_c=45.0),
    "cabinet": BowlJob("dark", 1000.0, method="cabinet"),
    "buttons": BowlJob("dark", 1000.0, method="seed"),
    "block": BowlJob("dark", 1000.0, method="seed", seed_with="block"),
    "crystals": BowlJob("milk", 1000.0, method="seed", seed_with="butter-crystals"),
    "creamy butter": BowlJob("white", 1000.0, method="seed", seed_with="ripened-butter"),
    "tabling": BowlJob("dark", 1000.0, method="tabling", slab_c=20.0),
    "cold bowl": BowlJob("dark", 1000.0, method="cold-bowl"),
    "kettle": BowlJob("dark", 4000.0, method="kettle", kettle_l=6.0),
}


SLOW = ("block", "kettle")  # half an hour in short steps


@pytest.mark.parametrize("name", [pytest.param(n, marks=pytest.mark.slow) if n in SLOW else n for n in JOBS])
def test_a_cook_who_follows_comes_to_the_test_in_temper(name: str) -> None:
    """Every method leads, from the store, to a setting test asked for inside the window, with crystals in the bowl.

    The bowl read by the cook is one of middle figures; it has half a per cent of its fat in stable crystals or more,
    and what is believed of its temperature holds the truth.
    """
    cook = MethodCook(JOBS[name])
    end = cook.follow()
    assert end.kind == "test"
    at, heat = cook.run.at, float(cook.truth.temperature()[0])
    assert at.work_from_c - 0.7 <= heat <= at.work_to_c + 0.5
    assert float(cook.truth.stable()[0]) >= 0.005
    now = cook.view().now_c
    assert now.low - 0.3 <= heat <= now.high + 0.3
    assert {m.kind for m in cook.moves} <= set(MOVES)


@pytest.mark.parametrize("name", ["bath", "cabinet", "kettle", "buttons", "tabling", "cold bowl"])
def test_only_a_part_melt_has_a_stop_to_be_drawn(name: str) -> None:
    """Heating ends at the stop where crystals of the stock are kept; a full melt is meant to go far above it."""
    view = MethodCook(JOBS[name]).view()
    assert view.stops == (name in ("bath", "cabinet", "kettle"))


def test_part_melts_heat_less_and_less() -> None:
    """Over a bath each stretch is no longer than the one before, and the bowl never passes its limit."""
    cook = MethodCook(JOBS["bath"])
    cook.follow()
    stretches = [m.seconds for m in cook.moves if m.kind == "bath"]
    assert len(stretches) >= 2
    assert stretches == sorted(stretches, reverse=True)
    assert float(cook.truth.reading()[0]) < cook.run.at.limit_c


def test_seed_goes_in_by_thirds_and_is_worked_out_anew() -> None:
    """Full melt first, with some kept back; then portions, each after the one before is gone."""
    cook = MethodCook(JOBS["buttons"])
    cook.follow()
    kinds = [m.kind for m in cook.moves]
    assert kinds[:2] == ["melt", "seed"]
    assert kinds.count("seed") >= 3
    kept_back = 1000.0 - float(cook.moves[0].grams or 0)
    used = sum(float(m.grams or 0) for m in cook.moves if m.kind == "seed")
    assert 0.15 * 1000.0 <= kept_back <= 0.40 * 1000.0
    assert used == pytest.approx(kept_back, rel=0.35)


def test_readings_teach_of_the_bath() -> None:
    """Where the water reaches little of the bowl, its readings lower what is believed of that share."""
    means = []
    for factor in (1.0, 0.5):
        cook = MethodCook(JOBS["bath"], particles=200, factors={"under": factor, "water": factor})
        for _ in range(3):
            cook.act("bath", seconds=180.0, celsius=50.0)
            cook.act("stir", seconds=30.0)
            cook.read()
        f = cook.run.filter
        f.adopt()
        figures = f._figures(f.z)
        means.append(float(f.weights @ (figures["under"] * figures["water"])))
    assert means[1] < 0.95 * means[0]


def test_a_reading_that_does_not_fit_a_bath_is_doubted_without_an_oven() -> None:
    """A reading 6 °C off raises a doubt that names reading, chocolate, bowl or bath, and no oven."""
    cook = MethodCook(JOBS["bath"])
    cook.act("bath", seconds=240.0, celsius=50.0)
    cook.act("stir", seconds=30.0)
    cook.read()
    cook.act("stir", seconds=60.0)
    cook.tell("reading", celsius=float(cook.truth.reading()[0]) + 6.0)
    assert cook.run.doubt is not None
    assert cook.run.doubt.explanations[0] == "the reading is wrong: stir and read again"
    assert "oven" not in " ".join((cook.run.doubt.text, *cook.run.doubt.explanations))


def test_replaying_a_method_gives_the_same_views() -> None:
    """The same happenings fold to the same view, after an undo as if the undone had not been."""
    cook = MethodCook(JOBS["crystals"], particles=60)
    for _ in range(4):
        cook.do(cook.run.move())
    again = LiveRun("test", cook.run.job, 0, particles=60)
    for h in cook.run.all:
        again.fold(h)
    assert dataclasses.asdict(again.view()) == dataclasses.asdict(cook.view())
    again.fold(Happening("x", "stir", cook.now_ms + 30_000, seconds=30.0))
    again.fold(Happening("u", "undo", cook.now_ms + 31_000, of="x"))
    expected = dataclasses.replace(cook.view(), happenings=len(cook.run.all) + 2)
    assert dataclasses.asdict(again.view()) == dataclasses.asdict(expected)


def test_tabling_takes_the_time_that_passed() -> None:
    """Scraped back without a time said, it was on the slab since the bowl was last touched."""
    told, timed = (LiveRun("test", JOBS["tabling"], 0, particles=40) for _ in range(2))
    for run in (told, timed):
        run.fold(Happening("a", "melted", 60_000, celsius=45.0))
    told.fold(Happening("b", "tabled", 540_000, grams=650.0, seconds=240.0, minutes=4.0, celsius=27.4))
    timed.fold(Happening("b", "tabled", 540_000, grams=650.0, celsius=27.4))
    np.testing.assert_array_equal(timed.filter.bowls.y, told.filter.bowls.y)
    assert float(np.median(timed.filter.bowls.temperature())) < 40.0
    assert timed.filter.bowls.beside.shape[1] > 0


def test_a_round_tapped_late_takes_its_usual_time() -> None:
    """Taps that come all at once do not mean that the chocolate never lay on the slab: it cooled as it usually does."""
    run = LiveRun("test", JOBS["tabling"], 0, particles=40)
    run.fold(Happening("a", "melted", 60_000, celsius=45.0))
    run.fold(Happening("b", "tabled", 64_000, grams=650.0))
    assert float(np.median(run.filter.bowls.temperature())) < 40.0


def test_the_course_is_read_off_the_happenings() -> None:
    """What was seeded, tabled, chilled and lifted since the last full melt."""

    def h(kind: str, **what: object) -> Happening:
        return Happening("i", kind, 0, **what)

    before = [h("added", seed="buttons"), h("melted", celsius=45.0)]
    assert course_of(before, 20.0) == Course(melted=True)
    seeded = [*before, h("added"), h("stir"), h("stir"), h("added", seed="melted")]
    assert course_of(seeded, 20.0) == Course(melted=True, added=1, stirred=2)
    block = [*before, h("added", seed="block")]
    assert course_of(block, 20.0) == Course(melted=True, block_in=True)
    assert course_of([*block, h("block out")], 20.0) == Course(melted=True, block_out=True)
    cold = [*before, h("bath", celsius=12.0)]
    assert course_of(cold, 20.0) == Course(melted=True, chilled=True)
    assert course_of([*cold, h("bath", celsius=40.0)], 20.0) == Course(melted=True, chilled=True, lifted=True)
    assert course_of([*before, h("tabled")], 20.0) == Course(melted=True, tabled=1)


@pytest.mark.parametrize("kind", [k for k in HAPPENINGS if k not in ("undo", "corrected", "finished")])
def test_any_run_takes_any_happening(kind: str) -> None:
    """Whatever the method, whatever is told with no more than it needs is folded and answered."""
    what: dict[str, object] = {
        "reading": {"celsius": 28.0}, "lumps": {"level": "some"}, "flow": {"level": "thick"}, "test": {"minutes": 4.0},
        "melted": {"celsius": 45.0}, "added": {"grams": 50.0}, "taken": {"grams": 50.0}, "tabled": {"grams": 300.0},
        "moved": {"material": "plastic"}, "block out": {},
    }.get(kind, {"seconds": 40.0})  # fmt: skip
    for job in (JOBS["bath"], JOBS["tabling"], BowlJob("dark", 1000.0, 1000.0)):
        run = LiveRun("test", job, 0, particles=40)
        run.fold(Happening("a", kind, 60_000, **what))
        assert run.view().move.headline
        assert run.filter.bowls.bad.sum() == 0


def test_what_if_asks_the_bath_the_bowl_stands_in() -> None:
    """Over a bath, more seconds end warmer; a bowl that is seeded has no such question."""
    run = LiveRun("test", JOBS["bath"], 0, particles=60)
    short, long = run.what_if(60), run.what_if(240)
    assert short.ends_c.mid < long.ends_c.mid
    assert short.solid_pct_of_fat.mid > long.solid_pct_of_fat.mid
    with pytest.raises(InputError, match="follow the advice"):
        LiveRun("test", JOBS["buttons"], 0, particles=60).what_if(60)
