"""Cards of the pages of help: each answer links to its PDF, in the device's units; what is gone says so."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pypdf
import pytest
from fastapi.testclient import TestClient
from starlette.exceptions import HTTPException

from sample_cups import plain_log
from temperbench.app.curve_results import CurveReading
from temperbench.app.find_trouble import RawTrouble
from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.app.results import Happening
from temperbench.app.run_trouble import trouble_of_run
from temperbench.book.book import Book
from temperbench.faces.told.trouble_words import chance_ends, percent_told, seen_told, standing_told
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.cards import Readings
from temperbench.faces.web.looks import COOKIE
from unit.faces.web.clients import BASE, client

POINTS = {"A4": 841.89, "Letter": 792.0}  # ISO 216: 297 mm; ANSI A: 11 in
MINUTE = 60_000
ASKED = "/wrong?seen=will-not-set&hottest=36&reads=31.5&chocolate=milk"


def addresses(page: str) -> list[str]:
    """Return the addresses of the cards that a page links to."""
    return [html.unescape(found) for found in re.findall(r'href="([^"]*card\.pdf[^"]*)"', page)]


def text_of(pdf: bytes) -> tuple[str, float]:
    """Return the text of a card and the height of its page."""
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    return " ".join(page.extract_text().split()), float(page.mediabox.height)


def curve_page(kitchen: TestClient) -> str:
    """Return the page of a reading."""
    series = plain_log(0.02)
    rows = zip(series.seconds[::5], series.celsius[::5], strict=True)
    log = "time_s,celsius\n" + "\n".join(f"{t:.0f},{c:.2f}" for t, c in rows)
    page = kitchen.post("/curve", data={"chocolate": "dark", "grams": "1000"}, files={"log": ("a.csv", log)})
    assert page.status_code == 200
    return page.text


def test_an_answer_links_to_its_card() -> None:
    """The page of trouble gives the card of the same question, on either paper, with the same likeliest cause."""
    kitchen = client()
    page = kitchen.get(ASKED)
    found = addresses(page.text)
    assert [address.rpartition("page=")[2] for address in found] == list(POINTS)
    for address, high in zip(found, POINTS.values(), strict=True):
        answer = kitchen.get(address)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
        text, height = text_of(answer.content)
        assert height == pytest.approx(high, abs=0.01)
        assert "Seen: will not set. 1000 g milk chocolate" in text
        first = re.search(r'<ol class="chances">.*?<span>([^<]+)</span> <small', page.text, re.S)
        assert first is not None
        assert html.unescape(first[1]) in text


@pytest.fixture
def booked(tmp_path: Path) -> Iterator[Kitchen]:
    """Open a kitchen whose book holds a bowl that read 37, then 31.5 °C, and 48 °C by a slip that was taken back."""
    made = Kitchen(Book.open(tmp_path / "kitchen.book"), lambda: 15 * MINUTE, particles=32)
    made.start(RawJob({"chocolate": "milk", "grams": 800, "oven_w": 900, "room_c": 20}), id="bowl", pressed_ms=0)
    made.tap("bowl", Happening("one", "reading", 2 * MINUTE, celsius=37.0), "test")
    made.tap("bowl", Happening("two", "reading", 3 * MINUTE, celsius=48.0), "test")
    made.tap("bowl", Happening("three", "undo", 3 * MINUTE, of="two"), "test")
    made.tap("bowl", Happening("four", "reading", 14 * MINUTE, celsius=31.5), "test")
    yield made
    made.close()


def test_a_bowl_of_the_book_has_its_whole_card(booked: Kitchen) -> None:
    """The card of a run's trouble counts what the book holds of it, and has every part of the answer."""
    devices = TestClient(create_app(booked, WebSettings(), clock_ms=lambda: 15 * MINUTE), base_url=BASE)
    found = trouble_of_run(booked, "bowl", RawTrouble(seen=["will-not-set"]), 15 * MINUTE)
    top = found.causes[0]
    assert (found.heading, top.key) == ("800 g milk chocolate, microwave", "overheated")
    expected = [
        seen_told(found), found.heading, *(f"{percent_told(c.probability)} {c.title}" for c in found.causes[:6]),
        *(chance_ends(c) for c in found.causes[:6]), top.do, top.save, top.why, top.next_time, standing_told(found),
        *found.cautions,
    ]  # fmt: skip
    links = addresses(devices.get("/wrong?run=bowl&seen=will-not-set").text)
    assert ["run=bowl" in link for link in links] == [True, True]
    for link, high in zip(links, POINTS.values(), strict=True):
        answer = devices.get(link)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
        text, height = text_of(answer.content)
        assert height == pytest.approx(high, abs=0.01)
        assert [part for part in expected if part not in text] == []
    unknown, _ = text_of(devices.get("/wrong/card.pdf?seen=will-not-set").content)
    assert [part for part in (found.heading, standing_told(found)) if part in unknown] == []


def test_without_an_answer_there_is_no_card() -> None:
    """Neither page offers a card before there is something to print."""
    kitchen = client()
    assert [addresses(kitchen.get(path).text) for path in ("/wrong", "/curve")] == [[], []]


def test_no_card_of_a_bowl_that_is_not_there() -> None:
    """Trouble with a bowl that the book does not know is not found."""
    refused = client().get("/wrong/card.pdf?run=nobody&seen=thick")
    assert refused.status_code == 404


def test_a_reading_links_to_its_card() -> None:
    """The page of a curve gives the card of this reading, in the units of whoever asks for it."""
    kitchen = client()
    a4, letter = addresses(curve_page(kitchen))
    text, _ = text_of(kitchen.get(a4).content)
    assert "Cooling curve of dark chocolate" in text
    assert "°C/min" in text
    kitchen.cookies.set(COOKIE, "auto.F.oz")
    text, height = text_of(kitchen.get(letter).content)
    assert ("°F/min" in text, "°C" in text, height) == (True, False, pytest.approx(POINTS["Letter"], abs=0.01))


def test_a_reading_that_is_gone_says_so() -> None:
    """A card is refused for a name that was never given, for one no longer kept, and for a paper there is not."""
    kitchen = client()
    gone = kitchen.get("/curve/card.pdf?reading=nobody")
    assert (gone.status_code, "Read the curve again" in gone.json()["message"]) == (404, True)
    assert kitchen.get("/curve/card.pdf?reading=nobody&page=A3").status_code == 422
    assert kitchen.get("/wrong/card.pdf?seen=no-such-sign").status_code == 422


def test_only_the_last_readings_are_kept() -> None:
    """The oldest reading makes room for the newest."""
    readings = Readings(most=2)
    kept = [cast(CurveReading, object()) for _ in range(3)]
    names = [readings.keep(one) for one in kept]
    assert [readings.of(name) for name in names[1:]] == kept[1:]
    with pytest.raises(HTTPException, match="no longer here"):
        readings.of(names[0])
