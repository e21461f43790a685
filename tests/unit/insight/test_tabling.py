"""Tabling and cold-bowl stirring: heat kept through every act, policies as their tables say, plans, refusals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.insight.job import BowlJob
from temperbench.insight.methods import cold_bowl, tabling
from temperbench.insight.methods.cold_bowl import cold_bowl_for, play_cold_bowl
from temperbench.insight.methods.dips import Water, lift
from temperbench.insight.methods.melting import melted_nominal
from temperbench.insight.methods.method_plan import MethodPlan
from temperbench.insight.methods.plan_cold_bowl import plan_cold_bowl
from temperbench.insight.methods.plan_tabling import plan_tabling
from temperbench.insight.methods.script import Run
from temperbench.insight.methods.slab_run import SlabRun
from temperbench.insight.methods.tabling import Tabling, play_tabling, pour_for, slab_of
from temperbench.insight.setup_job import Known, know
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import temperatures
from temperbench.kitchen.bowl_layout import MASS, TOP, WALL_AIR, WALL_BENCH
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members
from temperbench.kitchen.outside import middle_around
from temperbench.kitchen.slab import middle_slabs
from temperbench.matter.crystals import TEMP

DARK = BowlJob("dark", 1000.0, method="tabling", slab_c=20.0, room_c=20.0)
COLD = BowlJob("dark", 1000.0, method="cold-bowl", bath_c=14.0, bath_l=3.0, room_c=20.0)
ALL = np.ones(1, dtype=np.bool_)
FEW = 64


def pour(job: BowlJob = DARK) -> tuple[Known, Tabling]:
    """Return what is known of a job and how it is poured."""
    known = know(job)
    at = temperatures(known)
    return known, pour_for(known, at, slab_of(known, at))


def middle(known: Known, f: Tabling) -> Members:
    """Return the middle bowl after its full melt."""
    return melted_nominal(known, f.melting, 0.0)


def beside(members: Members, f: Tabling) -> SlabRun:
    """Return a run of these bowls beside slabs with middle figures."""
    return SlabRun.beside(Run(Bowls(members), np.random.default_rng(0)), middle_slabs(f.slab, members.air_c))


@pytest.fixture(name="plan", scope="module")
def _plan() -> MethodPlan:
    """Return the plan of 1 kg of dark chocolate on marble."""
    return plan_tabling(DARK, members=128)


@pytest.fixture(name="cold", scope="module")
def _cold() -> MethodPlan:
    """Return the plan of 1 kg of dark chocolate in cold water."""
    return plan_cold_bowl(COLD, members=128)


def test_heat_is_kept_over_rounds_on_the_slab() -> None:
    """Bowl, poured chocolate and slab keep their enthalpy to 1e-6 of the heat moved, over two rounds, room left out."""
    known, f = pour()
    members = middle(known, f)
    rows = members.rows.copy()
    rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    run = beside(replace(members, rows=rows), f)
    run.slabs.figures |= {"air_film": np.zeros(1), "support": np.full(1, 1e-12)}
    kg = np.ones(1)

    def heat() -> float:
        empty = np.zeros((1, 6))
        slab = run.slabs.enthalpy_j(empty, rows, members.curves, kg)
        return float((run.bowls.heat() + slab)[0])

    before = heat()
    tabling._table(run, replace(f, cooling_rounds=1, share=0.4, keep_s=120.0), Telling(True))
    moved = float(run.slabs.heat_j_k()[0] * (run.slabs.mean_c()[0] - 20.0))
    assert moved > 1e4
    assert heat() == pytest.approx(before, abs=1e-6 * moved)


def test_heat_is_kept_between_bowl_and_water() -> None:
    """What the chocolate and its wall give in dips the water takes, to 1e-6 of it."""
    known = know(COLD)
    f = cold_bowl_for(known, temperatures(known))
    members = melted_nominal(known, f.melting, 0.0)
    rows = members.rows.copy()
    rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
    bowls = Bowls(replace(members, rows=rows))
    figures = {**middle_around(1), "open": np.zeros(1)}
    water = Water(known.bowl.material, np.array([14.0]), 3.0, figures)
    before = float(bowls.heat()[0])
    for _ in range(6):
        water.dip(bowls, np.array([20.0]), 30.0)
        bowls.stir(10.0)
    per_kelvin = 3.0 / 1000.0 * 992.0 * 4180.0
    moved = before - float(bowls.heat()[0])
    assert moved > 1e4
    side = 4.0 * np.pi / 4.0 * (4.0 * 3e-3 / np.pi) ** (2.0 / 3.0) * 10.8  # the pot's side to the room, W/K
    assert per_kelvin * (water.celsius[0] - 14.0) == pytest.approx(moved, abs=120.0 * side * 6.0)
    assert water.celsius[0] > 14.5


def test_who_lies_on_the_slab_is_what_is_read() -> None:
    """While chocolate is worked, path and reading are those of the slab; after the return those of the bowl."""
    known, f = pour()
    run = beside(middle(known, f), f)
    run.begin("table", "pour")
    run.pour(0.5, ALL, 10.0, 500.0)
    run.work(np.array([60.0]))
    assert run.poured is not None
    assert run.temperature() == pytest.approx(run.poured.zone(TEMP)[:, 0])
    assert run.look() == pytest.approx(run.temperature(), abs=1.5)
    assert run.temperature()[0] < run.bowls.temperature()[0] - 5.0
    assert run.bowls.members.rows[0, MASS] == pytest.approx(0.5)
    run.back(10.0)
    run.stir(60.0)
    assert run.bowls.members.rows[0, MASS] == pytest.approx(1.0)
    assert run.temperature() == pytest.approx(run.bowls.temperature())
    with pytest.raises(ValueError, match="pour first"):
        run.work(np.array([1.0]))


def test_longer_kept_moving_loses_fewer() -> None:
    """The longer it is kept moving at the turn, the more crystals come back and the fewer bowls are lost."""
    known, f = pour()
    ends = [play_tabling(known, replace(f, keep_s=60.0 * k), FEW, [1]) for k in (1.0, 4.0, 7.0)]
    medians = [float(np.median(r.bowls.stable())) for r in ends]
    lost = [float(r.lost().mean()) for r in ends]
    assert medians == sorted(medians)
    assert lost == sorted(lost, reverse=True)
    assert lost[0] > 0.5
    assert lost[-1] < 0.05


def test_the_remedy_for_too_few_crystals_helps() -> None:
    """Who lost the temper on the slab or in the water and does it again as the plan tells has it afterwards."""
    known, f = pour()
    at = temperatures(known)
    run = play_tabling(known, replace(f, keep_s=200.0), FEW, [4])
    few = run.lost()
    assert few.mean() > 0.3
    tabling._round(run, f, few, 320.0, "Again: ", Telling(True))
    assert run.lost()[few].mean() < 0.1
    known = know(COLD)
    g = replace(cold_bowl_for(known, at), keep_s=150.0)
    wet = play_cold_bowl(known, at, g, FEW, [4])
    few = wet.lost()
    assert few.mean() > 0.3
    water = Water(known.bowl.material, np.full(FEW, 14.0), 3.0, middle_around(FEW))
    cold_bowl._chill(wet, water, g, Telling(True))
    assert wet.lost()[few].mean() < 0.1


def test_every_bowl_that_comes_back_cool_is_lifted() -> None:
    """After the lift nobody's own thermometer read less than the window, and none was lifted past the limit."""
    known, f = pour()
    at = temperatures(known)
    run = play_tabling(known, replace(f, keep_s=360.0), FEW, [2])
    run.finish()
    lifted = run.records[-1]
    assert lifted.phase == "lift"
    assert 0.3 < lifted.active.mean() <= 1.0
    assert (lifted.reading_c[lifted.active] >= f.lift_c).all()
    assert run.bowls.temperature().max() < at.limit_c


