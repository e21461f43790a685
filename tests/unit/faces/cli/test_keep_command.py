"""``temperbench keep`` and ``temperbench clear`` as a person runs them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from temperbench.faces.cli.main import main

BRIEF = ["--for", "20", "--every", "10", "--members", "16"]
LEAST = ["keep", "--chocolate", "dark", "--grams", "1000", "--oven", "900", *BRIEF]


def run(*words: str) -> tuple[int, str, str]:
    """Run a command line; return exit code, stdout and stderr."""
    result = CliRunner().invoke(main, list(words), catch_exceptions=True)
    return result.exit_code, result.stdout, result.stderr


def test_text_and_json_tell_the_same_plan(tmp_path: Path) -> None:
    """One plan, as text, as JSON and as a drawing."""
    plot = tmp_path / "kept.svg"
    code, text, _ = run(*LEAST, "--plot", str(plot))
    assert code == 0
    told = json.loads(run(*LEAST, "--json")[1])
    assert f"{100 * told['workable_share']:.0f} of 100 bowls" in " ".join(text.split())
    assert plot.read_text(encoding="utf-8").startswith("<svg")


def test_a_job_file_can_be_kept(tmp_path: Path) -> None:
    """The job file of a plan serves, whatever method it names; its method says how it came into temper."""
    job = tmp_path / "job.toml"
    job.write_text('[chocolate]\nkind = "milk"\n[bowl]\ngrams = 1500\nmaterial = "steel"\n[method]\nname = "seed"\n')
    words = ["keep", str(job), "--warm-with", "bath", "--bath-c", "44", *BRIEF]
    code, told, _ = run(*words, "--json")
    assert code == 0
    assert "steel bowl, a warm bath" in json.loads(told)["title"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["keep", "--chocolate", "dark", "--grams", "1000"], "--oven: needed but not given"),
        ([*LEAST, "--at", "36"], "rescue it first"),
        (["clear", "--chocolate", "dark", "--grams", "1000", "--at", "45"], "--for: needed but not given"),
    ],
)
def test_what_is_wrong_is_one_sentence(words: list[str], told: str) -> None:
    """Exit code 2, one line on stderr, no trace."""
    code, _, said = run(*words)
    assert code == 2
    assert told in said
    assert said.count("\n") == 1


def test_clear_says_whether_old_crystals_stay() -> None:
    """Hot and long enough, or not."""
    words = ["clear", "--chocolate", "white", "--grams", "500"]
    assert run(*words, "--at", "42", "--for", "15")[1].startswith("Cleared")
    assert run(*words, "--at", "31", "--for", "15")[1].startswith("Not cleared")
    assert json.loads(run(*words, "--at", "42 °C", "--for", "1 h", "--json")[1])["cleared"] is True
