"""Starts a real PostgreSQL server from Debian's binaries, for tests: a private one, reached by a socket only."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg

__all__ = ["NoServer", "new_schema", "server"]

_START_S = 60


class NoServer(Exception):
    """PostgreSQL cannot be started here; the text says why."""


def _program(name: str) -> str:
    places = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    found = next((str(place / name) for place in places if (place / name).exists()), shutil.which(name))
    if found is None:
        raise NoServer(f"no {name}: install Debian's package postgresql")
    return found


def _other_user() -> dict[str, Any]:
    """Name the user to run as: PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return {}
    for name in ("postgres", "nobody"):
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}
    raise NoServer("run as root, and there is no user postgres or nobody to start it as")


@contextmanager
def server() -> Iterator[Path]:
    """Start a server with an empty cluster and give the folder of its socket; stop it at the end."""
    initdb, postgres = _program("initdb"), _program("postgres")
    who = _other_user()
    folder = Path(tempfile.mkdtemp(prefix="book-pg-"))
    try:
        if who:
            os.chown(folder, who["user"], who["group"])
        env = {"PATH": os.environ.get("PATH", ""), "HOME": str(folder), "LC_ALL": "C"}
        data = str(folder / "data")
        asked = [initdb, "-D", data, "-U", "book", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"]
        made = subprocess.run(asked, env=env, cwd=folder, capture_output=True, text=True, check=False, **who)
        if made.returncode:
            raise NoServer(f"initdb failed: {made.stderr.strip()[-300:]}")
        log = folder / "log"
        with log.open("wb") as file:
            asked = [postgres, "-D", data, "-k", str(folder), "-c", "listen_addresses=", "-c", "fsync=off"]
            running = subprocess.Popen(asked, env=env, cwd=folder, stdout=file, stderr=file, **who)
        try:
            _wait(running, folder, log)
            yield folder
        finally:
            running.send_signal(signal.SIGQUIT)  # at once: nothing of it is needed any more
            running.wait(_START_S)
    finally:
        shutil.rmtree(folder)


def _wait(running: subprocess.Popen[bytes], folder: Path, log: Path) -> None:
    until = time.monotonic() + _START_S
    while True:
        try:
            psycopg.connect(host=str(folder), user="book", dbname="postgres").close()
            return
        except psycopg.OperationalError as error:
            if running.poll() is not None or time.monotonic() > until:
                raise NoServer(f"it did not start: {log.read_text()[-300:]} {error}") from error
            time.sleep(0.05)


def new_schema(folder: Path, name: str) -> str:
    """Make an empty schema, which is far cheaper than a database, and return a URL whose tables live in it."""
    with psycopg.connect(host=str(folder), user="book", dbname="postgres", autocommit=True) as connection:
        connection.execute(f'CREATE SCHEMA "{name}"')
    return f"postgresql://book@/postgres?host={folder}&options=-csearch_path%3D{name}"
