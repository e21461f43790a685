"""Which method? Rows side by side, the reason, and what is not possible with its because."""

from __future__ import annotations

import pytest

from temperbench.insight.job import PART_MELTS, BowlJob
from temperbench.insight.methods.compare import Comparison, MethodRow, compare
from temperbench.insight.methods.planners import PLANNERS

FEW = 48


def rows_of(found: Comparison) -> dict[str, MethodRow]:
    """Return the rows by name."""
    return {row.name: row for row in found.rows}


@pytest.fixture(name="usual", scope="module")
def _usual() -> Comparison:
    """Return the comparison for 1 kg of sound dark buttons."""
    return compare(BowlJob("dark", 1000.0), members=FEW)


def test_every_method_has_its_row(usual: Comparison) -> None:
    """All methods and all four seeds are compared, and one that can be done is advised with its reason."""
    rows = rows_of(usual)
    assert {row.method for row in usual.rows} == {"microwave", *PLANNERS}
    assert {row.seed_with for row in usual.rows if row.method == "seed"} == {
        "buttons", "block", "butter-crystals", "ripened-butter",
    }  # fmt: skip
    assert usual.best is not None
    assert rows[usual.best].why_not is None
    assert usual.best in usual.reason
    assert [row.name for row in usual.rows if row.why_not is None and (row.total_min is None or not row.reason)] == []


def test_the_advised_row_keeps_the_risks_if_any_does(usual: Comparison) -> None:
    """What keeps both risks comes before what does not, and what cannot be done comes last."""
    order = [(row.why_not is not None, not row.keeps_risks) for row in usual.rows]
    assert order == sorted(order)


def test_bloomed_stock_leaves_the_full_melts() -> None:
    """Bloomed stock: every part-melt says that only a full melt will do, and the note says it once for all."""
    found = compare(BowlJob("milk", 600.0, glossy=False), members=FEW, have=["bath", "seed-buttons"])
    told = {row.method: row.why_not for row in found.rows if row.method in PART_MELTS}
    assert set(told.values()) == {"your stock is bloomed or was soft: only a full melt will do"}
    assert found.best == "seed with buttons"
    assert "only a full melt will do" in found.notes[0]


@pytest.mark.parametrize(
    ("job", "asked", "name", "told"),
    [
        (BowlJob("dark", 1000.0), {"have": ["bath"]}, "microwave", "it needs a microwave oven"),
        (BowlJob("dark", 1000.0), {"have": ["oven"]}, "cabinet overnight", "it needs a warm cabinet and a water bath"),
        (BowlJob("dark", 20000.0), {"have": ["oven"]}, "microwave", "20 kg are too much: one person can do 3 kg"),
        (BowlJob("dark", 100.0), {"have": ["kettle"]}, "kettle", "100 g are too little: it begins at 1000 g"),
        (BowlJob("dark", 2000.0), {"have": ["kettle"], "skill": "new"}, "kettle", "it needs some practice"),
        (BowlJob("dark", 1000.0, stock="melted", start_c=42.0), {"have": ["bath"]}, "warm bath",
         "your stock is melted already: it has no crystals left to keep"),
    ],
)  # fmt: skip
def test_what_is_not_possible_says_why(job: BowlJob, asked: dict, name: str, told: str) -> None:
    """Kit, scale, skill and stock each have their sentence."""
    assert rows_of(compare(job, members=FEW, **asked))[name].why_not == told


def test_too_little_time_is_told_with_both_times() -> None:
    """A method that takes longer than there is says how long it takes; its figures stay."""
    found = compare(BowlJob("dark", 1000.0), members=FEW, have=["cabinet", "bath"], minutes=60.0)
    night = rows_of(found)["cabinet overnight"]
    assert night.why_not is not None
    assert night.why_not.endswith("and you have 60")
    assert night.total_min is not None


def test_more_people_do_more() -> None:
    """Two people can seed what is too much for one."""
    job = BowlJob("dark", 12000.0)
    alone = rows_of(compare(job, members=FEW, have=["seed-buttons"]))["seed with buttons"]
    pair = rows_of(compare(BowlJob("dark", 12000.0, people=2), members=FEW, have=["seed-buttons"]))["seed with buttons"]
    assert alone.why_not == "12 kg are too much: one person can do 8 kg"
    assert (pair.why_not, pair.most_g) == (None, 16000.0)
