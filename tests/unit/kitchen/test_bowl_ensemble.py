"""Ensembles: phases add up, marks are bursts, workers change nothing, and what fails is flagged."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from bowl_cases import SETUP, bowl_of
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import PARAMETERS, state_size
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, draw

WIDE = replace(
    SETUP, fat=Spread(0.30, 0.36, 0.40), hardness=Spread(-1.0, 0.0, 1.0), start_c=Spread(17.0, 20.0, 22.0),
    air_c=Spread(17.0, 20.0, 24.0), delivered_w=Spread(600.0, 850.0, 1000.0), coupling=Spread(0.65, 0.813, 1.0),
    warmth=Spread(0.0, 0.2, 1.0), wall_share=Spread(0.0, 0.02, 0.15), wall_heat=Spread(100.0, 270.0, 900.0),
)  # fmt: skip


def members(m: int, seed: int = 1) -> Members:
    """Return random members."""
    return draw(WIDE, m, np.random.default_rng(seed))


def melt(bowls: Bowls) -> Bowls:
    """Run a plausible bowl: three bursts, stirred."""
    for seconds, strokes in ((50.0, 20.0), (15.0, 20.0), (10.0, 60.0)):
        bowls.burst(seconds)
        bowls.stand(5.0)
        bowls.stir(strokes)
    return bowls


def apart(a: Bowls, b: Bowls) -> tuple[float, float]:
    """Return how far two ensembles are apart: temperatures, solids."""
    gap = np.abs(a.y - b.y)
    return float(gap[:, 5::6].max()), float(gap[:, 0:18:6].max())


@pytest.mark.parametrize("phase", ["stand", "stir", "burst"])
def test_a_phase_is_the_sum_of_its_parts(phase: str) -> None:
    """A minute of standing, stirring or heating is two halves, drift of the oven included, to a few tolerances.

    Not to one: each step keeps the tolerance, a phase has a dozen of them, and the laws have corners.
    """
    drawn = members(100)
    rows = drawn.rows.copy()
    rows[:, PARAMETERS.index("delay")] = 0.0
    for tolerance, warm, solid in ((0.02, 0.1, 0.004), (1e-4, 0.005, 2e-4)):
        whole = Bowls(replace(drawn, rows=rows), tolerance=tolerance)
        if phase != "burst":
            melt(whole)
        parts = whole.copy()
        getattr(whole, phase)(60.0)
        for _ in range(2):
            getattr(parts, phase)(30.0)
        assert apart(whole, parts)[0] < warm
        assert apart(whole, parts)[1] < solid
        np.testing.assert_allclose(parts.warmth, whole.warmth, rtol=1e-12)


@pytest.mark.parametrize("stirred", [False, True])
def test_marks_are_bursts(stirred: bool) -> None:
    """The state at a mark is that after a burst of so many seconds, peaks and warmth of the oven likewise.

    States between steps are interpolated, so that the hottest zone may be off by more than a step's tolerance.
    """
    bowls = Bowls(members(100), tolerance=0.005)
    if stirred:
        bowls.burst(40.0)
        bowls.stir(20.0)
    seconds = [3.0, 5.0, 10.0, 17.5, 30.0, 45.0]
    before = bowls.y.copy()
    marks = bowls.burst_marks(seconds)
    np.testing.assert_array_equal(bowls.y, before)
    for k, length in enumerate(seconds):
        burst, taken = bowls.copy(), bowls.copy()
        burst.burst(length)
        taken.take_marks(marks, np.full(100, k))
        assert apart(burst, taken)[0] < 0.1
        assert apart(burst, taken)[1] < 0.003
        np.testing.assert_allclose(taken.peak, burst.peak, atol=0.1)
        np.testing.assert_allclose(taken.warmth, burst.warmth, atol=3e-3)


def test_lost_bowls_crystallise_again_at_any_tolerance() -> None:
    """Bowls melted to the last crystal and stirred down for an hour nucleate as finely integrated ones do.

    They start from less than the integrator resolves, so that crystals below nothing must not keep others from growing.
    """
    stable, warm = [], []
    for tolerance in (0.02, 1e-5):
        bowls = Bowls(members(100), tolerance=tolerance)
        for seconds in (60.0, 20.0, 20.0, 20.0, 20.0):
            bowls.burst(seconds)
            bowls.stir(20.0)
        for _ in range(8):
            bowls.stir(450.0)
        stable.append(bowls.stable())
        warm.append(bowls.temperature())
    assert stable[1].max() > 0.3
    np.testing.assert_allclose(stable[0], stable[1], atol=0.01)
    np.testing.assert_allclose(warm[0], warm[1], atol=0.1)


def test_members_do_not_feel_each_other() -> None:
    """An ensemble is its members one by one, bit for bit, however many workers share them."""
    drawn = members(150)
    together = [melt(Bowls(drawn, workers=w)) for w in (None, 1, 2, 3, 7)]
    for bowls in together[1:]:
        np.testing.assert_array_equal(bowls.y, together[0].y)
        np.testing.assert_array_equal(bowls.peak, together[0].peak)
        np.testing.assert_array_equal(bowls.warmth, together[0].warmth)
    for k in (0, 71, 149):
        alone = melt(Bowls(drawn.take(np.array([k]))))
        np.testing.assert_array_equal(alone.y[0], together[0].y[k])
        np.testing.assert_array_equal(alone.peak[0], together[0].peak[k])


def test_the_same_seed_draws_the_same_members() -> None:
    """A run can be repeated: same generator state, same figures; another seed, others."""
    np.testing.assert_array_equal(members(20).rows, members(20).rows)
    assert (members(20).rows != members(20, seed=2).rows).any()


def test_a_copy_is_a_branch() -> None:
    """What happens in a branch leaves the trunk as it was."""
    bowls = melt(Bowls(members(5)))
    before = bowls.y.copy()
    melt(bowls.copy())
    np.testing.assert_array_equal(bowls.y, before)


def test_no_time_changes_nothing() -> None:
    """Phases of no length leave every figure alone."""
    bowls = melt(Bowls(members(5)))
    before = bowls.y.copy()
    bowls.burst(0.0)
    bowls.stand(0.0)
    bowls.stir(0.0)
    np.testing.assert_array_equal(bowls.y, before)
    assert bowls.bad.sum() == 0


def spoilt(drawn: Members, field: str, place: int) -> Members:
    """Return members of which the second has a figure that is not a number."""
    values = getattr(drawn, field).copy()
    values.reshape(len(values), -1)[1, place] = math.nan
    return replace(drawn, **{field: values})


SPOILT = [
    *[("rows", k) for k in range(len(PARAMETERS))],
    *[("start", k) for k in range(state_size(3))],
    *[("curves", k) for k in (0, 7, 44)],
    ("air_c", 0),
    ("warmth", 0),
]


@pytest.mark.parametrize(("field", "place"), SPOILT)
def test_what_is_not_a_number_is_flagged(field: str, place: int) -> None:
    """A member with any figure missing is marked as bad from the start, whether or not a phase would use it."""
    assert Bowls(spoilt(members(3), field, place)).bad.tolist() == [0, 1, 0]


def test_a_bad_member_leaves_its_neighbours_alone() -> None:
    """The others go on as if it were not there, and it stays marked."""
    drawn = members(3)
    bowls, clean = Bowls(spoilt(drawn, "rows", 0)), Bowls(drawn)
    for each in (bowls, clean):
        each.burst(30.0)
        each.stir(20.0)
    assert bowls.bad.tolist() == [0, 1, 0]
    np.testing.assert_array_equal(bowls.y[[0, 2]], clean.y[[0, 2]])


@pytest.mark.parametrize("place", [*range(6), state_size(3) - 1])
def test_a_state_lost_on_the_way_is_flagged(place: int) -> None:
    """A figure that turns into no number later is caught by the next phase, wherever it stands in the state."""
    bowls = melt(Bowls(members(2)))
    bowls.y[1, place] = math.nan
    bowls.stir(1.0)
    assert bowls.bad.tolist() == [0, 1]


@pytest.mark.parametrize("seconds", [math.nan, math.inf])
def test_time_that_never_comes_is_flagged(seconds: float) -> None:
    """A phase or a mark without a finite length is flagged, not passed over."""
    for act in ("burst", "stand", "stir"):
        bowls = Bowls(bowl_of())
        getattr(bowls, act)(seconds)
        assert bowls.bad.tolist() == [1]
    bowls = Bowls(bowl_of())
    bowls.burst_marks([seconds])
    assert bowls.bad.tolist() == [1]
