"""The pages of help in a real browser: a cooling curve from a logger's file, and a question answered check by check."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.conftest import OpenPage
from browser.serving import Served
from sample_cups import plain_log


@pytest.mark.parametrize(("stable", "verdict"), [(0.001, "Too few crystals"), (0.06, "In temper")])
def test_a_curve_of_a_logger_is_read(
    stable: float, verdict: str, tmp_path: Path, empty: Served, open_page: OpenPage
) -> None:
    """A file with decimal commas is chosen and sent; verdict, remedy and chart come back."""
    log, series = tmp_path / "logger.csv", plain_log(stable, every_s=2.0)
    lines = [f"{t:.0f};{c:.2f}".replace(".", ",") for t, c in zip(series.seconds, series.celsius, strict=True)]
    log.write_text("\n".join(["seconds;temperature", *lines]), encoding="utf-8")
    page = open_page("phone")
    page.set_default_timeout(60_000)
    page.goto(f"{empty.address}/")
    page.get_by_role("link", name="Read a cooling curve").click()
    page.get_by_label("File of your logger").set_input_files(log)
    page.get_by_role("button", name="Read the curve").click()
    expect(page.get_by_role("heading", name=verdict, exact=True)).to_be_visible()
    expect(page.locator(".do")).not_to_be_empty()
    for scheme in ("light", "dark"):  # the device has not said which, so that its own theme decides
        page.emulate_media(color_scheme=scheme)
        expect(page.locator("figure .on-phone .by-day > svg")).to_be_visible(visible=scheme == "light")
        expect(page.locator("figure .on-phone .by-night > svg")).to_be_visible(visible=scheme == "dark")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_something_wrong_is_narrowed_by_a_check(empty: Served, open_page: OpenPage) -> None:
    """A sign is ticked, causes come ranked, the first check is answered, and the ranking follows."""
    page = open_page("tablet")
    page.set_default_timeout(60_000)
    page.goto(f"{empty.address}/")
    page.get_by_role("link", name="Something is wrong").click()
    page.locator(".choice", has_text=re.compile("thick", re.IGNORECASE)).first.click()
    page.get_by_role("button", name="What is it?").click()
    chances = page.locator(".chances li")
    before = chances.all_inner_texts()
    check = page.locator(".check").first
    asked = check.locator("h3").inner_text()
    check.get_by_role("link").first.click()
    expect(page.locator(".check h3").first).not_to_have_text(asked)
    assert chances.all_inner_texts() != before
    expect(page.locator(".do").first).to_be_visible()
