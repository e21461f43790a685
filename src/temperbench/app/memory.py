"""Files in the user's cache in which settled particles outlive the process: only ever a shortcut, never the record."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from temperbench.foundation.compiled import cache_folder

__all__ = ["SettledFiles", "settled_files"]

_MOST_BYTES = 400_000_000
_DIGEST = hashlib.sha256().digest_size


class SettledFiles:
    """A folder of files, the oldest of which go when there are too many. Processes may share it."""

    def __init__(self, folder: Path, most_bytes: int = _MOST_BYTES) -> None:
        """Keep files in a folder, made when it is needed."""
        self._folder, self._most = folder, most_bytes

    def recall(self, name: str) -> bytes | None:
        """Return what was kept under a name; None when it is not there, damaged, or another user's."""
        path = self._folder / name
        try:
            if path.stat().st_uid != os.geteuid():
                return None
            content = path.read_bytes()
            os.utime(path)
        except OSError:
            return None
        digest, kept = content[:_DIGEST], content[_DIGEST:]
        return kept if digest == hashlib.sha256(kept).digest() else None

    def keep(self, name: str, content: bytes) -> None:
        """Keep something under a name: whole or not at all; without room or right to write, not at all."""
        with contextlib.suppress(OSError):
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            descriptor, part = tempfile.mkstemp(dir=self._folder, prefix="part-")
            try:
                with os.fdopen(descriptor, "wb") as stream:
                    stream.write(hashlib.sha256(content).digest() + content)
                Path(part).replace(self._folder / name)
            except OSError:
                Path(part).unlink(missing_ok=True)
                raise
            self._make_room()

    def _make_room(self) -> None:
        files = sorted(((p.stat().st_mtime, p.stat().st_size, p) for p in self._folder.iterdir()), reverse=True)
        total = 0
        for _, size, path in files:
            total += size
            if total > self._most:
                path.unlink(missing_ok=True)


def settled_files() -> SettledFiles:
    """Return the files of this user."""
    return SettledFiles(cache_folder().parent / "settled")
