"""What ``temperbench serve`` does: open the book, serve the kitchen, say where it is."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from temperbench import __version__
from temperbench.app.open_kitchen import furnish_demo, open_kitchen
from temperbench.app.results import BurstPlan, MethodPlan
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.feed.settings_file import read_feed_file
from temperbench.faces.paper import card_pdf, method_card_pdf
from temperbench.faces.web import run_server
from temperbench.faces.web.server import listening, settings_for
from temperbench.foundation.errors import InputError

__all__ = ["run"]


def _print(plan: BurstPlan | MethodPlan, page: str) -> bytes:
    today = datetime.date.today()
    if isinstance(plan, BurstPlan):
        return card_pdf(plan, page=page, made_on=today, version=__version__)
    return method_card_pdf(plan, page=page, made_on=today, version=__version__)


def run(*, host: str | None, port: str, lan: bool, tls: bool, book: str, demo: bool, feed: str | None) -> None:
    """Serve a kitchen until it is stopped.

    Parameters
    ----------
    host : str | None
        Address to listen on. [-]
    port : str
        Port, as written. [-]
    lan : bool
        Whether other devices may come in. [-]
    tls : bool
        Whether to serve over TLS. [-]
    book : str
        Path of the book or a PostgreSQL URL. [-]
    demo : bool
        Whether to furnish an empty kitchen of our own invention. [-]
    feed : str | None
        Path of the settings of thermometer probes. [-]
    """
    if not (port.isascii() and port.isdigit()) or not 1 <= int(port) <= 65535:
        raise InputError("--port", port, "1 to 65535", "leave it out for 8460")
    probes = None if feed is None else read_feed_file(Path(feed).expanduser())
    with listening(host, int(port), lan=lan) as door:  # first: a taken port is said before anything is done
        folder = Path.cwd() if "://" in book else Path(book).expanduser().resolve().parent
        folder.mkdir(parents=True, exist_ok=True)
        kitchen = open_kitchen(book if "://" in book else str(Path(book).expanduser()), _print)
        try:
            if demo:
                with Waiting():
                    furnish_demo(kitchen)
            settings = settings_for(folder, host=host, port=int(port), lan=lan, tls=tls)
            run_server(kitchen, settings, folder, door=door, feed=probes, say=click.echo)
        finally:
            kitchen.close()
