"""Runs and their happenings: each kept once, in order, by whoever writes."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta, timezone

import pytest

from temperbench.book.book import Book
from temperbench.book.moments import LATEST_MS, from_ms, to_ms
from temperbench.book.rows import Entry, Run, Stored, StoredEntry
from temperbench.foundation.errors import InputError, OutOfRange

START_MS = 1_790_000_000_000


def entry(number: int, kind: str = "reading", **payload: float | str) -> Entry:
    """Return the happening of a number."""
    return Entry(f"E{number}", kind, START_MS + number, payload or {"celsius": 31.5}, "tablet")


def test_a_run_comes_back_as_it_went_in(book: Book) -> None:
    """A run keeps title, job and state, and gets the moment of the book's clock."""
    job = {"bowl": {"grams": 600, "share": 0.1}, "names": ["Über", None, True], "tiny": 5e-324, "large": 2**70}
    assert book.add_run(Run("R1", "Saturday’s milk", job, words="Lot A-7"))
    assert book.run("R1") == Run("R1", "Saturday’s milk", job, "running", "lot a-7", START_MS, 0)
    assert book.run("R2") is None


def test_a_run_sent_twice_is_kept_once(book: Book) -> None:
    """The same run again is no error and not new; another run under its id is refused."""
    assert book.add_run(Run("R1", "Milk", {"g": 600}))
    assert not book.add_run(Run("R1", "Milk", {"g": 600}))
    with pytest.raises(InputError, match="an id of its own for each run"):
        book.add_run(Run("R1", "Dark", {"g": 600}))
    assert [run.title for run in book.runs()] == ["Milk"]


def test_happenings_are_numbered_as_they_arrive(book: Book) -> None:
    """The press time is the device's, arrival and number are the book's, per run."""
    for run in ("R1", "R2"):
        book.add_run(Run(run, "Milk", {}))
    assert book.append("R1", [entry(2), entry(1)]) == (Stored("E2", 1, new=True), Stored("E1", 2, new=True))
    assert book.append("R2", [entry(3)]) == (Stored("E3", 1, new=True),)
    assert book.append("R1", []) == ()
    assert book.happenings("R1") == [
        StoredEntry("E2", "reading", START_MS + 2, {"celsius": 31.5}, "tablet", {}, "R1", 1, START_MS + 2000),
        StoredEntry("E1", "reading", START_MS + 1, {"celsius": 31.5}, "tablet", {}, "R1", 2, START_MS + 2000),
    ]
    assert [row.id for row in book.happenings("R1", after=1)] == ["E1"]
    found = book.run("R1")
    assert found is not None
    assert found.happenings == 2


def test_the_same_id_is_one_happening(book: Book) -> None:
    """Sent again, alone, among new ones or twice at once, a happening is stored once and keeps its number."""
    book.add_run(Run("R1", "Milk", {}))
    book.append("R1", [entry(1)])
    receipts = book.append("R1", [entry(2), entry(1), entry(2)])
    assert receipts == (Stored("E2", 2, new=True), Stored("E1", 1, new=False), Stored("E2", 2, new=False))
    again = Entry("E1", "reading", START_MS + 99, {"celsius": 31.5}, "phone")  # pressed by a clock since put right
    assert book.append("R1", [again]) == (Stored("E1", 1, new=False),)
    assert [(row.id, row.pressed_ms) for row in book.happenings("R1")] == [("E1", START_MS + 1), ("E2", START_MS + 2)]


@pytest.mark.parametrize(("run", "other"), [("R2", entry(1)), ("R1", entry(1, "stir")), ("R1", entry(1, celsius=9.0))])
def test_an_id_cannot_stand_for_two_happenings(book: Book, run: str, other: Entry) -> None:
    """Another happening under a known id is refused, and nothing sent with it is stored."""
    for name in ("R1", "R2"):
        book.add_run(Run(name, "Milk", {}))
    book.append("R1", [entry(1)])
    with pytest.raises(InputError, match="an id of its own for each happening"):
        book.append(run, [entry(5), other])
    assert [row.id for name in ("R1", "R2") for row in book.happenings(name)] == ["E1"]


def test_a_run_that_is_not_there_takes_nothing(book: Book) -> None:
    """A happening of an unknown run is refused in one sentence."""
    with pytest.raises(InputError, match=r"^run: “R9” is not usable; .*start the run first\.$"):
        book.append("R9", [entry(1)])
    with pytest.raises(InputError, match="start the run first"):
        book.set_state("R9", "finished")


