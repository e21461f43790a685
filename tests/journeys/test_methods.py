"""A cook asks which method to take, and plans one, at the command line; with the real engine."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pypdf
from click.testing import CliRunner, Result

from temperbench.faces.cli.main import main


def run(*words: str) -> Result:
    """Run one command."""
    return CliRunner().invoke(main, list(words))


def test_a_cook_seeds_a_batch_with_a_plan() -> None:
    """`plan --method seed` answers with numbered steps, grams, readings, risks and what to do when it goes wrong."""
    answer = run("plan", "--method", "seed", "--chocolate", "dark", "--grams", "1000", "--members", "128")
    assert answer.exit_code == 0
    for part in ("1. Melt", "Stir in the first portion", "IT READS", "RISKS", "WHEN IT GOES WRONG", "WASHING-UP"):
        assert part in answer.stdout, part


def test_text_and_json_of_a_method_agree() -> None:
    """The same job and seed give the same grams, risks and minutes in both."""
    words = ("plan", "--method", "bath", "--chocolate", "milk", "--grams", "800", "--members", "64")
    plan: dict[str, Any] = json.loads(run(*words, "--json").stdout)
    told = run(*words).stdout
    assert plan["method"] == "bath"
    assert f"{plan['lift_c']:.1f} °C" in told
    assert f"lost temper {100 * plan['risk_lost']:.1f} %" in " ".join(told.split())


def test_a_cook_hangs_the_card_of_a_method_beside_the_bowl(tmp_path: Path) -> None:
    """`--card` writes one page with the grams and readings that the text tells, on the paper asked for."""
    card = tmp_path / "seed.pdf"
    words = ("--method", "seed", "--chocolate", "dark", "--grams", "1000", "--members", "64", "--page", "Letter")
    answer = run("plan", *words, "--card", str(card), "--json")
    assert answer.exit_code == 0
    plan: dict[str, Any] = json.loads(answer.stdout)
    (page,) = pypdf.PdfReader(card).pages
    text = " ".join(page.extract_text().split())
    assert float(page.mediabox.width) == 612.0
    assert [g for g in plan["portions_g"] if f"{g} g" not in text] == []
    assert f"Weigh out {plan['melt_g']} g to melt, {plan['seed_g']} g of seed." in text


def test_a_cook_with_bloomed_stock_asks_which_method() -> None:
    """Only full melts are left, and the advised one can be planned at once with what the answer says."""
    words = ("--chocolate", "white", "--grams", "700", "--bloomed")
    answer: dict[str, Any] = json.loads(
        run("methods", *words, "--have", "bath,seed-buttons", "--members", "48", "--json").stdout
    )
    best = next(row for row in answer["methods"] if row["name"] == answer["best"])
    assert best["method"] == "seed"
    planned = run("plan", *words, "--method", best["method"], "--seed-with", best["seed_with"], "--members", "48")
    assert planned.exit_code == 0


def test_what_a_method_cannot_do_is_one_sentence() -> None:
    """Wrong kit, too little time, a hot cabinet: code 2 and one line that names the field."""
    for words, told in (
        (("methods", "--chocolate", "dark", "--grams", "900", "--have", "hammer"), "--have: “hammer” is not usable"),
        (("methods", "--chocolate", "dark", "--grams", "900", "--within", "2"), "--within: 2 is not usable"),
        (("plan", "--method", "seed", "--chocolate", "dark", "--grams", "900", "--card", "c.png"), "--card: “c.png”"),
        (("plan", "--method", "cabinet", "--chocolate", "dark", "--grams", "900", "--cabinet-c", "45"),
         "--cabinet-c: “45” is not usable; allowed is 28 to 34 °C"),
    ):  # fmt: skip
        answer = run(*words)
        assert answer.exit_code == 2
        assert told in answer.stderr
        assert len(answer.stderr.strip().splitlines()) == 1
