"""A reading that does not fit: the particles live on, the doubt is said, the likeliest explanation comes first."""

from __future__ import annotations

import pytest

from temperbench.insight.job import BowlJob
from temperbench.insight.live import Doubt
from temperbench.insight.particles import effective
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
