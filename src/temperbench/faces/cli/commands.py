"""The commands with their options and help. What a command does is in the module it names, loaded when it runs."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import click

from temperbench.app.compare_fields import COMPARE_FIELDS
from temperbench.app.curve_fields import CURVE_FIELDS
from temperbench.app.keep_fields import KEEP_FIELDS
from temperbench.faces.cli.guard import Bench
from temperbench.faces.cli.job_options import JobCommand, field_options, job_options

__all__ = ["book", "clear", "curve", "keep", "methods", "plan", "rescue", "serve", "simulate", "sources", "trouble"]

_MEMBERS = click.option("--members", metavar="N", default="512", show_default=True, help="Bowls in the ensemble.")
_SEED = click.option("--seed", metavar="N", default="1", show_default=True, help="Start of the random numbers.")
_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON (see docs/json.md) instead of text.")
_CARD = click.option("--card", metavar="FILE.pdf", help="Write a card to print, one page, as PDF.")
_NOT_FOR_RESCUE = (
    "stock", "glossy", "bowl_c", "oven_w", "oven_measured_w", "oven_inverter", "level", "warm_oven", "room_c",
    "thermometer", "risk", "risk_scorch", "page",
)  # fmt: skip
_RESCUE_WORDS = {
    "grams": "Chocolate in the bowl now: 1000, 1.2 kg or 2 lb.",
    "start_c": "The in-temper buttons to add, °C, or such as 68 F.",
}
_NOT_FOR_TROUBLE = (
    "stock", "start_c", "oven_w", "oven_measured_w", "oven_inverter", "level", "warm_oven", "melt_c", "seed_with",
    "seed_c", "people", "bath_c", "bath_l", "cabinet_c", "slab", "slab_mm", "slab_c", "slab_m2", "kettle_w", "kettle_l",
    "kettle_wall_c", "kettle_stirs", "risk", "risk_scorch",
)  # fmt: skip
_TROUBLE_WORDS = {"method": "How it was tempered."}
_NOT_FOR_KEEPING = (
    "stock", "glossy", "start_c", "bowl_c", "method", "melt_c", "seed_with", "seed_c", "people", "bath_l", "cabinet_c",
    "slab", "slab_mm", "slab_c", "slab_m2", "kettle_w", "kettle_l", "kettle_wall_c", "kettle_stirs",
)  # fmt: skip
_KEEP_WORDS = {
    "grams": "Chocolate in the bowl now: 1000, 1.2 kg or 2 lb.",
    "oven_w": "Microwave output on the oven's label, W; needed when it is warmed with the microwave.",
    "bath_c": "Water of the bath that it is warmed with, °C.",
}
_ONLY_CHOCOLATE = (
    *_NOT_FOR_KEEPING, "bowl", "bowl_g", "bowl_l", "oven_w", "oven_measured_w", "oven_inverter", "level", "warm_oven",
    "bath_c", "room_c", "thermometer", "risk", "risk_scorch",
)  # fmt: skip
_CURVE_WORDS = {"grams": "Chocolate in the bowl the sample came from; amounts to add are for that."}
_JOB_FILE = click.argument("job_file", metavar="[JOB.toml]", required=False)


_BOOK = click.option(
    "--book",
    metavar="PATH",
    default="~/temperbench/kitchen.book",
    show_default=True,
    help="The batch book: a file or a postgresql:// address.",
)


def _work(name: str, **given: Any) -> None:
    """Load the module that does a command's work, and do it."""
    import_module(f"temperbench.faces.cli.{name}").run(**given)


@click.command(cls=JobCommand, short_help="Plan a bowl, by any method.")
@_JOB_FILE
@job_options(needed=("chocolate", "grams"))
@_JSON
@click.option("--card", metavar="FILE.pdf", help="Write the bench card, one page, as PDF.")
@_MEMBERS
@_SEED
def plan(**given: Any) -> None:
    """Plan how to temper a bowl: a part-melt in the microwave oven, or the method that --method names.

    Give a job file (docs/job-file.md), options, or both: options win. Only --chocolate and --grams are needed, and
    --oven for the microwave; whatever else is missing becomes a range, and the answer says what was taken as usual.
    Use - to read the job file from standard input. Which method suits: temperbench methods.

    \b
    temperbench plan --chocolate dark --grams 1000 --oven 1000
    temperbench plan job.toml --room 24 --card card.pdf
    temperbench plan --method seed --chocolate milk --grams 1500
    """
    _work("plan_command", **given)


