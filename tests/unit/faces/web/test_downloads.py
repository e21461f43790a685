"""Backup and exports from the page of the book: an owner's alone, streamed, under names nobody can choose."""

from __future__ import annotations

import csv
import io
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from temperbench.app.keep_book import copy_of
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.downloads import TABLES
from temperbench.foundation.errors import InputError
from unit.book.test_copies import content, fill
from unit.faces.web.clients import BASE, NOW_S, SECRETS, lan_client

PATHS = ["/book/backup", *(f"/book/export/{name}" for name, _ in TABLES)]
NOW_MS = int(NOW_S * 1000)
DAY = "2026-09-21"


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """Give a book with something in every table, and a folder of its own for what is passing."""
    (tmp_path / "passing").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "passing"))
    with Book.open(tmp_path / "kitchen.book") as opened:
        fill(opened)
        yield opened


@pytest.fixture
def web(book: Book) -> Iterator[TestClient]:
    """Give a client on the machine itself."""
    kitchen = Kitchen(book, lambda: NOW_MS)
    yield TestClient(create_app(kitchen, WebSettings(secrets=SECRETS)), base_url=BASE)
    kitchen.close()


def test_a_backup_is_complete_and_leaves_nothing_behind(web: TestClient, book: Book, tmp_path: Path) -> None:
    """What comes is put back as the same book; no copy stays in the folder for passing files."""
    answer = web.get("/book/backup")
    assert answer.headers["content-disposition"] == f'attachment; filename="kitchen-backup-{DAY}.book"'
    (tmp_path / "monday.book").write_bytes(answer.content)
    with Book.open(tmp_path / "other.book") as other:
        other.restore(tmp_path / "monday.book")
        assert content(other) == content(book)
    assert list((tmp_path / "passing").iterdir()) == []


def test_a_table_comes_as_csv_in_which_nothing_is_a_formula(web: TestClient, book: Book) -> None:
    """A device or a title named like a formula is text in a spreadsheet."""
    answer = web.get("/book/export/runs")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert {row["id"]: row["title"] for row in rows} == {"R1": "'=Saturday’s “milk”", "R2": "Dark"}
    assert book.run("R1") is not None
    happened = web.get("/book/export/happenings").content.decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(happened)) for cell in row]
    assert "'-phone" in cells
    assert [cell for cell in cells if re.match(r"[=+@\t\r]|-[^0-9]", cell)] == []


def test_an_export_holds_no_secrets(web: TestClient) -> None:
    """Everything as lines, but what pairs a device."""
    answer = web.get("/book/export/lines")
    assert answer.headers["content-disposition"] == f'attachment; filename="kitchen-lines-{DAY}.jsonl"'
    assert b'"stock_moves"' in answer.content
    assert b"hunter2" not in answer.content


def test_a_copy_is_a_file_and_not_memory(book: Book) -> None:
    """A large book is read in pieces from a file that is already unlinked."""
    copy = copy_of(book, "backup", NOW_MS)
    with copy.file as file:
        assert file.fileno() > 2
        assert file.read(16) == b"SQLite format 3\0"
    assert list(Path(tempfile.gettempdir()).iterdir()) == []


@pytest.mark.parametrize("path", PATHS)
def test_only_an_owner_takes_the_book(path: str) -> None:
    """A cook and a device that is not paired get nothing; an owner gets the file."""
    devices = lan_client()
    assert devices.get(path).status_code == 401
    for role, status in (("cook", 403), ("owner", 200)):
        assert devices.get(path, headers={"authorization": f"Bearer {role}-token"}).status_code == status
        assert devices.head(f"{path}/", headers={"authorization": "Bearer cook-token"}).status_code == 403


def test_a_cook_is_not_shown_the_way() -> None:
    """The keys are on the owner's page of the book only."""
    owner = lan_client().get("/book", headers={"authorization": "Bearer owner-token"}).text
    assert [path for path in PATHS if f'href="{path}"' not in owner] == []
    cook = lan_client().get("/book", headers={"authorization": "Bearer cook-token"}).text
    assert "/book/backup" not in cook


@pytest.mark.parametrize(
    "what", ["settings", "..", "../kitchen.book", "%2e%2e%2fkitchen.book", "runs.csv", "RUNS", "", "runs%00", "a" * 300]
)
def test_nothing_else_can_be_named(web: TestClient, book: Book, what: str, tmp_path: Path) -> None:
    """No path, no table of settings, no name of one's own: not found or refused, and nothing is written."""
    before = sorted(tmp_path.rglob("*"))
    answer = web.get(f"/book/export/{what}", follow_redirects=False)
    assert answer.status_code in {404, 422}
    assert b"hunter2" not in answer.content
    with pytest.raises(InputError):
        copy_of(book, what, NOW_MS)
    assert sorted(tmp_path.rglob("*")) == before
