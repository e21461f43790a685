"""Plans, smears and bowls beside what is printed or practised. The page docs/validation.md shows the same figures.

Where the model is known to differ the name stands in `KNOWN`, and the page says what that means. Nothing is
tolerated beyond the figures of practice themselves.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from temperbench.insight.plan import BurstPlan
from validation_tables.amounts import SEQUENCES, comes_out
from validation_tables.cases import KINDS, default_job, plan
from validation_tables.observations import closed_checks, crystal_checks
from validation_tables.practice import plan_checks
from validation_tables.published import outcomes
from validation_tables.smears import set_minutes

# Beginnings of the checks in which not every figure agrees; each has its line under "Where they disagree".
KNOWN_CRYSTAL = {"O4a", "O4b", "O6", "O8", "The same button"}
KNOWN_PLAN = {
    "Bursts after it", "dark: crystals go", "milk: crystals go", "white: the plan stops", "white: crystals go",
    "Planned bowls, smear", "Planned bowl, unheated", "Planned bowl, held",
}  # fmt: skip


@pytest.fixture(name="dark")
def _dark() -> BurstPlan:
    """Return the plan for 1 kg of dark chocolate, 1000 W, a thin plastic bowl, a probe, 20 °C."""
    return plan(default_job())


def differing(found: list, known: set[str]) -> tuple[set[str], set[str]]:
    """Return the checks that differ without being known to, and the known ones that no longer differ."""
    names = [c.name for c in found if not c.agrees]
    new = {n for n in names if not any(n.startswith(k) for k in known)}
    return new, {k for k in known if not any(n.startswith(k) for n in names)}


def test_crystals_agree_where_they_are_said_to() -> None:
    """O1 to O10 and what stands beside them agree but for the ones the page names; none of those is out of date."""
    assert (set(), set()) == differing(crystal_checks(), KNOWN_CRYSTAL)


def test_plans_agree_with_practice_where_they_are_said_to() -> None:
    """No figure of a plan leaves common practice unless the page names it."""
    assert set() == differing(plan_checks(), KNOWN_PLAN)[0]


def test_closed_checks_are_all_there_and_within() -> None:
    """C1 to C14 are all computed, and none is outside its tolerance."""
    text = closed_checks()
    assert [n for n in range(1, 15) if f"| C{n} |" not in text] == []
    assert "outside" not in text


def test_published_values_are_all_within() -> None:
    """Every check kept as data stays within its own tolerance, and there are as many as the page counts."""
    assert [o.id for o in outcomes() if o.used > 1.0] == []
    assert len(outcomes()) > 100


def test_first_burst_is_about_a_minute(dark: BurstPlan) -> None:
    """Common practice: about a minute at first for about 1 kg at 1000 W in thin plastic."""
    assert 45 <= dark.bursts[0].seconds <= 75


@pytest.mark.parametrize("kind", KINDS)
def test_bursts_never_grow_and_end_small(kind: str) -> None:
    """Common practice: first a long burst, then shorter ones, at the end a few seconds or only stirring."""
    seconds = [s.seconds for s in plan(default_job(kind)).bursts]
    assert [(a, b) for a, b in pairwise(seconds) if b > a] == []
    assert seconds[-1] <= 10


def test_stops_are_those_of_practice(dark: BurstPlan) -> None:
    """Common practice: dark never above 34 °C; milk lower; white lower still."""
    milk, white = plan(default_job("milk")), plan(default_job("white"))
    assert 33.5 <= dark.stop_c <= 34.5
    assert dark.stop_c - 1.0 > milk.stop_c > white.stop_c
    assert dark.limit_c > milk.limit_c > white.limit_c
    assert [p.stop_c < p.limit_c < p.scorch_c for p in (dark, milk, white)] == [True] * 3


def test_setting_test_is_that_of_practice(dark: BurstPlan) -> None:
    """Common practice: a smear on paper sets in 2 to 3 minutes, in temper 3 to 5 on a knife; 20 °C room."""
    assert 2.0 <= dark.setting_test.pass_min <= 5.0
    assert dark.setting_test.film == "paper"


def test_a_knife_smear_sets_in_about_seven_minutes() -> None:
    """Greweling: a thin dark smear with about 1 % of the fat crystalline sets within about 7 min; milk, white later."""
    assert 5.0 <= set_minutes("dark", 0.01) <= 7.0
    assert set_minutes("dark", 0.01) < set_minutes("milk", 0.01) < set_minutes("white", 0.01)


@pytest.mark.parametrize("film", ["knife", "paper"])
def test_a_smear_without_crystals_stays_wet(film: str) -> None:
    """Common practice: not set by 10 to 15 minutes means too few crystals."""
    assert set_minutes("dark", 0.0, film) >= 10.0


def test_a_warmer_room_takes_longer() -> None:
    """Common practice: test at 18 to 22 °C; at 24 °C the same smear takes half as long again or more."""
    times = [set_minutes("dark", 0.02, "paper", air) for air in (18.0, 20.0, 22.0, 24.0)]
    assert times == sorted(times)
    assert times[3] >= 1.5 * times[1]


@pytest.mark.parametrize("kind", KINDS)
def test_rescue_grows_with_temperature(kind: str) -> None:
    """Common practice: a little too hot takes a few more buttons, much too hot a full melt."""
    rows = plan(default_job(kind)).rescue
    grams = [r.add_g for r in rows if r.add_g is not None]
    assert grams == sorted(set(grams))
    assert rows[-1].add_g is None


@pytest.mark.parametrize("name", list(SEQUENCES))
def test_the_practised_sequence_means_about_a_kilogram(name: str) -> None:
    """Common practice: a minute, then 10 to 15 s, a few seconds at the end, for about 1 kg and not for much else."""
    assert comes_out(name) == [1000]


def test_more_chocolate_takes_more_seconds() -> None:
    """The sum of the bursts rises with the amount, from half a kilogram to one and a half."""
    sums = [plan(default_job(grams=g)).total_burst_s for g in (500.0, 1000.0, 1500.0)]
    assert sums == sorted(set(sums))
