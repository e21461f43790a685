"""The pages as a browser without scripts gets them: complete, escaped, light, in the device's units."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from fake_kitchen import FakeKitchen, furnished
from temperbench.app.job_fields import RawJob
from temperbench.app.results import Happening
from temperbench.faces.web.assets import asset_url
from unit.faces.web.clients import NOW_S, client

PAGES = ["/", "/start", "/bowls/demo-2", "/bowls/demo-3", "/runs/demo-1", "/runs/demo-1/card", "/book", "/larder",
         "/kit", "/kit/change/oven-1", "/larder/change/lot-1", "/device", "/pair", "/devices", "/check/thermometer-4",
         "/wrong", "/curve", "/methods", "/keep"]  # fmt: skip


class Reader(HTMLParser):
    """Notes every address a page asks a browser to fetch, and attributes that the content policy forbids."""

    def __init__(self) -> None:
        super().__init__()
        self.fetched: list[str] = []
        self.inline: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in ("src", "data") or (name == "href" and tag == "link"):
                self.fetched.append(value or "")
            if name == "style" or name.startswith("on"):
                self.inline.append(f"{tag} {name}")

    def handle_data(self, data: str) -> None:
        if self.lasttag in ("script", "style") and data.strip():
            self.inline.append(data.strip()[:40])


@pytest.mark.parametrize("path", PAGES)
def test_pages_fetch_from_here_only_and_hold_no_script(path: str) -> None:
    """Every address is our own, and nothing in a page needs a looser content policy."""
    answer = client().get(path)
    reader = Reader()
    reader.feed(answer.text)
    assert answer.status_code == 200
    assert [address for address in reader.fetched if not address.startswith("/") or address.startswith("//")] == []
    assert reader.inline == []


@pytest.mark.parametrize("path", PAGES)
def test_pages_work_in_an_empty_kitchen_or_say_what_is_missing(path: str) -> None:
    """Nothing entered yet is a state of its own, never a fault."""
    answer = client(FakeKitchen()).get(path, headers={"accept": "text/html"})
    assert answer.status_code == (404 if re.search("demo|thermometer|change", path) else 200)
    assert "<h1>" in answer.text


def test_the_first_load_is_light() -> None:
    """The live bowl with its styles, scripts and chart takes under 45 kB on the wire, without fonts."""
    devices = client()
    names = ("bench.css", "live.css", "page.js", "live.js", "common.js", "queue.js", "wire.js", "test.js", "probes.js")
    chart = devices.get("/api/runs/demo-2/chart.svg", params={"width": 560}).content
    files = [devices.get(asset_url(name)) for name in names]
    total = len(devices.get("/bowls/demo-2").content) + sum(len(f.content) for f in files)
    packed = sum(f.num_bytes_downloaded for f in files)
    assert all(f.headers["cache-control"].endswith("immutable") for f in files)
    assert packed < total
    sent = packed + len(chart) + devices.get("/bowls/demo-2").num_bytes_downloaded
    assert sent < 45_000


def test_what_a_cook_typed_is_text() -> None:
    """Marks in a title are shown, not obeyed."""
    kitchen = FakeKitchen()
    devices = client(kitchen)
    job = {"chocolate": "dark", "grams": 1000, "oven_w": 900}
    devices.post("/api/runs", json={"id": "bowl-0001", "title": "<b>bars</b> & 'more'", "job": job})
    for path in ("/", "/bowls/bowl-0001", "/runs/bowl-0001", "/book"):
        assert "<b>bars" not in devices.get(path).text
        assert "&lt;b&gt;bars" in devices.get(path).text


def test_a_start_page_with_a_mistake_says_which_and_keeps_the_rest() -> None:
    """The field is named, and what was typed is still there."""
    answer = client().post("/start", data={"lot": "dark", "grams": "20 g", "oven": "oven-1", "title": "Tiny bars"})
    assert answer.status_code == 422
    assert "Amount" in answer.text
    assert 'value="Tiny bars"' in answer.text


def test_a_filled_start_page_leads_to_the_bowl() -> None:
    """Lot, oven and bowl bring their facts, and the bowl opens."""
    devices = client()
    form = {
        "lot": "lot-1",
        "grams": "1200",
        "oven": "oven-2",
        "bowl": "bowl-3",
        "thermometer": "probe",
        "id": "bowl-77",
    }
    answer = devices.post("/start", data=form, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/bowls/bowl-77")
    assert "1200 g dark" in devices.get("/bowls/bowl-77").text


def test_a_device_reads_its_own_units() -> None:
    """With °F and ounces chosen, reasons, chart captions and amounts are in them."""
    devices = client()
    devices.cookies.set("temperbench_look", "dark.F.oz")
    page = devices.get("/bowls/demo-3").text
    assert 'data-theme="dark"' in page
    assert re.search(r"8[0-9]\.[0-9] °F", page)
    assert "°C (" not in page


def test_the_check_of_a_thermometer_is_kept() -> None:
    """Ice point and warm point typed with a comma are taken and answered."""
    devices = client()
    answer = devices.post("/check/thermometer-4", data={"ice_c": "0,2", "warm_c": "32,3", "reference_c": "32,0"})
    assert answer.status_code == 200
    assert "kept" in answer.text
    assert "Reads 0.2 °C high" in answer.text


def test_a_check_without_a_number_is_asked_again() -> None:
    """A word instead of a reading is refused by its name."""
    answer = client().post("/check/thermometer-4", data={"ice_c": "cold", "warm_c": "32", "reference_c": "32"})
    assert (answer.status_code, "In ice" in answer.text) == (422, True)


def test_the_book_is_searched_by_words_of_the_title() -> None:
    """Only runs with all words are listed; none is said plainly."""
    devices = client()
    assert "half shells" in devices.get("/book", params={"search": "milk shells"}).text
    assert "half shells" not in devices.get("/book", params={"search": "dark"}).text
    assert "No run has" in devices.get("/book", params={"search": "fudge"}).text


def test_files_are_served_by_their_edition_only() -> None:
    """An old address, or one that climbs, finds nothing."""
    devices = client()
    good = asset_url("live.js")
    assert devices.get(good).headers["content-type"].startswith("text/javascript")
    paths = ["/static/0000000000/live.js", good.replace("live.js", "..%2Fapp.py"), good.replace("live.js", "none.js")]
    assert [devices.get(path).status_code for path in paths] == [404, 404, 404]


def test_a_run_tells_what_was_used_and_what_was_advised() -> None:
    """Its page names chocolate, grams, lot, oven, bowl and thermometer, and the advice before each tap."""
    kitchen = furnished(lambda: NOW_S)
    job = RawJob({"chocolate": "milk", "grams": 800.0, "oven_w": 1000})
    kitchen.start(job, "Sunday", id="run-9", pressed_ms=int(NOW_S * 1000) - 60_000, things={"lot": "lot-1"})
    kitchen.tap("run-9", Happening("tap-0001", "burst", int(NOW_S * 1000), seconds=55.0), "tablet")
    page = client(kitchen).get("/runs/run-9").text
    used = page.partition('<dl class="used">')[2].partition("</dl>")[0]
    for part in ("800 g milk", "House dark 58 %, L-0412", "1000 W", "plastic", "probe"):
        assert f"<dd>{part}</dd>" in used
    story = page.partition('<ol class="story">')[2].partition("</ol>")[0]
    assert story.index("Burst 60 s") < story.index("<b>Burst 55 s")
    assert "worked out anew" not in page
    assert "Advice now: Stir 30 s" in page


def test_a_lot_of_which_more_was_used_than_entered_asks_to_be_counted() -> None:
    """A stock below nothing is no amount that is left."""
    kitchen = furnished(lambda: NOW_S)
    lots = vars(kitchen)["_lots"]
    lots["lot-1"] = replace(lots["lot-1"], facts={**lots["lot-1"].facts, "stock_g": -250.0})
    page = client(kitchen).get("/larder").text
    assert "none left: 250 g more used than entered, so count it" in page
    assert "5200 g left" in page
