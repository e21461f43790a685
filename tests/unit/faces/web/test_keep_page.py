"""The page "Keep it in temper": what it asks, how it waits, what it tells at every look, and its card."""

from __future__ import annotations

import html
import io
import re
import threading
import time
from collections.abc import Callable
from dataclasses import replace

import pypdf
import pytest
from fastapi.testclient import TestClient

from fake_kitchen import FakeKitchen, furnished
from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import check_keep, keep_bowl
from temperbench.app.keep_fields import KEEP_FIELDS
from temperbench.app.keep_results import KeepPlan
from temperbench.faces.drawing.keep_chart import keep_chart_svg, keep_height
from temperbench.faces.told.keep_words import asks_told, reads_told
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.keep_page import HEATERS_TOLD, keep_address
from temperbench.faces.web.looks import COOKIE, Look
from unit.faces.web.clients import BASE, client

ASKED = {"lot": "dark", "grams": "1500", "oven_w": "900", "warm_with": "microwave", "minutes": "40",
         "leaves_g_h": "900", "returns_share": "30", "refill_g": "800", "room_c": "20", "bowl": "plastic"}  # fmt: skip


@pytest.fixture(scope="module")
def plan() -> KeepPlan:
    """Return a plan with use, returns and refills."""
    raw = RawJob({"chocolate": "dark", "grams": 1500, "oven_w": 900, "room_c": 20})
    said = {"minutes": 40, "every_min": 10, "leaves_g_h": 900, "returns_share": 0.3, "refill_g": 800}
    return keep_bowl(raw, RawJob(said), members=24)


def served(keep: Callable[..., KeepPlan], kitchen: FakeKitchen | None = None) -> TestClient:
    """Return a client whose plans are made by ``keep``."""
    return TestClient(create_app(kitchen or furnished(), WebSettings(), keep=keep), base_url=BASE)


def heard(plan: KeepPlan) -> tuple[TestClient, list[tuple[RawJob, RawJob]]]:
    """Return a client that answers with one plan, once what was asked is checked as the engine does, and all asked."""
    asked: list[tuple[RawJob, RawJob]] = []

    def keep(raw: RawJob, keeping: RawJob, *, progress: Callable[[str], None]) -> KeepPlan:
        check_keep(raw, keeping)
        progress("Trying ways of keeping it")
        asked.append((raw, keeping))
        return plan

    return served(keep), asked


def cards_of(page: str) -> list[str]:
    """Return the addresses of the cards that a page links to."""
    return [html.unescape(found) for found in re.findall(r'href="([^"]*card\.pdf[^"]*)"', page)]


def test_the_page_offers_every_way_of_warming() -> None:
    """What can be chosen is what the planner knows."""
    assert [tuple(HEATERS_TOLD)] == [f.words for f in KEEP_FIELDS if f.key == "warm_with"]


def test_what_was_asked_reaches_the_planner(plan: KeepPlan) -> None:
    """Bowl, oven and use arrive as typed, shares as per cent; what is left empty is not there, nor a method."""
    devices, asked = heard(plan)
    assert devices.get("/keep", params={**ASKED, "at_c": "", "flows": ""}).status_code == 200
    raw, keeping = asked[0]
    assert dict(raw.values) == {
        "chocolate": "dark", "bowl": "plastic", "grams": "1500", "room_c": "20", "oven_w": "900",
    }  # fmt: skip
    assert dict(keeping.values) == {
        "minutes": "40", "warm_with": "microwave", "leaves_g_h": "900", "returns_share": "30 %", "refill_g": "800",
    }  # fmt: skip


def test_bare_figures_are_in_the_units_of_the_device(plan: KeepPlan) -> None:
    """Ounces and degrees Fahrenheit with a decimal comma are what the planner understands."""
    devices, asked = heard(plan)
    devices.cookies.set(COOKIE, "auto.F.oz")
    figures = {"grams": "52,9", "leaves_g_h": "32", "refill_g": "28,5", "room_c": "68", "at_c": "89,6"}
    assert devices.get("/keep", params={**ASKED, **figures}).status_code == 200
    request = check_keep(*asked[0])
    found = (request.job.grams, request.leaves_g_h, request.refill_g, request.job.room_c, request.at_c)
    assert found == pytest.approx((1499.7, 907.2, 808.0, 20.0, 32.0), abs=0.06)  # 28.3495 g an ounce


