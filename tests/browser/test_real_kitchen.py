"""A bowl from kit to book through the pages with the real engine and the real book, in a file and on a server."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from book_postgres import NoServer, new_schema, server
from browser.conftest import OpenPage
from browser.serving import Served
from browser.test_journey import read, set_up
from temperbench import __version__
from temperbench.app.kitchen import Kitchen
from temperbench.app.results import BurstPlan
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock
from temperbench.faces.paper import card_pdf
from temperbench.foundation.evidence import number
from temperbench.insight.after_stop import film_times
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw
from temperbench.kitchen.parcel import parcel_states

PARTICLES, MOST_MOVES = 200, 40
TOO_LONG_S = 20.0  # far enough past the advice to lose crystals, near enough to be saved by buttons
BACKDATED = """ago => {
  const key = Object.keys(localStorage).find((name) => name.startsWith("temperbench.test."));
  const going = JSON.parse(localStorage.getItem(key));
  localStorage.setItem(key, JSON.stringify({ ...going, from: going.from - 60000 * ago }));
}"""
JOB = BowlJob("dark", 1000.0, 1000.0, bowl="plastic", bowl_g=220.0)


def printed(plan: BurstPlan, page: str) -> bytes:
    """Print a card as the command line does."""
    return card_pdf(plan, page=page, made_on=date(2026, 3, 14), version=__version__)


@pytest.fixture(params=["file", "server"])
def real(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Served]:
    """Serve a real kitchen with an empty book. Without PostgreSQL that part is left out on a desk, and fails in CI."""
    if request.param == "file":
        yield from served(str(tmp_path / "kitchen.book"))
        return
    try:
        with server() as folder:
            yield from served(new_schema(folder, "kitchen"))
    except NoServer as error:
        said = f"PostgreSQL was NOT tested: {error}"
        if os.environ.get("CI"):
            pytest.fail(said)
        pytest.skip(said)


def served(where: str) -> Iterator[Served]:
    """Serve a kitchen whose book is at a place."""
    book = Book.open(where)
    kitchen = Kitchen(book, wall_clock, printed, PARTICLES)
    one = Served(kitchen).start()
    yield one
    one.stop()
    kitchen.close()
    book.close()


class Cook:
    """Does what the page says with a true bowl, and types what a thermometer shows; once forgets the time."""

    def __init__(self, page: Page) -> None:
        self.page, self.rng = page, np.random.default_rng(7)
        self.truth = Bowls(draw(know(JOB).setup, 1, np.random.default_rng(7)))
        self.done: list[str] = []
        self.said: list[str] = []  # the moves, for whoever reads of a failure
        self.taps = 0

    def counted(self, more: int = 1) -> None:
        """Wait until so many more taps are in the book and on the page."""
        self.taps += more
        expect(self.page.locator("#live")).to_have_attribute("data-count", str(self.taps), timeout=30_000)

    def figure(self) -> float:
        """Return the figure that the answering key will send."""
        return float(self.page.locator("#act input").input_value())

    def as_told(self) -> float:
        """Return the seconds that the move asks for; the figure of its key follows the clock instead."""
        found = re.search(r"(\d+) (s|min)\b", self.page.locator("h1").inner_text().replace("\n", " "))
        assert found is not None
        return float(found[1]) * (60.0 if found[2] == "min" else 1.0)

    def type_reading(self) -> None:
        """Read the true bowl and look for lumps, and say so."""
        read(self.page, f"{float(self.truth.read_thermometer(self.rng)[0]):.1f}".replace(".", ","))
        self.counted()
        left = float(self.truth.lumpiest()[0])
        level = next((word for least, word in ((0.38, "many"), (0.2, "some"), (0.1, "few")) if left > least), "none")
        self.page.get_by_role("group", name="Lumps left").get_by_role("button", name=level, exact=True).click()
        self.counted()

    def press(self) -> None:
        """Press the answering key."""
        self.page.locator("#act-key").click()
        self.counted()

    def follow(self) -> bool:
        """Do the next move; say whether there is another one."""
        label = self.page.locator("#act-key").inner_text()
        self.done.append(label)
        self.said.append(f"{self.page.locator('h1').inner_text()} ({float(self.truth.temperature()[0]):.1f})")
        if label in ("Burst done", "Warmed"):
            seconds = self.figure()
            if self.done.count(label) == 2 and "too long" not in self.done:
                seconds += TOO_LONG_S
                self.done.append("too long")
                self.page.locator("#act input").fill(f"{seconds:.0f}")
            self.truth.burst(seconds)
            self.press()
        elif label in ("Stirred", "Waited"):
            seconds = self.as_told()
            self.page.locator("#act input").fill(f"{seconds:.0f}")
            (self.truth.stir if label == "Stirred" else self.truth.stand)(seconds)
            self.press()
            self.type_reading()
        elif label == "Stirred in":
            self.truth.add(self.figure() / 1000.0, 20.0)
            self.press()
            self.truth.stir(20.0)
            self.type_reading()
        elif label == "Start the test":
            self.test()
        return label not in ("Taken", "End this bowl", "")

    def test(self) -> None:
        """Make the setting test on the true bowl: its smear sets with a sheen when it does, or is given up in time."""
        state = parcel_states(self.truth.temperature(), self.truth.stable(), self.truth.sites())
        loss = np.array([number("film.paper.loss")])
        sets = float(film_times(self.truth.members, state, loss)[0])
        self.page.locator("#act-key").click()
        by = float(self.page.locator("#test-pass").inner_text().removesuffix(" min"))
        self.page.get_by_role("button", name="Start the timer").click()
        self.page.evaluate(BACKDATED, min(sets, by))
        for name in ("It has set", "sheen") if sets <= by else ("It does not set",):
            self.page.get_by_role("button", name=name).click()
        self.counted()
        self.done.append("set" if sets <= by else "not set")


def test_a_real_bowl_from_kit_to_book(real: Served, open_page: OpenPage) -> None:
    """Kit, start, bursts with readings, one too long and what then helps, test, finish, card, found in the book."""
    page = open_page("tablet")
    page.set_default_timeout(60_000)
    set_up(page, real.address)
    page.goto(f"{real.address}/start")
    page.get_by_text("The rest, as last time").click()
    page.get_by_label("What it is for").fill("Saturday bars")
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.locator("#act-key")).to_have_text("Burst done", timeout=180_000)  # the engine may be compiled first
    expect(page.locator("[data-p=chart] > svg")).to_be_visible()  # its script runs: taps are heard
    cook = Cook(page)
    for _ in range(MOST_MOVES):
        if not cook.follow():
            break
    assert cook.done[-1] == "Taken", " / ".join(cook.said)  # in temper, and not given up
    tested = [word for word in cook.done if word in ("set", "not set")]
    assert tested[-1:] == ["set"], " / ".join(cook.said)
    assert {"Burst done", "Stirred", "too long", "Stirred in"} <= set(cook.done)  # the bowl that got too hot was saved
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="Finish this bowl").click()
    expect(page.locator("[data-p=state]")).to_have_text("finished")
    page.get_by_role("link", name="All that happened").click()
    expect(page.locator(".story li")).to_have_count(cook.taps + 1)
    page.get_by_role("link", name="Card to print").click()
    address = page.get_by_role("link", name="Card on A4").get_attribute("href")
    assert page.request.get(f"{real.address}{address}").body()[:5] == b"%PDF-"
    page.goto(f"{real.address}/book?search=saturday")
    expect(page.get_by_role("link", name=re.compile("Saturday bars"))).to_be_visible()
    page.goto(f"{real.address}/kit")
    expect(page.get_by_text(re.compile(r"About \d+ W"))).to_be_visible()
