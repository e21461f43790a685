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
from temperbench.faces.told.policy_table import PolicyTable, policy_table

ROWS, COLUMNS = 10, 8


def plan_with(rows: list[tuple[int, float | None, float | None, int]]) -> BurstPlan:
    """Return a plan with these rows (stage, from, to, seconds) as its policy."""
    return replace(sample_plan(), reads_then=tuple(ReadsThen(*row, "") for row in rows))


def table_of(plan: BurstPlan, *, fahrenheit: bool = False) -> PolicyTable:
    """Lay out a policy for a page."""
    return policy_table(plan, ROWS, COLUMNS, fahrenheit=fahrenheit)


def looked_up(table: PolicyTable, reading_tenths: int, column: int) -> int | None:
    """Read the table as a cook does: find the row whose label holds the reading."""
    for row in table.rows:
        figures = [round(10 * float(f)) for f in re.findall(r"[0-9]+\.[0-9]", row.label)]
        if row.label.startswith("below"):
            hit = reading_tenths < figures[0]
        elif row.label.endswith("and up"):
            hit = reading_tenths >= figures[0]
        elif row.label == "any reading":
            hit = True
        else:
            hit = figures[0] <= reading_tenths <= figures[-1]
        if hit:
            return row.cells[column]
    return None


def test_rows_and_columns_of_the_usual_plan() -> None:
    """One column for each run of stages, one row for each range, upwards, with readings as a thermometer shows them."""
    table = table_of(sample_plan())
    assert table.columns == ("1, 2", "3", "4 and later")
    assert [row.label for row in table.rows] == [
        "below 31.0 °C", "31.0 to 31.9 °C", "32.0 to 32.4 °C", "32.5 to 32.9 °C", "33.0 to 33.2 °C",
        "33.3 to 33.5 °C", "33.6 to 33.7 °C", "33.8 °C and up",
    ]  # fmt: skip
    assert table.rows[1].cells == (18, 15, 15)
    assert table.rows[1].looks == "half melted, firm"
    assert (table.joined, table.by_eye) == (False, False)


def test_without_units_the_heading_gives_them() -> None:
    """A face with the unit in its heading has labels of figures alone."""
    labels = [row.label for row in policy_table(sample_plan(), ROWS, COLUMNS, units=False).rows]
    assert (labels[0], labels[1], labels[-1]) == ("below 31.0", "31.0 to 31.9", "33.8 and up")


def test_one_stage_holds_after_every_burst() -> None:
    """A policy that never changes has one column, from the first burst on."""
    assert table_of(plan_with([(1, None, 32.0, 20), (1, 32.0, None, 0)])).columns == ("1 and later",)


def test_equal_neighbours_become_one_row() -> None:
    """Rows with the same seconds in every column are one row from the first's lower to the last's upper end."""
    plan = plan_with([(1, None, 31.0, 20), (1, 31.0, 32.0, 20), (1, 32.0, 33.0, 8), (1, 33.0, None, 8)])
    assert [(r.label, r.cells) for r in table_of(plan).rows] == [("below 32.0 °C", (20,)), ("32.0 °C and up", (8,))]


def test_ends_that_leave_out_one_digit_are_closed() -> None:
    """Rows written 31.0 to 31.9 and 32.0 on are the same as 31.0 to 32.0: no row for the gap of a digit."""
    open_ended = plan_with([(1, None, 30.9, 20), (1, 31.0, 31.9, 12), (1, 32.0, None, 0)])
    closed = plan_with([(1, None, 31.0, 20), (1, 31.0, 32.0, 12), (1, 32.0, None, 0)])
    assert table_of(closed) == table_of(open_ended)


def test_what_the_policy_does_not_foresee_stays_empty() -> None:
    """A stage without advice for a range has no seconds there."""
    plan = plan_with([(1, None, 32.0, 20), (1, 32.0, None, 0), (2, 32.0, None, 0)])
    assert [row.cells for row in table_of(plan).rows] == [(20, None), (0, 0)]


def test_by_eye_the_looks_are_the_rows() -> None:
    """Without a thermometer the rows are what the bowl looks like, in the plan's order."""
    table = table_of(sample_plan_by_eye())
    assert table.by_eye is True
    assert table.columns == ("1, 2", "3 and later")
    assert (table.rows[0].label, table.rows[0].cells) == ("mostly whole", (20, 18))
    assert (table.rows[-1].label, table.rows[-1].cells) == ("last lumps going", (0, 0))


def test_no_policy_no_rows() -> None:
    """A plan of fixed seconds only has an empty table."""
    assert table_of(replace(sample_plan(), reads_then=())).rows == ()


def test_fahrenheit_labels() -> None:
    """In °F a range ends at the last reading below the next one."""
    assert table_of(sample_plan(), fahrenheit=True).rows[1].label == "87.8 to 89.5 °F"


def test_too_many_rows_are_joined_and_it_is_said() -> None:
    """Eleven rows become ten; the joined one keeps the shorter bursts."""
    table = table_of(sample_plan_awkward())
    assert (len(table.rows), table.joined) == (ROWS, True)


def test_too_many_stages_are_joined() -> None:
    """Ten stages become eight columns, whose names say without a gap which bursts they stand for."""
    table = table_of(plan_with([(stage, None, 32.0, 30 - stage // 3) for stage in range(1, 11)]))
    assert len(table.columns) == COLUMNS
    assert table.joined is True
    ends = [[int(figure) for figure in re.findall(r"[0-9]+", name)] for name in table.columns]
    assert [first for first, *_ in ends[1:]] == [figures[-1] + 1 for figures in ends[:-1]]
    assert table.columns[-1].endswith("and later")


edges = st.lists(st.integers(280, 345), min_size=1, max_size=14, unique=True).map(sorted)


@given(st.lists(st.tuples(edges, st.integers(0, 2**32)), min_size=1, max_size=4), st.integers(270, 355))
def test_the_table_never_asks_for_more_than_the_policy(stages: list[tuple[list[int], int]], reading: int) -> None:
    """For any policy and any reading to a tenth, the table says the policy's seconds, or fewer where joined."""
    rows = []
    for stage, (cuts, seed) in enumerate(stages, 1):
        ends = [None, *(c / 10 for c in cuts), None]
        rows += [(stage, a, b, (seed >> i) % 40) for i, (a, b) in enumerate(pairwise(ends))]
    table = table_of(plan_with(rows))
    assert len(table.rows) <= ROWS
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
    """Each row has a cell for every column."""
    table = table_of(plan)
    assert [len(table.columns)] * len(table.rows) == [len(row.cells) for row in table.rows]
