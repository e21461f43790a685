"""Backup, restoring, exports and the integrity check."""

from __future__ import annotations

import csv
import json
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from temperbench.book.book import Book
from temperbench.book.errors import BookDamaged, BookNewer
from temperbench.book.exports import guarded
from temperbench.book.migrate import newest
from temperbench.book.rows import Entry, Finding, KitVersion, Lot, Run, StockMove, Thing
from temperbench.book.store import open_store
from temperbench.foundation.errors import InputError

START_MS = 1_790_000_000_000


def fill(book: Book) -> None:
    """Put something in every table."""
    book.add_run(Run("R1", "=Saturday’s “milk”", {"grams": 600, "of": [1.5, None]}, words="lot 7"))
    book.add_run(Run("R2", "Dark", {}))
    book.append("R1", [Entry("E1", "reading", START_MS, {"celsius": 31.5, "thermometer": "@probe"}, "-phone")])
    book.append("R1", [Entry("E2", "note", START_MS + 1, {"=cmd": "+1", "celsius": -4, "more": [True, {"b": "ü"}]})])
    book.append("R2", [Entry("E3", "stir", START_MS, {"text": "NUL \0, lone \ud800, 🍫"})])
    book.save_thing(Thing("K1", "oven", "Oven"))
    book.add_version(KitVersion("V1", "K1", {"watt": 612.5}, {"grams": 600}, START_MS, "run", "R1"))
    book.save_lot(Lot("L1", "24", "Milk", {"fat_pct": 36.2}, START_MS, None, ("milk",), 1450, "EUR"))
    book.move_stock(StockMove("M1", "L1", -12.345, "taken", START_MS))
    book.save_setting("units", {"mass": "oz"})
    book.save_setting("secret.pairing", "hunter2")


def content(book: Book) -> list[object]:
    """Return all a book holds."""
    return [
        book.runs(), book.happenings("R1"), book.happenings("R2"), book.things(), book.versions("K1"), book.lots(),
        book.stock_moves("L1"), book.setting("units"), book.setting("secret.pairing"),
    ]  # fmt: skip


def test_a_backup_brings_everything_back(book: Book, where: str, tmp_path: Path) -> None:
    """A backup of a file or a server, put into an empty book of the other kind too, gives the same book."""
    fill(book)
    backup = book.backup(tmp_path / "backup")
    assert backup.read_bytes().startswith(b'{"temperbench_book"' if "://" in where else b"SQLite format 3\0")
    with Book.open(tmp_path / "other.sqlite") as other:
        assert other.restore(backup) == 11
        assert content(other) == content(book)
        assert other.check() == []
        again = other.backup(tmp_path / "again")
    book.append("R1", [Entry("E9", "stir", START_MS)])
    book.restore(again, replace=True)
    assert [row.id for row in book.happenings("R1")] == ["E1", "E2"]
    assert [receipt.seq for receipt in book.append("R1", [Entry("E9", "stir", START_MS)])] == [3]


def test_a_book_that_is_not_empty_is_not_replaced_by_mistake(book: Book, tmp_path: Path) -> None:
    """Restoring over something needs a word; without it nothing changes."""
    fill(book)
    backup = book.backup(tmp_path / "backup")
    book.append("R1", [Entry("E9", "stir", START_MS)])
    before = content(book)
    with pytest.raises(InputError, match="an empty book"):
        book.restore(backup)
    assert content(book) == before


def _cut(lines: list[str]) -> list[str]:
    return lines[:-2]


def _missing(lines: list[str]) -> list[str]:
    return [line for line in lines if '"E1"' not in line]


def _renumbered(lines: list[str]) -> list[str]:
    return [line.replace('"seq":2', '"seq":5') for line in lines]


def _orphaned(lines: list[str]) -> list[str]:
    return [line.replace('"run_id":"R2"', '"run_id":"R9"') for line in lines]


def _twice(lines: list[str]) -> list[str]:
    return [*lines[:2], lines[1], *lines[2:-1], lines[-1].replace('"rows":11', '"rows":12')]


def _garbled(lines: list[str]) -> list[str]:
    return [*lines[:3], "{", *lines[4:]]


def _other_columns(lines: list[str]) -> list[str]:
    return [line.replace('"found_by"', '"found"') for line in lines]


@pytest.mark.parametrize(
    "spoil", [_cut, _missing, _renumbered, _orphaned, _twice, _garbled, _other_columns, lambda _: []]
)
def test_a_damaged_backup_changes_nothing(
    file_book: Book, spoil: Callable[[list[str]], list[str]], tmp_path: Path
) -> None:
    """Lines that are cut off, lost, doubled or changed are found, and the book stays as it was."""
    fill(file_book)
    lines = whole_lines(file_book, tmp_path)
    spoilt = tmp_path / "spoilt"
    spoilt.write_text("".join(line + "\n" for line in spoil(lines)))
    before = content(file_book)
    with pytest.raises(BookDamaged):
        file_book.restore(spoilt, replace=True)
    assert content(file_book) == before


