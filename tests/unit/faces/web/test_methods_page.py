"""The page "Which method?": what it asks, how it waits, and the methods side by side."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable
from dataclasses import replace

import pytest
from fastapi.testclient import TestClient

from fake_kitchen import FakeKitchen, furnished
from temperbench.app.compare_fields import COMPARE_FIELDS
from temperbench.app.job_fields import RawJob
from temperbench.app.results import Band, Comparison, MethodRow
from temperbench.faces.drawing.methods_chart import methods_caption, methods_chart_svg, methods_height, minutes_told
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.comparisons import Busy, Comparisons, Working
from temperbench.faces.web.looks import COOKIE
from temperbench.faces.web.methods_page import KIT_TOLD, SKILLS_TOLD
from temperbench.foundation.errors import OutOfRange
from unit.faces.web.clients import BASE

ASKED = {"lot": "dark", "grams": "1500", "have": ["oven", "slab"], "skill": "some", "bloomed": "yes"}
BAND = Band(9.0, 12.0, 15.0)
ROW = MethodRow(
    name="seed with a block", method="seed", seed_with="block", why_not=None, total_min=BAND, hands_on_min=BAND,
    risk_lost=0.02, risk_scorch=0.0, crystals_pct_of_fat=BAND, seed_g=300, keeps_risks=True, skill="new",
    least_g=100.0, most_g=8000.0, washing_up=("bowl", "slab <i>"), reason="takes any stock",
)  # fmt: skip
NIGHT = replace(ROW, name="cabinet overnight", method="cabinet", seed_with=None, total_min=Band(545.0, 649.0, 792.0))
RISKY = replace(ROW, name="cold bowl", method="cold-bowl", seed_with=None, keeps_risks=False, risk_lost=0.4)
NOT = replace(ROW, name="kettle", method="kettle", seed_with=None, why_not="it needs a holding kettle", total_min=None)
FOUND = Comparison("1500 g dark <b>: which method?", ROW.name, "It keeps both risks.", (ROW, NIGHT, RISKY, NOT),
                   ("A note.",), (), 8)  # fmt: skip


def served(compare: Callable[..., Comparison], kitchen: FakeKitchen | None = None) -> TestClient:
    """Return a client whose comparisons are made by ``compare``."""
    return TestClient(create_app(kitchen or furnished(), WebSettings(), compare=compare), base_url=BASE)


def at_once(raw: RawJob, asked: RawJob, *, progress: Callable[[str], None]) -> Comparison:
    """Return a comparison without any work, with what was asked in its notes."""
    progress("Planning: microwave")
    return replace(FOUND, notes=(f"{dict(raw.values)} {dict(asked.values)}",))


def test_the_page_offers_all_kit_and_skill() -> None:
    """What can be ticked is what the comparison knows."""
    words = {f.key: f.words for f in COMPARE_FIELDS}
    assert (tuple(KIT_TOLD), tuple(SKILLS_TOLD)) == (words["have"], words["skill"])


def test_what_was_asked_reaches_the_comparison() -> None:
    """Chocolate, amount, kit, skill and bloomed stock; fields left empty are not there."""
    page = served(at_once).get("/methods", params={**ASKED, "minutes": "", "people": "2"}).text
    for part in ("&#39;chocolate&#39;: &#39;dark&#39;", "&#39;grams&#39;: &#39;1500&#39;", "&#39;glossy&#39;: False",
                 "&#39;people&#39;: &#39;2&#39;", "(&#39;oven&#39;, &#39;slab&#39;)", "&#39;some&#39;"):  # fmt: skip
        assert part in page
    assert "minutes&#39;" not in page


def test_each_row_leads_to_the_start_page_with_its_method() -> None:
    """Method, seed, chocolate, amount and bloom are filled in; what is not possible says why and leads nowhere."""
    page = served(at_once).get("/methods", params=ASKED).text
    links = set(re.findall(r'href="(/start\?[^"]*)"', page))
    assert "/start?method=seed&amp;seed_with=block&amp;lot=dark&amp;grams=1500&amp;bloomed=yes" in links
    assert {re.findall(r"method=([a-z-]+)", link)[0] for link in links} == {"seed", "cabinet", "cold-bowl"}
    assert "It needs a holding kettle." in page


@pytest.mark.parametrize(
    ("theme", "drawn"),
    [("auto", ["light", "dark"]), ("light", ["light"]), ("dark", ["dark"]), ("contrast", ["contrast"])],
)
def test_the_picture_has_the_theme_of_the_device(theme: str, drawn: list[str]) -> None:
    """A theme that was chosen is drawn; for a device that follows its own, light and dark are there for CSS to show."""
    client = served(at_once)
    client.cookies.set(COOKIE, f"{theme}.C.g")
    page = client.get("/methods", params=ASKED).text
    told = replace(FOUND, notes=())
    assert [t for t in ("light", "dark", "contrast") if methods_chart_svg(told, 960.0, t) in page] == drawn


def test_text_is_escaped_and_nothing_comes_from_outside() -> None:
    """Titles and lists of the engine are text, in the page and in the drawing."""
    page = served(at_once).get("/methods", params=ASKED).text
    assert "slab &lt;i&gt;" in page
    assert "dark <b>" not in page
    assert re.findall(r'(?:src|href)="(?:https?:)?//', page) == []


def test_the_page_works_with_an_empty_kitchen() -> None:
    """Nothing entered, nothing started yet: the form is there."""
    answer = served(at_once, FakeKitchen()).get("/methods")
    assert (answer.status_code, "Compare</button>" in answer.text) == (200, True)


def test_a_refusal_is_in_the_words_of_the_form() -> None:
    """An amount that cannot be is told with the name of its field; asked again, it is told again."""

    def refused(raw: RawJob, *_: RawJob, **__: object) -> Comparison:
        raise OutOfRange(raw.place("grams"), 1.0, "100 to 30000 g", "weigh it again")

    devices = served(refused)
    for _ in range(2):
        answer = devices.get("/methods", params=ASKED)
        assert (answer.status_code, "<strong>Amount</strong>: 1 is not usable" in answer.text) == (422, True)


def test_a_long_comparison_says_how_far_it_is() -> None:
    """The page comes at once, looks again by itself, and has the answer when it is there."""
    go_on = threading.Event()

    def slow(*_: RawJob, progress: Callable[[str], None]) -> Comparison:
        progress("Planning: microwave")
        progress("Planning: tabling")
        go_on.wait(20)
        return FOUND

    devices = served(slow)
    page = devices.get("/methods", params=ASKED).text
    assert "Planning: tabling …" in page
    assert '<meta http-equiv="refresh"' in page
    go_on.set()
    until = time.monotonic() + 20
    while "refresh" in page and time.monotonic() < until:
        page = devices.get("/methods", params=ASKED).text
    assert "Start with cold bowl" in page


def test_comparisons_queue_and_are_few() -> None:
    """One is made at a time; a question asked again is not made again; too many at once are refused."""
    go_on, made = threading.Event(), []

    def slow(say: Callable[[str], None]) -> Comparison:
        say("Planning")
        made.append(1)
        go_on.wait(20)
        return FOUND

    comparisons = Comparisons[Comparison]()
    assert comparisons.ask(0, slow) == Working("Planning", 0, False)
    assert comparisons.ask(1, slow) == Working("Waiting for its turn", 0, True)
    assert comparisons.ask(0, slow) == Working("Planning", 0, False)
    comparisons.ask(2, slow)
    comparisons.ask(3, slow)
    with pytest.raises(Busy):
        comparisons.ask(4, slow)
    go_on.set()
    until = time.monotonic() + 20
    while isinstance(comparisons.ask(3, slow), Working) and time.monotonic() < until:
        pass
    assert [comparisons.ask(key, slow) for key in (0, 1, 2, 3)] == [FOUND] * 4
    assert len(made) == 4


def test_the_drawing_holds_every_possible_method() -> None:
    """Names, times and risks are written, a night in hours; what is not possible is not drawn."""
    drawn = methods_chart_svg(FOUND, 960.0, "print")
    for text in ("seed with a block", "cabinet overnight", "11 h (9 to 13)", "lost 40 %: too much", "minutes"):
        assert f">{text}</text>" in drawn
    assert ">kettle<" not in drawn
    assert (methods_height(FOUND) > 0.0, "at the bowl 12 min" in methods_caption(FOUND)) == (True, True)


def test_without_a_possible_method_there_is_no_drawing() -> None:
    """The page says so in words instead."""
    none = replace(FOUND, rows=(NOT,), best=None)
    assert (methods_chart_svg(none, 960.0, "light"), methods_height(none)) == ("", 0.0)
    assert methods_caption(none) == "No method is possible with what was told."


def test_minutes_are_told_as_hours_where_it_takes_a_night() -> None:
    """Three hours are still minutes."""
    assert (minutes_told(BAND), minutes_told(Band(100.0, 180.0, 200.0))) == (
        "12 min (9 to 15)", "180 min (100 to 200)",
    )  # fmt: skip
