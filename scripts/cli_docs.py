"""Write docs/cli.md from the commands' own help; with ``--check`` only tell whether it is up to date."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import click

__all__ = ["PAGE", "helps", "main", "root", "written"]

PAGE = Path(__file__).resolve().parents[1] / "docs" / "cli.md"
COLUMNS = 80
INTRODUCTION = """\
# The command line

What each command says of itself under `--help`; written by `make docs`, and a test holds it to the code.
What describes the job can stand in a job file as well: see `examples/`. What is not usable is told in one
sentence, with exit code 2.
"""


def root() -> click.Command:
    """Return the command behind the entry point ``temperbench``."""
    module = import_module("temperbench.faces.cli.main")
    found = [value for value in vars(module).values() if isinstance(value, click.Group)]
    return module.main if isinstance(module.main, click.Command) else found[0]


def helps(command: click.Command, name: str, parent: click.Context | None = None) -> Iterator[tuple[str, str]]:
    """Yield the full name and the help of a command and of all below it, at 80 columns."""
    settings = {**command.context_settings, "terminal_width": COLUMNS, "max_content_width": COLUMNS}
    context = click.Context(command, parent, info_name=name, **settings)
    yield context.command_path, command.get_help(context).rstrip()
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            found = command.get_command(context, below)
            if found is not None and not found.hidden:
                yield from helps(found, below, context)


def written(command: click.Command) -> str:
    """Return the page for a command and all below it."""
    parts = [f"\n## {name}\n\n```text\n{text}\n```\n" for name, text in helps(command, "temperbench")]
    return INTRODUCTION + "".join(parts)


def main(words: list[str]) -> int:
    """Write the page, or with ``--check`` compare it."""
    text = written(root())
    if "--check" in words:
        return 0 if PAGE.exists() and PAGE.read_text(encoding="utf-8") == text else 1
    PAGE.write_text(text, encoding="utf-8")
    print(f"Wrote {PAGE.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
