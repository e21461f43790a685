"""The colours and line weights of the drawings: one theme for each ground they are drawn on."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.errors import one_of

__all__ = ["THEMES", "Theme", "theme_of"]


@dataclass(frozen=True)
class Theme:
    """What a drawing is made of. Lines differ by weight and dash as well as by colour."""

    ground: str
    ink: str
    quiet: str  # second-rank words and ticks
    line: str  # axes and hairlines
    curve: str
    band: str  # solid tint of the curve on the ground
    window: str  # hatching and edges of the working window
    limit: str
    burst: str  # the time the oven is on
    weight: float  # width of the curve; the other lines follow. [em of the text]


THEMES = {
    "light": Theme(
        ground="#FBF7F0", ink="#241915", quiet="#67574C", line="#DCCFC0", curve="#1F5673", band="#C9D9DF",
        window="#3B6E4A", limit="#A3211A", burst="#8F3B10", weight=0.15,
    ),
    "dark": Theme(
        ground="#17120F", ink="#F3EAE0", quiet="#B8A79A", line="#3A2E27", curve="#8CC4E0", band="#2B424E",
        window="#9CCFA8", limit="#FF9C92", burst="#F0A46B", weight=0.15,
    ),
    "contrast": Theme(
        ground="#FFFFFF", ink="#000000", quiet="#333333", line="#8C8C8C", curve="#00344F", band="#C4D6DF",
        window="#0B4A1F", limit="#8A0000", burst="#6B2400", weight=0.17,
    ),
    "print": Theme(
        ground="#FFFFFF", ink="#000000", quiet="#404040", line="#B0B0B0", curve="#000000", band="#D6D6D6",
        window="#4A4A4A", limit="#000000", burst="#000000", weight=0.16,
    ),
}  # fmt: skip


def theme_of(name: str) -> Theme:
    """Return the theme with this name; raise `InputError` naming the nearest one when there is none.

    Parameters
    ----------
    name : str
        One of "light", "dark", "contrast", "print". [-]

    Returns
    -------
    Theme
        Colours and weights. [-]
    """
    return THEMES[one_of("theme", name, THEMES)]
