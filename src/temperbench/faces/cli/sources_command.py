"""What ``temperbench sources`` does."""

from __future__ import annotations

import textwrap

import click

from temperbench.app.ask_sources import Evidence, ask_sources
from temperbench.faces.cli.output import print_json

__all__ = ["run"]

_WIDTH = 79
_MOST_SHOWN = 6  # more than this is a list, fewer are shown whole


def run(*, asked: str | None, as_json: bool) -> None:
    """Show figures with their sources.

    Parameters
    ----------
    asked : str | None
        Id, beginning of ids, or key of a work. [-]
    as_json : bool
        Whether to print JSON. [-]
    """
    found = ask_sources(asked)
    if as_json:
        print_json([_json(evidence) for evidence in found])
    elif asked is not None and len(found) <= _MOST_SHOWN:
        click.echo("\n\n".join("\n".join(_whole(evidence)) for evidence in found))
    else:
        click.echo("\n".join(_short(evidence) for evidence in found))
        click.echo(f"\n{len(found)} figures; temperbench sources ID shows one with its source.")


def _figure(evidence: Evidence) -> str:
    """Write a figure with its unit; of a long list its ends."""
    value = evidence.value.value
    unit = "" if evidence.value.unit in ("1", "-") else f" {evidence.value.unit.replace('degC', '°C')}"
    if not isinstance(value, tuple):
        return f"{value:g}{unit}"
    shown = [f"{part:g}" for part in value]
    if len(shown) > 6:
        shown = [*shown[:3], "…", *shown[-2:]]
    return f"{', '.join(shown)}{unit}"


def _short(evidence: Evidence) -> str:
    value = evidence.value
    line = f"{value.id:<38} {_figure(evidence):<20} {value.basis}, {value.source}"
    return line if len(line) <= _WIDTH else f"{value.id}\n    {_figure(evidence)}   {value.basis}, {value.source}"


def _whole(evidence: Evidence) -> list[str]:
    value, work = evidence.value, evidence.work
    spread = "" if value.low is None and value.high is None else f"{value.low:g} to {value.high:g}"
    rows = (
        ("figure", _figure(evidence)),
        ("spread", spread),
        ("valid for", value.range),
        ("evidence", f"{value.basis}: {evidence.basis_means}"),
        ("source", f"{work.cite} ({value.source})"),
        ("doi", work.doi),
        ("where", value.where),
        ("note", value.note),
        ("table", value.table),
    )
    lines = [value.id]
    for name, told in rows:
        if told:
            lines += textwrap.wrap(told, _WIDTH, initial_indent=f"  {name:<11}", subsequent_indent=" " * 13)
    return lines


def _json(evidence: Evidence) -> dict[str, object]:
    value, work = evidence.value, evidence.work
    return {
        "id": value.id,
        "value": list(value.value) if isinstance(value.value, tuple) else value.value,
        "unit": value.unit,
        "low": value.low,
        "high": value.high,
        "range": value.range,
        "basis": value.basis,
        "source": value.source,
        "cite": work.cite,
        "doi": work.doi,
        "where": value.where,
        "note": value.note,
        "table": value.table,
    }
