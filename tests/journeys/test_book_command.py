"""An owner at the command line: backup while the kitchen is served, restore, exports, and a look for damage."""

from __future__ import annotations

import csv
import json
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from temperbench.book.book import Book
from temperbench.faces.cli.main import main
from unit.book.test_copies import content, fill


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Write a book with something in every table, and close it."""
    path = tmp_path / "kitchen.book"
    with Book.open(path) as book:
        fill(book)
    return path


def run(*words: str | Path) -> Result:
    """Run a command line in this process."""
    return CliRunner().invoke(main, ["book", *map(str, words)])


def sentence(result: Result) -> str:
    """Return the one line of a refusal."""
    assert (result.exit_code, result.stdout, result.stderr.count("\n")) == (2, "", 1)
    return result.stderr


def held(path: Path) -> list[object]:
    """Return all a book holds."""
    with Book.open(path) as book:
        return content(book)


def test_a_backup_of_a_served_book_is_put_back(place: Path, tmp_path: Path) -> None:
    """Taken while the book is open; put into a new book it is the same; the file is its owner's alone."""
    backup, other = tmp_path / "monday.book", tmp_path / "other.book"
    with Book.open(place) as book:
        before = content(book)
        assert run("backup", backup, "--book", place).exit_code == 0
    assert backup.stat().st_mode & 0o777 == 0o600
    done = run("restore", backup, "--book", other)
    assert (done.exit_code, done.stderr) == (0, f"Restored: 11 rows from {backup}\n")
    assert held(other) == before


def test_no_file_is_written_over(place: Path, tmp_path: Path) -> None:
    """An old backup, an old export, and the book's own files stay as they are."""
    for name in ("monday.book", "runs.csv", "all.jsonl"):
        old = tmp_path / name
        old.write_text("old")
        doing = "backup" if name.endswith("book") else "export"
        said = sentence(run(doing, old, "--book", place))
        assert said.startswith("file: ")
        assert "a name that is still free; choose another name" in said
        assert old.read_text() == "old"
    before = place.read_bytes()
    for own in (place, Path(f"{place}-wal")):
        assert "file beside the book" in sentence(run("backup", own, "--book", place))
    assert place.read_bytes() == before


def test_a_book_in_use_is_not_replaced(place: Path, tmp_path: Path) -> None:
    """Restoring is refused while anyone has the book open, also with --replace; afterwards it needs that word."""
    backup = tmp_path / "monday.book"
    assert run("backup", backup, "--book", place).exit_code == 0
    with Book.open(place) as book:
        book.save_setting("units", {"mass": "g"})
        before = content(book)
        said = sentence(run("restore", backup, "--book", place, "--replace"))
        assert "a book that nobody has open; stop the kitchen that is served from it first" in said
        assert content(book) == before
    assert "an empty book; back it up, then restore with --replace" in sentence(run("restore", backup, "--book", place))
    assert held(place) == before
    assert run("restore", backup, "--book", place, "--replace").exit_code == 0
    assert held(place) != before


def test_exports_are_for_spreadsheets_and_programs(place: Path, tmp_path: Path) -> None:
    """A table as CSV in which no text acts as a formula; the whole book as lines, without its secrets; one run."""
    for name, words in (
        ("h.csv", ()),
        ("lots.csv", ("--table", "lots")),
        ("all.jsonl", ()),
        ("r.jsonl", ("--run", "R2")),
    ):
        assert run("export", tmp_path / name, "--book", place, *words).exit_code == 0
    with (tmp_path / "h.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["id"], row["device"]) for row in rows] == [("E1", "'-phone"), ("E2", ""), ("E3", "")]
    assert (rows[0]["payload.thermometer"], rows[1]["payload.=cmd"]) == ("'@probe", "'+1")
    assert "Milk" in (tmp_path / "lots.csv").read_text(encoding="utf-8-sig")
    lines = [json.loads(line) for line in (tmp_path / "all.jsonl").read_text().splitlines()]
    assert (lines[0]["whole"], lines[-1]["rows"]) == (False, 10)
    assert "hunter2" not in (tmp_path / "all.jsonl").read_text()
    assert [json.loads(x)["row"]["id"] for x in (tmp_path / "r.jsonl").read_text().splitlines()[1:-1]] == ["R2", "E3"]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        (["export", "out.txt"], "file", ".csv or .jsonl"),
        (["export", "out"], "file", ".csv or .jsonl"),
        (["export", "none/out.csv"], "file", "a folder that is there"),
        (["export", "out.csv", "--table", "settings"], "table", "happenings"),
        (["export", "out.csv", "--table", "lots", "--run", "R1"], "table", "leave the run out"),
        (["export", "out.csv", "--run", "../R1"], "run", "letters, digits"),
        (["export", "out.jsonl", "--run", "R9"], "run", "choose a run from the book"),
        (["export", "out.jsonl", "--table", "lots"], "--table", "leave it out"),
        (["restore", "none.book"], "file", "a file that is there"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence(
    words: list[str], field: str, says: str, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the field, what is allowed and what to do; nothing is written."""
    monkeypatch.chdir(place.parent)
    before = sorted(place.parent.iterdir())
    said = sentence(run(*words, "--book", place))
    assert said.startswith(f"{field}: ")
    assert says in said
    assert sorted(place.parent.iterdir()) == before


@pytest.mark.parametrize("words", [["backup", "new.book"], ["export", "new.csv"], ["check"]])
def test_no_book_is_made_just_to_be_copied(words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A mistyped place is said; no empty book appears there."""
    monkeypatch.chdir(tmp_path)
    said = sentence(run(*words, "--book", "kitchne.book"))
    assert said.startswith("book: “kitchne.book” is not usable; allowed is a batch book that is there")
    assert list(tmp_path.iterdir()) == []


def test_a_sound_book_is_called_sound(place: Path) -> None:
    """The check may run while the book is open."""
    with Book.open(place):
        done = run("check", "--book", place)
    assert (done.exit_code, done.stdout, done.stderr) == (0, "The book is sound.\n", "")


def test_damage_is_listed_with_code_2(place: Path) -> None:
    """Each fault with its table and row, and what to do."""
    with sqlite3.connect(place) as raw:
        raw.execute("UPDATE happenings SET payload = '{' WHERE id = 'E2'")
    raw.close()
    done = run("check", "--book", place)
    assert (done.exit_code, done.stdout) == (2, "happenings E2: payload is not the JSON it should be\n")
    assert "restore the last backup" in done.stderr


@pytest.mark.parametrize("words", [["check"], ["backup", "new.book"], ["restore", "good.book", "--replace"]])
def test_a_file_that_is_no_book_is_left_alone(words: list[str], place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is said in one sentence without a key to press, and the file stays as it is."""
    monkeypatch.chdir(place.parent)
    place.rename("good.book")
    place.write_text("A list of recipes. " * 400)
    before = place.read_bytes()
    said = sentence(run(*words, "--book", place))
    assert "damaged or is not a batch book" in said
    assert "press" not in said
    assert place.read_bytes() == before


def test_a_mistyped_word_names_the_nearest() -> None:
    """As everywhere on the command line."""
    assert "did you mean “backup”?" in sentence(run("bakup", "x"))
    assert run().exit_code == 0
