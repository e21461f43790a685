"""Wi-Fi gone, server gone: the clock goes on, taps wait on the device, and arrive once with their press time."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import OpenPage
from browser.proxy import PausableProxy
from browser.serving import Served

GAP_S = 9.0  # well beyond the watchdog of these tests, 2 s; the rules do not depend on the length
STRIP = re.compile("No connection to the kitchen")


def left(page: Page) -> float:
    """Return the seconds that the clock shows."""
    digits = page.locator("[data-p=digits]").inner_text().replace(" s", "")
    minutes, _, seconds = digits.rpartition(":")
    return 60.0 * float(minutes or 0) + float(seconds)


def opened(page: Page, base: str) -> None:
    """Open the bowl that draws down and start a long clock by a tap."""
    page.goto(f"{base}/bowls/demo-3")
    expect(page.locator("[data-p=chart] > svg")).to_be_visible()
    page.locator("#act-key").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("Stir 30 s"))


@pytest.mark.parametrize("gap_s", [GAP_S, pytest.param(40.0, marks=pytest.mark.slow)])
def test_a_silent_network_loses_nothing(gap_s: float, served: Served, open_page: OpenPage) -> None:
    """In the gap the device says so, counts down, and takes taps; afterwards each is stored once, as pressed."""
    with PausableProxy(served.port) as proxy:
        page = open_page("tablet")
        opened(page, f"http://127.0.0.1:{proxy.port}")
        proxy.pause()
        begin = time.time()
        expect(page.locator("#strip")).to_have_text(STRIP)
        before, at = left(page), time.time()
        page.locator("#act-key").click()
        pressed = time.time()
        page.locator("#reading input").fill("32.1")
        page.get_by_role("button", name="It reads this").click()
        expect(page.locator("#strip")).to_contain_text("2 taps wait")
        page.wait_for_timeout(1000 * max(0.0, gap_s - (time.time() - begin)))
        assert abs(max(0.0, before - (time.time() - at)) - left(page)) < 1.6
        assert len(served.kitchen.run_record("demo-3").happenings) == 5
        proxy.go_on()
        expect(page.locator("#live")).to_have_attribute("data-count", "7", timeout=20000)
        expect(page.locator("#strip")).to_be_hidden()
    steps = [step.happening for step in served.kitchen.run_record("demo-3").happenings]
    assert [step.kind for step in steps[-3:]] == ["burst", "stir", "reading"]
    assert abs(steps[-2].pressed_ms / 1000 - pressed) < 1.0


def test_a_restarted_server_is_found_again(served: Served, open_page: OpenPage) -> None:
    """Killed for some seconds: the page stays, what was typed stays, the tap arrives once."""
    page = open_page("phone")
    opened(page, served.address)
    served.stop()
    expect(page.locator("#strip")).to_have_text(STRIP)
    first = left(page)
    page.locator("#reading input").fill("31,4")
    page.get_by_role("button", name="some", exact=True).click()
    page.wait_for_timeout(2500)
    assert left(page) < first
    served.start()
    expect(page.locator("#live")).to_have_attribute("data-count", "6", timeout=20000)
    expect(page.locator("#strip")).to_be_hidden()
    assert page.locator("#reading input").input_value() == "31,4"
    assert [s.happening.kind for s in served.kitchen.run_record("demo-3").happenings][-2:] == ["burst", "lumps"]


def test_taps_survive_a_closed_page(served: Served, open_page: OpenPage) -> None:
    """A tap taken without a server is on the device's disk: a page opened later sends it."""
    page = open_page("phone")
    opened(page, served.address)
    served.stop()
    expect(page.locator("#strip")).to_have_text(STRIP)
    page.get_by_role("button", name="few", exact=True).click()
    expect(page.locator("#strip")).to_contain_text("1 tap waits")
    other = page.context.new_page()
    page.close()
    served.start()
    other.goto(f"{served.address}/bowls/demo-3")
    expect(other.locator("#live")).to_have_attribute("data-count", "6", timeout=20000)
    assert [s.happening.level for s in served.kitchen.run_record("demo-3").happenings].count("few") == 1


def test_two_devices_agree_within_a_second(served: Served, open_page: OpenPage) -> None:
    """A tap on one shows on the other within a second, and their clocks show the same."""
    one, other = open_page("tablet"), open_page("phone")
    for page in (one, other):
        page.goto(f"{served.address}/bowls/demo-3")
        expect(page.locator("[data-p=chart] > svg")).to_be_visible()
    one.locator("#act-key").click()
    expect(other.get_by_role("heading", level=1)).to_have_text(re.compile("Stir"), timeout=1000)
    assert abs(left(one) - left(other)) <= 1.0


def test_a_wrong_clock_of_the_device_does_not_matter(served: Served, open_page: OpenPage) -> None:
    """A tablet whose clock is an hour slow shows the right time left and sends the right press time."""
    page = open_page("tablet")
    page.add_init_script("const own = Date.now; Date.now = () => own() - 3600000;")
    opened(page, served.address)
    assert 25.0 <= left(page) <= 30.0
    pressed = served.kitchen.run_record("demo-3").happenings[-1].happening.pressed_ms / 1000
    assert abs(pressed - time.time()) < 5.0
