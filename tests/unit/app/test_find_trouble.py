"""Asking what is wrong: words and figures are checked, defaults are named, the JSON keeps its page's promise."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast

import pytest
from click.testing import CliRunner

from temperbench.app.find_trouble import RawTrouble, find_trouble, known_checks, known_signs
from temperbench.app.job_fields import RawJob
from temperbench.app.trouble_json import trouble_json
from temperbench.faces.cli.main import main
from temperbench.faces.cli.trouble_text import signs_text, trouble_text
from temperbench.foundation.errors import InputError

PAGE = Path(__file__).resolve().parents[3] / "docs" / "trouble.md"
FEW = 24


def asked(raw: Mapping[str, object] | None = None, **told: Any) -> Any:
    """Ask with few simulated bowls."""
    return find_trouble(RawJob(dict(raw or {})), RawTrouble(**told), members=FEW)


def test_one_word_is_enough() -> None:
    """Nothing but a sign: dark and a kilogram are taken as usual, and said."""
    found = asked(seen=["Thick, lumps"])
    assert found.seen == ("thick", "lumps in it")
    assert [t for t in found.defaults_used if t.startswith(("Chocolate: dark", "Amount: 1000 g", "Method: not told"))]
    assert len([t for t in found.defaults_used if t.startswith(("Chocolate:", "Amount:", "Method:"))]) == 3


def test_figures_alone_are_enough() -> None:
    """Readings without any sign are answered too."""
    assert len(asked(hottest="96 F", reads="31,5", minutes="12 min").causes) >= 3


def test_bloomed_stock_answers_its_check() -> None:
    """Stock told to be bloomed speaks for dead stock, and the stock is not asked about again."""
    plain, bloomed = asked(seen=["will-not-set"]), asked({"glossy": False}, seen=["will-not-set"])
    chance = [next(c.probability for c in f.causes if c.key == "dead-stock") for f in (plain, bloomed)]
    assert chance[1] > chance[0]
    assert "stock" not in [c.key for c in bloomed.checks]


def test_a_told_fat_answers_the_pack() -> None:
    """A lean chocolate that is thick is thick by itself; one with fat enough is not, and the pack is not asked for."""
    lean, rich = (asked({"fat_pct": fat}, seen=["thick"]) for fat in (28, 38))
    chance = [sum(c.probability for c in f.causes if c.key == "lean") for f in (lean, rich)]
    assert chance[0] > 0.3 > chance[1]
    assert [c.key for f in (lean, rich) for c in f.checks if c.key == "pack"] == []


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({}, "--seen: needed but not given"),
        ({"seen": ["lumpyy"]}, "did you mean “lumpy”?"),
        ({"seen": ["thick"], "not_seen": ["thick"]}, "--not-seen: “thick” is not usable"),
        ({"hottest": "200"}, "--hottest: “200” is not usable; allowed is 10 to 130 °C"),
        ({"reads": "warm"}, "--reads: “warm” is not usable"),
        ({"minutes": "-3"}, "--minutes: “-3” is not usable"),
        ({"minutes": "2000"}, "allowed is 0 to 1440 min"),
        ({"set_in": "5", "not_set_by": "8"}, "--not-set-by: 8 is not usable; allowed is less than the 5 min"),
        ({"film": "glass"}, "allowed is paper, knife"),
        ({"found": ["rub"]}, "write for example rub=smooth"),
        ({"found": ["rub=wet"]}, "--found: “wet” is not usable; allowed is smooth, melts, grit"),
        ({"found": ["rubb=grit"]}, "did you mean “rub”?"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(told: dict[str, Any], says: str) -> None:
    """Every refusal names the field, the value, what is allowed and the remedy."""
    with pytest.raises(InputError) as refused:
        asked(**told)
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_bowl_of_any_stock_can_be_in_trouble() -> None:
    """Melted stock by a method that melts fully is no reason to refuse the question."""
    raw = {"chocolate": "white", "grams": "2 kg", "stock": "melted", "method": "tabling", "slab": "granite"}
    assert asked(raw, seen=["streaks"]).heading == "2000 g white chocolate, tabling"


def documented() -> dict[str, set[str]]:
    """Return the keys of every table of the page by its heading."""
    parts = re.split(r"^### (.+)$", PAGE.read_text(encoding="utf-8"), flags=re.MULTILINE)
    cells = {
        n: re.findall(r"^\| ((?:`\w+`(?:, )?)+) \|", t, flags=re.M)
        for n, t in zip(parts[1::2], parts[2::2], strict=True)
    }
    return {name: set(re.findall(r"`(\w+)`", " ".join(found))) for name, found in cells.items() if found}


def test_json_has_the_keys_its_page_promises() -> None:
    """Page and answer agree key for key."""
    answer = cast(dict[str, Any], trouble_json(asked(seen=["grainy"])))
    objects = {
        "`temperbench trouble --json`": answer,
        "A row of `causes`": answer["causes"][0],
        "A row of `check_first`": answer["check_first"][0],
        "A row of `outcomes`": answer["check_first"][0]["outcomes"][0],
    }
    assert documented() == {name: set(found) for name, found in objects.items()}


def test_the_page_lists_every_sign_and_check() -> None:
    """Nothing that can be told is missing on the page."""
    page = PAGE.read_text(encoding="utf-8")
    assert [word.key for word in (*known_signs(), *known_checks()) if f"`{word.key}`" not in page] == []


def test_text_fits_the_screen_and_tells_the_whole() -> None:
    """No line is wider than the screen; the first cause's advice, the first check and the cautions are there."""
    found = asked(seen=["seized"], hottest="40")
    text = trouble_text(found)
    assert [line for line in (text + signs_text()).splitlines() if len(line) > 79] == []
    flat = " ".join(text.split())
    for part in (found.causes[0].save, found.causes[0].do, found.cautions[0], found.checks[0].ask):
        assert " ".join(part.split()) in flat


def test_the_command_asks_and_lists() -> None:
    """The command prints text, JSON or the list of signs, and refuses an unknown sign in one sentence."""
    run = CliRunner().invoke
    assert run(main, ["trouble", "--signs"]).stdout == signs_text()
    answered = run(main, ["trouble", "--seen", "thick", "--seen", "dull", "--members", "16", "--json"])
    assert (answered.exit_code, '"check_first"' in answered.stdout) == (0, True)
    refused = run(main, ["trouble", "--seen", "purple"])
    assert (refused.exit_code, refused.stdout, len(refused.stderr.splitlines())) == (2, "", 1)
