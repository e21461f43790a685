"""The options that describe a job, made from the one table of fields, and the raw job they give."""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from temperbench.app.job_fields import FIELDS, JobField, RawJob
from temperbench.app.job_file import LARGEST_BYTES, job_from_bytes, read_job_file
from temperbench.app.keep_fields import KEEP_FIELDS

__all__ = ["JobCommand", "field_options", "given_of", "job_options", "raw_job"]

_METAVARS = {
    "grams": "GRAMS", "celsius": "°C", "watts": "WATTS", "litres": "LITRES", "percent": "PERCENT", "share": "SHARE",
    "millimetres": "MM", "area": "M²", "people": "N", "list": "KIT,...", "minutes": "MINUTES", "rate": "G/H",
}  # fmt: skip
_HEADINGS = {
    "chocolate": "Chocolate", "bowl": "Bowl and what is in it", "method": "Method", "oven": "Oven",
    "bath": "Water bath", "cabinet": "Warm cabinet", "slab": "Slab", "kettle": "Holding kettle", "kitchen": "Kitchen",
    "keep": "Keeping it", "sample": "Sample, cup and bath",
}  # fmt: skip
_PAIRS = {"oven_inverter": "--inverter/--no-inverter", "kettle_stirs": "--stirrer/--no-stirrer"}


class JobCommand(click.Command):
    """A command whose help lists the options of a job by what they are about."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the words of the command line; whatever is wrong with them knows its command."""
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as error:
            error.ctx = error.ctx or ctx
            raise

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options under a heading each."""
        sections = {f.key: f.section for f in (*FIELDS, *KEEP_FIELDS)}
        groups: dict[str, list[tuple[str, str]]] = {heading: [] for heading in (*_HEADINGS.values(), "Answer")}
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx) if isinstance(parameter, click.Option) else None
            if record is not None:
                groups[_HEADINGS.get(sections.get(parameter.name or "", ""), "Answer")].append(record)
        for heading, records in groups.items():
            if records:
                with formatter.section(heading):
                    formatter.write_dl(records)


def job_options(
    *,
    needed: Collection[str] = ("chocolate", "grams", "oven_w"),
    unused: Collection[str] = (),
    reworded: Mapping[str, str] | None = None,
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what adds every option of a job to a command.

    Parameters
    ----------
    needed : Collection[str]
        Fields the command cannot do without; their help says so. [-]
    unused : Collection[str]
        Fields the command takes, so that options can be kept from one command to the next, but has no use for; its
        help leaves them out. [-]
    reworded : Mapping[str, str] | None
        Help of fields that mean something else to the command, by field. [-]

    Returns
    -------
    Callable[[Callable[..., Any]], Callable[..., Any]]
        A decorator for the command's function. [-]
    """

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        for asked in reversed(FIELDS):
            told = (reworded or {}).get(asked.key, asked.help)
            told = f"{told} Always needed." if asked.key in needed else told
            command = _option(asked, told, hidden=asked.key in unused)(command)
        return command

    return decorate


def field_options(fields: Sequence[JobField]) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what adds the options of another table of questions to a command.

    Parameters
    ----------
    fields : Sequence[JobField]
        The questions. [-]

    Returns
    -------
    Callable[[Callable[..., Any]], Callable[..., Any]]
        A decorator for the command's function. [-]
    """

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        for asked in reversed(fields):
            command = _option(asked, asked.help, hidden=False)(command)
        return command

    return decorate


def given_of(fields: Sequence[JobField], answers: Mapping[str, Any]) -> RawJob:
    """Return what the options of a table of questions say.

    Parameters
    ----------
    fields : Sequence[JobField]
        The questions. [-]
    answers : Mapping[str, Any]
        Options by field; None for those not given. [-]

    Returns
    -------
    RawJob
        Unchecked answers, every one with the name of its option. [-]
    """
    return RawJob(
        {f.key: answers[f.key] for f in fields if answers.get(f.key) is not None}, {f.key: f.option for f in fields}
    )


def _option(asked: JobField, told: str, *, hidden: bool) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what adds one option."""
    if asked.key in _PAIRS:
        return click.option(_PAIRS[asked.key], asked.key, default=None, help=told, hidden=hidden)
    if asked.kind == "switch":
        return click.option(asked.option, asked.key, is_flag=True, default=None, help=told, hidden=hidden)
    many = {"bowl": "MATERIAL", "chocolate": "KIND"}
    metavar = _METAVARS.get(asked.kind, many.get(asked.key, "|".join(asked.words)))
    return click.option(asked.option, asked.key, metavar=metavar, default=None, help=told, hidden=hidden)


def raw_job(job_file: str | None, answers: Mapping[str, Any]) -> RawJob:
    """Return the job file, if any, with the options laid over it.

    Parameters
    ----------
    job_file : str | None
        Path of the file; ``-`` for standard input. [-]
    answers : Mapping[str, Any]
        Options by field; None for those not given. [-]

    Returns
    -------
    RawJob
        Unchecked answers, each with the name the person used. [-]
    """
    given = {f.key: answers[f.key] for f in FIELDS if answers.get(f.key) is not None}
    places = {f.key: f.option for f in FIELDS if f.key in given}
    if "glossy" in given:
        given["glossy"] = not given["glossy"]  # the option says bloomed, the field says glossy
    if job_file is None:
        return RawJob(given, places)
    if job_file == "-":
        content = sys.stdin.buffer.read(LARGEST_BYTES + 1)
        return job_from_bytes(content, "standard input").overlaid(RawJob(given, places))
    return read_job_file(Path(job_file)).overlaid(RawJob(given, places))
