"""How a kitchen is served: this machine only unless asked, a code for tablets, a certificate of its own."""

from __future__ import annotations

import socket
import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography import x509

from temperbench.faces.cli.main import main
from temperbench.faces.web.pairing import pairing_address
from temperbench.faces.web.server import greeting, listening, settings_for
from temperbench.faces.web.tls import own_certificate
from temperbench.foundation.errors import InputError


def test_only_this_machine_unless_asked(tmp_path: Path) -> None:
    """Without --lan the server listens on the loopback address and refuses any other."""
    assert settings_for(tmp_path).host == "127.0.0.1"
    with pytest.raises(InputError, match="--lan"):
        settings_for(tmp_path, host="0.0.0.0")


def test_a_taken_port_is_said_before_anything_is_done(tmp_path: Path) -> None:
    """Whoever listens there already is named as the cause, with code 2; no address is shown and no book is made."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        book = tmp_path / "new" / "kitchen.book"
        said = CliRunner().invoke(main, ["serve", "--demo", "--port", port, "--book", str(book)])
    assert (said.exit_code, said.stdout) == (2, "")
    assert said.stderr.startswith(f"--port: {port} is not usable; allowed is a port of this machine that is free; ")
    assert "--port 8461" in said.stderr
    assert not book.parent.exists()


def test_two_kitchens_never_listen_at_one_port() -> None:
    """The port is taken from the first moment, also while the first kitchen is not served yet."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    with listening(None, port) as first:
        assert first.getsockname() == ("127.0.0.1", port)
        with pytest.raises(InputError) as fault:
            listening(None, port)
    assert fault.value.field == "--port"
    with listening(None, port) as again:
        assert again.getsockname()[1] == port


@pytest.mark.parametrize("host", ["192.0.2.1", "no such place", "a" * 300])
def test_an_address_of_another_machine_is_refused(host: str) -> None:
    """What cannot be listened on is the address, not the port."""
    with pytest.raises(InputError) as fault:
        listening(host, 8460, lan=True)
    assert fault.value.field == "--host"


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
