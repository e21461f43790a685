"""Files the book writes for people: checked before the work, written beside their place, moved there when complete."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from temperbench.foundation.errors import InputError

__all__ = ["checked_source", "checked_target", "whole_file"]

_OWN_ENDINGS = ("", "-wal", "-shm", "-journal")


def checked_target(where: str | Path, book: Path | None, endings: tuple[str, ...] = ()) -> Path:
    """Return the path of a file that may be written: new, in a folder that is there, with one of the endings."""
    text = str(where)
    if not text or "\0" in text:
        raise InputError("file", text, "the path of a file", "name a file")
    path = Path(text).expanduser().absolute()
    if endings and path.suffix.lower() not in endings:
        raise InputError("file", path.name, f"a name ending in {' or '.join(endings)}", "add the ending")
    if not path.parent.is_dir():
        raise InputError("file", text, "a folder that is there", "make the folder first")
    own = {book.with_name(book.name + ending).resolve() for ending in _OWN_ENDINGS} if book else set()
    if path.resolve() in own:
        raise InputError("file", text, "a file beside the book", "choose another name")
    if path.exists() or path.is_symlink():
        raise InputError("file", text, "a name that is still free", "choose another name or move the old file away")
    return path


def checked_source(where: str | Path) -> Path:
    """Return the path of a file that can be read."""
    path = Path(str(where)).expanduser().absolute() if "\0" not in str(where) else Path()
    if not path.is_file():
        raise InputError("file", str(where), "a file that is there", "check the name")
    return path


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a new private file beside ``path``; after the block it takes that name, on the disk and complete.

    When the block fails, nothing is left. A file that appeared at ``path`` meanwhile is not overwritten.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield part
        _to_disk(part, os.O_RDWR)
        try:
            os.link(part, path)
        except FileExistsError:
            raise InputError("file", str(path), "a name that is still free", "choose another name") from None
        except OSError:  # a disk without hard links
            part.rename(path)
        _to_disk(path.parent, os.O_RDONLY)
    finally:
        for ending in _OWN_ENDINGS:
            part.with_name(part.name + ending).unlink(missing_ok=True)


def _to_disk(path: Path, flags: int) -> None:
    handle = os.open(path, flags)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
