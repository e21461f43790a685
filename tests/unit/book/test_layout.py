"""Opening a book: its layout, its durability, and what is refused."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, select, text
from sqlalchemy.exc import StatementError

from temperbench.book import migrate
from temperbench.book.book import Book
from temperbench.book.errors import BookDamaged, BookNewer, BookReadOnly, BookUnreachable
from temperbench.book.rows import Entry, Run
from temperbench.book.store import open_store, used_elsewhere
from temperbench.book.tables import METADATA, runs, settings
from temperbench.foundation.errors import InputError


def test_migrations_make_the_tables_the_code_expects(where: str) -> None:
    """From nothing, the migrations give exactly the tables, columns, keys and names of the code."""
    store = open_store(where, "OFF", 5)
    with store.reading() as connection:
        assert migrate.revision_of(connection) == migrate.newest()
        context = MigrationContext.configure(connection, opts={"compare_type": True, "render_as_batch": True})
        assert compare_metadata(context, METADATA) == []
        look = inspect(connection)
        for table in METADATA.tables.values():
            keys = {key["name"] for key in look.get_foreign_keys(table.name)}
            assert keys == {key.constraint.name for key in table.foreign_keys if key.constraint is not None}
            assert look.get_pk_constraint(table.name)["name"] == f"pk_{table.name}"
            checks = {str(check["name"]) for check in look.get_check_constraints(table.name)}
            assert checks == {str(c.name) for c in table.constraints if str(c.name).startswith("ck_")}
    store.close()


def test_a_book_of_today_is_left_alone(where: str) -> None:
    """Opening a book whose layout is up to date changes nothing in it."""
    Book.open(where).close()
    store = open_store(where, "OFF", 5)
    with store.reading() as connection:
        before = sorted(inspect(connection).get_table_names())
    with store.writing() as connection:
        assert migrate.upgrade(connection, where) is False
    with store.reading() as connection:
        assert sorted(inspect(connection).get_table_names()) == before
    store.close()


def test_every_migration_can_be_taken_back(where: str) -> None:
    """Down to nothing and up again gives the same book."""
    store = open_store(where, "OFF", 5)
    steps = migrate.steps()
    with store.writing() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "target_metadata": METADATA})
        with Operations.context(context):
            for step in steps:
                step.module.downgrade()
            assert set(inspect(connection).get_table_names()) & set(METADATA.tables) == set()
            for step in reversed(steps):
                step.module.upgrade()
        assert compare_metadata(context, METADATA) == []
    store.close()


def test_a_book_of_the_first_layout_is_brought_up_to_date(where: str) -> None:
    """Its happenings have no advice, its runs are found by the lot they used, and nothing else is changed."""
    store = open_store(where, "OFF", 5)
    with store.writing() as connection:
        context = MigrationContext.configure(connection)
        with Operations.context(context):
            migrate.steps()[0].module.downgrade()
        connection.execute(text("UPDATE alembic_version SET version_num = 'b001'"))
        connection.execute(
            text("INSERT INTO lots VALUES ('L1', 'Ｌ-0412', 'House Dark', '{}', 1, NULL, '[]', NULL, NULL)")
        )
        for key, job in (("R1", '{"things":{"lot":"L1"}}'), ("R2", '{"things":{"lot":"L9"}}'), ("R3", "{}")):
            values = {"id": key, "job": job}
            connection.execute(text("INSERT INTO runs VALUES (:id, 'Bars', 'bars', :job, 'running', 1)"), values)
        connection.execute(text("INSERT INTO happenings VALUES ('E1', 'R1', 1, 'burst', 2, 3, 'phone', '{}')"))
    store.close()
    with Book.open(where) as book:
        assert [(row.id, dict(row.advice)) for row in book.happenings("R1")] == [("E1", {})]
        assert [run.id for run in book.runs("l-0412 HOUSE")] == ["R1"]
        assert [run.id for run in book.runs("bars")] == ["R3", "R2", "R1"]
        assert book.check() == []


def test_a_book_that_somebody_has_open_is_known(where: str) -> None:
    """Before the first opening and after the last closing nobody has it; in between somebody has, idle or not."""
    assert not used_elsewhere(where)
    one = Book.open(where)
    other = Book.open(where)
    assert used_elsewhere(where)
    one.close()
    assert used_elsewhere(where)
    other.add_run(Run("R1", "Milk", {}))
    other.close()
    until = time.monotonic() + 10  # a server's session ends a moment after it is closed
    while used_elsewhere(where) and time.monotonic() < until:
        time.sleep(0.05)
    assert not used_elsewhere(where)
    with Book.open(where) as again:
        assert [run.id for run in again.runs()] == ["R1"]


def test_a_migration_that_fails_leaves_no_trace(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A layout is made as a whole: when a step fails, the next opening starts from nothing and succeeds."""
    real = migrate.command.upgrade

    def fail_late(config: Config, revision: str) -> None:
        real(config, revision)
        raise RuntimeError("the power failed")

    with monkeypatch.context() as patch:
        patch.setattr(migrate.command, "upgrade", fail_late)
        with pytest.raises(RuntimeError, match="the power failed"):
            Book.open(where)
    with Book.open(where) as book:
        assert book.check() == []


