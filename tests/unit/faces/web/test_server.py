"""How a kitchen is served: this machine only unless asked, a code for tablets, a certificate of its own."""

from __future__ import annotations

import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from temperbench.faces.web.pairing import pairing_address
from temperbench.faces.web.server import greeting, settings_for
from temperbench.faces.web.tls import own_certificate
from temperbench.foundation.errors import InputError


def test_only_this_machine_unless_asked(tmp_path: Path) -> None:
    """Without --lan the server listens on the loopback address and refuses any other."""
    assert settings_for(tmp_path).host == "127.0.0.1"
    with pytest.raises(InputError, match="--lan"):
        settings_for(tmp_path, host="0.0.0.0")


def test_a_tablet_is_shown_a_code(tmp_path: Path) -> None:
    """With --lan the greeting has the address, and the token stands only in the square code."""
    settings = settings_for(tmp_path, lan=True, tls=True)
    said = "\n".join(greeting(settings))
    assert settings.host == "0.0.0.0"
    assert settings.address.startswith("https://")
    assert "█" in said
    assert settings.secrets.cook not in said


def test_the_token_stands_where_no_server_sees_it() -> None:
    """A browser does not send what follows the #."""
    assert pairing_address("http://192.0.2.5:8460", "to/ken") == "http://192.0.2.5:8460/pair#to/ken"


def test_the_certificate_is_for_this_machine_and_kept(tmp_path: Path) -> None:
    """It names the addresses, its key is private, it loads, and it is made again only when needed."""
    now = datetime(2026, 5, 1, tzinfo=UTC)
    files = own_certificate(tmp_path, ["127.0.0.1", "192.0.2.5"], now)
    content = files.certificate.read_bytes()
    names = x509.load_pem_x509_certificate(content).extensions.get_extension_for_class(x509.SubjectAlternativeName)
    assert sorted(map(str, names.value.get_values_for_type(x509.IPAddress))) == ["127.0.0.1", "192.0.2.5"]
    assert files.key.stat().st_mode & 0o077 == 0
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(files.certificate, files.key)
    assert content == own_certificate(tmp_path, ["127.0.0.1"], now + timedelta(days=300)).certificate.read_bytes()
    assert content != own_certificate(tmp_path, ["127.0.0.1"], now + timedelta(days=380)).certificate.read_bytes()
