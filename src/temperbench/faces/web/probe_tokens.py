"""Tokens of thermometer probes, one for each: shown once when issued, kept as digests, withdrawn by name."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import threading
from pathlib import Path

from temperbench.faces.feed.message import checked_name
from temperbench.foundation.errors import InputError

__all__ = ["ProbeTokens"]

_FILE = "probe-tokens.json"
_BYTES = 24


class ProbeTokens:
    """Issues, knows and withdraws tokens. Threads may share it."""

    def __init__(self, folder: Path | None = None) -> None:
        """Read what is kept in a folder; without one nothing outlives the process."""
        self._path = None if folder is None else folder / _FILE
        self._lock = threading.Lock()
        self._digests = {} if self._path is None else _read(self._path)

    def issue(self, name: str) -> str:
        """Return a new token for a probe, in place of the one it had; raise `InputError` for a name that is none."""
        token = f"{checked_name('probe', name)}.{secrets.token_urlsafe(_BYTES)}"
        with self._lock:
            self._keep({**self._digests, name: _digest(token)})
        return token

    def withdraw(self, name: str) -> None:
        """Let the token of a probe be worth nothing from now on."""
        with self._lock:
            self._keep({known: digest for known, digest in self._digests.items() if known != name})

    def names(self) -> list[str]:
        """Return the probes that have a token."""
        return sorted(self._digests)

    def name_of(self, token: str) -> str | None:
        """Return whose token this is; None when it is nobody's."""
        name = token.partition(".")[0]
        known = self._digests.get(name, "")
        return name if hmac.compare_digest(known, _digest(token)) else None

    def _keep(self, digests: dict[str, str]) -> None:
        """Put the file in place whole, for its owner alone, and only then go by it."""
        if self._path is not None:
            part = self._path.with_suffix(".part")
            part.unlink(missing_ok=True)
            descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(descriptor, "w", encoding="utf-8") as stream:
                json.dump(digests, stream)
                stream.flush()
                os.fsync(stream.fileno())
            part.replace(self._path)
        self._digests = digests


def _digest(token: str) -> str:
    """A token has 192 random bits: one round of a hash hides it well enough."""
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()


def _read(path: Path) -> dict[str, str]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except ValueError:
        found = None
    if not isinstance(found, dict) or not all(isinstance(one, str) for one in found.values()):
        remedy = "move the file away; every probe then needs a new token"
        raise InputError("probe tokens", str(path), "the file this program wrote", remedy)
    return {str(name): digest for name, digest in found.items()}
