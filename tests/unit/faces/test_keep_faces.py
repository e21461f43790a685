"""A plan of keeping on a terminal and as a drawing: fits its room, tells the same figures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import keep_bowl
from temperbench.app.keep_results import KeepPlan
from temperbench.faces.cli.keep_text import keep_text
from temperbench.faces.drawing.keep_chart import keep_caption, keep_chart_svg, keep_height
from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.palette import THEMES
from temperbench.faces.drawing.svg import Box
from temperbench.foundation.errors import OutOfRange
from temperbench.foundation.evidence import number

SVG = "{http://www.w3.org/2000/svg}"
# Thickness of a bowl left alone by the minute: how it goes, from as steep as a few minutes to nearly level.
ALONE: dict[str, Callable[[float], float]] = {
    "in minutes": lambda t: min(10.0, 1.4 * math.exp(0.2 * t)),
    "in a quarter": lambda t: min(10.0, 1.4 * math.exp(0.045 * t)),
    "in an hour": lambda t: 1.2 + t / 40.0,
    "hardly": lambda t: 1.3 + t / 400.0,
    "as if kept": lambda t: 1.45 + t / 1e4,
    "thins first": lambda t: 1.8 - 0.6 * math.sin(t / 12.0) + t / 30.0,
}


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


def left_alone(plan: KeepPlan, how: str) -> KeepPlan:
    """Return a plan whose bowl left alone thickens in another way."""
    minutes = range(91)
    ratio = tuple(ALONE[how](t) for t in minutes)
    track = replace(plan.left_alone.ratio, t_s=tuple(60.0 * t for t in minutes), low=ratio, mid=ratio, high=ratio)
    return replace(plan, left_alone=replace(plan.left_alone, ratio=track))


def name_and_lines(svg: str) -> tuple[Box, list[list[tuple[float, float]]]]:
    """Return the box of the name of the dashed line, and the lines of the frame of thickness: dashes and curve."""
    root = ElementTree.fromstring(svg)
    size = float(root.attrib["font-size"])
    (name,) = (text for text in root.iter(f"{SVG}text") if text.text == "left alone")
    x, y = float(name.attrib["x"]), float(name.attrib["y"])
    box = Box(x, y - 0.72 * size, x + text_width("left alone", size), y + 0.22 * size)
    frame = [part for part in root.iter(f"{SVG}svg") if part is not root][1]
    lines = [[(float(a), float(b)) for a, b in (point.split(",") for point in line.attrib["points"].split())]
             for line in frame.iter(f"{SVG}polyline")]  # fmt: skip
    return box, lines


@pytest.mark.parametrize("how", ALONE)
@pytest.mark.parametrize(
    ("width", "height", "theme"),
    [(527.0, 196.0, "print"), (527.0, 134.0, "print"), (544.0, 160.0, "print"),
     *((w, keep_height(w, "light"), "light") for w in (352.0, 700.0, 960.0))],
)  # fmt: skip
def test_the_name_of_the_dashed_line_is_clear_of_it(
    plan: KeepPlan, how: str, width: float, height: float, theme: str
) -> None:
    """However a bowl left alone thickens, its name covers neither dashes nor curve nor the line of too thick."""
    box, lines = name_and_lines(keep_chart_svg(left_alone(plan, how), width, height, theme))
    assert len(lines) == 3
    covered = [
        (x1 + (x2 - x1) * i / 200, y1 + (y2 - y1) * i / 200)
        for line in lines for (x1, y1), (x2, y2) in pairwise(line) for i in range(201)
    ]  # fmt: skip
    assert [(x, y) for x, y in covered if box.left < x < box.right and box.top < y < box.bottom] == []
    aside = 0.25 * box.height / 0.94  # a quarter of the font size, to either side of the dashes
    dashes = [(x1 + (x2 - x1) * i / 200, y1 + (y2 - y1) * i / 200) for (x1, y1), (x2, y2) in pairwise(lines[1])
              for i in range(201)]  # fmt: skip
    near = [(x, y) for x, y in dashes if box.left - aside < x < box.right + aside and box.top < y < box.bottom]
    assert near == []
