"""Killed at any moment, the book has every happening it gave a receipt for, and none twice."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import book_writers
from book_writers import RUNS, entry_of, pressed_of, run_of
from temperbench.book.book import Book

LONGEST_S = 0.2
IN_ONE_BOOK = 8


class Servers:
    """The program that forks servers."""

    def __init__(self, program: subprocess.Popen[str]) -> None:
        """Take the running program."""
        self.program = program

    def ask(self, **order: object) -> int:
        """Give an order and return the answer."""
        assert self.program.stdin is not None
        assert self.program.stdout is not None
        print(json.dumps(order), file=self.program.stdin, flush=True)
        return int(self.program.stdout.readline())


@contextmanager
def servers() -> Iterator[Servers]:
    """Start the program and end it."""
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(
        [sys.executable, book_writers.__file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
    ) as program:
        yield Servers(program)


def read_log(log: Path) -> tuple[set[str], dict[str, int]]:
    """Return what was sent, and the number on each receipt; two receipts for one happening must agree."""
    sent: set[str] = set()
    kept: dict[str, int] = {}
    for line in log.read_text().splitlines() if log.exists() else []:
        word, *items = line.split()
        if word == "sent":
            sent.update(items)
        elif word == "kept":
            for item in items:
                name, seq = item.split("=")
                assert kept.setdefault(name, int(seq)) == int(seq)
    return sent, kept


def stored(book: Book) -> dict[str, int]:
    """Return the number of each happening in the book; each must be there once, unchanged and without a gap."""
    found: dict[str, int] = {}
    for run in RUNS:
        rows = book.happenings(run)
        assert [row.seq for row in rows] == list(range(1, len(rows) + 1))
        assert [row.pressed_ms for row in rows] == [pressed_of(row.id) for row in rows]
        assert [dict(row.payload) for row in rows] == [dict(entry_of(row.id).payload) for row in rows]
        assert {row.id for row in rows} & set(found) == set()
        found |= {row.id: row.seq for row in rows}
    return found


def wait_for_receipt(log: Path, since: int) -> None:
    """Wait until the log holds more receipts than before."""
    until = time.monotonic() + 60
    while len(read_log(log)[1]) <= since:
        assert time.monotonic() < until, "no receipt in a minute"
        time.sleep(0.01)


def kill_many(kills: int, place: Callable[[int], str], logs: Path) -> int:
    """Kill servers at random moments, look at the book after each, and return how many receipts were given."""
    chance = random.Random(kills)
    receipts = 0
    with servers() as fork:
        for number in range(kills):
            where, log = place(number // IN_ONE_BOOK), logs / f"log{number // IN_ONE_BOOK}"
            sent, kept = read_log(log)
            again = sorted(sent - set(kept))
            pid = fork.ask(do="serve", where=where, log=str(log), seed=number, threads=3, second=True, again=again)
            if number % 2:  # killed under load; else as like as not while the book is opened or made
                wait_for_receipt(log, since=len(kept))
            time.sleep(chance.uniform(0, LONGEST_S))
            os.killpg(pid, signal.SIGKILL) if os.getpgid(pid) == pid else os.kill(pid, signal.SIGKILL)
            assert fork.ask(do="reap", pid=pid) == -signal.SIGKILL
            sent, kept = read_log(log)
            with Book.open(where) as book:
                found = stored(book)
                assert {name: found.get(name) for name in kept} == kept
                assert set(found) <= sent
                if number % IN_ONE_BOOK == IN_ONE_BOOK - 1 or number == kills - 1:
                    receipts += len(kept)
                    for name in sorted(sent):
                        book.append(run_of(name), [entry_of(name)])
                    assert set(stored(book)) == sent
                    assert book.check() == []
    return receipts


def test_fifteen_kills_lose_nothing(tmp_path: Path) -> None:
    """After each of 15 kills every happening with a receipt is there once, and what is sent again is known."""
    assert kill_many(15, lambda part: str(tmp_path / f"book{part}.sqlite"), tmp_path) >= 15


@pytest.mark.slow
def test_three_hundred_kills_lose_nothing(tmp_path: Path) -> None:
    """The same for 300 kills."""
    assert kill_many(300, lambda part: str(tmp_path / f"book{part}.sqlite"), tmp_path) >= 300


def test_kills_of_writers_on_a_server_lose_nothing(postgres: Callable[[], str], tmp_path: Path) -> None:
    """The same for writers into PostgreSQL, whose server is not killed."""
    where = postgres()
    assert kill_many(5, lambda part: where if part == 0 else "", tmp_path) >= 5


def test_four_processes_write_at_once(where: str, tmp_path: Path) -> None:
    """Four processes that open the same new book at once and write into it lose nothing and number without a gap."""
    log = tmp_path / "log"
    with servers() as fork:
        pids = [
            fork.ask(do="serve", where=where, log=str(log), seed=seed, threads=2, most=12, again=[])
            for seed in range(4)
        ]
        assert [fork.ask(do="reap", pid=pid) for pid in pids] == [0, 0, 0, 0]
    sent, kept = read_log(log)
    assert len(sent) == 4 * 2 * 12
    with Book.open(where) as book:
        assert stored(book) == kept
        assert set(kept) == sent
        assert book.check() == []