@click.command(cls=JobCommand, short_help="See what given bursts do to a bowl.")
@_JOB_FILE
@job_options()
@click.option("--bursts", metavar="STEPS", help="Seconds as BURST/STIR or BURST/STAND/STIR. Always needed.")
@_JSON
@click.option("--csv", "csv_file", metavar="FILE.csv", help="Write the path with its bands as a table.")
@click.option("--plot", metavar="FILE.svg", help="Write the path with its bands as a drawing.")
@_MEMBERS
@_SEED
def simulate(**given: Any) -> None:
    """Run a sequence of bursts through many bowls like yours, and show where they end.

    A step is a burst, an optional stand and a stir, in seconds; steps have commas or blanks between them. A burst of 0
    is a stir alone; a lone number has the usual stir after it.

    \b
    temperbench simulate job.toml --bursts "60/20, 15/20, 10/5/60"
    """
    _work("simulate_command", **given)


@click.command(cls=JobCommand, short_help="Save a bowl that got too hot.")
@_JOB_FILE
@job_options(needed=("chocolate", "grams"), unused=_NOT_FOR_RESCUE, reworded=_RESCUE_WORDS)
@click.option("--at", metavar="°C", help="What the bowl reads after stirring, °C or such as 100 F. Always needed.")
@_JSON
def rescue(**given: Any) -> None:
    """Say how many in-temper buttons to stir into a bowl that got too hot, and where it ends.

    Only --chocolate, --grams and --at are needed. A whole job file can be given; what it says of oven, stock, room and
    thermometer makes no difference here.

    \b
    temperbench rescue --chocolate dark --grams 950 --at 38
    """
    _work("rescue_command", **given)


@click.command(cls=JobCommand, short_help="Keep a bowl in temper: when to warm, thin, refill and stop.")
@_JOB_FILE
@job_options(needed=("chocolate", "grams"), unused=_NOT_FOR_KEEPING, reworded=_KEEP_WORDS)
@field_options(KEEP_FIELDS)
@_JSON
@_CARD
@click.option("--plot", metavar="FILE.svg", help="Write temperature and thickness over time as a drawing.")
@_MEMBERS
@_SEED
def keep(**given: Any) -> None:
    """Plan how to keep a bowl in temper: how often to look, how long to warm, how much warm chocolate to add.

    The bowl is in temper now. What leaves it and what comes back can be given, and what there is to refill with. It is
    warmed with short bursts unless --warm-with says otherwise.

    \b
    temperbench keep --chocolate dark --grams 2000 --oven 1000 --for 2h
    temperbench keep --chocolate dark --grams 2000 --warm-with heat-gun \\
        --uses 800 --returns 20% --refill 1500 --refill-c 42
    temperbench keep --chocolate dark --grams 2000 --oven 1000 --card keep.pdf
    """
    _work("keep_command", **given)


