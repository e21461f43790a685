"""How texts for a terminal of 80 columns are laid out: wrapping, headings, lists, and bands of minutes."""

from __future__ import annotations

import re
import textwrap

from temperbench.app.results import Band, Workable
from temperbench.faces.drawing.words import minutes_between

__all__ = ["WIDTH", "heading", "listed", "minutes_of", "percent", "titled", "wrapped"]

WIDTH = 79
_WITH_UNIT = re.compile(r"(\d) (?=(?:°C|g|kg|W|L|s|min)\b|%)")


def percent(value: float) -> str:
    """Return a share that is already in percent, with its unit.

    Parameters
    ----------
    value : float
        Share in percent. [-]

    Returns
    -------
    str
        One decimal and the sign. [-]
    """
    return f"{value:.1f} %"


def wrapped(text: str, first: str) -> list[str]:
    """Wrap text at the screen's width, keeping each figure with its unit.

    Parameters
    ----------
    text : str
        Sentences. [-]
    first : str
        What the first line begins with; the others are set in as far. [-]

    Returns
    -------
    list[str]
        Lines. [-]
    """
    kept = _WITH_UNIT.sub("\\1\N{NO-BREAK SPACE}", text)
    indent = " " * len(first)
    lines = textwrap.wrap(kept, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def listed(items: tuple[str, ...]) -> list[str]:
    """Return items as a list, each wrapped."""
    return [line for item in items for line in wrapped(item, "  - ")]


def heading(name: str, told: str = "") -> list[str]:
    """Return the line a part begins with."""
    return [f"{name.upper()}  {told}".rstrip()]


def titled(name: str, items: tuple[str, ...]) -> list[str]:
    """Return a list under its heading; nothing when it is empty."""
    return [*heading(name), *listed(items)] if items else []


def minutes_of(band: Band | Workable) -> str:
    """Write a time in minutes with its band."""
    return minutes_between(band.low, band.mid, band.high)
