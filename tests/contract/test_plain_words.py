"""What is published holds nothing of the machine it was made on, and nothing left undone."""

from __future__ import annotations

import re

import pytest

from contract.tree import modules, parsed, relative, strings, text_files
from temperbench.faces.cli.main import main

# Written in pieces, so that this file does not contain what it looks for.
PRIVATE = re.compile(
    r"(?<![\w.:/~}$)-])/(?:work|root|home|tmp|opt|mnt|media|Users)/\w"
    r"|\b" + "sha" + r"red/|\b" + "trans" + r"cripts?\b|file" + r"://|\blocal" + r"host\b",
    re.IGNORECASE,
)
UNDONE = re.compile(r"\b(?:" + "TO" + "DO|FIX" + "ME|X" + "XX)\\b|#\\s*type:" + r"\s*ignore|#\s*no" + "qa")


def test_no_private_words() -> None:
    """No path of a machine, and no word about how the project was made."""
    faults = [
        f"{relative(path)}:{number}: {line.strip()}"
        for path in text_files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if PRIVATE.search(line)
    ]
    assert faults == []


def test_nothing_is_left_undone_or_silenced() -> None:
    """No reminder to finish something, and no finding of a checker switched off in place."""
    faults = [
        f"{relative(path)}:{number}: {line.strip()}"
        for path in text_files()
        if path.suffix in {".py", ".typ", ".toml", ".sh", ".md", ".css", ".js", ".html"}
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if UNDONE.search(line)
    ]
    assert faults == []


def test_only_the_command_line_names_commands() -> None:
    """What rooms below the faces say fits page and paper too: no sentence of theirs names a command to type."""
    command = re.compile(rf"temperbench (?:{'|'.join(sorted(main.commands))})\b")
    rooms = [path for path in modules("src/temperbench") if "faces" not in path.parts]
    faults = [(relative(path), text) for path in rooms for text in strings(parsed(path)) if command.search(text)]
    assert faults == []
    assert command.search("stir in buttons (temperbench rescue)") is not None


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("see /ho" + "me/anna/notes.md", True),
        ("(/wo" + "rk/main)", True),
        ("notes in sha" + "red/science", True),
        ("https://doi.org/wo" + "rk/main", False),
        ("kg/mol and J/(kg·K)", False),
        ("#!/usr/bin/env bash", False),
    ],
)
def test_the_search_finds_paths_and_spares_units(line: str, found: bool) -> None:
    """A path of a machine is found at the start of a word; units and addresses are left alone."""
    assert found is bool(PRIVATE.search(line))
