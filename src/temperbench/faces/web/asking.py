"""Calls of the kitchen from a page: in a worker thread, so that a long one holds up nobody; not found is not found."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

__all__ = ["ask"]

_P = ParamSpec("_P")
_T = TypeVar("_T")


async def ask(call: Callable[_P, _T], *args: _P.args, **kwargs: _P.kwargs) -> _T:
    """Return what a call of the kitchen answers; an unknown id becomes "not found"."""
    try:
        return await run_in_threadpool(call, *args, **kwargs)
    except KeyError:
        raise HTTPException(404, "There is nothing of this name in the book.") from None
