"""How the web face is run: where it listens, who may do what, and how fast anyone may press."""

from __future__ import annotations

import json
import os
import secrets
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path

from temperbench.foundation.errors import InputError

__all__ = ["ROLES", "Secrets", "WebSettings", "kept_secrets"]

ROLES = ("cook", "owner")  # of paired devices; a probe has a token of its own instead
_FILE = "web-secrets.json"
_BYTES = 24


def _made() -> str:
    return secrets.token_urlsafe(_BYTES)


@dataclass(frozen=True)
class Secrets:
    """Pairing tokens of the roles and the key that signs passes. Never shown by `repr`."""

    owner: str = field(default_factory=_made, repr=False)
    cook: str = field(default_factory=_made, repr=False)
    key: str = field(default_factory=_made, repr=False)


@dataclass(frozen=True)
class WebSettings:
    """Everything `create_app` needs to know beside the kitchen."""

    host: str = "127.0.0.1"
    port: int = 8460
    lan: bool = False  # other devices may come in, each paired by a token first
    secure: bool = False  # served over TLS
    address: str = ""  # how other devices reach it, such as http://192.168.1.20:8460
    names: tuple[str, ...] = ()  # further names and addresses this server is reached by
    secrets: Secrets = field(default_factory=Secrets, repr=False)
    beat_s: float = 5.0  # the server's heartbeat on every WebSocket
    silence_s: float = 12.0  # a device that hears nothing for so long says so and connects again
    retry_most_s: float = 10.0  # longest pause of a device between two attempts
    writes_per_s: float = 8.0  # per device, steadily
    writes_at_once: int = 80  # per device, after a quiet time: a full queue of taps comes at once
    pairings_per_minute: int = 6
    pass_days: int = 90
    folder: Path | None = None  # where tokens of probes are kept; None: nowhere


def kept_secrets(folder: Path) -> Secrets:
    """Return the secrets kept in a folder, made at the first call, so that paired devices stay paired.

    Parameters
    ----------
    folder : Path
        Where the record book lives. [-]

    Returns
    -------
    Secrets
        The same ones at every call. [-]
    """
    path = folder / _FILE
    try:
        kept = dict(json.loads(path.read_text(encoding="utf-8")))
        return Secrets(**{one.name: kept[one.name] for one in fields(Secrets)})
    except FileNotFoundError:
        made = Secrets()
    except (ValueError, TypeError, KeyError):
        remedy = "move the file away; every device then has to be paired again"
        raise InputError("secrets", str(path), "the file this program wrote", remedy) from None
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as stream:
        json.dump(asdict(made), stream)
    return made
