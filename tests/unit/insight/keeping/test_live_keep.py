"""Keeping on the live bowl: when to look again, what it asks for, and that a bowl kept well needs no second test."""

from __future__ import annotations

import numpy as np
import pytest

from temperbench.insight.advice import progress_of
from temperbench.insight.job import BowlJob
from temperbench.insight.keeping.live_keep import asks_now
from temperbench.insight.keeping.start import make_even
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LOOK_AGAIN, LiveRun
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.seeds import Seed
from unit.insight.cook import Cook

JOB = BowlJob("dark", 1000.0, 1000.0, room_c=20.0)


@pytest.fixture(scope="module")
def cook() -> Cook:
    """A cook whose bowl is smooth, in its window and tested."""
    found = Cook(JOB)
    found.heat_until_smooth()
    for _ in range(4):
        move = found.view().move
        if move.kind == "test":
            break
        found.act("stir", float(move.seconds or 60))
        found.read()
    found.truth.stir(240.0)
    found.now_ms += 240_000
    found.tell("test", minutes=3.0, look="sheen", film="paper")
    return found


def test_nothing_is_said_of_keeping_while_it_is_heated() -> None:
    """A bowl with lumps has no forecast of keeping."""
    run = LiveRun("r", JOB, 0, particles=60)
    run.fold(Happening("a", "burst", 50_000, seconds=45.0))
    assert run.view().keeping is None


def test_a_ready_bowl_says_when_to_look_again(cook: Cook) -> None:
    """The clock of the page counts down to the next look, and the words tell what comes and what to do."""
    view = cook.view()
    assert view.move.kind == "ready"
    assert view.keeping is not None
    assert view.countdown is not None
    assert view.countdown.label == LOOK_AGAIN
    shown = (view.countdown.until_ms - view.countdown.from_ms) / 60_000
    assert shown == pytest.approx(view.keeping.look_min, abs=0.01)
    assert view.keeping.thick_min.low <= view.keeping.thick_min.mid <= view.keeping.thick_min.high
    assert "too thick in" in view.keeping.lines[0]
    assert "look again" in view.keeping.lines[1]


def test_a_bowl_that_cooled_is_warmed_and_is_ready_again_without_a_second_test(cook: Cook) -> None:
    """Below its window it asks for a few seconds; warmed, and thinned if it is thick, it can be used at once."""
    for _ in range(6):
        cook.act("stir", 180.0)
        cook.read()
        move = cook.view().move
        if move.kind == "warm":
            break
    assert move.kind == "warm"
    assert move.seconds is not None
    assert 2 <= move.seconds <= 20
    assert cook.view().state == "in temper"
    kinds = []
    while move.kind != "ready" and len(kinds) < 8:
        kinds.append(move.kind)
        if move.kind == "warm":
            cook.act("burst", float(move.seconds or 0))
            assert cook.view().move.kind == "stir"
        else:
            cook.truth.add((move.grams or 0) / 1000.0, 42.0, Seed.melted())
            cook.tell("added", grams=float(move.grams or 0), celsius=42.0, material="melted")
        cook.act("stir", 60.0)
        cook.read()
        move = cook.view().move
    assert move.kind == "ready", kinds
    assert set(kinds) <= {"warm", "thin"}
    assert progress_of(cook.run.folded).tested is None
    assert float(cook.truth.stable()[0]) > 0.005


def test_melted_chocolate_warms_and_thins_and_buttons_do_the_opposite() -> None:
    """What is stirred in as melted chocolate has no crystals and 42 °C unless said otherwise."""
    runs = {}
    for material in (None, "melted"):
        run = LiveRun("r", JOB, 0, particles=60)
        make_even(run.filter.bowls, 31.0, 0.05, 5.0)
        run.filter.bowls.stir(1.0)
        mass = run.filter.bowls.members.rows[:, MASS].copy()
        run.fold(Happening("a", "added", 60_000, grams=100.0, material=material))
        run.fold(Happening("b", "stir", 90_000, seconds=30.0))
        bowls = run.filter.bowls
        assert np.allclose(bowls.members.rows[:, MASS], mass + 0.1)
        runs[material] = (float(np.median(bowls.temperature())), float(np.median(bowls.solid())))
    assert runs["melted"][0] > 31.3 > runs[None][0]
    assert runs["melted"][1] < 0.05 < runs[None][1]


@pytest.mark.parametrize(("celsius", "flow", "kind"), [(31.5, "with ease", "nothing"), (30.5, "with ease", "warm"),
                                                       (32.0, "thick", "warm"), (33.5, "thick", "grams")])  # fmt: skip
def test_a_bowl_asks_for_what_its_reading_and_its_flow_call_for(celsius: float, flow: str, kind: str) -> None:
    """In its window and flowing: nothing. Cold: seconds. Thick: seconds, or near the stop warm chocolate alone."""
    run = LiveRun("r", JOB, 0, particles=60)
    make_even(run.filter.bowls, celsius, 0.06, 6.0)
    asks = asks_now(JOB, run.filter.bowls, run.at, run.aims, flow)
    assert asks.due is (kind != "nothing")
    assert (asks.seconds > 0) is (kind == "warm")
    assert (asks.grams > 0) is (flow == "thick" and celsius < run.at.stop_c - 0.3)
    assert asks.said.endswith(".")


def test_without_an_oven_it_says_the_temperature_instead_of_seconds() -> None:
    """A bowl of another method is told where to warm it to."""
    job = BowlJob("dark", 1000.0, room_c=20.0, method="seed", stock="melted", start_c=45.0)
    run = LiveRun("r", job, 0, particles=60)
    make_even(run.filter.bowls, 30.5, 0.03, 3.0)
    asks = asks_now(job, run.filter.bowls, run.at, run.aims, "with ease")
    assert asks.seconds == 0
    assert asks.due
    assert f"to about {asks.aim_c:.1f} °C" in asks.said
