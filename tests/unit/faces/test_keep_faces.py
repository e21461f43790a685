"""A plan of keeping on a terminal and as a drawing: fits its room, tells the same figures."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import keep_bowl
from temperbench.app.keep_results import KeepPlan
from temperbench.faces.cli.keep_text import keep_text
from temperbench.faces.drawing.keep_chart import keep_caption, keep_chart_svg, keep_height
from temperbench.faces.drawing.palette import THEMES
from temperbench.foundation.errors import OutOfRange
from temperbench.foundation.evidence import number


@pytest.fixture(scope="module")
def plan() -> KeepPlan:
    """Return a plan with use, returns and refills."""
    raw = RawJob({"chocolate": "dark", "grams": 1500, "oven_w": 900, "room_c": 20})
    said = {"minutes": 40, "every_min": 10, "leaves_g_h": 900, "returns_share": 0.3, "refill_g": 800}
    return keep_bowl(raw, RawJob(said), members=24)


def test_text_fits_a_terminal_and_tells_every_part(plan: KeepPlan) -> None:
    """No line is longer than 79 characters, and each thing a cook needs has its heading."""
    text = keep_text(plan)
    assert max(map(len, text.splitlines())) <= 79
    for heading in ("LEFT ALONE", "WHAT TO DO", "COURSE", "PATH", "REFILLS", "ALARMS", "WHEN TO STOP", "MEMORY",
                    "CAUTIONS", "SOURCES"):  # fmt: skip
        assert f"\n{heading}" in text
    assert f"{100 * plan.workable_share:.0f} of 100 bowls" in text
    assert f"back to {plan.kept_c:.1f} °C" in text
    for refill in plan.refills:
        assert f"{refill.add_g:.0f} g at {refill.at_min:.0f} min" in " ".join(text.split())


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("width", [340.0, 700.0, 960.0])
def test_the_drawing_is_well_formed_at_every_width(plan: KeepPlan, theme: str, width: float) -> None:
    """One SVG element with a title and a description, as wide as asked."""
    drawn = keep_chart_svg(plan, width, keep_height(width, theme), theme)
    root = ElementTree.fromstring(drawn)
    assert root.tag.endswith("svg")
    texts = ["".join(part.itertext()) for part in root.iter()]
    assert keep_caption(plan) in texts
    assert "too thick" in texts


def test_a_drawing_needs_room(plan: KeepPlan) -> None:
    """Too small a room is refused in a sentence."""
    with pytest.raises(OutOfRange, match="chart width"):
        keep_chart_svg(plan, 100.0, 600.0, "light")


def test_the_line_of_too_thick_is_the_planners(plan: KeepPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    """The drawing marks the ratio at which the planner calls a bowl too thick: and asks for no other row."""
    drawn = keep_chart_svg(plan, 960.0, 420.0, "light")
    asked: list[str] = []

    def other(row: str) -> float:
        asked.append(row)
        return number(row) + 0.5

    monkeypatch.setattr("temperbench.faces.drawing.keep_chart.number", other)
    assert keep_chart_svg(plan, 960.0, 420.0, "light") != drawn
    assert set(asked) == {"bowl.thick_ratio"}


def test_fahrenheit_is_written_when_asked(plan: KeepPlan) -> None:
    """The caption and the axis change their unit together."""
    assert "°F" in keep_caption(plan, fahrenheit=True)
    assert "°F" in keep_chart_svg(plan, 700.0, keep_height(700.0, "light"), "light", fahrenheit=True)
