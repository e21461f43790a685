"""Tells a person why the very first answer on a machine takes long: the engine is being compiled."""

from __future__ import annotations

from collections.abc import Callable

import click

from temperbench.foundation.compiled import is_cold

__all__ = ["announced"]


def announced() -> Callable[[str], None] | None:
    """Say on stderr that the engine is being prepared, when it is, and return what tells how far it has come.

    Returns
    -------
    Callable[[str], None] | None
        Takes the words of each step; None when the engine is ready and nobody has to wait. [-]
    """
    if not is_cold():
        return None
    click.echo("Preparing the engine for this machine, once: this takes up to half a minute.", err=True)
    return _tell


def _tell(step: str) -> None:
    click.echo(f"  {step}.", err=True)
