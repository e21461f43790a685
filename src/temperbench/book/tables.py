"""The tables of the book, the same for SQLite and PostgreSQL. Changed only together with a new migration."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)  # fmt: skip

from temperbench.book.moments import checked_ms

__all__ = [
    "JSON_COLUMNS", "METADATA", "MOMENT_COLUMNS", "NAMES", "SECRET", "Moment", "happenings", "kit", "kit_versions",
    "lots", "runs", "settings", "stock_moves",
]  # fmt: skip

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
METADATA = MetaData(naming_convention=NAMES)
SECRET = "secret."  # settings whose key starts so never leave by an export


class Moment(TypeDecorator[int]):
    """A moment in whole milliseconds since 1970, UTC. Nothing else goes in: no float, no date, no text."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:
        """Refuse what is not such a moment."""
        del dialect
        return None if value is None else checked_ms("moment", value)


def _id(name: str = "id") -> Column[str]:
    return Column(name, Text, primary_key=True)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _ms(name: str, *, nullable: bool = False) -> Column[int]:
    return Column(name, Moment, nullable=nullable)


runs = Table(
    "runs", METADATA,
    _id(), _text("title"), _text("found_by"), _text("job"), _text("state"), _ms("created_ms"),
    Index(None, "created_ms", "id"),
)  # fmt: skip

happenings = Table(
    "happenings", METADATA,
    _id(),
    Column("run_id", Text, ForeignKey("runs.id"), nullable=False),
    Column("seq", Integer, nullable=False),
    _text("kind"), _ms("pressed_ms"), _ms("arrived_ms"), _text("device"), _text("payload"),
    Column("advice", Text, nullable=False, server_default="{}"),
    UniqueConstraint("run_id", "seq"),
    CheckConstraint("seq >= 1", name="seq"),
)  # fmt: skip

kit = Table(
    "kit", METADATA,
    _id(), _text("kind"), _text("name"), _text("state"), _ms("created_ms"),
)  # fmt: skip

kit_versions = Table(
    "kit_versions", METADATA,
    _id(),
    Column("thing_id", Text, ForeignKey("kit.id"), nullable=False),
    Column("version", Integer, nullable=False),
    _text("source"), _text("learnt"), _text("conditions"),
    Column("run_id", Text, ForeignKey("runs.id")),
    _ms("learnt_ms"), _ms("arrived_ms"),
    UniqueConstraint("thing_id", "version"),
    CheckConstraint("version >= 1", name="version"),
)  # fmt: skip

lots = Table(
    "lots", METADATA,
    _id(), _text("code"), _text("name"), _text("composition"), _ms("received_ms"),
    _ms("best_before_ms", nullable=True), _text("allergens"),
    Column("price_minor", BigInteger), Column("currency", Text),
    Index(None, "code"),
)  # fmt: skip

stock_moves = Table(
    "stock_moves", METADATA,
    _id(),
    Column("lot_id", Text, ForeignKey("lots.id"), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("milligrams", BigInteger, nullable=False),
    _text("reason"),
    Column("run_id", Text, ForeignKey("runs.id")),
    _ms("pressed_ms"), _ms("arrived_ms"), _text("device"),
    UniqueConstraint("lot_id", "seq"),
    CheckConstraint("seq >= 1", name="seq"),
)  # fmt: skip

settings = Table(
    "settings", METADATA,
    _id("key"), _text("value"), _ms("changed_ms"),
)  # fmt: skip

JSON_COLUMNS = {
    "runs": ("job",),
    "happenings": ("payload", "advice"),
    "kit": (),
    "kit_versions": ("learnt", "conditions"),
    "lots": ("composition", "allergens"),
    "stock_moves": (),
    "settings": ("value",),
}
MOMENT_COLUMNS = {
    name: tuple(c.name for c in METADATA.tables[name].c if c.name.endswith("_ms")) for name in JSON_COLUMNS
}