def test_a_file_is_kept_safely(tmp_path: Path) -> None:
    """A log written ahead, the disk waited for, rows tied to their owners: on every connection."""
    store = open_store(tmp_path / "book.sqlite", "FULL", 5)
    for _ in range(3):
        with store.writing() as connection:
            asked = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in
                     ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")}  # fmt: skip
            assert asked == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000}
        store.writer.dispose()
    store.close()


def test_columns_of_moments_take_moments_only(where: str) -> None:
    """Even below the checks of the book, a date or a broken number cannot get into such a column."""
    store = open_store(where, "OFF", 5)
    with pytest.raises(StatementError, match="whole milliseconds"), store.writing() as connection:
        connection.execute(settings.insert().values(key="k", value="1", changed_ms=1.5))
    store.close()


def test_a_read_sees_one_state_of_the_book(where: str) -> None:
    """What another writer adds while somebody reads is not in that reading, and he does not have to wait."""
    store = open_store(where, "OFF", 5)
    with Book.open(where) as book:
        book.add_run(Run("R1", "Milk", {}))
        with store.reading() as connection:
            assert connection.execute(select(runs.c.id)).scalars().all() == ["R1"]
            book.add_run(Run("R2", "Milk", {}))
            assert connection.execute(select(runs.c.id)).scalars().all() == ["R1"]
    store.close()


def test_a_book_of_a_later_release_is_refused(where: str) -> None:
    """A layout this release does not know is not touched."""
    Book.open(where).close()
    store = open_store(where, "OFF", 5)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = 'b999'"))
    store.close()
    with pytest.raises(BookNewer, match=r"b999.*install that release"):
        Book.open(where)


def test_a_file_that_is_no_book_is_refused(tmp_path: Path) -> None:
    """A text, a damaged file and somebody else's database are refused and left as they are."""
    other = tmp_path / "other.sqlite"
    connection = sqlite3.connect(other)
    connection.execute("CREATE TABLE recipes (id)")
    connection.close()
    for path, content in ((tmp_path / "text", b"Dear diary, " * 100), (other, other.read_bytes())):
        path.write_bytes(content)
        with pytest.raises(BookDamaged):
            Book.open(path)
    assert (tmp_path / "text").read_bytes() == b"Dear diary, " * 100
    connection = sqlite3.connect(other)
    assert connection.execute("SELECT name FROM sqlite_master").fetchall() == [("recipes",)]
    connection.close()


@pytest.mark.parametrize(
    "place",
    ["", ":memory:", "mysql://x@y/z", "sqlite:///x", "postgresql://x:y@z:port/w", "x://"],
    ids=lambda place: place or "-",
)
def test_other_places_are_refused(place: str) -> None:
    """Only a file or PostgreSQL can be a book."""
    with pytest.raises(InputError):
        Book.open(place)


def test_a_folder_is_no_book(tmp_path: Path) -> None:
    """A folder in the place of the file, or none around it, is told."""
    with pytest.raises(InputError, match="inside this folder"):
        Book.open(tmp_path)
    with pytest.raises(BookUnreachable):
        Book.open(tmp_path / "none" / "book.sqlite")


def test_a_server_that_is_not_there_is_told_without_the_password(tmp_path: Path) -> None:
    """The sentence names the server and keeps the password to itself."""
    with pytest.raises(BookUnreachable) as caught:
        Book.open(f"postgresql://anna:hunter2@/book?host={tmp_path}")
    assert "anna" in str(caught.value)
    assert "hunter2" not in f"{caught.value} {caught.value.place}"


def test_a_server_that_takes_no_writes_is_read_only(postgres: object) -> None:
    """A database that only takes reads gives a book that can be read and refuses to write."""
    assert callable(postgres)
    where = str(postgres())
    with Book.open(where) as book:
        book.add_run(Run("R1", "Milk", {}))
    with Book.open(f"{where}%20-cdefault_transaction_read_only%3Don") as book:
        assert [run.id for run in book.runs()] == ["R1"]
        with pytest.raises(BookReadOnly):
            book.append("R1", [Entry("E1", "stir", 1)])
        assert book.happenings("R1") == []
