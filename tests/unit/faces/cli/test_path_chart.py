"""The chart of plain characters shows where the path is and how sure that is."""

from __future__ import annotations

import pytest

from sample_plan import sample_plan
from temperbench.app.results import Leg
from temperbench.faces.cli.path_chart import path_chart

AXIS = 10  # characters before the first column


def leg(*mids: float, half: float = 1.0) -> Leg:
    """Return a leg of one point a minute with a band of one width."""
    times = tuple(60.0 * i for i in range(len(mids)))
    return Leg(times, tuple(m - half for m in mids), mids, tuple(m + half for m in mids))


def marks(lines: list[str], mark: str) -> list[tuple[float, int]]:
    """Return temperature and column of every such mark; every other row has its temperature."""
    top = int(lines[0].split()[0])
    step = (top - int(lines[2].split()[0])) / 2
    drawn = [line for line in lines if "|" in line]
    return [
        (top - step * row, column - AXIS)
        for row, line in enumerate(drawn)
        for column, cell in enumerate(line)
        if cell == mark and column >= AXIS
    ]


def test_the_median_is_where_it_belongs() -> None:
    """A path straight from 20 to 30 °C climbs evenly from the first column to the last."""
    found = marks(path_chart((leg(20.0, 30.0),), {}), "*")
    assert [column for _, column in sorted(found, key=lambda at: at[1])] == list(range(64))
    assert all(abs(celsius - (20.0 + 10.0 * column / 63)) <= 0.5 for celsius, column in found)


def test_the_band_is_as_wide_as_it_is() -> None:
    """A band of 2 °C either way shows two rows either way."""
    lines = path_chart((leg(25.0, 25.0, half=2.0),), {})
    assert {celsius for celsius, _ in marks(lines, ".")} == {23.0, 24.0, 26.0, 27.0}
    assert {celsius for celsius, _ in marks(lines, "*")} == {25.0}


def test_legs_follow_each_other_in_time() -> None:
    """Two legs of 1 and 2 minutes make a chart of 3 minutes, each with its share of the columns."""
    lines = path_chart((leg(20.0, 30.0), leg(30.0, 30.0, 20.0)), {})
    assert lines[-1].split() == ["0.0", "min", "0.8", "min", "1.5", "min", "2.2", "min", "3.0", "min"]
    assert (30.0, 21) in marks(lines, "*")
    assert (30.0, 42) in marks(lines, "*")


def test_levels_run_behind_the_path() -> None:
    """A named level is drawn across, except where band and median cover it, and is inside the chart."""
    lines = path_chart((leg(20.0, 30.0),), {"-": (34.0,), "=": (25.0,)})
    assert marks(lines, "-") == [(34.0, column) for column in range(64)]
    assert 40 < len(marks(lines, "=")) < 64


@pytest.mark.parametrize("mids", [(20.0, 20.0), (-5.0, 60.0), (33.9, 34.1), (20.0, 35.0, 31.0)])
def test_any_path_fits(mids: tuple[float, ...]) -> None:
    """Flat, wide and narrow paths are drawn in at most 20 lines of at most 79 characters."""
    lines = path_chart((leg(*mids),), {"-": (34.5,)})
    assert len(lines) <= 20
    assert max(map(len, lines)) <= 79


def test_a_jump_in_time_is_drawn() -> None:
    """Points at the same time, as where a bowl is stirred at once, do not stop the drawing."""
    jump = Leg((0.0, 60.0, 60.0, 120.0), (20.0,) * 4, (20.0, 30.0, 25.0, 25.0), (31.0,) * 4)
    assert len({column for _, column in marks(path_chart((jump,), {}), "*")}) == 64


def test_the_plan_has_both_legs() -> None:
    """The chart of a plan is as long as melting and stirring down together."""
    plan = sample_plan()
    lines = path_chart((plan.up, plan.down), {})
    assert lines[-1].strip().endswith(f"{(plan.up.t_s[-1] + plan.down.t_s[-1]) / 60:.1f} min")
