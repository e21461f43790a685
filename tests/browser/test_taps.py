"""What a tap sends and what becomes of it: the setting test's times, refusals, a device that keeps nothing, sound."""

from __future__ import annotations

import json
import re
import time

import pytest
from playwright.sync_api import Page, Route, expect

from browser.conftest import OpenPage
from browser.serving import Served
from temperbench.app.results import Happening

NO_STORAGE = (
    "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('denied', 'SecurityError'); } });"
)


def opened(page: Page, served: Served) -> None:
    """Open the bowl that asks for a burst, and wait for its line."""
    page.goto(f"{served.address}/bowls/demo-3")
    expect(page.locator("[data-p=chart] > svg")).to_be_visible()


def last(served: Served, count: int = 1) -> list[Happening]:
    """Return the last happenings of that bowl."""
    return [step.happening for step in served.kitchen.run_record("demo-3").happenings][-count:]


def answering(page: Page, status: int, message: str, times: int = 1) -> None:
    """Let the kitchen answer the next taps with a status, and take them afterwards."""
    left = [times]

    def answer(route: Route) -> None:
        if left[0] == 0:
            route.continue_()
            return
        left[0] -= 1
        route.fulfill(status=status, content_type="application/json", body=json.dumps({"message": message}))

    page.route("**/happenings", answer)


def smeared(page: Page, seconds_ago: float, film: str) -> None:
    """Start the setting test's timer on a film, as if that had been some time ago."""
    page.get_by_role("button", name="Setting test").click()
    page.get_by_role("radio", name=film).check(force=True)
    page.get_by_role("button", name="Start the timer").click()
    page.evaluate(
        "ago => { const key = 'temperbench.test.demo-3', going = JSON.parse(localStorage.getItem(key));"
        " localStorage.setItem(key, JSON.stringify({ ...going, from: going.from - 1000 * ago })); }",
        seconds_ago,
    )


def test_the_setting_test_goes_by_its_film(served: Served, open_page: OpenPage) -> None:
    """The dialog tells the pass time of the film that is chosen, and the mark of the timer is that one's too."""
    page = open_page("tablet")
    opened(page, served)
    page.get_by_role("button", name="Setting test").click()
    expect(page.locator("#test-pass")).to_have_text("2.4 min")
    page.get_by_role("radio", name="Tip of a knife").check(force=True)
    expect(page.locator("#test-pass")).to_have_text("7.0 min")
    page.get_by_role("radio", name="Strip of paper").check(force=True)
    expect(page.locator("#test-pass")).to_have_text("2.4 min")
    page.get_by_role("button", name="Not now").click()
    smeared(page, 210.0, "Tip of a knife")
    expect(page.locator("#test-time")).to_have_text(re.compile(r"3:3\d"))
    scale = page.locator("#test-tape").evaluate("tape => new DOMMatrix(getComputedStyle(tape).transform).a")
    assert scale == pytest.approx(210.0 / (90.0 * 7.0), abs=0.02)  # the mark, at two thirds, is not reached


def test_not_set_tells_how_long_it_was_watched(served: Served, open_page: OpenPage) -> None:
    """A smear given up is sent with the seconds waited and its film, and without a setting time."""
    page = open_page("phone")
    opened(page, served)
    smeared(page, 300.0, "Tip of a knife")
    page.get_by_role("button", name="It does not set").click()
    expect(page.locator("#live")).to_have_attribute("data-count", "5")
    (test,) = last(served)
    assert (test.kind, test.minutes, test.film) == ("test", None, "knife")
    assert test.seconds == pytest.approx(301.0, abs=3.0)


def test_a_device_that_keeps_nothing_sends_at_once(served: Served, open_page: OpenPage) -> None:
    """With storage blocked taps go out at once; without a connection they wait in the page, and the strip says so."""
    page = open_page("phone")
    page.add_init_script(NO_STORAGE)
    opened(page, served)
    page.get_by_role("button", name="few", exact=True).click()
    expect(page.locator("#live")).to_have_attribute("data-count", "5")
    expect(page.locator("#strip")).to_be_hidden()
    served.stop()
    expect(page.locator("#strip")).to_contain_text("No connection")
    page.get_by_role("button", name="some", exact=True).click()
    expect(page.locator("#strip")).to_contain_text("1 tap waits")
    expect(page.locator("#strip")).to_contain_text("only while this page is open")
    served.start()
    expect(page.locator("#live")).to_have_attribute("data-count", "6", timeout=20000)
    expect(page.locator("#strip")).to_be_hidden()
    assert [h.level for h in last(served, 2)] == ["few", "some"]


def test_a_setting_test_runs_on_a_device_that_keeps_nothing(served: Served, open_page: OpenPage) -> None:
    """The timer of the smear starts and ends without storage too."""
    page = open_page("tablet")
    page.add_init_script(NO_STORAGE)
    opened(page, served)
    for name in ("Setting test", "Start the timer", "It has set", "sheen"):
        page.get_by_role("button", name=name).click()
    expect(page.locator("#live")).to_have_attribute("data-count", "5")
    assert last(served)[0].look == "sheen"


@pytest.mark.parametrize(
    ("status", "said"),
    [(500, r"did not store the last tap \(error 500\)"), (503, "The disk is full"), (408, "error 408"),
     (429, "Too many presses"), (401, "not paired any more")],
)  # fmt: skip
def test_trouble_is_said_and_the_tap_is_tried_again(
    status: int, said: str, served: Served, open_page: OpenPage
) -> None:
    """Whatever keeps a tap from being stored for now is said plainly; the tap waits, and arrives once."""
    page = open_page("tablet")
    opened(page, served)
    answering(page, status, "The disk is full.", times=3)
    page.get_by_role("button", name="few", exact=True).click()
    expect(page.locator("#strip")).to_contain_text(re.compile(said))
    expect(page.locator("#strip")).to_contain_text("1 tap waits")
    expect(page.locator("#live")).to_have_attribute("data-count", "5", timeout=20000)
    expect(page.locator("#strip")).to_be_hidden()
    expect(page.locator("#aside")).to_be_hidden()
    assert [h.level for h in last(served, 2)].count("few") == 1