@click.command(cls=JobCommand, short_help="Read the cooling curve of a sample; calibrate its cup.")
@click.argument("log", metavar="[LOG]", required=False)
@job_options(needed=("chocolate",), unused=_ONLY_CHOCOLATE, reworded=_CURVE_WORDS)
@field_options(CURVE_FIELDS)
@click.option("--water", metavar="LOG", help="Log of warm water in the same cup: calibrates it.")
@click.option("--conductance", metavar="W/K", help="Cup to bath as calibrated before: 0.052, or 0.049 to 0.055.")
@click.option("--column", metavar="NAME", help="Column of the sample, by its heading or number.")
@click.option("--time-column", metavar="NAME", help="Column of the time.")
@click.option("--bath-column", metavar="NAME", help="Column of the bath, where it was logged.")
@click.option("--unit", metavar="C|F", help="Unit of the log, where it does not say.")
@click.option("--job", "job_file", metavar="JOB.toml", help="A job file, for its chocolate and grams.")
@_JSON
@_CARD
@click.option("--plot", metavar="FILE.svg", help="Write the curve, the model and the bend as a drawing.")
@_SEED
def curve(**given: Any) -> None:
    """Read the logged cooling curve of a sample: where it bends, how many crystals it had, what to do with the bowl.

    LOG is a text file with a time and a temperature in each line, with any delimiter, or JSON; - reads standard input.
    docs/curve.md tells how to take the sample. With --water alone the cup is calibrated.

    \b
    temperbench curve sample.csv --chocolate dark --grams 1000
    temperbench curve --water water.csv --cup-width 15
    temperbench curve sample.csv --chocolate dark --water water.csv
    """
    _work("curve_command", **given)


@click.command(cls=JobCommand, short_help="Has old chocolate lost its crystals?")
@_JOB_FILE
@job_options(needed=("chocolate", "grams"), unused=(*_ONLY_CHOCOLATE, "page"))
@click.option("--at", metavar="°C", help="What it was held at, stirred, °C. Always needed.")
@click.option("--for", "minutes", metavar="MINUTES", help="How long: 10, 10 min or 1 h. Always needed.")
@_JSON
def clear(**given: Any) -> None:
    """Say whether chocolate that was warmed has lost its old crystals, which would set how the next temper goes.

    \b
    temperbench clear --chocolate dark --grams 1000 --at 42 --for 8min
    """
    _work("clear_command", **given)


@click.command(cls=JobCommand, short_help="Compare the methods for a bowl.")
@_JOB_FILE
@job_options(needed=("chocolate", "grams"), unused=("method", "seed_with", "page"))
@field_options(COMPARE_FIELDS)
@_JSON
@click.option("--members", metavar="N", default="128", show_default=True, help="Bowls of each method.")
@_SEED
def methods(**given: Any) -> None:
    """Plan every method for the same chocolate and put them side by side: time, hands, risk, seed, skill, scale.

    Only --chocolate and --grams are needed. What is not possible says why.

    \b
    temperbench methods --chocolate dark --grams 1000
    temperbench methods --chocolate milk --grams 5kg --have bath,slab --bloomed
    """
    _work("methods_command", **given)


@click.command(cls=JobCommand, short_help="Show where a figure comes from.")
@click.argument("asked", metavar="[ID]", required=False)
@_JSON
def sources(**given: Any) -> None:
    """Show where figures come from: all of them, one by its id, those whose ids begin so, or those of one work.

    \b
    temperbench sources
    temperbench sources limit.grams
    """
    _work("sources_command", **given)


@click.command(cls=JobCommand, short_help="Serve the kitchen to a tablet or phone.")
@click.option(
    "--book",
    metavar="PATH",
    default="~/temperbench/kitchen.book",
    show_default=True,
    help="The batch book: a file, made when there is none, or a postgresql:// address.",
)
@click.option("--host", metavar="ADDRESS", help="Address to listen on. As usual: this machine only.")
@click.option("--port", metavar="N", default="8460", show_default=True, help="Port.")
@click.option("--lan", is_flag=True, help="Let other devices in, each paired by a square code first.")
@click.option("--tls", is_flag=True, help="Serve over TLS with a certificate made here.")
@click.option("--feed", metavar="FILE.toml", help="Thermometer probes to listen to (see docs/feed.md).")
@click.option("--demo", is_flag=True, help="Furnish an empty book with an invented kitchen.")
def serve(**given: Any) -> None:
    """Serve the kitchen: live bowls, kit, larder and batch book, on this machine or in the house.

    \b
    temperbench serve --demo --book demo.book
    """
    _work("serve_command", **given)


