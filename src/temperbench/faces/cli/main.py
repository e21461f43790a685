"""The command line ``temperbench``. Only what help needs is imported here; a command's work is loaded when it runs."""

from __future__ import annotations

import click

from temperbench import __version__
from temperbench.faces.cli.commands import (
    book,
    clear,
    curve,
    keep,
    methods,
    plan,
    rescue,
    serve,
    simulate,
    sources,
    trouble,
)
from temperbench.faces.cli.guard import Bench

__all__ = ["main"]


@click.group(
    "temperbench", cls=Bench, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(__version__, "-V", "--version", message="temperbench %(version)s")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Temper chocolate on ordinary bakery equipment, the first time.

    Say what you have (chocolate, oven, bowl, amount, room) and get a burst plan: seconds, rests and stirs, what the
    thermometer should read, what to do next, and what to do when it goes wrong.

    \b
    temperbench plan --chocolate dark --grams 1000 --oven 1000
    temperbench rescue --chocolate dark --grams 950 --at 38
    temperbench sources

    Exit codes: 0 done, 2 something given cannot be used, 3 a fault of the program.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


for _command in (plan, serve, book, simulate, rescue, keep, clear, curve, trouble, methods, sources):
    main.add_command(_command)
