"""The questions about a sample offer what the kitchen knows."""

from __future__ import annotations

from temperbench.app.curve_fields import CURVE_FIELDS
from temperbench.kitchen.cup import CUPS


def test_the_cups_offered_are_those_of_the_kitchen() -> None:
    """Help names every cup the kitchen can cool, and no other; it does so without loading the kitchen."""
    assert next(f.words for f in CURVE_FIELDS if f.key == "cup") == CUPS
