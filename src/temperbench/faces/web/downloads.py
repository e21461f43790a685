"""Backup and exports of the book for an owner's own files: streamed, under names that are ours alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO, Literal

from fastapi import APIRouter
from fastapi.responses import StreamingResponse

from temperbench.app.keep_book import BookCopy
from temperbench.faces.web.asking import ask
from temperbench.faces.web.door import Door

__all__ = ["TABLES", "add_downloads"]

TABLES = (
    ("happenings", "What happened"), ("runs", "Runs"), ("lots", "Lots"), ("stock_moves", "Stock"), ("kit", "Kit"),
    ("kit_versions", "What was learnt"), ("lines", "All, as JSON lines"),
)  # fmt: skip
_Export = Literal["happenings", "runs", "lots", "stock_moves", "kit", "kit_versions", "lines"]
_AT_ONCE = 65536


def add_downloads(router: APIRouter, kitchen: Door) -> None:
    """Add the routes; that only an owner comes this far is the guard's work."""

    @router.get("/book/backup")
    async def backup() -> StreamingResponse:
        return _sent(await ask(kitchen.book_copy, "backup"))

    @router.get("/book/export/{what}")
    async def export(what: _Export) -> StreamingResponse:
        return _sent(await ask(kitchen.book_copy, what))


def _sent(copy: BookCopy) -> StreamingResponse:
    kind = "text/csv; charset=utf-8" if copy.name.endswith(".csv") else "application/octet-stream"
    headers = {"content-disposition": f'attachment; filename="{copy.name}"'}
    return StreamingResponse(_pieces(copy.file), media_type=kind, headers=headers)


def _pieces(file: BinaryIO) -> Iterator[bytes]:
    with file:
        while piece := file.read(_AT_ONCE):
            yield piece
