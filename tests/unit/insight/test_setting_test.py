"""What a setting test tells the particles: crystals believed follow it, and one that contradicts is doubted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from temperbench.app.happenings import payload_of
from temperbench.insight.advice import pass_minutes
from temperbench.insight.doubt import doubt_about
from temperbench.insight.estimation import BowlFilter
from temperbench.insight.job import BowlJob
from temperbench.insight.likelihood import smear_tail, told_of
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LiveRun
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal
from unit.insight.cook import Cook

JOB = BowlJob("dark", 1000.0, 1000.0, room_c=20.0)


def smear(**what: object) -> Happening:
    """Return a setting test."""
    return Happening("test", "test", 0, **{"film": "paper", **what})


@pytest.fixture(scope="module")
def smooth() -> Cook:
    """By the advice until smooth, stirred down into the window, and read."""
    cook = Cook(JOB, particles=200)
    cook.heat_until_smooth()
    cook.stir_down(cook.run.at.work_to_c - 0.2)
    return cook


def told(cook: Cook, *tests: Happening) -> LiveRun:
    """Return the run told tests besides, each when it was watched to its end; the cook's own run is left as it is."""
    run = LiveRun("again", JOB, 0, particles=200)
    for h in (*cook.run.all, *timed(tests, cook.now_ms)):
        run.fold(h)
    return run


def timed(tests: Sequence[Happening], now_ms: int) -> list[Happening]:
    """Return tests dipped now, each pressed when its time was up."""
    waits = [int(1000 * (h.seconds or 60.0 * (h.minutes or 0.0))) for h in tests]
    return [
        Happening(f"t{n}", h.kind, now_ms + wait, **payload_of(h))
        for n, (h, wait) in enumerate(zip(tests, waits, strict=True))
    ]


def crystals(run: LiveRun, cook: Cook) -> float:
    """Mean of the crystals believed, over fat, eight minutes after the smear was dipped, whenever it was told."""
    bowls = run.filter.bowls.copy()
    bowls.stand(480.0 + (cook.now_ms - (run.clock_ms or 0)) / 1000.0)
    return float(run.filter.weights @ bowls.stable())


def test_not_set_lowers_the_crystals_believed(smooth: Cook) -> None:
    """A smear watched in vain speaks for few crystals, even one that hardly any bowl believed in explains."""
    tests: tuple[tuple[Happening, ...], ...] = ((), (smear(seconds=120.0),), (smear(seconds=360.0),))
    none, short, long = (crystals(told(smooth, *one), smooth) for one in tests)
    assert short < 0.9 * none
    assert long < 0.9 * none


def test_still_soft_is_not_set(smooth: Cook) -> None:
    """A smear called set and soft tells what one does that has not set."""
    soft, unset = (
        crystals(told(smooth, one), smooth) for one in (smear(minutes=5.0, look="soft"), smear(seconds=300.0))
    )
    assert soft == pytest.approx(unset, rel=1e-9)


def test_a_time_not_told_is_the_pass_time_of_its_film(smooth: Cook) -> None:
    """ "Not set" alone tells what it tells with the pass time; on a knife that is longer than on paper."""
    for film in ("paper", "knife"):
        by = 60.0 * pass_minutes(smooth.run.filter, smooth.run.at, film)
        wanted = told(smooth, smear(seconds=by, film=film))
        bare = LiveRun("again", JOB, 0, particles=200)
        for h in (*smooth.run.all, Happening("t0", "test", wanted.folded[-1].pressed_ms, film=film)):
            bare.fold(h)
        assert crystals(bare, smooth) == crystals(wanted, smooth)


def test_a_setting_time_moves_the_crystals_either_way(smooth: Cook) -> None:
    """Set soon: more crystals than one that set late, and than were believed before it."""
    before = crystals(told(smooth), smooth)
    soon, late = (crystals(told(smooth, smear(minutes=m, look="sheen")), smooth) for m in (1.2, 6.0))
    assert late < before < soon


def test_no_answer_rules_a_bowl_out_or_tells_nothing() -> None:
    """Some smears mislead: however little a time fits, all bowls stay possible, and the nearer ones likelier."""
    times = np.log(np.array([0.5, 1.0, 2.0, 5.0, 12.0, 30.0]))
    bowls = Bowls(nominal(Cook(JOB, particles=10).run.known.setup))
    unset = told_of(smear(seconds=300.0), times, bowls, 0.2)
    assert np.all(np.diff(unset[:4]) > 0.5)
    assert np.all(np.diff(unset) > 0.0)
    by_time = told_of(smear(minutes=5.0, look="sheen"), times, bowls, 0.2)
    assert int(np.argmax(by_time)) == 3
    assert np.all(np.diff(by_time[:4]) > 0.5)
    assert np.all(np.diff(by_time[3:]) < -0.5)
    for told_anew in (unset, by_time):
        assert float(told_anew.max() - told_anew.min()) < 13.0


def test_the_chance_of_a_smear_is_two_sided_for_a_time_only() -> None:
    """Between two bowls a time is likely; far out on either side it is not, and not set long past both is not."""
    times, weights = np.log(np.array([2.0, 4.0])), np.array([0.5, 0.5])

    def tail(**what: object) -> float:
        return smear_tail(smear(**what), times, 0.2, weights)

    assert tail(minutes=3.0, look="sheen") > 0.5
    assert tail(minutes=0.8, look="sheen") < 0.01
    assert tail(minutes=12.0, look="sheen") < 0.01
    assert tail(seconds=60.0) > 0.9
    assert tail(seconds=720.0) < 0.01


def test_a_contradicting_smear_is_doubted_and_the_run_goes_on(smooth: Cook) -> None:
    """A smear that fits raises no doubt; one that sets long after it should does, in its own words."""
    fits = told(smooth, smear(minutes=2.4, look="sheen"))
    assert fits.doubt is None
    run = told(smooth, smear(minutes=25.0, look="dull"))
    assert run.doubt is not None
    assert "smear does not fit" in run.doubt.text
    assert any(e.startswith("the smear misleads") for e in run.doubt.explanations)
    assert run.view().move.headline


@pytest.mark.parametrize("kind", ["none", "probe"])
def test_a_thermometer_is_doubted_only_where_there_is_one(kind: str) -> None:
    """Judged by eye, a smear that does not fit says nothing of a thermometer."""
    f = BowlFilter(know(BowlJob("dark", 1000.0, 1000.0, room_c=20.0, thermometer=kind)), 60, 1)
    f.fold(Happening("a", "burst", 0, seconds=60.0))
    f.fold(smear(minutes=3.0, look="sheen"))
    f.tail = 0.0
    found = doubt_about(f)
    assert found is not None
    assert ("thermometer" in found.text) == (kind != "none")
    if kind == "none":
        assert not any("thermometer" in e for e in found.explanations)
        assert not found.check