def test_a_bowl_in_the_window_is_not_lifted() -> None:
    """Nobody goes over warm water who reads the window already."""
    known, f = pour()
    members = middle(known, f)
    run = Run(Bowls(members), np.random.default_rng(0))
    before = run.bowls.temperature()
    lift(run, Water("steel", np.array([41.0]), None, middle_around(1)), 31.0, 31.5, Telling(True))
    assert run.clock.tolist() == [0.0]
    assert run.bowls.temperature().tolist() == before.tolist()


def test_a_small_slab_takes_several_rounds() -> None:
    """What the slab cannot hold at once goes over it in rounds, the first of which only cool."""
    _, f = pour(replace(DARK, grams=4000.0, slab_m2=0.12, slab_mm=40.0))
    assert f.share < 0.5
    assert f.cooling_rounds >= 1


def test_more_is_poured_from_a_hotter_melt() -> None:
    """The hotter the melt, the larger the share that has to be cooled."""
    shares = [pour(replace(DARK, melt_c=c))[1].share for c in (42.0, 50.0)]
    assert shares[0] < shares[1]


@pytest.mark.parametrize(
    ("field", "change"), [("slab_c", {"slab_c": 26.5}), ("slab_m2", {"grams": 30000.0, "slab_m2": 0.1})]
)
def test_a_slab_that_cannot_cool_is_refused(field: str, change: dict[str, float]) -> None:
    """A slab as warm as the turn, or far too small, is refused by name with what to do instead."""
    with pytest.raises(InputError) as caught:
        pour(replace(DARK, **change))
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("field", "job"),
    [("bath_c", replace(COLD, chocolate="white", bath_c=23.0)), ("bath_l", replace(COLD, grams=10000.0, bath_l=2.0))],
)
def test_water_that_cannot_cool_is_refused(field: str, job: BowlJob) -> None:
    """Water near the turn, or too little of it, is refused by name."""
    known = know(job)
    with pytest.raises(InputError) as caught:
        cold_bowl_for(known, temperatures(known))
    assert caught.value.field == field
    assert isinstance(caught.value, OutOfRange) is (field == "bath_c")


