"""Brings a book's layout up to date, inside one transaction of the book's own connection."""

from __future__ import annotations

import threading

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import Script, ScriptDirectory
from sqlalchemy import Connection, inspect, text

from temperbench.book.errors import BookDamaged, BookNewer
from temperbench.book.tables import METADATA

__all__ = ["needs_upgrade", "newest", "revision_of", "steps", "upgrade"]

_ONE_AT_A_TIME = threading.Lock()  # Alembic keeps its present context in a module
_POSTGRES_LOCK = 7_402_135_511  # any number, the same in every process of ours


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", "temperbench.book:migrations")
    return config


def steps() -> list[Script]:
    """Return the steps of the layout this release knows, the newest first."""
    return list(ScriptDirectory.from_config(_config()).walk_revisions())


def newest() -> str:
    """Return the revision this release writes."""
    return steps()[0].revision


def revision_of(connection: Connection) -> str | None:
    """Return the revision a database is at; None when it has no layout yet."""
    return MigrationContext.configure(connection).get_current_revision()


def needs_upgrade(connection: Connection, place: str, *, fresh: bool = True) -> bool:
    """Tell whether a database is behind this release; one ahead of it, or not ours, raises an error.

    An empty database is one to be laid out, unless ``fresh`` says that there must be a book already.
    """
    found = revision_of(connection)
    if found == newest():
        return False
    if found is None:
        tables = set(inspect(connection).get_table_names())
        # A server's database may be shared with others; a file with tables of others is somebody else's.
        strange = tables if connection.dialect.name == "sqlite" else tables & set(METADATA.tables)
        if strange or not fresh:
            raise BookDamaged(place, "no batch book is in it")
        return True
    if found not in {step.revision for step in steps()}:
        raise BookNewer(place, f"revision {found}")
    return True


def upgrade(connection: Connection, place: str) -> bool:
    """Run what is missing in the transaction of ``connection``, and tell whether anything was.

    Of several processes that open the same new book at once, the first does the work and the others find it done:
    on SQLite the transaction is a writing one from its start, on PostgreSQL a lock is taken for its length.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _POSTGRES_LOCK})
    if not needs_upgrade(connection, place):
        return False
    config = _config()
    config.attributes["connection"] = connection
    with _ONE_AT_A_TIME:
        command.upgrade(config, "head")
    if connection.dialect.name == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if broken is not None:
            raise BookDamaged(place, f"a row of {broken[0]} belongs to nothing")
    return True
