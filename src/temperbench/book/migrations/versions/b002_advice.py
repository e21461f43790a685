"""The advice on screen before each happening is kept with it, and runs are found by the lot they used."""

import json
import unicodedata

import sqlalchemy as sa
from alembic import op

__all__ = ["branch_labels", "depends_on", "down_revision", "downgrade", "revision", "upgrade"]

revision = "b002"
down_revision = "b001"
branch_labels = None
depends_on = None

_LOTS = sa.table("lots", sa.column("id", sa.Text()), sa.column("code", sa.Text()), sa.column("name", sa.Text()))
_RUNS = sa.table("runs", sa.column("id", sa.Text()), sa.column("found_by", sa.Text()), sa.column("job", sa.Text()))


def _folded(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _lot_of(job: str) -> str | None:
    try:
        things = json.loads(job).get("things")
    except (ValueError, AttributeError):  # a damaged row is for the integrity check to tell
        return None
    found = things.get("lot") if isinstance(things, dict) else None
    return found if isinstance(found, str) else None


def upgrade() -> None:
    """Add the column, and the words of the lot to the runs that are there."""
    op.add_column("happenings", sa.Column("advice", sa.Text(), nullable=False, server_default="{}"))
    connection = op.get_bind()
    words = {row.id: _folded(f"{row.code} {row.name}") for row in connection.execute(sa.select(_LOTS))}
    for run in connection.execute(sa.select(_RUNS)).all():
        more = words.get(_lot_of(run.job) or "")
        if more:
            longer = sa.update(_RUNS).where(_RUNS.c.id == run.id).values(found_by=f"{run.found_by} {more}")
            connection.execute(longer)


def downgrade() -> None:
    """Take the column away again; words to search by may stay."""
    op.drop_column("happenings", "advice")