@click.command(cls=JobCommand, short_help="Find what is wrong with a bowl, and what can be saved.")
@_JOB_FILE
@job_options(needed=(), unused=_NOT_FOR_TROUBLE, reworded=_TROUBLE_WORDS)
@click.option("--seen", multiple=True, metavar="SIGN", help="What is seen; several times, or with commas.")
@click.option("--not-seen", multiple=True, metavar="SIGN", help="What was looked for and is not there.")
@click.option("--hottest", metavar="°C", help="Highest stirred reading while it had crystals to keep.")
@click.option("--reads", metavar="°C", help="Stirred reading now.")
@click.option("--minutes", metavar="MIN", help="Minutes since that highest reading.")
@click.option("--set-in", metavar="MIN", help="A smear had set after so many minutes.")
@click.option("--not-set-by", metavar="MIN", help="A smear had not set by then.")
@click.option("--film", metavar="paper|knife", help="What the smear was spread on; paper when not told.")
@click.option("--found", multiple=True, metavar="CHECK=OUTCOME", help="What a check showed; several times.")
@click.option("--signs", is_flag=True, help="List every sign and check, and stop.")
@_JSON
@_CARD
@click.option("--members", metavar="N", default="256", show_default=True, help="Bowls for each way a run can go.")
@_SEED
def trouble(**given: Any) -> None:
    """Say what is likeliest to be wrong, what to check first, what to do, and what can be saved.

    One sign is enough; everything else sharpens the answer. Answer a check with --found and ask again.

    \b
    temperbench trouble --signs
    temperbench trouble --seen thick --seen dull --chocolate milk --minutes 50
    temperbench trouble --seen will-not-set --hottest 36 --reads 31.5
    """
    _work("trouble_command", **given)


@click.group(cls=Bench, invoke_without_command=True, short_help="Back up, restore, export or check the batch book.")
@click.pass_context
def book(ctx: click.Context) -> None:
    """Keep the batch book safe: backup while a kitchen is served from it, restore, export, integrity check.

    What the files hold is laid down in docs/book.md. No file is ever written over.

    \b
    temperbench book backup monday.book
    temperbench book export happenings.csv --table happenings
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


@book.command("backup", short_help="Write a complete copy, also while it is in use.")
@click.argument("file", metavar="FILE")
@_BOOK
def _backup(**given: Any) -> None:
    """Write a complete copy of the book to a new file, also while a kitchen is served from it.

    Of a file it is a file, of a PostgreSQL database JSON lines; either can be restored into either. It holds the
    secrets of the book, so keep it as private as the book itself.
    """
    import_module("temperbench.faces.cli.book_command").backup(**given)


@book.command("restore", short_help="Put a backup back.")
@click.argument("file", metavar="FILE")
@_BOOK
@click.option("--replace", is_flag=True, help="Replace what the book holds now.")
def _restore(**given: Any) -> None:
    """Put a backup in place of all that is in the book: all of it or nothing, checked first.

    The book is made when there is none. One that somebody has open is refused: stop the served kitchen first. One that
    holds anything is replaced only with --replace.
    """
    import_module("temperbench.faces.cli.book_command").restore(**given)


@book.command("export", short_help="Write a table as CSV, or the book as JSON lines.")
@click.argument("file", metavar="FILE.csv|FILE.jsonl")
@_BOOK
@click.option(
    "--table", metavar="NAME", help="For CSV: runs, happenings (as usual), kit, kit_versions, lots, stock_moves."
)
@click.option("--run", metavar="ID", help="One run only, by its id.")
def _export(**given: Any) -> None:
    """Write a table of the book for a spreadsheet, or all of it but its secrets as JSON lines, to a new file.

    \b
    temperbench book export lots.csv --table lots
    temperbench book export kitchen.jsonl
    """
    import_module("temperbench.faces.cli.book_command").export(**given)


@book.command("check", short_help="Look for damage.")
@_BOOK
def _check(**given: Any) -> int:
    """Look through the whole book for damage, also while it is in use; list what is found and end with code 2.

    It looks for numbers with gaps, rows without their owner, JSON that does not read, moments that cannot be, and for
    what the database itself finds.
    """
    code: int = import_module("temperbench.faces.cli.book_command").check(**given)
    return code
