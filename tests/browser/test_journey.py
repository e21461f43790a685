"""A whole bowl from an empty kitchen to the book, as a cook goes through it, on tablet and phone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import OpenPage
from browser.serving import Served


def set_up(page: Page, base: str) -> None:
    """Enter an oven, a bowl, a thermometer and a chocolate."""
    page.goto(f"{base}/kit")
    for kind, name, fields in (
        ("oven", "Bench oven", {"oven_w": "1000"}),
        ("bowl", "Blue bowl", {"bowl_g": "220", "bowl_l": "2,5"}),
        ("thermometer", "Black probe", {}),
    ):
        form = page.locator(f"form:has(input[value={kind}])")
        form.locator("[name=name]").fill(name)
        for field, value in fields.items():
            form.locator(f"[name={field}]").fill(value)
        form.get_by_role("button", name="Keep it").click()
        expect(page.get_by_role("heading", name=name)).to_be_visible()
    page.goto(f"{base}/larder")
    page.get_by_label("What you call it").fill("House dark")
    page.get_by_label("Fat, g in 100 g").fill("37,5")
    page.get_by_role("button", name="Put it in").click()
    expect(page.get_by_role("heading", name="House dark")).to_be_visible()


def move(page: Page, words: str) -> None:
    """Expect the next move."""
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(words))


def act(page: Page, label: str) -> None:
    """Press the key that answers the move, when it says so."""
    key = page.locator("#act-key")
    expect(key).to_have_text(label)
    key.click()


def read(page: Page, text: str) -> None:
    """Type a reading and press its key."""
    page.locator("#reading input").fill(text)
    page.get_by_role("button", name="It reads this").click()


def warm_up(page: Page) -> None:
    """Go through the bursts with readings, overheat, rescue."""
    move(page, "Burst 60 s")
    act(page, "Burst done")
    move(page, "Stir 30 s")
    expect(page.locator("[data-p=digits]")).to_have_text(re.compile(r"^(30|2\d) s$"))
    act(page, "Stirred")
    move(page, "Burst 20 s")
    read(page, "30,4")
    page.get_by_role("button", name="many", exact=True).click()
    expect(page.locator("#live")).to_have_attribute("data-count", "4")
    page.get_by_role("button", name="5 s more?").click()
    expect(page.locator("#said")).to_contain_text("5 s more would end at")
    page.locator("#act input").fill("75")  # too long
    act(page, "Burst done")
    read(page, "36.5")
    move(page, r"Stir in \d+ g")
    expect(page.locator("[data-p=state]")).to_have_text("lost")
    act(page, "Stirred in")
    move(page, "Draw down")


def draw_down_and_test(page: Page) -> None:
    """Come into the window, make the setting test, use the bowl up."""
    read(page, "31.9")
    move(page, "Test now")
    act(page, "Start the test")
    expect(page.get_by_role("dialog")).to_contain_text("2.4 min")
    page.get_by_role("button", name="Start the timer").click()
    page.get_by_role("button", name="It has set").click()
    page.get_by_role("button", name="sheen").click()
    move(page, "Use it")
    page.locator("#act input").fill("900")
    act(page, "Taken")
    expect(page.locator("#said")).to_contain_text("Taken: 900 g")
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="Finish this bowl").click()
    move(page, "Finished")


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_a_bowl_from_kit_to_book(size: str, empty: Served, open_page: OpenPage) -> None:
    """Set up, start, burst, read, overheat, rescue, draw down, test, finish, print, find."""
    page = open_page(size)
    set_up(page, empty.address)
    page.goto(f"{empty.address}/")
    page.get_by_role("link", name="Start a bowl").click()
    page.get_by_text("The rest, as last time").click()
    page.get_by_label("What it is for").fill("Saturday bars")
    page.get_by_role("button", name="Start", exact=True).click()
    warm_up(page)
    draw_down_and_test(page)
    page.get_by_role("link", name="All that happened").click()
    expect(page.get_by_text("Setting test: set in 0.0 min, sheen")).to_be_visible()
    page.get_by_role("link", name="Card to print").click()
    address = page.get_by_role("link", name="Card on A4").get_attribute("href")
    card = page.request.get(f"{empty.address}{address}")
    assert (card.status, card.body()[:5]) == (200, b"%PDF-")
    page.goto(f"{empty.address}/book")
    page.get_by_label("Words of the title, chocolate or lot").fill("saturday")
    page.get_by_role("button", name="Search").click()
    expect(page.get_by_role("link", name=re.compile("Saturday bars"))).to_be_visible()


def test_undo_takes_the_last_tap_back(served: Served, open_page: OpenPage) -> None:
    """A wrong tap is undone by one key, without being asked."""
    page = open_page("phone")
    page.goto(f"{served.address}/bowls/demo-3")
    move(page, "Burst 20 s")
    act(page, "Burst done")
    move(page, "Stir 30 s")
    page.get_by_role("button", name="Undo").click()
    move(page, "Burst 20 s")
    assert [step.undone for step in served.kitchen.run_record("demo-3").happenings][-2:] == [True, False]


def test_undo_takes_back_the_last_tap_of_any_device(served: Served, open_page: OpenPage) -> None:
    """Two tablets at one bowl: the key names what it takes back, wherever it was pressed, and step by step."""
    one, other = open_page("tablet"), open_page("phone")
    for page in (one, other):
        page.goto(f"{served.address}/bowls/demo-3")
        move(page, "Burst 20 s")
    act(one, "Burst done")
    move(other, "Stir 30 s")
    read(other, "31,2")
    expect(one.locator("#undo")).to_contain_text("Read 31.2 °C · elsewhere")
    expect(other.locator("#undo")).to_contain_text("Read 31.2 °C")
    one.locator("#undo").click()
    expect(other.locator("#undo")).to_contain_text("Burst 20 s · elsewhere")
    other.locator("#undo").click()
    move(one, "Burst 20 s")
    steps = served.kitchen.run_record("demo-3").happenings[-4:]
    assert [step.happening.kind for step in steps] == ["burst", "reading", "undo", "undo"]
    assert [step.undone for step in steps] == [True, True, False, False]


def test_a_bowl_is_worked_by_keyboard(served: Served, open_page: OpenPage) -> None:
    """From the move to the last key with Tab, the figure by typing, every key by Enter or space."""
    page = open_page("tablet")
    page.goto(f"{served.address}/bowls/demo-3")
    move(page, "Burst 20 s")
    names = []
    for _ in range(22):
        page.keyboard.press("Tab")
        names.append(page.evaluate("document.activeElement.innerText || document.activeElement.name || ''").strip())
        assert page.evaluate("document.activeElement.matches(':focus-visible')")
    keys = ["Burst done", "It reads this", "many", "with ease", "5 s more?", "More"]
    assert keys == [name for name in names if name in keys]
    page.locator("#act-key").focus()
    page.keyboard.press("Enter")
    move(page, "Stir 30 s")


def test_the_move_keeps_its_place(served: Served, open_page: OpenPage) -> None:
    """Before and after a tap, move and first key stand where they stood, on both sizes."""
    for size in ("tablet", "phone"):
        page = open_page(size)
        page.goto(f"{served.address}/bowls/demo-3")
        move(page, "Burst 20 s")
        places = [page.locator(name).bounding_box() for name in ("h1", "#act-key")]
        page.locator("#act-key").click()
        move(page, "Stir 30 s")
        assert places == [page.locator(name).bounding_box() for name in ("h1", "#act-key")]
        page.get_by_role("button", name="Undo").click()
        move(page, "Burst 20 s")


def test_a_device_keeps_its_units(served: Served, open_page: OpenPage) -> None:
    """Chosen once, °F and ounces are on every page, chart included, and a typed reading is in °F."""
    page = open_page("tablet")
    page.goto(f"{served.address}/device")
    page.get_by_role("radio", name="°F").check(force=True)
    page.get_by_role("radio", name="Ounces").check(force=True)
    page.goto(f"{served.address}/bowls/demo-3")
    expect(page.locator("[data-p=chart] > svg")).to_contain_text("limit 94.1 °F")
    read(page, "87,8")
    expect(page.locator("[data-p=now]")).to_contain_text("87.8 °F")
    assert served.kitchen.run_record("demo-3").happenings[-1].happening.celsius == pytest.approx(31.0, abs=0.01)


def test_a_device_writes_commas(served: Served, open_page: OpenPage) -> None:
    """Chosen once, figures have commas in words, drawings and dials; what is sent is the same figure."""
    page = open_page("phone")
    page.goto(f"{served.address}/device")
    page.get_by_role("radio", name="Comma: 31,5").check(force=True)
    page.goto(f"{served.address}/bowls/demo-3")
    expect(page.locator("[data-p=chart] > svg")).to_contain_text("limit 34,5 °C")
    expect(page.locator("[data-p=now]")).to_contain_text("30,4 °C (30,1 to 30,8)")
    field = page.locator("#reading input")
    expect(field).to_have_value("30,4")
    page.locator("#reading .more").click()
    expect(field).to_have_value("30,5")
    page.locator("#reading-key").click()
    expect(page.locator("#live")).to_have_attribute(
        "data-count", str(len(served.kitchen.run_record("demo-3").happenings))
    )
    assert served.kitchen.run_record("demo-3").happenings[-1].happening.celsius == pytest.approx(30.5, abs=0.001)
    page.goto(served.address)
    expect(page.locator(".rule svg").first).to_be_visible()
    page.goto(f"{served.address}/book")
    expect(page.locator(".rows")).to_contain_text("30,5 °C")
