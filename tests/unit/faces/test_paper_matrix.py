"""The table "it reads X, then Y seconds": it says what the policy says, in few rows, and never more seconds."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_plan import sample_plan, sample_plan_awkward, sample_plan_by_eye
from temperbench.app.results import BurstPlan, ReadsThen
from temperbench.faces.paper.matrix import MOST_COLUMNS, MOST_ROWS, Matrix, matrix_of


def plan_with(rows: list[tuple[int, float | None, float | None, int]]) -> BurstPlan:
    """Return a plan with these rows (stage, from, to, seconds) as its policy."""
    return replace(sample_plan(), reads_then=tuple(ReadsThen(*row, "") for row in rows))


def looked_up(table: Matrix, reading_tenths: int, column: int) -> int | None:
    """Read the table as a cook does: find the row whose label holds the reading."""
    for row in table.rows:
        figures = [round(10 * float(f)) for f in re.findall(r"[0-9]+\.[0-9]", row.label)]
        if row.label.startswith("below"):
            hit = reading_tenths < figures[0]
        elif row.label.startswith("from"):
            hit = reading_tenths >= figures[0]
        elif row.label == "any reading":
            hit = True
        else:
            hit = figures[0] <= reading_tenths <= figures[-1]
        if hit:
            return row.cells[column]
    return None


def test_rows_and_columns_of_the_usual_plan() -> None:
    """One column for each stage, one row for each range, upwards, with readings as a thermometer shows them."""
    table = matrix_of(sample_plan())
    assert table.columns == ("1", "2", "3", "4", "5")
    assert [row.label for row in table.rows] == [
        "below 31.0 °C", "31.0 to 31.9 °C", "32.0 to 32.4 °C", "32.5 to 32.9 °C", "33.0 to 33.2 °C",
        "33.3 to 33.5 °C", "33.6 to 33.7 °C", "from 33.8 °C up",
    ]  # fmt: skip
    assert table.rows[1].cells == (14, 10, 20, 22, 22)
    assert (table.joined, table.by_eye) == (False, False)


def test_the_expected_way_is_marked_once_a_column() -> None:
    """The marked cells are the seconds of the bursts after the first, and then to stir only."""
    table = matrix_of(sample_plan())
    marked = [[row.cells[i] for row in table.rows if row.planned[i]] for i in range(len(table.columns))]
    assert marked == [[15], [10], [12], [3], [0]]


def test_equal_neighbours_become_one_row() -> None:
    """Rows with the same seconds in every column are one row from the first's lower to the last's upper end."""
    plan = plan_with([(1, None, 31.0, 20), (1, 31.0, 32.0, 20), (1, 32.0, 33.0, 8), (1, 33.0, None, 8)])
    assert [(r.label, r.cells) for r in matrix_of(plan).rows] == [("below 32.0 °C", (20,)), ("from 32.0 °C up", (8,))]


def test_ends_that_leave_out_one_digit_are_closed() -> None:
    """Rows written 31.0 to 31.9 and 32.0 on are the same as 31.0 to 32.0: no row for the gap of a digit."""
    open_ended = plan_with([(1, None, 30.9, 20), (1, 31.0, 31.9, 12), (1, 32.0, None, 0)])
    closed = plan_with([(1, None, 31.0, 20), (1, 31.0, 32.0, 12), (1, 32.0, None, 0)])
    assert matrix_of(closed) == matrix_of(open_ended)


def test_what_the_policy_does_not_foresee_stays_empty() -> None:
    """A stage without advice for a range has no seconds there."""
    plan = plan_with([(1, None, 32.0, 20), (1, 32.0, None, 0), (2, 32.0, None, 0)])
    assert [row.cells for row in matrix_of(plan).rows] == [(20, None), (0, 0)]


def test_by_eye_the_looks_are_the_rows() -> None:
    """Without a thermometer the rows are what the bowl looks like, in the plan's order."""
    table = matrix_of(sample_plan_by_eye())
    assert table.by_eye is True
    assert table.rows[0].label == "mostly whole buttons"
    assert table.rows[0].cells == (30, 20, 15, 12)
    assert table.rows[-1].label == "no lumps, pours thin"


def test_no_policy_no_rows() -> None:
    """A plan of fixed seconds only has an empty table."""
    assert matrix_of(replace(sample_plan(), reads_then=())).rows == ()


def test_fahrenheit_labels() -> None:
    """In °F a range ends at the last reading below the next one."""
    assert matrix_of(sample_plan(), fahrenheit=True).rows[1].label == "87.8 to 89.5 °F"


def test_too_many_rows_are_joined_and_it_is_said() -> None:
    """Eleven rows become ten; the joined one keeps the shorter bursts."""
    table = matrix_of(sample_plan_awkward())
    assert (len(table.rows), table.joined) == (MOST_ROWS, True)


def test_too_many_stages_are_joined() -> None:
    """Ten stages become eight columns, and their names say which stages they stand for."""
    plan = plan_with([(stage, None, 32.0, 30 - stage // 3) for stage in range(1, 11)])
    table = matrix_of(plan)
    assert len(table.columns) == MOST_COLUMNS
    assert table.joined is True
    assert [str(s) for s in range(1, 11)] == [
        str(s) for name in table.columns for s in range(int(name.split("–")[0]), int(name.split("–")[-1]) + 1)
    ]


edges = st.lists(st.integers(280, 345), min_size=1, max_size=14, unique=True).map(sorted)


@given(st.lists(st.tuples(edges, st.integers(0, 2**32)), min_size=1, max_size=4), st.integers(270, 355))
def test_the_table_never_asks_for_more_than_the_policy(stages: list[tuple[list[int], int]], reading: int) -> None:
    """For any policy and any reading to a tenth, the table says the policy's seconds, or fewer where joined."""
    rows = []
    for stage, (cuts, seed) in enumerate(stages, 1):
        ends = [None, *(c / 10 for c in cuts), None]
        rows += [(stage, a, b, (seed >> i) % 40) for i, (a, b) in enumerate(pairwise(ends))]
    table = matrix_of(plan_with(rows))
    assert len(table.rows) <= MOST_ROWS
    for stage in range(1, len(stages) + 1):
        policy = next(
            seconds
            for s, a, b, seconds in rows
            if s == stage and (a is None or reading >= round(10 * a)) and (b is None or reading < round(10 * b))
        )
        said = looked_up(table, reading, stage - 1)
        assert said is not None
        assert said <= policy
        assert table.joined or said == policy


@pytest.mark.parametrize(
    "plan", [sample_plan(), sample_plan_awkward(), sample_plan_by_eye()], ids=lambda p: p.title[:9]
)
def test_every_row_is_as_wide_as_the_head(plan: BurstPlan) -> None:
    """Each row has a cell and a mark for every column."""
    table = matrix_of(plan)
    wide = len(table.columns)
    assert [(wide, wide)] * len(table.rows) == [(len(row.cells), len(row.planned)) for row in table.rows]
