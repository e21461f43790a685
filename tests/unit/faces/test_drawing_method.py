"""The chart of any method: complete, legible, inside its frame; a night neither hidden nor crushing the rest."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree

import pytest

from sample_paths import PATHS
from temperbench.faces.drawing import THEMES
from temperbench.faces.drawing.frame import Frame
from temperbench.faces.drawing.method_chart import method_caption, method_chart_svg, method_height
from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.svg import Box
from temperbench.faces.drawing.time_axis import place, stretches
from temperbench.foundation.errors import InputError, OutOfRange

SVG = "{http://www.w3.org/2000/svg}"
# Widths of a phone, a tablet upright, a tablet, the card on A4 and on Letter.
SIZES = [(360, "light"), (390, "contrast"), (700, "dark"), (1180, "light"), (527, "print"), (544, "print")]


def texts(svg: str) -> list[tuple[str, Box]]:
    """Return every written line with the box it takes, measured in the house's typeface."""
    root = ElementTree.fromstring(svg)
    size = float(root.attrib["font-size"])
    found = []
    for line in root.iter(f"{SVG}text"):
        x, y, text = float(line.attrib["x"]), float(line.attrib["y"]), line.text or ""
        wide = text_width(text, size, bold=line.attrib.get("font-weight") == "700")
        found.append((text, Box(x, y - 0.72 * size, x + wide, y + 0.22 * size)))
    return found


def drawn(name: str, width: float, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw one of the plans at its fitting height."""
    return method_chart_svg(PATHS[name](), width, method_height(width, theme), theme, fahrenheit=fahrenheit)


@pytest.mark.parametrize("fahrenheit", [False, True])
@pytest.mark.parametrize(("width", "theme"), SIZES)
@pytest.mark.parametrize("name", PATHS)
def test_no_label_is_clipped_or_covers_another(name: str, width: float, theme: str, fahrenheit: bool) -> None:
    """Every label lies inside the drawing and no two of them touch."""
    found = texts(drawn(name, width, theme, fahrenheit=fahrenheit))
    page = Box(0, 0, width, method_height(width, theme))
    assert [text for text, box in found if not page.holds(box)] == []
    assert [(a, b) for (a, one), (b, two) in itertools.combinations(found, 2) if one.meets(two)] == []


@pytest.mark.parametrize("height", [118.0, 126.0, 150.0, 190.0])
@pytest.mark.parametrize("name", PATHS)
def test_the_heights_used_on_the_card_keep_labels_apart(name: str, height: float) -> None:
    """On the card's lowest and tallest chart all labels are inside and clear of each other."""
    found = texts(method_chart_svg(PATHS[name](), 527.0, height, "print"))
    page = Box(0, 0, 527.0, height)
    assert [text for text, box in found if not page.holds(box)] == []
    assert [(a, b) for (a, one), (b, two) in itertools.combinations(found, 2) if one.meets(two)] == []


@pytest.mark.parametrize(("width", "theme"), SIZES)
@pytest.mark.parametrize("name", PATHS)
def test_phases_window_and_limit_are_named_on_the_chart(name: str, width: float, theme: str) -> None:
    """Every phase of the path that is drawn is written, and window and limit with their degrees."""
    plan = PATHS[name]()
    written = " ".join(text for text, _ in texts(drawn(name, width, theme)))
    expected = [phase.name for phase in plan.phases]
    expected += [f"limit {plan.limit_c:.1f} °C", f"from {plan.work_from_c:.1f} °C", f"to {plan.work_to_c:.1f} °C"]
    assert [word for word in expected if word not in written] == []


@pytest.mark.parametrize("width", [360, 700, 1180])
def test_aims_and_amounts_stand_at_the_curve(width: float) -> None:
    """What is cleared at, drawn down to and lifted to is written, and what goes in with the number of its step."""
    rounds = " ".join(text for text, _ in texts(drawn("rounds", width, "light")))
    assert [t for t in ("clear 45.0 °C", "draw down 27.5 °C", "lift 31.5 °C", "2900") if t not in rounds] == []
    portions = " ".join(text for text, _ in texts(drawn("portions", width, "light")))
    assert "steps 2 to 4: 80 + 80 + 85 g" in portions


def test_a_night_has_a_scale_of_its_own_in_hours() -> None:
    """Hours before the break, minutes after it, two strokes between, and the minutes keep most of the width."""
    svg = drawn("night", 700, "light")
    written = [text for text, _ in texts(svg)]
    assert [t for t in written if t.endswith(" h")] == ["8 h"]
    assert [t for t in written if t.endswith("min later")] == ["25 min later"]
    room = Frame(Box(40.0, 40.0, 640.0, 300.0), 1.0, 15.0, 40.0)
    night, after = stretches(PATHS["night"](), room, 16.0)
    assert (night.slow, after.slow) == (True, False)
    assert after.frame.box.width > 2.0 * night.frame.box.width
    assert after.frame.box.left > night.frame.box.right
    assert night.frame.until_s == after.frame.from_s == 37960.0


def test_no_other_method_breaks_the_axis() -> None:
    """Paths without a phase of hours are drawn on one scale from their first second."""
    room = Frame(Box(40.0, 40.0, 640.0, 300.0), 1.0, 15.0, 40.0)
    found = {name: stretches(make(), room, 16.0) for name, make in PATHS.items() if name != "night"}
    assert {name: (len(parts), parts[0].frame.from_s) for name, parts in found.items()} == dict.fromkeys(
        found, (1, 0.0)
    )


def test_time_runs_to_the_right() -> None:
    """Later is further right on every stretch; what is after the drawing has no place."""
    parts = stretches(PATHS["night"](), Frame(Box(40.0, 40.0, 640.0, 300.0), 1.0, 15.0, 40.0), 16.0)
    spots = [place(parts, 60.0 * minute) for minute in range(0, 648, 9)]
    known = [x for x in spots if x is not None]
    assert len(known) == len(spots)
    assert known == sorted(known)
    assert place(parts, 9e9) is None


@pytest.mark.parametrize("name", PATHS)
def test_the_caption_is_the_description(name: str) -> None:
    """One sentence, the same for eyes and for a screen reader, with the aims and the time."""
    plan = PATHS[name]()
    said = method_caption(plan)
    root = ElementTree.fromstring(drawn(name, 700, "light"))
    assert (root.attrib["aria-label"], root.findtext(f"{SVG}desc")) == (said, said)
    assert re.fullmatch(r"[^.]*(\.\d[^.]*)*\.", said) is not None
    assert f"{plan.limit_c:.1f} °C" in said


@pytest.mark.parametrize("theme", THEMES)
def test_the_limit_is_dashed_and_the_window_hatched(theme: str) -> None:
    """Neither needs its colour to be told apart."""
    svg = drawn("rounds", 700, theme)
    look = THEMES[theme]
    assert re.search(f'stroke="{look.limit}"[^>]*stroke-dasharray', svg) is not None
    assert re.search(f'<path d="M[^"]*" stroke="{look.window}"', svg) is not None


def test_too_little_room_and_unknown_looks_are_told() -> None:
    """A chart that could not be read is refused with what is wrong."""
    with pytest.raises(OutOfRange, match="chart width"):
        drawn("plain", 200, "light")
    with pytest.raises(OutOfRange, match="chart height"):
        method_chart_svg(PATHS["plain"](), 400, 100, "light")
    with pytest.raises(InputError, match="theme"):
        drawn("plain", 400, "sepia")