def whole_lines(book: Book, folder: Path) -> list[str]:
    """Return a backup as lines, also of a book in a file: from an export, with what an export leaves out."""
    book.export_jsonl(folder / "lines.jsonl")
    lines = (folder / "lines.jsonl").read_text().splitlines()
    secret = json.dumps({"table": "settings", "row": {"key": "secret.pairing", "value": "hunter2", "changed_ms": 1}})
    head, foot = lines[0].replace('"whole":false', '"whole":true'), lines[-1].replace('"rows":10', '"rows":11')
    return [head, *lines[1:-1], secret, foot]


def test_lines_put_together_again_are_a_backup(book: Book, tmp_path: Path) -> None:
    """The lines the spoilt ones are made from are good."""
    fill(book)
    before = content(book)
    (tmp_path / "good").write_text("\n".join(whole_lines(book, tmp_path)) + "\n")
    assert book.restore(tmp_path / "good", replace=True) == 11
    assert content(book) == before


def test_lines_of_the_first_layout_are_still_a_backup(book: Book, tmp_path: Path) -> None:
    """A backup made before advice was kept comes back, with none for its happenings."""
    fill(book)
    before = content(book)
    lines = [
        line.replace(f'"{newest()}"', '"b001"').replace(',"advice":{}', "") for line in whole_lines(book, tmp_path)
    ]
    assert not any("advice" in line for line in lines)
    (tmp_path / "old").write_text("\n".join(lines) + "\n")
    assert book.restore(tmp_path / "old", replace=True) == 11
    assert content(book) == before
    (tmp_path / "odd").write_text("\n".join(lines).replace('"b001"', f'"{newest()}"') + "\n")
    with pytest.raises(BookDamaged):
        book.restore(tmp_path / "odd", replace=True)


def test_files_that_are_no_backups_change_nothing(book: Book, tmp_path: Path) -> None:
    """Another program's database, an empty one, a damaged one, an export and a later release's are all refused."""
    fill(book)
    before = content(book)
    sqlite3.connect(tmp_path / "empty").execute("VACUUM").connection.close()
    other = sqlite3.connect(tmp_path / "other")
    other.execute("CREATE TABLE recipes (id)")
    other.close()
    whole = tmp_path / "whole.sqlite"
    with Book.open(whole) as small:
        small.add_run(Run("R1", "Milk", {}))
    damaged = bytearray(whole.read_bytes())
    damaged[4096:] = b"\xff" * (len(damaged) - 4096)
    (tmp_path / "damaged").write_bytes(damaged)
    for name in ("empty", "other", "damaged"):
        with pytest.raises(BookDamaged, match=f"{name}: "):
            book.restore(tmp_path / name, replace=True)
    book.export_jsonl(tmp_path / "export.jsonl")
    with pytest.raises(InputError, match="take a backup instead"):
        book.restore(tmp_path / "export.jsonl", replace=True)
    later = (tmp_path / "export.jsonl").read_text().replace(f'"{newest()}"', '"b999"')
    (tmp_path / "later").write_text(later)
    with pytest.raises(BookNewer):
        book.restore(tmp_path / "later", replace=True)
    with pytest.raises(InputError, match="a file that is there"):
        book.restore(tmp_path / "none", replace=True)
    assert content(book) == before


def test_a_backup_can_be_taken_under_load(book: Book, tmp_path: Path) -> None:
    """While three threads write, a backup holds all that had a receipt when it began, and is sound."""
    book.add_run(Run("R1", "Milk", {}))
    stop, kept = threading.Event(), [book.append("R1", [Entry("E0", "stir", 1)])[0].id]

    def client(name: int) -> None:
        number = 0
        while not stop.is_set():
            number += 1
            kept.extend(receipt.id for receipt in book.append("R1", [Entry(f"E{name}-{number}", "stir", number)]))

    threads = [threading.Thread(target=client, args=(name,)) for name in range(3)]
    for thread in threads:
        thread.start()
    try:
        receipts = []
        for number in range(3):
            receipts.append(list(kept))
            book.backup(tmp_path / f"backup{number}")
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    for number, had in enumerate(receipts):
        with Book.open(tmp_path / f"restored{number}.sqlite") as other:
            other.restore(tmp_path / f"backup{number}")
            assert set(had) <= {row.id for row in other.happenings("R1")} <= set(kept)
            assert other.check() == []


def test_a_spreadsheet_gets_columns_and_no_formulas(book: Book, tmp_path: Path) -> None:
    """Each name of a payload is a column, moments can be read, and no text can act as a formula."""
    fill(book)
    assert book.export_csv(tmp_path / "out.csv", run_id="R1") == 2
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        first, second = csv.DictReader(file)
    assert first["id"] == "E1"
    assert first["pressed_utc"] == "2026-09-21T14:13:20.000Z"
    assert first["device"] == "'-phone"
    assert first["payload.celsius"] == "31.5"
    assert first["payload.thermometer"] == "'@probe"
    assert first["payload.=cmd"] == ""
    assert second["payload.=cmd"] == "'+1"
    assert second["payload.celsius"] == "-4"
    assert second["payload.more"] == '[true, {"b": "ü"}]'


