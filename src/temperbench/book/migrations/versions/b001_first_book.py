"""The first layout: runs, happenings, kit and what was learnt of it, lots and their stock, settings."""

import sqlalchemy as sa
from alembic import op

__all__ = ["branch_labels", "depends_on", "down_revision", "downgrade", "revision", "upgrade"]

revision = "b001"
down_revision = None
branch_labels = None
depends_on = None


def _text(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text(), nullable=False) for name in names]


def _ms(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger(), nullable=nullable)


def _key(table: str, column: str = "id") -> sa.PrimaryKeyConstraint:
    return sa.PrimaryKeyConstraint(column, name=op.f(f"pk_{table}"))


def _belongs(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}"))


def _counted(table: str, owner: str, number: str) -> list[sa.Constraint]:
    return [
        sa.UniqueConstraint(owner, number, name=op.f(f"uq_{table}_{owner}_{number}")),
        sa.CheckConstraint(f"{number} >= 1", name=op.f(f"ck_{table}_{number}")),
    ]


def upgrade() -> None:
    """Make the tables."""
    op.create_table("runs", *_text("id", "title", "found_by", "job", "state"), _ms("created_ms"), _key("runs"))
    op.create_index(op.f("ix_runs_created_ms_id"), "runs", ["created_ms", "id"])
    op.create_table(
        "happenings",
        *_text("id", "run_id"), sa.Column("seq", sa.Integer(), nullable=False), *_text("kind"),
        _ms("pressed_ms"), _ms("arrived_ms"), *_text("device", "payload"),
        _key("happenings"), _belongs("happenings", "run_id", "runs"), *_counted("happenings", "run_id", "seq"),
    )  # fmt: skip
    op.create_table("kit", *_text("id", "kind", "name", "state"), _ms("created_ms"), _key("kit"))
    op.create_table(
        "kit_versions",
        *_text("id", "thing_id"), sa.Column("version", sa.Integer(), nullable=False),
        *_text("source", "learnt", "conditions"), sa.Column("run_id", sa.Text()),
        _ms("learnt_ms"), _ms("arrived_ms"),
        _key("kit_versions"), _belongs("kit_versions", "thing_id", "kit"),
        _belongs("kit_versions", "run_id", "runs"), *_counted("kit_versions", "thing_id", "version"),
    )  # fmt: skip
    op.create_table(
        "lots",
        *_text("id", "code", "name", "composition"), _ms("received_ms"), _ms("best_before_ms", nullable=True),
        *_text("allergens"), sa.Column("price_minor", sa.BigInteger()), sa.Column("currency", sa.Text()),
        _key("lots"),
    )  # fmt: skip
    op.create_index(op.f("ix_lots_code"), "lots", ["code"])
    op.create_table(
        "stock_moves",
        *_text("id", "lot_id"), sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("milligrams", sa.BigInteger(), nullable=False), *_text("reason"), sa.Column("run_id", sa.Text()),
        _ms("pressed_ms"), _ms("arrived_ms"), *_text("device"),
        _key("stock_moves"), _belongs("stock_moves", "lot_id", "lots"),
        _belongs("stock_moves", "run_id", "runs"), *_counted("stock_moves", "lot_id", "seq"),
    )  # fmt: skip
    op.create_table("settings", *_text("key", "value"), _ms("changed_ms"), _key("settings", "key"))


def downgrade() -> None:
    """Take the tables away again."""
    for table in ("settings", "stock_moves", "lots", "kit_versions", "kit", "happenings", "runs"):
        op.drop_table(table)