def test_the_plan_keeps_both_risks(plan: MethodPlan, cold: MethodPlan) -> None:
    """Both plans measure no more than the risk asked for, and say what for."""
    for made in (plan, cold):
        assert max(made.risk_lost, made.risk_scorch) <= made.risk_asked
        assert made.risk_members == 128
        assert [w.code for w in made.warnings if w.code == "risk-above-asked"] == []


def test_the_plan_turns_where_practice_does(plan: MethodPlan, cold: MethodPlan) -> None:
    """Common practice: dark down to 27 to 28 °C, worked at 31 to 32; half to three quarters poured."""
    for made in (plan, cold):
        assert made.draw_down_c is not None
        assert 27.0 <= made.draw_down_c <= 28.0
        assert (made.work_from_c, made.work_to_c) == (31.0, 32.0)
        assert made.lift_c is not None
        assert 31.0 <= made.lift_c <= 32.0
    assert 500 <= plan.portions_g[0] <= 750


def test_steps_and_table_tell_the_same(plan: MethodPlan, cold: MethodPlan) -> None:
    """The minutes of the keeping step stand in the table; phases follow each other and end in keeping."""
    for made, middle_phase in ((plan, "table"), (cold, "chill")):
        keep = next(s for s in made.steps if "min" in s.do and s.phase == middle_phase)
        minutes = keep.do.split(" for ")[1]
        assert any(minutes in row.do for row in made.reads_then)
        names = [p.name for p in made.phases]
        assert names[0] == "clear"
        assert middle_phase in names
        assert names[-1] == "keep"
        assert [a.to_s for a in made.phases[:-1]] == [b.from_s for b in made.phases[1:]]


def test_the_slab_is_told(plan: MethodPlan) -> None:
    """Layer and share of the slab stand in the pour, the slab's own warming in the rules."""
    detail = next(s.detail for s in plan.steps if s.do.startswith("Pour"))
    assert "8 mm thick" in detail
    assert "% of the slab" in detail
    assert [r for r in plan.rules if "The slab ends at" in r] != []


def test_the_same_seed_gives_the_same_plan(cold: MethodPlan) -> None:
    """A plan repeats bit for bit."""
    assert plan_cold_bowl(COLD, members=128) == cold


def test_rows_by_eye_have_no_readings() -> None:
    """Without a thermometer the table is told by look and feel."""
    made = plan_cold_bowl(replace(COLD, thermometer="none"), members=32)
    assert [r for r in made.reads_then if r.reads_from_c is not None or r.reads_to_c is not None or not r.looks] == []


def test_ice_cools_sooner_and_plastic_later() -> None:
    """Ice water brings the bowl down sooner than tap water, and a plastic bowl takes longer than steel."""
    times = []
    for job in (replace(COLD, bath_c=0.0), COLD, replace(COLD, bowl="plastic")):
        known = know(job)
        f = replace(cold_bowl_for(known, temperatures(known)), keep_s=0.0)
        run = play_cold_bowl(known, temperatures(known), f, FEW, [3])
        run.finish()
        times.append(float(np.median(sum(r.seconds for r in run.records if r.phase == "chill"))))
    assert times == sorted(times)
    assert cold_bowl._water_of(know(replace(COLD, bath_c=0.0)), [])[1] is None


@pytest.mark.parametrize("kind", ["gianduja", "plant-milk", "caramelised", "coloured-butter"])
def test_other_masses_are_planned_too(kind: str) -> None:
    """Other masses turn some degrees below their window, as chocolate does, on a cool slab and in cold water."""
    for made in (
        plan_tabling(replace(DARK, chocolate=kind, slab_c=15.0), members=32),
        plan_cold_bowl(replace(COLD, chocolate=kind, bath_c=8.0), members=32),
    ):
        assert made.draw_down_c is not None
        assert made.work_from_c - 4.0 <= made.draw_down_c <= made.work_from_c - 2.5
        assert made.crystals_pct_of_fat.mid > 0.5


def test_a_room_too_warm_for_the_slab_is_said() -> None:
    """A paste worked at 25 °C cannot be tabled on a stone as warm as a warm room: the slab is named, not the paste."""
    known = know(replace(DARK, chocolate="gianduja", slab_c=None, room_c=22.0))
    with pytest.raises(OutOfRange) as caught:
        slab_of(known, temperatures(known))
    assert caught.value.field == "slab_c"


def test_warnings_name_what_is_near_its_limit() -> None:
    """A cold slab may sweat, plastic is slow."""
    made = plan_tabling(replace(DARK, slab_c=10.0), members=32)
    assert "slab-may-sweat" in [w.code for w in made.warnings]
    assert "slow-wall" in [w.code for w in plan_cold_bowl(replace(COLD, bowl="plastic"), members=32).warnings]
