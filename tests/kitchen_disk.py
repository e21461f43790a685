"""A program for tests of the served kitchen: the disk under its book fills up or turns read-only while devices tap."""

from __future__ import annotations

import html
import json
import resource
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient

from book_disk import locked, mounted, report, unlocked
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock
from temperbench.faces.web import WebSettings, create_app

__all__ = ["main", "reported"]

_JOB = {"chocolate": "dark", "grams": 900.0, "oven_w": 900.0}
_PAGES = ("/", "/book", "/kit", "/runs/bowl-1", "/bowls/bowl-1")
_BASE = "http://127.0.0.1:8460"


def reported(part: str, folder: Path, *, mount: bool) -> dict[str, Any]:
    """Run this program and return what it printed."""
    return report(part, folder, mount=mount, program=__file__)


class Bench:
    """A served kitchen with a bowl, and a device that presses."""

    def __init__(self, folder: Path, answers: dict[str, int] | None = None) -> None:
        self.book = Book.open(folder / "kitchen.book")
        self.kitchen = Kitchen(self.book, wall_clock, particles=40)
        app = create_app(self.kitchen, WebSettings(writes_at_once=10**6))
        self.web = TestClient(app, base_url=_BASE, raise_server_exceptions=False)
        self.answers = answers or {}
        self.said = ""
        if answers is None:
            self.web.post("/api/runs", json={"id": "bowl-1", "job": _JOB, "pressed_ms": wall_clock()})

    def close(self) -> None:
        """Shut kitchen and book."""
        self.kitchen.close()
        self.book.close()

    def press(self, number: int) -> int:
        """Press, or press again; keep what is answered last."""
        key = f"tap-{number:04}"
        tap = {"id": key, "kind": "stir", "pressed_ms": wall_clock(), "seconds": 1.0}
        answer = self.web.post("/api/runs/bowl-1/happenings", json=tap)
        self.answers[key] = answer.status_code
        self.said = answer.json().get("message", "")
        return answer.status_code

    def found(self) -> dict[str, Any]:
        """Return what a device and a look into the book say."""
        page = html.unescape(self.web.get("/bowls/bowl-1").text)
        with self.web.websocket_connect(f"ws{_BASE[4:]}/wire/bowl-1", headers={"origin": _BASE}) as line:
            line.send_json({"width": 600})
            view = line.receive_json()
        return {
            "acknowledged": sorted(key for key, status in self.answers.items() if status == 200),
            "stored": sorted(row.id for row in self.book.happenings("bowl-1")),
            "count": view["count"], "banner": view["banner"], "said": self.said, "faults": len(self.book.check()),
            "on the page": bool(view["banner"]) and view["banner"] in page,
            "pages": [self.web.get(path).status_code for path in _PAGES],
            "form": self.web.post("/kit", data={"kind": "oven", "name": "New oven", "oven_w": "900"}).status_code,
        }  # fmt: skip


def _fill(folder: Path, is_mounted: bool) -> Path:
    """Leave no room: on a disk by a file, elsewhere by a limit on the size of files."""
    ballast = folder / "ballast"
    if is_mounted:
        with suppress(OSError), ballast.open("wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
    else:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
    return ballast


def full(folder: Path) -> dict[str, Any]:
    """Tap on a disk that fills up; make room, and send what waits."""
    is_mounted = mounted(folder)
    bench = Bench(folder)
    before = [bench.press(1), bench.press(2)]
    ballast = _fill(folder, is_mounted)
    number = 2
    while number < 400 and bench.press(number + 1) == 200:  # what is left of the log is used up first
        number += 1
    refused = [bench.press(number + 1), bench.press(number + 2)]
    during = bench.found()
    ballast.unlink(missing_ok=True)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    after = [bench.press(number + 1), bench.press(number + 2), bench.press(number + 2)]
    return {"before": before, "refused": refused, "during": during, "after": after, "then": bench.found()}


def read_only(folder: Path) -> dict[str, Any]:
    """Tap into a kitchen that was started again on a disk that can only be read, then on one that can be written."""
    is_mounted = mounted(folder)
    bench = Bench(folder)
    before = [bench.press(1)]
    bench.close()
    locked(folder, is_mounted)
    bench = Bench(folder, bench.answers)
    refused = [bench.press(2), bench.press(3)]
    during = bench.found()
    bench.close()
    unlocked(folder, is_mounted)
    bench = Bench(folder, bench.answers)
    after = [bench.press(2), bench.press(3), bench.press(3)]
    return {"before": before, "refused": refused, "during": during, "after": after, "then": bench.found()}


def main() -> None:
    """Do the part that is named first, in the folder that is named second."""
    parts = {"full": full, "read only": read_only}
    print(json.dumps(parts[sys.argv[1]](Path(sys.argv[2]))))


if __name__ == "__main__":
    main()
