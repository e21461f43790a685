"""What ``temperbench book`` does: backup, restore, export, check."""

from __future__ import annotations

from pathlib import Path

import click

from temperbench.app.keep_book import backup_book, check_book, export_book, restore_book

__all__ = ["backup", "check", "export", "restore"]

_FAULTY = 2


def _place(book: str) -> str:
    return book if "://" in book or "\0" in book else str(Path(book).expanduser())


def backup(*, book: str, file: str) -> None:
    """Write a complete copy of the book.

    Parameters
    ----------
    book : str
        Path of the book or a PostgreSQL URL. [-]
    file : str
        Path of the new file. [-]
    """
    click.echo(f"Written: {backup_book(_place(book), file)}", err=True)


def restore(*, book: str, file: str, replace: bool) -> None:
    """Put a backup back.

    Parameters
    ----------
    book : str
        Path of the book or a PostgreSQL URL. [-]
    file : str
        Path of the backup. [-]
    replace : bool
        Whether what is in the book may be replaced. [-]
    """
    count = restore_book(_place(book), file, replace=replace)
    click.echo(f"Restored: {count} rows from {file}", err=True)


def export(*, book: str, file: str, table: str | None, run: str | None) -> None:
    """Write a table or the whole book as text.

    Parameters
    ----------
    book : str
        Path of the book or a PostgreSQL URL. [-]
    file : str
        Path of the new file. [-]
    table : str | None
        Which table. [-]
    run : str | None
        Id of one run. [-]
    """
    count = export_book(_place(book), file, table, run)
    click.echo(f"Written: {file}, {count} rows", err=True)


def check(*, book: str) -> int:
    """Say what is wrong in the book.

    Parameters
    ----------
    book : str
        Path of the book or a PostgreSQL URL. [-]

    Returns
    -------
    int
        Exit code: 0 when it is sound, else 2. [-]
    """
    found = check_book(_place(book))
    for one in found:
        click.echo(f"{one.table} {one.id}: {one.text}".replace(" :", ":"))
    if not found:
        click.echo("The book is sound.")
        return 0
    click.echo("Keep the file as it is, and restore the last backup into another book.", err=True)
    return _FAULTY
