"""What can go wrong with the record book, passed on for the faces, and the one banner that says so."""

from temperbench.book.errors import BookError

__all__ = ["BookError", "banner"]

_AGAIN = ", then press again"


def banner(fault: BookError) -> str:
    """Say what is wrong with the book to people whose taps wait on their devices: nobody has to press again."""
    problem, remedy = fault.problem.removeprefix("the "), fault.remedy.removesuffix(_AGAIN)
    return (
        f"Nothing can be kept now: {problem}. What is pressed waits on its device and is sent by itself; do not press "
        f"it again. To put it right: {remedy}."
    )