@pytest.mark.parametrize(
    "bad",
    [
        Entry("", "reading", 1),
        Entry("-E1", "reading", 1),
        Entry("../E1", "reading", 1),
        Entry("E1\n", "reading", 1),
        Entry("E" * 65, "reading", 1),
        Entry("E1", "Reading", 1),
        Entry("E1", "reading", -1),
        Entry("E1", "reading", LATEST_MS + 1),
        Entry("E1", "reading", 1.5),
        Entry("E1", "reading", True),
        Entry("E1", "reading", datetime(2026, 1, 1, tzinfo=UTC)),
        Entry("E1", "reading", 1, {"celsius": float("nan")}),
        Entry("E1", "reading", 1, {"at": datetime(2026, 1, 1, tzinfo=UTC)}),
        Entry("E1", "reading", 1, {1: 2}),
        Entry("E1", "reading", 1, {"text": "x" * 1_000_001}),
        Entry("E1", "reading", 1, {}, "tab\0let"),
        Entry("E1", "reading", 1, {}, "tab\ud800let"),
    ],
    ids=lambda bad: ascii(bad)[5:70],
)
def test_what_cannot_be_kept_is_refused(file_book: Book, bad: Entry) -> None:
    """A bad id, kind, moment, device or payload is refused, and the good ones sent with it are not stored either."""
    file_book.add_run(Run("R1", "Milk", {}))
    with pytest.raises(InputError):
        file_book.append("R1", [entry(1), bad])
    assert file_book.happenings("R1") == []


def test_odd_texts_in_a_payload_survive(book: Book) -> None:
    """A payload comes back exactly, whatever letters stand in it."""
    payload = {"note": "NUL \0, lone \ud800, 🍫, \u2028, ' \" \\ %s :x", "deep": [[[{"a": [0.1, -0.0, 1e300]}]]]}
    book.add_run(Run("R1", "100 % :bind 'quoted'", {}))
    book.append("R1", [Entry("E1", "note", 1, payload)])
    assert book.happenings("R1")[0].payload == payload


def test_runs_are_listed_newest_first_in_pages(book: Book) -> None:
    """Pages of any size together give every run once, the newest first."""
    for number in range(7):
        book.add_run(Run(f"R{number}", "Milk", {}, created_ms=START_MS + number // 2))
    ids, last = [], None
    while page := book.runs(limit=2, before=last):
        ids += [run.id for run in page]
        last = ids[-1]
    assert ids == ["R6", "R5", "R4", "R3", "R2", "R1", "R0"]
    with pytest.raises(OutOfRange):
        book.runs(limit=0)
    with pytest.raises(InputError):
        book.runs(before="R99")


@pytest.mark.parametrize(
    ("search", "ids"),
    [
        ("", ["R3", "R2", "R1"]),
        ("ÜBUNG", ["R2"]),
        ("lot-7 milk", ["R1"]),
        ("milk", ["R3", "R1"]),
        ("100%", ["R3"]),
        ("%", ["R3"]),
        ("_", []),
        ("\\", []),
        ("milk dark", []),
    ],
)
def test_search_finds_every_word_whatever_its_case(book: Book, search: str, ids: list[str]) -> None:
    """Words are found in titles and in what else a run shall be found by; signs of patterns mean themselves."""
    book.add_run(Run("R1", "Milk for Saturday", {}, words="Lot-7"))
    book.add_run(Run("R2", "Übung dunkel", {}))
    book.add_run(Run("R3", "Milk 100%", {}))
    assert [run.id for run in book.runs(search)] == ids


def test_state_changes_with_the_happening_that_changes_it(book: Book) -> None:
    """A new state is stored in the same step as the happening, or not at all."""
    book.add_run(Run("R1", "Milk", {}))
    with pytest.raises(InputError):
        book.append("R1", [entry(1)], state="No Word")
    assert book.happenings("R1") == []
    book.append("R1", [entry(1, "finished")], state="finished")
    assert [run.id for run in book.runs(state="finished")] == ["R1"]
    assert book.runs(state="running") == []
    book.set_state("R1", "running")
    assert [run.id for run in book.runs(state="running")] == ["R1"]


def test_threads_share_a_book(book: Book) -> None:
    """Eight threads that write into one run at once lose nothing and number without a gap."""
    book.add_run(Run("R1", "Milk", {}))
    kept: list[Stored] = []

    def client(name: int) -> None:
        for number in range(12):
            kept.extend(book.append("R1", [entry(100 * name + number)]))

    threads = [threading.Thread(target=client, args=(name,)) for name in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    stored = book.happenings("R1")
    assert sorted(receipt.seq for receipt in kept) == list(range(1, 97))
    assert {(row.id, row.seq) for row in stored} == {(receipt.id, receipt.seq) for receipt in kept}
    assert [row.arrived_ms for row in stored] == sorted(row.arrived_ms for row in stored)


def test_a_time_without_a_zone_is_refused() -> None:
    """12:00+02:00 is 10:00 UTC; 12:00 of nobody knows where is an error."""
    noon = datetime(2026, 6, 1, 12, 0, 0, 250_999, tzinfo=timezone(timedelta(hours=2)))
    assert to_ms(noon) == 1_780_308_000_250
    assert from_ms(1_780_308_000_250) == datetime(2026, 6, 1, 10, 0, 0, 250_000, tzinfo=UTC)
    with pytest.raises(InputError, match="a time with its zone"):
        to_ms(noon.replace(tzinfo=None))
