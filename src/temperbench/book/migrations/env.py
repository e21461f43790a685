"""Run by Alembic: takes the open connection, and leaves commit and rollback to who opened it."""

from alembic import context

from temperbench.book.tables import METADATA

__all__: list[str] = []

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
