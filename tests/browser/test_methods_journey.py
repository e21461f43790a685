"""Bowls of other methods through the pages, from choosing the method to the book, with the real engine and book."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import OpenPage
from browser.serving import Served
from browser.test_journey import read
from browser.test_real_kitchen import PARTICLES
from temperbench import __version__
from temperbench.app.kitchen import Kitchen
from temperbench.app.results import BurstPlan, MethodPlan
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock
from temperbench.faces.paper import method_card_pdf
from temperbench.faces.web import wire
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening
from unit.insight.method_cook import MethodCook

MOST_MOVES = 30
ENDS = ("test", "ready", "finished", "full melt")


class Ahead:
    """The server's clock, which a test can put forward: a round on the slab takes minutes, a press does not."""

    def __init__(self) -> None:
        """Begin with the right time."""
        self.ms = 0

    def time_ns(self) -> int:
        """Return the time told to devices, UTC ns."""
        return time.time_ns() + 1_000_000 * self.ms

    def monotonic(self) -> float:
        """Return what heartbeats are timed by, which nobody puts forward."""
        return time.monotonic()

    def kitchen_ms(self) -> int:
        """Return the kitchen's clock, UTC ms: the one that devices are told."""
        return wall_clock() + self.ms


@pytest.fixture
def ahead(monkeypatch: pytest.MonkeyPatch) -> Ahead:
    """Return the clock that devices are told."""
    clock = Ahead()
    monkeypatch.setattr(wire, "time", clock)
    return clock


def printed(plan: BurstPlan | MethodPlan, page: str) -> bytes:
    """Print the card of a method as the command line does."""
    assert isinstance(plan, MethodPlan)
    return method_card_pdf(plan, page=page, made_on=date(2026, 3, 14), version=__version__)


@pytest.fixture
def filed(tmp_path: Path, ahead: Ahead) -> Iterator[Served]:
    """Serve a real kitchen with an empty book in a file."""
    book = Book.open(tmp_path / "kitchen.book")
    kitchen = Kitchen(book, ahead.kitchen_ms, printed, PARTICLES)
    one = Served(kitchen, beat_s=0.5).start()
    yield one
    one.stop()
    kitchen.close()
    book.close()


class PageCook(MethodCook):
    """Does to a true bowl what the page says, and tells it with the keys of the page."""

    def __init__(self, page: Page, kitchen: Kitchen, ahead: Ahead, job: BowlJob) -> None:
        """Stand at the bowl on a page, just begun."""
        super().__init__(job)
        self.page, self.kitchen, self.ahead = page, kitchen, ahead
        self.run_id = page.url.rpartition("/")[2]
        self.taps, self.pressed = 0, False
        self.labels: list[str] = []

    def tell(self, kind: str, **what: object) -> Happening:
        """Press what happened; a stir that belongs to the same act is not told by itself."""
        if kind == "reading":
            read(self.page, f"{what['celsius']:.1f}".replace(".", ","))
        elif kind == "lumps":
            self.page.get_by_role("button", name=str(what["level"]), exact=True).click()
        elif not self.pressed:
            if kind == "tabled":
                self.pass_time(float(str(what["seconds"])) + 60.0 * float(str(what["minutes"])))
            self.labels.append(self.page.locator("#act-key").inner_text())
            self.page.locator("#act-key").click()
            self.pressed = True
        else:
            return Happening("", kind, 0)
        self.taps += 1
        expect(self.page.locator("#live")).to_have_attribute("data-count", str(self.taps), timeout=60_000)
        return Happening("", kind, 0)

    def pass_time(self, seconds: float) -> None:
        """Put the clock forward and wait until the page has heard of it."""
        self.ahead.ms += int(1000 * seconds)
        until = time.monotonic() + 60.0
        while float(self.page.evaluate("localStorage['temperbench.skew']") or 0) < self.ahead.ms - 1500:
            assert time.monotonic() < until
            self.page.wait_for_timeout(100)

    def to_the_test(self) -> None:
        """Follow the page until it asks for the setting test, each headline being the engine's own."""
        for _ in range(MOST_MOVES):
            move = self.kitchen.view(self.run_id).move
            expect(self.page.locator("h1")).to_have_text(re.compile(re.escape(move.headline.split()[0])))
            if move.kind in ENDS:
                assert move.kind == "test"
                return
            self.moves.append(move)
            self.pressed = False
            self.do(move)
        raise AssertionError([m.headline for m in self.moves])


@pytest.mark.parametrize(
    ("title", "job", "says"),
    [
        ("Melt, then seed", BowlJob("dark", 1000.0, method="seed", bowl="plastic"), ["Melted, and held", "Stirred in"]),
        ("Tabling", BowlJob("dark", 1000.0, method="tabling", bowl="plastic"), ["Melted, and held", "Scraped back"]),
    ],
)
def test_a_bowl_of_another_method(
    title: str, job: BowlJob, says: list[str], filed: Served, ahead: Ahead, open_page: OpenPage
) -> None:
    """Choose the method, melt, seed or table as the page says, test, finish, find it in the book."""
    page = open_page("tablet")
    page.set_default_timeout(180_000)
    page.goto(f"{filed.address}/start")
    page.locator(".choice", has_text=title).click()
    expect(page.get_by_text("Microwave output on its label, W")).to_be_hidden()
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.locator("#act-key")).to_have_text(says[0], timeout=180_000)  # the engine may be compiled first
    expect(page.locator("#what-if")).to_be_hidden()
    cook = PageCook(page, filed.kitchen, ahead, job)
    cook.to_the_test()
    assert set(says) <= set(cook.labels)
    page.locator("#act-key").click()
    for name in ("Start the timer", "It has set", "sheen"):
        page.get_by_role("button", name=name).click()
    expect(page.locator("#act-key")).to_have_text("Taken", timeout=60_000)
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="Finish this bowl").click()
    expect(page.locator("[data-p=state]")).to_have_text("finished")
    page.goto(f"{filed.address}/runs/{cook.run_id}/card")
    address = page.get_by_role("link", name="Card on A4").get_attribute("href")
    assert page.request.get(f"{filed.address}{address}", timeout=180_000).body()[:5] == b"%PDF-"
    page.goto(f"{filed.address}/start")
    expect(page.locator(f"input[value={job.method}]")).to_be_checked()  # remembered
    page.goto(f"{filed.address}/book")
    expect(page.get_by_role("link", name=re.compile("dark"))).to_be_visible()
