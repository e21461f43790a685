"""One Chromium for all browser tests, a fresh kitchen for each, and a watch on where requests go."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from browser.serving import Served
from fake_kitchen import FakeKitchen, furnished

CHROMIUM = Path("/usr/bin/chromium")
ARGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
SIZES = {"tablet": (1180, 820), "phone": (390, 844)}

OpenPage = Callable[..., Page]


def pytest_configure(config: pytest.Config) -> None:
    """Name the marker of this folder."""
    config.addinivalue_line("markers", "browser: drives a real Chromium; needs /usr/bin/chromium")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Return the system's own Chromium."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        yield browser
        browser.close()


@pytest.fixture
def served() -> Iterator[Served]:
    """Return a served kitchen with kit, a finished run and two running bowls."""
    server = Served(furnished(), beat_s=0.5, silence_s=2.0).start()
    yield server
    server.stop()


@pytest.fixture
def empty() -> Iterator[Served]:
    """Return a served kitchen in which nothing was entered yet."""
    server = Served(FakeKitchen()).start()
    yield server
    server.stop()


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[OpenPage]:
    """Return a maker of pages of a size and theme; at the end no page may have asked another server or failed."""
    contexts: list[BrowserContext] = []
    asked: list[str] = []
    failed: list[str] = []

    def opened(size: str = "tablet", cookie: str | None = None, base: str = "") -> Page:
        width, height = SIZES[size]
        context = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True)
        contexts.append(context)
        if cookie:
            context.add_cookies([{"name": "temperbench_look", "value": cookie, "url": base}])
        page = context.new_page()
        page.set_default_timeout(8000)
        page.on("request", lambda request: asked.append(request.url))
        page.on("websocket", lambda line: asked.append(line.url))
        page.on("pageerror", lambda error: failed.append(str(error)))
        return page

    yield opened
    for context in contexts:
        context.close()
    addresses = [urlsplit(url) for url in asked]
    hosts = {a.hostname for a in addresses if a.scheme in ("http", "https", "ws", "wss")}
    assert hosts <= {"127.0.0.1"}
    assert failed == []
