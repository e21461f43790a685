"""A program for tests of the book: forks small servers whose clients write into a book until they are killed.

It reads one JSON order a line: ``{"do": "serve", …}`` forks a server that leads a process group of its own and answers
with its process number, ``{"do": "reap", "pid": n}`` waits for its end. Forking spares each server the imports.

A server first sends what its killed forerunner had sent without a receipt, as a tablet's queue does, then new
happenings, and now and then an old one again. Every client writes to a log what it sends before it sends it, and each
receipt after it got it. A log line is one write to the kernel, which keeps it whatever happens to the process.
"""

from __future__ import annotations

import json
import os
import random
import sys
import threading
from typing import Any

from temperbench.book.book import Book
from temperbench.book.rows import Entry, Run

__all__ = ["RUNS", "entry_of", "main", "pressed_of", "run_of"]

RUNS = ("R1", "R2")
_START_MS = 1_790_000_000_000


def pressed_of(name: str) -> int:
    """Return the press time that a happening's id stands for, later than that of those before it."""
    return _START_MS + 1000 * int(name.rsplit("-", 1)[1])


def run_of(name: str) -> str:
    """Return the run that a happening's id stands for."""
    return RUNS[int(name.rsplit("-", 1)[1]) % len(RUNS)]


def entry_of(name: str) -> Entry:
    """Return the happening that an id stands for, always the same."""
    return Entry(name, "reading", pressed_of(name), {"celsius": 31.5, "of": name}, "tablet")


class Client:
    """One tablet."""

    def __init__(self, book: Book, log: int, name: str, seed: int) -> None:
        """Take the book, the open log, a name and a seed of its own."""
        self.book, self.log, self.name = book, log, name
        self.random = random.Random(f"{seed} {name}")

    def say(self, *words: object) -> None:
        """Write a line to the log, whole or not at all."""
        os.write(self.log, (" ".join(str(word) for word in words) + "\n").encode())

    def send(self, names: list[str]) -> None:
        """Send happenings of one run and log their receipts."""
        self.say("sent", *names)
        receipts = self.book.append(run_of(names[0]), [entry_of(name) for name in names])
        self.say("kept", *(f"{receipt.id}={receipt.seq}" for receipt in receipts))

    def work(self, most: int | None) -> None:
        """Send until killed, or until ``most`` happenings are sent."""
        number, old = 0, ""
        while most is None or number < most:
            names = [f"{self.name}-{number}"]
            if most is None and self.random.random() < 0.3:
                names.append(f"{self.name}-{number + len(RUNS)}")  # the same run
            if old and run_of(old) == run_of(names[0]) and self.random.random() < 0.5:
                names.append(old)
            self.send(names)
            old = names[0]
            number += 1


def serve(order: dict[str, Any]) -> None:
    """Be a server: this process with some client threads, and a second process with one."""
    os.setsid()
    second = os.fork() == 0 if order.get("second") else False
    log = os.open(order["log"], os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    with Book.open(order["where"], busy_s=30.0) as book:
        for run in RUNS:
            book.add_run(Run(run, "Milk", {}))
        clients = 1 if second else int(order["threads"])
        seed = int(order["seed"])
        tablets = [Client(book, log, f"{seed}-{'b' if second else 'a'}{n}", seed) for n in range(clients)]
        for name in [] if second else order["again"]:
            tablets[0].send([name])
        threads = [threading.Thread(target=tablet.work, args=(order.get("most"),)) for tablet in tablets]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


def main() -> None:
    """Obey one order a line."""
    for line in sys.stdin:
        order = json.loads(line)
        if order["do"] == "reap":
            print(os.waitstatus_to_exitcode(os.waitpid(order["pid"], 0)[1]), flush=True)
            continue
        child = os.fork()
        if child == 0:
            code = 1
            try:
                serve(order)
                code = 0
            finally:
                os._exit(code)
        print(child, flush=True)


if __name__ == "__main__":
    main()
