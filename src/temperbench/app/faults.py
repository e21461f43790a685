"""What can go wrong with the record book, passed on for the faces: they say it in its own sentence."""

from temperbench.book.errors import BookError

__all__ = ["BookError"]