OWN_ADDRESS = "by the kitchen's own address"


@pytest.mark.parametrize(
    ("status", "does"),
    [(403, OWN_ADDRESS), (421, OWN_ADDRESS), (404, "from the kitchen page"), (422, "Press it again")],
)
def test_a_refused_tap_is_set_aside_and_those_behind_go_on(
    status: int, does: str, served: Served, open_page: OpenPage
) -> None:
    """A tap refused for good is shown with what to do, and the next one is stored; sent again it is stored too."""
    page = open_page("phone")
    opened(page, served)
    answering(page, status, "The kitchen said no.")
    page.get_by_role("button", name="few", exact=True).click()
    expect(page.locator("#aside li")).to_have_text(re.compile(f"“Lumps: few”: The kitchen said no. .*{does}"))
    page.get_by_role("button", name="thick", exact=True).click()
    expect(page.locator("#live")).to_have_attribute("data-count", "5")
    assert last(served)[0].level == "thick"
    page.reload()
    expect(page.locator("#aside li")).to_have_count(1)
    page.get_by_role("button", name="Send again").click()
    expect(page.locator("#aside")).to_be_hidden()
    expect(page.locator("#live")).to_have_attribute("data-count", "6")
    assert {h.level for h in last(served, 2)} == {"few", "thick"}


def test_a_refused_tap_can_be_left_out(served: Served, open_page: OpenPage) -> None:
    """Only the cook lets go of a tap."""
    page = open_page("tablet")
    opened(page, served)
    answering(page, 422, "seconds: 90000 is above 36000 s.")
    page.get_by_role("button", name="few", exact=True).click()
    page.get_by_role("button", name="Leave out").click()
    expect(page.locator("#aside")).to_be_hidden()
    page.reload()
    expect(page.locator("[data-p=chart] > svg")).to_be_visible()
    expect(page.locator("#aside")).to_be_hidden()
    assert len(served.kitchen.run_record("demo-3").happenings) == 4


def test_sound_is_allowed_by_a_key_too(served: Served, open_page: OpenPage) -> None:
    """Who never touches the screen hears the clock as well: a key allows the sound, and later ones do not again."""
    page = open_page("tablet")
    page.add_init_script(
        "window.made = 0; const Own = window.AudioContext;"
        "window.AudioContext = class extends Own { constructor() { super(); window.made += 1; } };"
    )
    opened(page, served)
    assert page.evaluate("window.made") == 0
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("window.made") == 1


def test_a_reading_says_with_which_thermometer(served: Served, open_page: OpenPage) -> None:
    """In a kitchen with two kinds a reading is sent with the one chosen, which the bowl remembers."""
    page = open_page("phone")
    opened(page, served)
    expect(page.get_by_role("radio", name="Infrared")).to_have_count(0)
    served.kitchen.save_thing("thermometer", "Grey gun", {"thermometer": "infrared"})
    page.reload()
    expect(page.get_by_role("radio", name="Probe")).to_be_checked()
    page.get_by_role("radio", name="Infrared").check(force=True)
    page.locator("#reading input").fill("31.4")
    page.get_by_role("button", name="It reads this").click()
    expect(page.locator("#live")).to_have_attribute("data-count", "5")
    assert (last(served)[0].celsius, last(served)[0].thermometer) == (31.4, "infrared")
    page.reload()
    expect(page.get_by_role("radio", name="Infrared")).to_be_checked()


@pytest.mark.parametrize("off_s", [-3600, 604_800])
def test_a_bowl_begins_now_whatever_the_device_thinks(off_s: int, empty: Served, open_page: OpenPage) -> None:
    """An hour slow or a week ahead, on its first page ever: the bowl begins now, and the first tap is at its minute."""
    page = open_page("phone")
    page.add_init_script(f"const own = Date.now; Date.now = () => own() + {1000 * off_s};")
    page.goto(f"{empty.address}/start")
    page.locator("[name=oven_w]").fill("900")
    page.get_by_role("button", name="Start", exact=True).click()
    page.locator("#act-key").click()
    expect(page.locator("#live")).to_have_attribute("data-count", "1")
    record = empty.kitchen.run_record(page.locator("#live").get_attribute("data-run"))
    assert abs(record.view.started_ms / 1000 - time.time()) < 15.0
    assert 0.0 <= (record.happenings[0].happening.pressed_ms - record.view.started_ms) / 1000 < 15.0


def test_no_press_is_lost_before_the_page_can_hear(served: Served, open_page: OpenPage) -> None:
    """While its script is on the way the page takes no press and shows so; the first one it takes is stored."""
    page = open_page("phone")
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/live.js*", hold)
    page.goto(f"{served.address}/bowls/demo-3", wait_until="commit")
    key = page.locator("#act-key")
    expect(key).to_have_text("Burst done")
    expect(page.locator(".answers")).to_have_css("opacity", "0.5")
    key.evaluate("key => key.focus()")
    assert page.evaluate("document.activeElement.id") != "act-key"
    while not held:
        page.wait_for_timeout(50)
    before = len(served.kitchen.run_record("demo-3").happenings)
    held[0].continue_()
    key.click()
    expect(page.locator("#live")).to_have_attribute("data-count", str(before + 1))
    assert last(served)[0].kind == "burst"
