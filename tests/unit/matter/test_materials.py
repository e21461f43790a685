"""Nut pastes, plant-milk and caramelised chocolate, coloured cocoa butter: what they are, and where they work."""

from __future__ import annotations

import math

import pytest

from temperbench.app.check_job import check_job
from temperbench.app.job_fields import RawJob
from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import array, row, rows
from temperbench.foundation.quantities import spread_of
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import temperatures
from temperbench.insight.wording import cautions, title
from temperbench.kitchen.members import dimensions, nominal
from temperbench.matter.composition import chocolate_from_pack, full_melt, scorch_alarm, working_window
from temperbench.matter.materials import ALLERGENS, NAMES
from temperbench.matter.pack import CHOCOLATES, KINDS

OTHERS = [kind for kind in KINDS if kind not in CHOCOLATES]


@pytest.mark.parametrize("kind", OTHERS)
def test_every_mass_has_its_temperatures(kind: str) -> None:
    """Window, limit, melt and alarm are in their order, and every default can be asked where it comes from."""
    known = know(BowlJob(kind, 500.0, 900.0))
    at = temperatures(known)
    melt = full_melt(kind)
    order = [at.work_from_c, at.work_to_c, at.stop_c, at.limit_c, *melt, scorch_alarm(kind)]
    assert order == sorted(order)
    assert [row(key).id for key in known.chocolate.sources] == list(known.chocolate.sources)
    assert known.chocolate.warnings != ()


@pytest.mark.parametrize(("kind", "nuts"), [("gianduja", 40), ("gianduja", 50), ("praline", 40), ("praline", 35)])
def test_nut_pastes_are_cast_where_practice_casts_them(kind: str, nuts: int) -> None:
    """Common practice casts gianduja and praliné between 23 and 26 °C; so does the window from their own fat."""
    at = temperatures(know(BowlJob(kind, 1000.0, 900.0, nut_pct=nuts)))
    low, high = working_window(kind)
    assert (low, high) == (23.0, 26.0)
    assert low - 0.2 <= at.work_from_c
    assert at.work_to_c <= high + 0.2


def test_plain_windows_lie_as_far_below_their_stops() -> None:
    """The rule that gives nut pastes their window is the practice of dark, milk and white, to half a degree."""
    low, high = array("material.below_stop")
    for kind in CHOCOLATES:
        at = temperatures(know(BowlJob(kind, 1000.0, 900.0)))
        assert at.stop_c - at.work_from_c == pytest.approx(low, abs=0.7)
        assert at.stop_c - at.work_to_c == pytest.approx(high, abs=0.7)


def test_half_a_gianduja_is_the_sum_of_its_parts() -> None:
    """Half hazelnut, half dark chocolate: fat is the mean of both, and the nut's oil its share of it."""
    made = chocolate_from_pack("gianduja", nut_pct=50)
    nut, dark = spread_of("material.nut_fat").mid, spread_of("material.cocoa_butter.gianduja").mid
    assert made.fat.mid == pytest.approx(0.5 * (nut + dark))
    assert made.oil_share.mid == pytest.approx(nut / (nut + dark))
    assert made.soft_share.mid == pytest.approx(made.oil_share.mid + made.milk_fat_share.mid)


def test_oil_moves_melting_as_an_ideal_solution_does() -> None:
    """At 63 % oil the straight shift of 10 K per unit is the ideal solution's −(RT²/ΔH) ln(1 − oil), to 0.6 K.

    Cocoa butter: 860 g/mol, 137 kJ/kg, 308 K; van 't Hoff's law with activity as mole share.
    """
    slope = 8.314 * 308.0**2 / (137.0 * 860.0)
    ideal = -slope * math.log(1.0 - 0.63)
    assert ideal == pytest.approx(6.7, abs=0.1)
    assert spread_of("crystals.milk_fat_shift").mid * 0.63 == pytest.approx(ideal, abs=0.6)


def test_more_nuts_are_softer() -> None:
    """Every tenth of nuts more brings stop and limit down."""
    limits = [temperatures(know(BowlJob("gianduja", 500.0, 900.0, nut_pct=n))).limit_c for n in (20, 30, 40, 50, 60)]
    assert limits == sorted(limits, reverse=True)
    assert limits[0] - limits[-1] > 2.0


@pytest.mark.parametrize(
    ("kind", "given", "says"),
    [
        ("dark", {"nut_pct": 20}, "call the mass gianduja or praline"),
        ("coloured-butter", {"nut_pct": 20}, "nothing for coloured cocoa butter"),
        ("gianduja", {"nut_pct": 5}, "allowed is 10 to 70 %"),
        ("praline", {"nut_pct": 60, "fat_pct": 26}, "check both figures against the recipe"),
        ("coloured-butter", {"fat_pct": 40}, "allowed is 85 to 100 %"),
        ("plant-milk", {"milk_fat_pct": 5}, "milk_fat_pct: 5 is not usable"),
        ("caramelised", {"cocoa_pct": 45, "fat_pct": 30}, "cocoa_pct: 45"),
    ],
)
def test_what_a_mass_cannot_be_is_said(kind: str, given: dict[str, float], says: str) -> None:
    """Contradictions are refused in one sentence with the remedy."""
    with pytest.raises(InputError) as refused:
        chocolate_from_pack(kind, **given)
    assert says in str(refused.value)


def test_the_job_names_the_field_as_it_was_written() -> None:
    """A refusal of the nuts names the place in the job file."""
    raw = RawJob({"chocolate": "milk", "grams": 500, "oven_w": 900, "nut_pct": 30}, {"nut_pct": "[chocolate] nuts"})
    with pytest.raises(InputError, match=r"^\[chocolate\] nuts: 30"):
        check_job(raw)


def test_fat_alone_has_its_own_heat() -> None:
    """Coloured cocoa butter takes the specific heat of cocoa butter, every chocolate that of chocolate."""
    butter, dark = (know(BowlJob(kind, 300.0, 900.0)).setup for kind in ("coloured-butter", "dark"))
    assert dimensions(butter)["cp"] == spread_of("material.cp.coloured-butter")
    assert dimensions(dark)["cp"] == spread_of("crystals.cp")
    assert list(dimensions(butter)) == list(dimensions(dark))
    assert float(nominal(butter).rows[0, 0]) == pytest.approx(0.96)


@pytest.mark.parametrize("kind", OTHERS)
def test_allergens_are_on_every_plan(kind: str) -> None:
    """Each of these masses brings its own caution, and is called by its own name."""
    job = BowlJob(kind, 500.0, 900.0)
    assert ALLERGENS[kind] in cautions(job)
    assert title(job, know(job)) == f"500 g {NAMES[kind]}, 900 W oven, plastic bowl"


def test_plain_chocolate_keeps_its_cautions() -> None:
    """Dark, milk and white have the four lines they had."""
    assert [len(cautions(BowlJob(kind, 500.0, 900.0))) for kind in CHOCOLATES] == [4, 4, 4]


def test_what_is_said_of_dark_milk_and_white_is_said_of_every_mass() -> None:
    """A row that the three chocolates have each, such as a bath or a turn on the stone, is there for every kind."""
    keys = set(rows())
    own = ("composition.", "kinetics.", "tabling.turn.")  # told by the rows of material., and by the turn's own rule
    starts = [k.removesuffix("dark") for k in keys if k.endswith(".dark") and not k.startswith(own)]
    shared = [s for s in starts if {f"{s}milk", f"{s}white"} <= keys]
    assert [f"{start}{kind}" for start in shared for kind in OTHERS if f"{start}{kind}" not in keys] == []
    assert "bowl.cold." in shared
