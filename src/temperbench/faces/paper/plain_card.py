"""What the cards of keeping, of a cooling curve and of trouble share: head, foot, units, and fitting one page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from temperbench.faces.paper.press import PAGES, fits, set_page, square
from temperbench.foundation.errors import one_of

__all__ = ["Drawing", "Issue", "PlainCard", "Words", "set_plain_card"]

Words = Callable[[str], str]  # writes a text of the engine in other units


@dataclass(frozen=True)
class Issue:
    """Of what a card is printed: paper, day and version, and the units that it is written in."""

    page: str  # "A4" or "Letter"
    made_on: date
    version: str
    fahrenheit: bool = False
    words: Words = str  # for texts of the engine, which come in °C and grams


@dataclass(frozen=True)
class Drawing:
    """The drawing of a card: its sentence, heights to try with the tallest first, and what draws it. [pt]"""

    caption: str
    heights: Sequence[float]
    draw: Callable[[float, float], str]  # width and height


@dataclass(frozen=True)
class PlainCard:
    """What stands on a card, before it is known of what it is printed."""

    content: Mapping[str, Any]  # texts by their place, in °C and grams; with the whole "title" among them
    template: str  # file of the layout
    cuts: Sequence[tuple[str, int]]  # lists in the order in which they are cut, each with the length it is cut down to
    key: Sequence[str]  # lines of the square code, for when the card is lost or smeared
    drawing: Drawing | None = None


def set_plain_card(card: PlainCard, issue: Issue) -> bytes:
    """Set a card on one page; what is too long for it is cut, and the card says so.

    Parameters
    ----------
    card : PlainCard
        What stands on it. [-]
    issue : Issue
        Of what it is printed. [-]

    Returns
    -------
    bytes
        A PDF of one page; the same card and issue give the same bytes. [-]
    """
    paper, width = PAGES[one_of("page", issue.page, PAGES)]
    day = issue.made_on
    texts = _written(card.content, issue.words)
    told = (card.content["title"], *card.key)
    lines = [issue.words(line if len(line) <= 120 else f"{line[:119]}…") for line in told]
    drawing = card.drawing
    heights = drawing.heights if drawing else (0.0,)
    texts |= {
        "paper": paper,
        "caption": drawing.caption if drawing else "",
        "charts": [(h, drawing.draw(width, h)) for h in heights] if drawing else [],
        "made": f"Made {day.day} {day:%B %Y} with temperbench {issue.version}",
        "code": square("\n".join([*lines, f"temperbench {issue.version}, {day.isoformat()}"])),
        "fits": fits({part: len(texts[part]) for part, _ in card.cuts}, len(heights), card.cuts, frozenset()),
    }
    return set_page(texts, day, ("base.typ", card.template))


def _written(content: Any, words: Words) -> Any:
    """Return all texts of a content in other units; numbers and truths as they are."""
    if isinstance(content, str):
        return words(content)
    if isinstance(content, Mapping):
        return {name: _written(part, words) for name, part in content.items()}
    if isinstance(content, list | tuple):
        return [_written(part, words) for part in content]
    return content