@pytest.mark.parametrize("table", ["runs", "happenings", "kit", "kit_versions", "lots", "stock_moves"])
def test_every_table_can_be_exported_full_and_empty(book: Book, table: str, tmp_path: Path) -> None:
    """A table gives as many lines as it has rows, and its columns even when it has none."""
    assert book.export_csv(tmp_path / "empty.csv", table) == 0
    fill(book)
    rows = book.export_csv(tmp_path / "full.csv", table)
    with (tmp_path / "full.csv").open(encoding="utf-8-sig", newline="") as file:
        full = list(csv.reader(file))
    empty = (tmp_path / "empty.csv").read_text(encoding="utf-8-sig").strip().split(",")
    assert len(full) == rows + 1
    assert empty[0] == "id"
    assert set(empty) <= set(full[0])


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "＝"])
def test_what_may_be_a_formula_is_made_text(sign: str) -> None:
    """A text that starts with such a sign gets an apostrophe; numbers and other texts stay as they are."""
    assert guarded(f"{sign}1") == f"'{sign}1"
    assert guarded(f"1{sign}") == f"1{sign}"
    assert guarded(-1.5) == -1.5


def test_an_export_leaves_secrets_out(book: Book, tmp_path: Path) -> None:
    """JSON lines hold all but the secrets, one run's hold that run only, and no CSV holds settings."""
    fill(book)
    assert book.export_jsonl(tmp_path / "all.jsonl") == 10
    assert "hunter2" not in (tmp_path / "all.jsonl").read_text()
    assert book.export_jsonl(tmp_path / "one.jsonl", run_id="R1") == 3
    lines = [json.loads(line) for line in (tmp_path / "one.jsonl").read_text().splitlines()]
    assert lines[0]["whole"] is False
    assert [line["row"]["id"] for line in lines[1:-1]] == ["R1", "E1", "E2"]
    assert lines[2]["row"]["payload"] == {"celsius": 31.5, "thermometer": "@probe"}
    assert lines[-1] == {"end": True, "rows": 3}
    with pytest.raises(InputError):
        book.export_csv(tmp_path / "settings.csv", "settings")
    with pytest.raises(InputError):
        book.export_csv(tmp_path / "kit.csv", "kit", run_id="R1")
    with pytest.raises(InputError):
        book.export_jsonl(tmp_path / "none.jsonl", run_id="R9")


@pytest.mark.parametrize("name", ["out.txt", "none/out.csv", "nul\0.csv", "", "taken.csv", "link.csv", "folder.csv"])
def test_files_go_only_where_they_may(tmp_path: Path, name: str) -> None:
    """Another ending, a missing folder and a name that is taken, by whatever, are refused; nothing is left behind."""
    (tmp_path / "taken.csv").write_text("mine")
    (tmp_path / "link.csv").symlink_to(tmp_path / "gone.csv")
    (tmp_path / "folder.csv").mkdir()
    with Book.open(tmp_path / "book.sqlite") as book:
        before = sorted(path.name for path in tmp_path.iterdir())
        with pytest.raises(InputError):
            book.export_csv(f"{tmp_path}/{name}" if name else "")
        assert sorted(path.name for path in tmp_path.iterdir()) == before
    assert (tmp_path / "taken.csv").read_text() == "mine"


@pytest.mark.parametrize(
    ("damage", "finding"),
    [
        ("UPDATE happenings SET seq = 9 WHERE id = 'E2'", Finding("happenings", "R1", "2 rows are numbered 1 to 9")),
        (
            "UPDATE happenings SET payload = '{' WHERE id = 'E2'",
            Finding("happenings", "E2", "payload is not the JSON it should be"),
        ),
        ("UPDATE lots SET allergens = '{}'", Finding("lots", "L1", "allergens is not the JSON it should be")),
        ("UPDATE runs SET created_ms = -1 WHERE id = 'R2'", Finding("runs", "R2", "created_ms is not a moment")),
    ],
)
def test_the_check_finds_damage(book: Book, where: str, damage: str, finding: Finding) -> None:
    """A gap, JSON that does not read and an impossible moment are each found, and nothing else."""
    fill(book)
    assert book.check() == []
    store = open_store(where, "OFF", 5)
    with store.writing() as connection:
        connection.execute(text(damage))
    store.close()
    assert book.check() == [finding]


def test_the_check_finds_orphans_and_damaged_files(tmp_path: Path) -> None:
    """A happening without its run, and an index that lost a row, are found."""
    where = tmp_path / "book.sqlite"
    with Book.open(where) as book:
        fill(book)
        raw = sqlite3.connect(where, isolation_level=None)
        raw.execute("UPDATE happenings SET run_id = 'R9' WHERE id = 'E3'")
        assert Finding("happenings", "E3", "there is no R9 in runs") in book.check()
        raw.execute("PRAGMA writable_schema=ON")
        other = "CREATE INDEX ix_lots_code ON lots (name)"
        raw.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'ix_lots_code'", (other,))
        raw.close()
    with Book.open(where) as book:
        assert "file" in {finding.table for finding in book.check()}
