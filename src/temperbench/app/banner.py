"""The banner that every page shows while the record book cannot be written."""

from __future__ import annotations

from temperbench.book.errors import BookError

__all__ = ["banner"]

_AGAIN = ", then press again"


def banner(fault: BookError) -> str:
    """Say what is wrong with the book to people whose taps wait on their devices: nobody has to press again."""
    problem, remedy = fault.problem.removeprefix("the "), fault.remedy.removesuffix(_AGAIN)
    return (
        f"Nothing can be kept now: {problem}. What is pressed waits on its device and is sent by itself; do not press "
        f"it again. To put it right: {remedy}."
    )
