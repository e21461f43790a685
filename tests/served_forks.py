"""A program for tests: forks whole servers with a real kitchen and a real book, to be killed.

It reads one JSON order a line: ``{"do": "serve", "where": book, "port": n, "settled": folder}`` forks a server and
answers with its process number, ``{"do": "reap", "pid": n}`` waits for its end. Forking spares each server the imports.
"""

from __future__ import annotations

import json
import os
import sys
import traceback
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import uvicorn

from temperbench.app.kitchen import Kitchen
from temperbench.app.memory import SettledFiles
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock
from temperbench.faces.web import WebSettings, create_app
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening
from temperbench.insight.live_run import LiveRun
from temperbench.kitchen import many

__all__ = ["JOB", "PARTICLES", "main"]

PARTICLES = 24
JOB = {"chocolate": "dark", "grams": 900.0, "oven_w": 900.0}


def serve(order: dict[str, Any]) -> None:
    """Be a server until killed."""
    vars(many)["_POOL"] = ThreadPoolExecutor(max_workers=many.cores())  # threads do not survive a fork
    kitchen = Kitchen(
        Book.open(order["where"]), wall_clock, particles=PARTICLES, memory=SettledFiles(Path(order["settled"]))
    )
    settings = WebSettings(port=order["port"], writes_at_once=10**6)
    config = uvicorn.Config(
        create_app(kitchen, settings), host="127.0.0.1", port=order["port"], log_level="critical", access_log=False,
        ws="websockets-sansio",
    )  # fmt: skip
    uvicorn.Server(config).run()


def warm() -> None:
    """Load what every server needs, machine code included."""
    run = LiveRun("warm", BowlJob(**JOB), 1, particles=PARTICLES)
    for n, what in enumerate(({"kind": "burst", "seconds": 9.0}, {"kind": "reading", "celsius": 20.0})):
        run.fold(Happening(str(n), pressed_ms=10_000 * n, **what))
        run.settle()
    run.view()


def main() -> None:
    """Obey one order a line."""
    warm()
    for line in sys.stdin:
        order = json.loads(line)
        if order["do"] == "reap":
            print(os.waitstatus_to_exitcode(os.waitpid(order["pid"], 0)[1]), flush=True)
            continue
        child = os.fork()
        if child == 0:
            try:
                serve(order)
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(1)
        print(child, flush=True)


if __name__ == "__main__":
    main()