def test_the_answer_says_what_to_do_at_every_look(plan: KeepPlan) -> None:
    """Every row, rule, alarm, caution and stop rule of the plan is on the page, with the figures to hang above."""
    page = html.unescape(heard(plan)[0].get("/keep", params=ASKED).text)
    for told in (*plan.rules, *plan.stop_rules, *plan.cautions, plan.clear_rule, *(a.text for a in plan.alarms)):
        assert told in page
    for row in plan.table:
        cells = f"<td>{asks_told(row.easy_s, 0)}</td><td>{asks_told(row.thick_s, row.thick_g)}</td>"
        assert f'<th scope="row">{reads_told(row)}</th>{cells}' in page.replace("\N{NO-BREAK SPACE}", " ")
    aims = re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", page)[:4]
    assert aims == [
        ("Look every", "10 min"), ("Flows with ease: warm to", f"{plan.kept_c:.1f} °C"),
        ("Thick: warm to", f"{plan.thin_c:.1f} °C"), ("Never above", f"{plan.stop_c:.1f} °C"),
    ]  # fmt: skip
    assert "--" not in re.sub(r"<svg.*?</svg>", "", page, flags=re.S).replace("<!--", "").replace("-->", "")


def test_a_device_in_other_units_is_told_in_them(plan: KeepPlan) -> None:
    """No degree Celsius and no gram is left in the answer for a device in Fahrenheit and ounces."""
    devices, _ = heard(plan)
    devices.cookies.set(COOKIE, "light.F.oz")
    answer = devices.get("/keep", params={**ASKED, "grams": "52.9", "leaves_g_h": "32", "refill_g": "28", "room_c": ""})
    told = re.sub(r"<[^>]+>", " ", answer.text.partition('id="answer"')[2].partition("</section>")[0])
    assert (f"{1.8 * plan.kept_c + 32:.1f} °F" in told, "°C" in told) == (True, False)
    assert re.findall(r"add \d+ g\b", told) == []


@pytest.mark.parametrize("look", ["light.C.g", "light.F.oz"])
def test_no_line_of_the_table_begins_with_a_unit(plan: KeepPlan, look: str) -> None:
    """Units stay beside their figure, and the figure beside what to do, however narrow the screen is."""
    devices, _ = heard(plan)
    devices.cookies.set(COOKIE, look)
    asked = {"grams": "52.9", "leaves_g_h": "32", "refill_g": "28", "room_c": ""} if look.endswith("oz") else {}
    page = devices.get("/keep", params={**ASKED, **asked}).text
    table = page.partition('<table class="methods does">')[2].partition("</table>")[0]
    assert re.findall(r"\d (?!to\b)\S+|(?:add|warm) \S+", table) == []
    units = set(re.findall(r"\d\N{NO-BREAK SPACE}([^\s<,]+)", table))
    assert units == ({"°F", "oz", "s"} if look.endswith("oz") else {"°C", "g", "s"})


@pytest.mark.parametrize(
    ("theme", "drawn"),
    [("auto", ["light", "dark"]), ("light", ["light"]), ("dark", ["dark"]), ("contrast", ["contrast"])],
)
def test_the_picture_has_the_theme_of_the_device(plan: KeepPlan, theme: str, drawn: list[str]) -> None:
    """A theme that was chosen is drawn; for a device that follows its own, light and dark are there for CSS to show."""
    devices, _ = heard(plan)
    devices.cookies.set(COOKIE, f"{theme}.C.g")
    page = devices.get("/keep", params=ASKED).text
    found = [t for t in ("light", "dark", "contrast") if keep_chart_svg(plan, 960.0, keep_height(960.0, t), t) in page]
    assert found == drawn


