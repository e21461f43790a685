"""Every command and option is on the page docs/cli.md, in the words of its own help."""

from __future__ import annotations

import click
import pytest

from contract.tree import script

CLI_DOCS = script("cli_docs")


def commands() -> dict[str, str]:
    """Return the help of every command by its full name."""
    return dict(CLI_DOCS.helps(CLI_DOCS.root(), "temperbench"))


def test_page_is_what_the_commands_say() -> None:
    """docs/cli.md is what `make docs` would write now."""
    assert CLI_DOCS.written(CLI_DOCS.root()) == CLI_DOCS.PAGE.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["plan", "simulate", "rescue", "sources"])
def test_promised_commands_exist(name: str) -> None:
    """The commands the README names are there and tell how they are used."""
    assert f"Usage: temperbench {name}" in commands()[f"temperbench {name}"]


def test_help_fits_the_screen() -> None:
    """No line of any command's help is wider than 80 columns."""
    faults = [f"{name}: {x}" for name, text in commands().items() for x in text.splitlines() if len(x) > 80]
    assert faults == []


def test_every_option_has_a_text() -> None:
    """No option is left without a word of help."""

    def bare(command: click.Command) -> list[str]:
        options = [o for o in command.params if isinstance(o, click.Option) and not o.hidden]
        own = [option.opts[0] for option in options if not option.help]
        below = command.commands.values() if isinstance(command, click.Group) else []
        return own + [f"{c.name} {option}" for c in below for option in bare(c)]

    assert bare(CLI_DOCS.root()) == []


def test_commands_below_commands_are_found() -> None:
    """The page descends into groups and leaves hidden commands out."""

    @click.group()
    def top() -> None:
        """Top."""

    @top.group()
    def inner() -> None:
        """Inner."""

    @inner.command()
    def leaf() -> None:
        """Leaf."""

    @top.command(hidden=True)
    def secret() -> None:
        """Secret."""

    assert [name for name, _ in CLI_DOCS.helps(top, "top")] == ["top", "top inner", "top inner leaf"]
