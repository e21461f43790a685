"""Keeping a bowl from a job file: section [keep] says what the options say, and options win over it."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from temperbench.faces.cli.main import main

_BOWL = '[chocolate]\nkind = "dark"\n[bowl]\ngrams = 2000\n'
_GIVEN = ("--chocolate", "dark", "--grams", "2000")
_FEW = ("--members", "64", "--json")
_FLOW = (
    'minutes = "1h"\nat_c = 31.5\nflows = "easy"\ntempered = "seeded"\nevery_min = 10\nuses = "600 g/h"\n'
    'returns = "20 %"\nreturns_c = 28\nrefill = 1500\nrefill_c = 40\nrefill_with = "melted"\n'
)
_FLOW_GIVEN = (
    "--for", "1h", "--at", "31.5", "--flows", "easy", "--tempered", "seeded", "--every", "10", "--uses", "600 g/h",
    "--returns", "20 %", "--returns-c", "28", "--refill", "1500", "--refill-c", "40", "--refill-with", "melted",
)  # fmt: skip


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, ["keep", *words])
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("more", "given"),
    [
        ('warm_with = "microwave"\n[oven]\nlabel_w = 1000\n', ("--warm-with", "microwave", "--oven", "1000")),
        ('warm_with = "heat-gun"\ngun_w = 1500\n', ("--warm-with", "heat-gun", "--gun-watts", "1500")),
        ('warm_with = "bath"\n[bath]\ntemperature_c = 45\n', ("--warm-with", "bath", "--bath-c", "45")),
    ],
)
def test_a_file_says_what_the_options_say(tmp_path: Path, more: str, given: tuple[str, ...]) -> None:
    """Every option of the command can stand in the file, and gives the same plan to the last figure."""
    path = tmp_path / "job.toml"
    path.write_text(f"{_BOWL}[keep]\n{_FLOW}{more}", encoding="utf-8")
    by_file, by_options = _run(str(path), *_FEW), _run(*_GIVEN, *_FLOW_GIVEN, *given, *_FEW)
    assert (by_file[0], by_options[0]) == (0, 0)
    assert by_file[1] == by_options[1]


def test_options_win_over_the_file(tmp_path: Path) -> None:
    """A wrong figure in the file does not matter where an option gives it."""
    path = tmp_path / "job.toml"
    path.write_text(f'{_BOWL}[keep]\nminutes = "x"\n', encoding="utf-8")
    assert _run(str(path), "--for", "1h", *_FEW)[1] == _run(*_GIVEN, "--for", "1h", *_FEW)[1]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('uses = "x"', "[keep] uses: “x” is not usable"),
        ("at_c = 90", "[keep] at_c"),
        ("use = 3", "did you mean “uses”?"),
        ('warm_with = "candle"', "[keep] warm_with"),
    ],
)
def test_a_fault_names_section_and_key(tmp_path: Path, line: str, told: str) -> None:
    """What cannot be used ends with code 2 and the place in the file, not the name of an option."""
    path = tmp_path / "job.toml"
    path.write_text(f"{_BOWL}[keep]\n{line}\n", encoding="utf-8")
    code, _, error = _run(str(path))
    assert (code, told in error) == (2, True), error


def test_other_commands_pass_the_section_over(tmp_path: Path) -> None:
    """The same file with and without [keep] is the same plan to `temperbench plan`."""
    plain, kept = tmp_path / "plain.toml", tmp_path / "kept.toml"
    plain.write_text(f"{_BOWL}[oven]\nlabel_w = 1000\n", encoding="utf-8")
    kept.write_text(f"{_BOWL}[oven]\nlabel_w = 1000\n[keep]\n{_FLOW}", encoding="utf-8")
    a, b = (CliRunner().invoke(main, ["plan", str(path), *_FEW]) for path in (plain, kept))
    assert (a.exit_code, b.exit_code) == (0, 0)
    assert a.stdout == b.stdout