def test_an_answer_links_to_its_card_and_is_not_made_twice(plan: KeepPlan) -> None:
    """Both papers, in the units of the device, from the plan on the page."""
    devices, asked = heard(plan)
    addresses = cards_of(devices.get("/keep", params=ASKED).text)
    assert [address.rpartition("page=")[2] for address in addresses] == ["A4", "Letter"]
    for address, high in zip(addresses, (841.89, 792.0), strict=True):  # ISO 216: 297 mm; ANSI A: 11 in
        answer = devices.get(address)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
        page = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0]
        assert float(page.mediabox.height) == pytest.approx(high, abs=0.01)
        assert f"{plan.kept_c:.1f} °C" in page.extract_text()
    assert len(asked) == 1


def test_a_card_of_what_cannot_be_is_refused(plan: KeepPlan) -> None:
    """The same refusal as on the page; and a paper there is not."""
    devices, _ = heard(plan)
    assert devices.get("/keep/card.pdf", params={**ASKED, "grams": "1"}).status_code == 422
    assert devices.get("/keep/card.pdf", params={**ASKED, "page": "A3"}).status_code == 422


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"grams": "1"}, "<strong>Amount</strong>: "),
        ({"oven_w": ""}, "fill it in below"),
        ({"at_c": "60"}, "<strong>Reads now</strong>: "),
        ({"minutes": "soon"}, "<strong>How long</strong>: "),
        ({"leaves_g_h": ""}, "say what is used as well (Used an hour)"),
        ({"warm_with": "bath", "bath_c": "99"}, "<strong>Water</strong>: "),
    ],
)
def test_a_refusal_is_in_the_words_of_the_form(plan: KeepPlan, wrong: dict[str, str], told: str) -> None:
    """What cannot be is told with the name of its field, without an option, and nothing that was typed is lost."""
    answer = heard(plan)[0].get("/keep", params={**ASKED, **wrong})
    assert (answer.status_code, told in answer.text, 'value="800"' in answer.text) == (422, True, True)
    assert [alert for alert in re.findall(r'role="alert">(.*?)</div>', answer.text) if "--" not in alert] != []


def test_a_long_plan_says_what_it_does() -> None:
    """The page comes at once and looks again by itself until the plan is there."""
    go_on = threading.Event()

    def slow(*_: RawJob, progress: Callable[[str], None]) -> KeepPlan:
        progress("Trying ways of keeping it")
        go_on.wait(20)
        raise RuntimeError("not wanted any more")

    devices = served(slow)
    begun = time.monotonic()
    page = devices.get("/keep", params=ASKED).text
    took = time.monotonic() - begun
    go_on.set()
    assert ("Trying ways of keeping it …" in page, '<meta http-equiv="refresh"' in page) == (True, True)
    assert took < 10.0


def test_the_form_alone_plans_nothing(plan: KeepPlan) -> None:
    """An address that only fills the form in, as a live bowl gives it, shows its figures and asks for nothing."""
    devices, asked = heard(plan)
    job = {"chocolate": "milk", "grams": 700.0, "method": "microwave", "oven_w": 800}
    page = devices.get(keep_address(job, Look())).text
    assert (asked, 'value="700"' in page, 'value="800"' in page, '<option value="milk" selected' in page) == (
        [], True, True, True,
    )  # fmt: skip
    assert cards_of(page) == []


def test_kitchen_and_live_bowl_lead_here() -> None:
    """The first page links to the form, and a live bowl to the form filled in."""
    kitchen = client()
    assert 'href="/keep"' in kitchen.get("/").text
    assert 'href="/keep?lot=dark&amp;oven_w=1000&amp;grams=1000"' in kitchen.get("/bowls/demo-2").text


def test_text_is_escaped(plan: KeepPlan) -> None:
    """Words of the engine are text."""
    page = heard(replace(plan, rules=("<b>stir</b>",)))[0].get("/keep", params=ASKED).text
    assert ("&lt;b&gt;stir" in page, "<b>stir" in page) == (True, False)
