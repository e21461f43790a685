"""Migrations of the book, run by Alembic with the book's own connection whenever a book is opened."""

__all__: list[str] = []
