"""The chart and the rule of a running bowl: named, legible, inside their room, for every width, ground and unit."""

from __future__ import annotations

import itertools
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from fake_kitchen import furnished
from temperbench.app.results import LiveView, ReadingShown
from temperbench.faces.drawing import THEMES, live_caption, live_chart_svg, live_height, rule_svg
from temperbench.faces.drawing.metrics import text_width
from temperbench.faces.drawing.rule import RULE_HEIGHT
from temperbench.faces.drawing.svg import Box
from temperbench.foundation.errors import OutOfRange

SVG = "{http://www.w3.org/2000/svg}"
SIZES = [(300, "light"), (358, "dark"), (560, "light"), (788, "contrast"), (1100, "dark"), (527, "print")]
VIEWS = {name: furnished(lambda: 1_790_000_000.0).view(name) for name in ("demo-1", "demo-2", "demo-3")}
_COLD = VIEWS["demo-3"]
VIEWS["just begun"] = replace(
    _COLD,
    now_c=replace(_COLD.now_c, low=19.7, mid=20.0, high=20.3),
    path=replace(_COLD.path, t_s=(0.0,), low_c=(19.7,), mid_c=(20.0,), high_c=(20.3,)),
    readings=(),
)
VIEWS["melted fully"] = replace(
    VIEWS["demo-2"],
    stops=False,
    now_c=replace(_COLD.now_c, low=40.0, mid=41.0, high=42.0),
    path=replace(_COLD.path, t_s=(0.0, 300.0), low_c=(44.5, 40.0), mid_c=(45.0, 41.0), high_c=(45.5, 42.0)),
    readings=(ReadingShown(200.0, 42.4, 0.5, "probe"),),
)
VIEWS["far too hot"] = replace(
    VIEWS["demo-2"],
    now_c=replace(_COLD.now_c, low=44.0, mid=45.0, high=46.0),
    readings=(ReadingShown(200.0, 45.0, 0.5, "probe"),),
)


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


def faults(svg: str, page: Box) -> list[tuple[str, ...]]:
    """Return labels outside a page, and pairs of labels that touch."""
    found = texts(svg)
    outside: list[tuple[str, ...]] = [(text,) for text, box in found if not page.holds(box)]
    return outside + [(a, b) for (a, one), (b, two) in itertools.combinations(found, 2) if one.meets(two)]


@pytest.mark.parametrize("fahrenheit", [False, True])
@pytest.mark.parametrize(("width", "theme"), SIZES)
@pytest.mark.parametrize("name", VIEWS)
def test_no_label_of_the_chart_is_clipped_or_covered(name: str, width: float, theme: str, fahrenheit: bool) -> None:
    """Every label lies inside the drawing and no two of them touch."""
    height = live_height(width, theme)
    svg = live_chart_svg(VIEWS[name], width, height, theme, fahrenheit=fahrenheit)
    assert faults(svg, Box(0, 0, width, height)) == []


@pytest.mark.parametrize("fahrenheit", [False, True])
@pytest.mark.parametrize("width", [280.0, 358.0, 558.0, 1100.0])
@pytest.mark.parametrize("name", VIEWS)
def test_no_label_of_the_rule_is_clipped_or_covered(name: str, width: float, fahrenheit: bool) -> None:
    """The rule is legible from a phone's width up."""
    svg = rule_svg(VIEWS[name], width, "light", fahrenheit=fahrenheit)
    assert faults(svg, Box(0, 0, width, RULE_HEIGHT)) == []


@pytest.mark.parametrize(("width", "theme"), SIZES)
def test_lines_and_now_are_named_on_the_chart(width: float, theme: str) -> None:
    """Limit, stop, window and now are written beside what they name."""
    svg = live_chart_svg(VIEWS["demo-2"], width, live_height(width, theme), theme)
    written = " ".join(text for text, _ in texts(svg))
    expected = ("limit 34.5 °C", "stop 34.0 °C", "from 31.0 °C", "to 32.0 °C", "work", "now 33.7 °C", "min")
    assert [name for name in expected if name not in written] == []


def test_a_bowl_that_is_melted_fully_has_no_stop() -> None:
    """Chart, rule and caption of a bowl meant to be far above the stop name window and limit, and draw no stop."""
    view = VIEWS["melted fully"]
    stopping = replace(view, stops=True)
    charts = [live_chart_svg(one, 700.0, 420.0, "light") for one in (view, stopping)]
    rules = [rule_svg(one, 700.0, "light") for one in (view, stopping)]
    for melted, part in (charts, rules):
        assert ["stop" in svg for svg in (melted, part)] == [False, True]
        assert melted.count("<polyline") < part.count("<polyline")
        written = " ".join(text for text, _ in texts(melted))
        assert [name for name in ("limit", "work") if name not in written] == []
    assert "; limit at 34.5 °C, working window" in live_caption(view)


@pytest.mark.parametrize(("name", "where"), [("just begun", ", below"), ("far too hot", ", above")])
def test_a_bowl_outside_the_large_frame_is_said(name: str, where: str) -> None:
    """A bowl too cold or too hot for the last degrees is not silently missing from them."""
    svg = live_chart_svg(VIEWS[name], 700, live_height(700, "light"), "light")
    assert [text for text, _ in texts(svg) if where in text] != []


def test_every_reading_has_its_error_bar() -> None:
    """Each reading is one dot in the frame of the whole path, and its bar spans its error."""
    view: LiveView = VIEWS["demo-1"]
    one = live_chart_svg(view, 700, 400, "light").count("<circle")
    none = live_chart_svg(replace(view, readings=()), 700, 400, "light").count("<circle")
    assert len(view.readings) <= one - none <= 2 * len(view.readings)


@pytest.mark.parametrize("theme", THEMES)
def test_the_chart_says_what_it_shows(theme: str) -> None:
    """Its description is its caption: where the bowl is with its band, and the lines."""
    svg = live_chart_svg(VIEWS["demo-2"], 600, live_height(600, theme), theme)
    said = "The bowl is at 33.7 °C (33.2 to 34.3), 2 readings; stop at 34.0 °C, limit at 34.5 °C"
    assert live_caption(VIEWS["demo-2"]).startswith(said)
    assert ElementTree.fromstring(svg).attrib["aria-label"] == live_caption(VIEWS["demo-2"])


@pytest.mark.parametrize(("width", "height"), [(100.0, 400.0), (600.0, 20.0)])
def test_too_little_room_is_said(width: float, height: float) -> None:
    """A drawing that could not be read is refused."""
    with pytest.raises(OutOfRange, match="more room"):
        live_chart_svg(VIEWS["demo-2"], width, height, "light")


def test_a_finished_bowl_has_no_way_ahead() -> None:
    """Its chart ends where it ended: nothing is forecast, and the frame says so."""
    views = [replace(VIEWS["demo-2"], state=state) for state in ("in temper", "finished")]
    running, ended = (live_chart_svg(view, 700, 420, "light") for view in views)
    assert ("The last degrees, if stirred" in running, "The last degrees, if stirred" in ended) == (True, False)
    assert "The last degrees" in ended
    assert running.count("stroke-dasharray") == ended.count("stroke-dasharray") + 1
