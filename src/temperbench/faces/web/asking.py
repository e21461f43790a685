"""Calls of the kitchen from a page: in a worker thread, so that a long one holds up nobody; not found is not found."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

__all__ = ["ask"]

P = ParamSpec("P")
T = TypeVar("T")


async def ask(call: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """Return what a call of the kitchen answers; an unknown id becomes "not found"."""
    try:
        return await run_in_threadpool(call, *args, **kwargs)
    except KeyError:
        raise HTTPException(404, "There is nothing of this name in the book.") from None
