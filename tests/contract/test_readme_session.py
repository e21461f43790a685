"""The session in README.md is real output, and its cuts are marked."""

from __future__ import annotations

from contract.tree import script
from sample_plan import sample_plan
from temperbench.faces.cli.plan_text import plan_text

SESSION = script("readme_session")


def shown() -> list[str]:
    """Return the lines of the session on the page."""
    page = SESSION.PAGE.read_text(encoding="utf-8")
    return str(page.split(SESSION.BEGIN)[1].split(SESSION.END)[0]).splitlines()


def test_cuts_are_marked() -> None:
    """What is left out leaves a mark, once for neighbours; what is kept is kept whole."""
    text = SESSION.shortened(plan_text(sample_plan()))
    parts = text.split("\n\n")
    assert [part.split("  ")[0].splitlines()[0] for part in parts[2:]] == [
        SESSION.CUT, "BURSTS", "NEXT BURST", SESSION.CUT, "AFTER THE STOP", "RESCUE", SESSION.CUT,
    ]  # fmt: skip
    assert [part for part in parts if part != SESSION.CUT and part not in plan_text(sample_plan())] == []


def test_the_page_shows_the_command_and_every_kept_part() -> None:
    """The command and all parts that are kept stand on the page, in the form the command prints today."""
    lines = shown()
    assert f"$ {SESSION.COMMAND}" in lines
    headings = [line.split("  ")[0] for line in lines]
    assert [kept for kept in SESSION.KEPT if kept and kept not in headings] == []
    fixed = [
        line for line in plan_text(sample_plan()).splitlines() if line.startswith((" step ", "  pause: ", "    reads"))
    ]
    assert [line for line in fixed if line not in lines] == []
