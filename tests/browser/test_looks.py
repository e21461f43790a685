"""Large enough for a knuckle, legible in sunlight and dark, nothing sideways: every page at both sizes."""

from __future__ import annotations

import itertools

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from browser.conftest import OpenPage
from browser.serving import Served
from temperbench.faces.web.live_page import headline_parts

PAGES = ["/", "/start", "/bowls/demo-3", "/runs/demo-1", "/runs/demo-1/card", "/book", "/larder", "/kit",
         "/kit/change/oven-1", "/larder/change/lot-1", "/check/thermometer-4?step=warm&ice_c=0.2", "/device",
         "/check/thermometer-4", "/pair", "/wrong", "/curve", "/methods", "/keep",
         "/start?method=tabling"]  # fmt: skip
# A target is what is pressed: a key, a link on its own, a choice; links inside a sentence are exempt.
TARGETS = """(inside) => [...document.querySelector(inside).querySelectorAll(
    'a, button, summary, .choice, input:not([type=hidden]), select')]
  .filter((e) => e.checkVisibility() && e.getClientRects().length)
  .filter((e) => !e.closest('p a:not(.key)') && !e.matches('.skip, .choice input, .dial input'))
  .map((e) => [(e.innerText || e.name || e.tagName).trim().slice(0, 24), e.getBoundingClientRect()])
  .map(([name, r]) => ({ name, left: r.left, top: r.top, right: r.right, bottom: r.bottom }))"""


HEADLINES = [
    "Burst 60 s", "Stir 120 s", "Stir in 1205 g", "Stir in 42.5 oz", "Stir down 12 min", "Test now", "Melt fully",
    "Warm 8 s", "Ready: use it", "Stir 3 min, test again", "Draw down", "Finished",
]  # fmt: skip
# Puts a headline in place and says whether every part of it stays inside the heading.
FITS = """(parts) => {
  const h = document.querySelector('h1'), room = h.getBoundingClientRect();
  ['verb', 'figure', 'tail'].forEach((name, i) => { h.querySelector(`[data-p=${name}]`).textContent = parts[i]; });
  return [...h.children].every((e) => e.getBoundingClientRect().right <= Math.min(room.right, innerWidth) + 1
    && e.getBoundingClientRect().bottom <= room.bottom + 12);
}"""


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_targets_are_large_and_apart(size: str, served: Served, open_page: OpenPage) -> None:
    """Every target is 48 px or more both ways, and neighbours are 12 px apart."""
    page = open_page(size)
    for path in PAGES:
        page.goto(f"{served.address}{path}")
        if path.startswith("/bowls"):
            page.locator("[data-p=chart] > svg").wait_for()
        assert (path, faults(page)) == (path, ([], []))
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_targets_of_the_panels_are_large_and_apart(size: str, served: Served, open_page: OpenPage) -> None:
    """The setting test in each of its stages, and what else can happen, are as easy to hit as the rest."""
    page = open_page(size)
    page.goto(f"{served.address}/bowls/demo-2")
    page.locator("#test-key").click()
    assert faults(page, "#test") == ([], [])
    page.locator("#test-start").click()
    assert faults(page, "#test") == ([], [])
    page.locator("#test-set").click()
    assert faults(page, "#test") == ([], [])
    page.locator("#test-again").click()
    page.keyboard.press("Escape")
    page.locator("#more-key").click()
    assert faults(page, "#more") == ([], [])


def faults(page: Page, inside: str = "body") -> tuple[list[str], list[tuple[str, str]]]:
    """Return the targets that are too small, and the pairs that are too near to each other."""
    found = page.evaluate(TARGETS, inside)
    small = [t["name"] for t in found if min(t["right"] - t["left"], t["bottom"] - t["top"]) < 48]
    near = [
        (a["name"], b["name"])
        for a, b in itertools.combinations(found, 2)
        if a["left"] < b["right"] + 11.5 and b["left"] < a["right"] + 11.5
        and a["top"] < b["bottom"] + 11.5 and b["top"] < a["bottom"] + 11.5
    ]  # fmt: skip
    return small, [pair for pair in near if not _foot(pair)]


def _foot(pair: tuple[str, str]) -> bool:
    """Whether one of a pair belongs to the bar at the foot, under which a page scrolls."""
    bar = {"Kitchen", "Book", "Larder", "Kit", "Screen"}
    return (pair[0] in bar) != (pair[1] in bar)


@pytest.mark.parametrize("theme", ["light", "dark", "contrast"])
def test_no_serious_fault_of_access(theme: str, served: Served, open_page: OpenPage) -> None:
    """axe finds nothing serious or critical, contrast included, on any page in any theme."""
    page = open_page("tablet", cookie=f"{theme}.C.g", base=served.address)
    page.add_init_script(f"localStorage.setItem('temperbench.look', JSON.stringify({{theme: '{theme}'}}))")
    for path in PAGES:
        page.goto(f"{served.address}{path}")
        if path.startswith("/bowls"):
            page.locator("[data-p=chart] > svg").wait_for()
        if path.endswith("/card"):
            page.evaluate("document.querySelector('object').remove()")  # the browser's own viewer is not ours to judge
        found = Axe().run(page).response["violations"]
        serious = [(v["id"], v["nodes"][0]["html"][:120]) for v in found if v["impact"] in ("serious", "critical")]
        assert (path, serious) == (path, [])


@pytest.mark.parametrize(("size", "least"), [("tablet", 96), ("phone", 64)])
def test_the_move_is_read_at_arms_length(size: str, least: int, served: Served, open_page: OpenPage) -> None:
    """The next move is set in very large type and is not cut."""
    page = open_page(size)
    page.goto(f"{served.address}/bowls/demo-3")
    page.locator("[data-p=chart] > svg").wait_for()
    assert least <= page.evaluate("parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)")
    cut = [headline for headline in HEADLINES if not page.evaluate(FITS, headline_parts(headline))]
    assert cut == []
