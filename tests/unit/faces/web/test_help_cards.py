"""Cards of the pages of help: each answer links to its PDF, in the device's units; what is gone says so."""

from __future__ import annotations

import html
import io
import re
from typing import cast

import pypdf
import pytest
from fastapi.testclient import TestClient
from starlette.exceptions import HTTPException

from sample_cups import plain_log
from temperbench.app.curve_results import CurveReading
from temperbench.faces.web.cards import Readings
from temperbench.faces.web.looks import COOKIE
from unit.faces.web.clients import client

POINTS = {"A4": 841.89, "Letter": 792.0}  # ISO 216: 297 mm; ANSI A: 11 in
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
