"""A program for tests of the book: fills a disk, or makes it read-only, under a book, and prints what happened.

It wants a disk of its own, a small one in memory, and mounts it where nobody else sees it. Where that is not allowed it
limits the size of files instead of the disk, and takes the right to write from folder and file.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path

from temperbench.book.book import Book
from temperbench.book.errors import BookError
from temperbench.book.rows import Entry, Run
from temperbench.foundation.errors import InputError

__all__ = ["locked", "main", "mounted", "report", "unlocked"]

_SIZE_KB = 1024


def report(part: str, folder: Path, *, mount: bool = True, program: str = __file__) -> dict[str, object]:
    """Run this program, or another with such parts, in a place of its own and return what it printed."""
    alone = ["unshare", *([] if os.geteuid() == 0 else ["--map-root-user"]), "--mount"]
    can = mount and subprocess.run([*alone, "true"], capture_output=True, check=False).returncode == 0
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    humble = ["setpriv", "--bounding-set=-all"] if os.geteuid() == 0 else []  # else root may write everywhere
    asked = [*(alone if can else humble), sys.executable, program, part, str(folder), "mount" if can else "limit"]
    done = subprocess.run(asked, env=env, capture_output=True, text=True, check=False)
    if done.returncode:
        raise AssertionError(done.stderr)
    found: dict[str, object] = json.loads(done.stdout)
    return found


def mounted(folder: Path) -> bool:
    """Put a small disk in the place of a folder where that is allowed; say whether it was."""
    order = ["mount", "-t", "tmpfs", "-o", f"size={_SIZE_KB}k", "none", str(folder)]
    return sys.argv[3] == "mount" and subprocess.run(order, capture_output=True, check=False).returncode == 0


def _entry(number: int) -> Entry:
    return Entry(f"E{number}", "note", number, {"text": "x" * 2000})


def _said(work: Callable[[], object]) -> str:
    try:
        work()
    except (BookError, InputError) as error:
        return f"{type(error).__name__}: {error}"
    return "done"


def full(folder: Path) -> dict[str, object]:
    """Append until the disk is full; then make room and go on."""
    is_mounted = mounted(folder)
    ballast = folder / "ballast"
    ballast.write_bytes(bytes(200_000))
    if not is_mounted:
        resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, resource.RLIM_INFINITY))
    where = folder / "book.sqlite"
    book = Book.open(where)
    book.add_run(Run("R1", "Milk", {}))
    kept: list[str] = []

    def fill() -> None:
        while len(kept) < 2000:
            kept.append(book.append("R1", [_entry(len(kept))])[0].id)

    said = _said(fill)
    again = _said(fill)
    if not is_mounted:
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, resource.RLIM_INFINITY))
    backup = _said(lambda: book.backup(folder / "backup.sqlite"))
    left = sorted(path.name for path in folder.iterdir() if "backup" in path.name)
    stored = [row.id for row in book.happenings("R1")]
    ballast.unlink()
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    went_on = book.append("R1", [_entry(len(kept))])[0]
    faults = len(book.check())
    book.close()
    return {
        "mounted": is_mounted, "said": said, "again": again, "backup": backup, "left": left, "kept": kept,
        "stored": stored, "went_on": [went_on.seq, went_on.new], "faults": faults,
    }  # fmt: skip


def no_room(folder: Path) -> dict[str, object]:
    """Open a new book where there is no room for one."""
    is_mounted = mounted(folder)
    if is_mounted:
        with suppress(OSError), (folder / "ballast").open("wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
    else:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
    return {"mounted": is_mounted, "said": _said(lambda: Book.open(folder / "book.sqlite"))}


def locked(folder: Path, disk: bool) -> None:
    """Let nothing be written in a folder any more."""
    if disk:
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        return
    for path in (*folder.iterdir(), folder):
        path.chmod(0o555 if path.is_dir() else 0o444)


def unlocked(folder: Path, disk: bool) -> None:
    """Let it be written again."""
    if disk:
        subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)
        return
    for path in (folder, *folder.iterdir()):
        path.chmod(0o755 if path.is_dir() else 0o644)


def read_only(folder: Path) -> dict[str, object]:
    """Keep one happening in a closed book and one in a book whose server died; then open both for reading only."""
    is_mounted = mounted(folder)
    shut, died = folder / "shut.sqlite", folder / "died.sqlite"
    for where in (shut, died):
        if os.fork() == 0:
            book = Book.open(where)
            book.add_run(Run("R1", "Milk", {}))
            book.append("R1", [_entry(1)])
            if where is shut:
                book.close()
            os._exit(0)
        os.wait()
    locked(folder, is_mounted)
    found: dict[str, object] = {"mounted": is_mounted, "new": _said(lambda: Book.open(folder / "new.sqlite"))}
    for where in (shut, died):
        with Book.open(where) as book:
            found[where.stem] = {
                "read_only": book.read_only,
                "stored": [row.id for row in book.happenings("R1")],
                "append": _said(partial(book.append, "R1", [_entry(2)])),
                "export": _said(partial(book.export_csv, folder / "out.csv")),
                "faults": len(book.check()),
            }
    return found


def main() -> None:
    """Do the part that is named first, in the folder that is named second."""
    parts = {"full": full, "no room": no_room, "read only": read_only}
    print(json.dumps(parts[sys.argv[1]](Path(sys.argv[2]))))


if __name__ == "__main__":
    main()
