"""Files a command writes: checked before the work, so that nobody waits for an answer that cannot be kept."""

from __future__ import annotations

import json
import os
from pathlib import Path

import click

from temperbench.app.read_figure import read_count
from temperbench.foundation.errors import InputError

__all__ = ["counts", "print_json", "target", "write"]

_MEMBERS = (16, 200_000)
_SEEDS = (0, 2**31 - 1)


def counts(members: str, seed: str) -> tuple[int, int]:
    """Return the checked numbers of ensemble members and seed.

    Parameters
    ----------
    members : str
        What --members says. [-]
    seed : str
        What --seed says. [-]

    Returns
    -------
    tuple[int, int]
        Members and seed. [-]
    """
    return read_count(members, *_MEMBERS, "--members"), read_count(seed, *_SEEDS, "--seed")


def target(name: str | None, suffix: str, option: str) -> Path | None:
    """Return the path of a file to be written, checked as far as that goes before writing.

    Parameters
    ----------
    name : str | None
        What the option says; None when it was not given. [-]
    suffix : str
        How the file's name must end, so that no other file is overwritten by mistake. [-]
    option : str
        Name of the option for a message. [-]

    Returns
    -------
    Path | None
        The path, or None. [-]
    """
    if name is None:
        return None
    allowed = f"a name ending in {suffix}, in a folder that can be written"
    if Path(name).suffix.lower() != suffix or "\0" in name:
        raise InputError(option, name, allowed, f"write for example {option} bowl{suffix}")
    path = Path(name)
    if path.is_dir():
        raise InputError(option, name, allowed, "this is a folder, so name a file in it")
    if not path.parent.is_dir():
        raise InputError(option, name, allowed, "make its folder first or choose another")
    if not os.access(path if path.exists() else path.parent, os.W_OK):
        raise InputError(option, name, allowed, "it may not be written here, so choose another place")
    return path


def write(path: Path, content: bytes, option: str) -> None:
    """Write a file and say so on stderr.

    Parameters
    ----------
    path : Path
        Checked path. [-]
    content : bytes
        Whole content. [-]
    option : str
        Name of the option for a message. [-]
    """
    try:
        path.write_bytes(content)
    except OSError as error:
        reason = error.strerror or "it cannot be written"
        raise InputError(option, str(path), "a file that can be written", f"the system says: {reason}") from None
    click.echo(f"Written: {path}", err=True)


def print_json(content: object) -> None:
    """Print an answer as JSON.

    Parameters
    ----------
    content : object
        Dictionaries, lists, numbers and text. [-]
    """
    click.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))
