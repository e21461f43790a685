"""Whatever is sent, in whatever order and however often: the book holds the ids sent, once, in the order they came."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from temperbench.book.book import Book
from temperbench.book.rows import Entry, Run, Stored

RUNS = ("R1", "R2")


class Sending(RuleBasedStateMachine):
    """A device that sends, undoes and sends again, and a book that is closed, copied and restored meanwhile."""

    sent = Bundle("sent")

    def __init__(self) -> None:
        """Open an empty book, and keep beside it what it should hold."""
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.number = 0
        self.model: dict[str, list[str]] = {run: [] for run in RUNS}
        self.backups: list[tuple[Path, dict[str, list[str]]]] = []

    @initialize()
    def open(self) -> None:
        """Start both runs."""
        self.book = Book.open(self.folder / "book.sqlite", lambda: 7, synchronous="OFF")
        for run in RUNS:
            self.book.add_run(Run(run, "Milk", {}))

    def _send(self, run: str, entries: list[Entry]) -> None:
        expected = []
        for entry in entries:
            new = entry.id not in self.model[run]
            if new:
                self.model[run].append(entry.id)
            expected.append(Stored(entry.id, self.model[run].index(entry.id) + 1, new))
        assert self.book.append(run, entries) == tuple(expected)

    def _made(self, kind: str, **payload: str) -> Entry:
        self.number += 1
        return Entry(f"E{self.number}", kind, self.number, payload)

    @rule(target=sent, run=st.sampled_from(RUNS))
    def append(self, run: str) -> tuple[str, Entry]:
        """Send something new."""
        entry = self._made("reading")
        self._send(run, [entry])
        return run, entry

    @rule(target=sent, what=sent)
    def undo(self, what: tuple[str, Entry]) -> tuple[str, Entry]:
        """Undo something: a happening like any other."""
        entry = self._made("undo", of=what[1].id)
        self._send(what[0], [entry])
        return what[0], entry

    @rule(what=st.lists(sent, min_size=1, max_size=5), new=st.booleans())
    def again(self, what: list[tuple[str, Entry]], new: bool) -> None:
        """Send several of one run again, in any order and perhaps twice, with a new one behind them or without."""
        run = what[0][0]
        entries = [entry for of, entry in what if of == run]
        self._send(run, entries + ([self._made("stir")] if new else []))

    @rule()
    def reopen(self) -> None:
        """Close the book and open it again."""
        self.book.close()
        self.book = Book.open(self.folder / "book.sqlite", lambda: 7, synchronous="OFF")

    @rule()
    def backup(self) -> None:
        """Take a backup."""
        path = self.book.backup(self.folder / f"backup{len(self.backups)}")
        self.backups.append((path, {run: list(ids) for run, ids in self.model.items()}))

    @rule()
    def restore(self) -> None:
        """Go back to the last backup: what came later may be sent again and is new again."""
        if self.backups:
            path, model = self.backups[-1]
            self.book.restore(path, replace=True)
            self.model = {run: list(ids) for run, ids in model.items()}

    @invariant()
    def ids_are_there_once_in_order(self) -> None:
        """The book holds what was sent, numbered from 1."""
        if hasattr(self, "book"):
            for run in RUNS:
                assert [row.id for row in self.book.happenings(run)] == self.model[run]
                assert [row.seq for row in self.book.happenings(run)] == list(range(1, len(self.model[run]) + 1))

    def teardown(self) -> None:
        """Check the book as a whole and take it away."""
        if hasattr(self, "book"):
            assert self.book.check() == []
            self.book.close()
        shutil.rmtree(self.folder)


TestSending = Sending.TestCase
TestSending.settings = settings(max_examples=10, stateful_step_count=15, deadline=None)
