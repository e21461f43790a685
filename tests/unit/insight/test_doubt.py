"""A reading that does not fit: the particles live on, the doubt is said, the likeliest explanation comes first."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from temperbench.foundation.quantities import Spread
from temperbench.insight.doubt import doubt_about
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Doubt, Happening
from temperbench.insight.particles import effective
from temperbench.insight.setup_job import know
from unit.insight.cook import Cook

JOB = BowlJob("dark", 1000.0, 1000.0, room_c=20.0)
SCHEDULE = ((45.0, 20.0), (25.0, 20.0), (12.0, 20.0))
WRONG = "the reading is wrong: stir and read again"
WEAKER, STRONGER = "the oven weaker than its label", "the oven stronger than its label"


def lived(cook: Cook, off_c: tuple[float, ...] = (0.0, 0.0, 0.0)) -> list[Doubt | None]:
    """Doubts after each reading of a run."""
    doubts = []
    for (burst, stir), off in zip(SCHEDULE, off_c, strict=True):
        cook.act("burst", burst)
        cook.act("stir", stir)
        cook.reads_high = off
        cook.read()
        doubts.append(cook.run.doubt)
        cook.run.filter.adopt()
        assert effective(cook.run.filter.weights) >= 0.5 * cook.run.filter.count
        assert len({*cook.run.filter.z[0]}) > 0.5 * cook.run.filter.count, "the particles have not collapsed"
    return doubts


def test_a_usual_bowl_is_not_doubted() -> None:
    """A bowl of middle values read truly gives no doubt."""
    assert lived(Cook(JOB)) == [None] * 3


@pytest.mark.parametrize(("off", "turn"), [((0.0, -5.0, 0.0), 1), ((0.0, 0.0, 6.0), 2)], ids=["low", "high"])
def test_one_slip_is_called_a_wrong_reading(off: tuple[float, ...], turn: int) -> None:
    """A single reading degrees off, amid ones that fit: the reading is doubted first, and the run goes on."""
    cook = Cook(JOB)
    doubts = lived(cook, off)
    found = doubts[turn]
    assert found is not None
    assert found.explanations[0] == WRONG
    assert "does not fit" in found.text
    assert cook.view().move.headline
    if turn < 2:
        assert doubts[2] is None
        assert cook.view().now_c.low - 0.3 <= cook.truth.temperature()[0] <= cook.view().now_c.high + 0.3


@pytest.mark.parametrize(
    ("true", "first"),
    [
        ({"delivered": 525.0}, WEAKER),
        ({"delivered": 1050.0, "coupling": 1.0}, STRONGER),
    ],
    ids=["weak oven", "power 105 % of the label"],
)
def test_an_oven_outside_its_label_is_named(true: dict[str, float], first: str) -> None:
    """An oven far from its label shows within three readings, and is the first explanation then."""
    doubts = [d for d in lived(Cook(JOB, **true)) if d is not None]
    assert doubts
    assert first == doubts[-1].explanations[0]
    assert len(doubts[-1].explanations) == 3


def test_much_more_chocolate_is_among_the_explanations() -> None:
    """Half as much again as entered looks like a weak oven to a thermometer: both are offered."""
    doubts = [d for d in lived(Cook(JOB, mass=1.5)) if d is not None]
    assert doubts
    assert {WEAKER, "more chocolate in the bowl than entered"} <= set(doubts[0].explanations)


def checked(cook: Cook) -> Cook:
    """The cook with a thermometer that was checked at two points to within a tenth of a degree."""
    setup = dataclasses.replace(cook.run.known.setup, bias_c=Spread(-0.1, 0.0, 0.1))
    cook.run.filter.known = dataclasses.replace(cook.run.known, setup=setup)
    return cook


@pytest.mark.parametrize(("off", "side"), [(4.0, "high"), (-4.0, "low")])
def test_a_thermometer_that_is_off_is_named_with_its_check(off: float, side: str) -> None:
    """Read four degrees off each time, the thermometer is among the explanations, with its side and what would tell."""
    doubts = [d for d in lived(Cook(JOB), (off, off, off)) if d is not None]
    assert doubts
    named = [e for e in doubts[-1].explanations if e.startswith("the thermometer off")]
    assert len(named) == 1
    assert f"°C too {side}: check it in ice and near 32 °C" in named[0]
    assert doubts[-1].check


def test_a_checked_thermometer_is_doubted_less() -> None:
    """After its two-point check the same readings put the thermometer no higher among the explanations."""

    def place(doubt: Doubt | None) -> int:
        assert doubt is not None
        found = [n for n, e in enumerate(doubt.explanations) if e.startswith("the thermometer off")]
        return found[0] if found else len(doubt.explanations)

    places = []
    for cook in (Cook(JOB), checked(Cook(JOB))):
        lived(cook, (0.0, 3.0, 3.0))
        cook.run.filter.tail = 0.0
        places.append(place(doubt_about(cook.run.filter)))
    assert places[1] >= places[0]


@pytest.mark.parametrize(("seconds", "follows"), [(30.0, False), (1800.0, True)])
def test_a_thermometer_forgets_what_it_showed_long_ago(seconds: float, follows: bool) -> None:
    """Half a minute after a hot reading a probe still shows some of it; after half an hour of stirring nothing."""
    f = BowlFilter(know(BowlJob("dark", 1000.0, method="seed")), 60, 1)
    f.fold(Happening("a", "melted", 0, celsius=45.0))
    f.fold(Happening("b", "reading", 0, celsius=45.0))
    f.fold(Happening("c", "stir", 0, seconds=seconds))
    bowls = f.bowls.copy()
    bowls.shown = bowls.shown + 20.0  # as if it had shown so much more
    f.bowls, plain = bowls, f.branch()
    plain.bowls.shown = plain.bowls.shown - 20.0
    for one in (f, plain):
        one.fold(Happening("d", "reading", 0, celsius=44.0))
    left = float(np.max(f.particles.figures[-1] - plain.particles.figures[-1]))
    assert (left < 0.01) == follows
    assert left >= 0.0
