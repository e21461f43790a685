"""A certificate made on this machine, for kitchens that want TLS on their own network."""

from __future__ import annotations

import importlib
import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from temperbench.foundation.errors import InputError

__all__ = ["CertificateFiles", "own_certificate"]

_VALID_DAYS = 397  # browsers refuse longer ones
_RENEW_DAYS = 30


@dataclass(frozen=True)
class CertificateFiles:
    """Where the authority, the certificate and its key are kept; only the authority goes onto tablets."""

    authority: Path
    certificate: Path
    key: Path


def own_certificate(folder: Path, names: Sequence[str], now: datetime | None = None) -> CertificateFiles:
    """Return a certificate for some names, signed by an authority of this kitchen's own; made when needed.

    Parameters
    ----------
    folder : Path
        Where the files are kept; keys are readable by their owner only. [-]
    names : Sequence[str]
        Addresses and names the server is reached by. [-]
    now : datetime | None
        The time, for tests. [-]

    Returns
    -------
    CertificateFiles
        The files. [-]
    """
    at = now or datetime.now(UTC)
    files = CertificateFiles(folder / "kitchen-ca.pem", folder / "kitchen-server.pem", folder / "kitchen-server.key")
    if not _is_good(files, names, at):
        _make(files, folder / "kitchen-ca.key", names, at)
    return files


def _library() -> tuple[Any, Any, Any, Any]:
    try:
        x509 = importlib.import_module("cryptography.x509")
        hashes = importlib.import_module("cryptography.hazmat.primitives.hashes")
        ec = importlib.import_module("cryptography.hazmat.primitives.asymmetric.ec")
        forms = importlib.import_module("cryptography.hazmat.primitives.serialization")
    except ImportError:
        raise InputError(
            "--tls", "not ready", "TLS with the package cryptography", "run pip install 'temperbench[tls]' first"
        ) from None
    return x509, hashes, ec, forms


def _wanted(x509: Any, names: Sequence[str]) -> list[Any]:
    found = []
    for name in dict.fromkeys(names):
        try:
            found.append(x509.IPAddress(ipaddress.ip_address(name)))
        except ValueError:
            found.append(x509.DNSName(name))
    return found


def _is_good(files: CertificateFiles, names: Sequence[str], at: datetime) -> bool:
    """Whether the kept certificate still holds for a while and for all the names."""
    if not (files.authority.exists() and files.certificate.exists() and files.key.exists()):
        return False
    x509, *_ = _library()
    kept = x509.load_pem_x509_certificate(files.certificate.read_bytes())
    covered = list(kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value)
    in_time = kept.not_valid_after_utc > at + timedelta(days=_RENEW_DAYS)
    return in_time and all(name in covered for name in _wanted(x509, names))


def _make(files: CertificateFiles, authority_key: Path, names: Sequence[str], at: datetime) -> None:
    x509, hashes, ec, forms = _library()

    def written(path: Path, key: Any) -> None:
        pem = key.private_bytes(forms.Encoding.PEM, forms.PrivateFormat.PKCS8, forms.NoEncryption())
        path.unlink(missing_ok=True)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as stream:
            stream.write(pem)

    def named(text: str) -> Any:
        return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, text)])

    def begun(subject: str, issuer: str, key: Any) -> Any:
        made = x509.CertificateBuilder().subject_name(named(subject)).issuer_name(named(issuer))
        made = made.public_key(key.public_key()).serial_number(x509.random_serial_number())
        return made.not_valid_before(at - timedelta(days=1)).not_valid_after(at + timedelta(days=_VALID_DAYS))

    ours = "temperbench kitchen authority"
    root_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    root = begun(ours, ours, root_key).add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    leaf = begun("temperbench kitchen", ours, key)
    leaf = leaf.add_extension(x509.SubjectAlternativeName(_wanted(x509, names)), critical=False)
    leaf = leaf.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    written(authority_key, root_key)
    written(files.key, key)
    files.authority.write_bytes(root.sign(root_key, hashes.SHA256()).public_bytes(forms.Encoding.PEM))
    files.certificate.write_bytes(leaf.sign(root_key, hashes.SHA256()).public_bytes(forms.Encoding.PEM))
