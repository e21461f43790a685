"""Serving the application: where it can be reached, the square code for tablets, and a quiet log."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable
from pathlib import Path

import segno
import uvicorn

from temperbench.faces.feed.settings import FeedSettings
from temperbench.faces.web.app import create_app
from temperbench.faces.web.door import Door
from temperbench.faces.web.pairing import pairing_address
from temperbench.faces.web.settings import WebSettings, kept_secrets
from temperbench.faces.web.tls import own_certificate
from temperbench.foundation.errors import InputError

__all__ = ["greeting", "lan_address", "listening", "run_server", "settings_for"]

_STOP_S = 2
_WAITING = 2048  # connections that may wait until they are served
_NOT_HERE = {errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT}


def lan_address() -> str:
    """Return this machine's own address on the local network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation: a route is chosen, no packet leaves
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def _listened(host: str | None, *, lan: bool) -> str:
    """Return the address to listen on, if it may be one."""
    listen = host or ("0.0.0.0" if lan else "127.0.0.1")
    if not lan and listen not in ("127.0.0.1", "::1"):
        raise InputError("--host", listen, "127.0.0.1 without --lan", "add --lan to let other devices in")
    return listen


def settings_for(
    folder: Path, *, host: str | None = None, port: int = 8460, lan: bool = False, tls: bool = False
) -> WebSettings:
    """Return the settings of a server whose record book lives in a folder.

    Parameters
    ----------
    folder : Path
        Where secrets and certificate are kept. [-]
    host : str | None
        Address to listen on; None for this machine only, or for all its addresses with ``lan``. [-]
    port : int
        Port. [-]
    lan : bool
        Whether other devices may come in. [-]
    tls : bool
        Whether it is served over TLS with a locally made certificate. [-]

    Returns
    -------
    WebSettings
        For `create_app`. [-]
    """
    listen = _listened(host, lan=lan)
    outside = lan_address() if lan else "127.0.0.1"
    address = f"{'https' if tls else 'http'}://{outside}:{port}"
    return WebSettings(listen, port, lan, tls, address, (outside,), kept_secrets(folder), folder=folder)


def listening(host: str | None, port: int, *, lan: bool = False) -> socket.socket:
    """Return a socket that listens, before anything else is done: whoever connects waits until it is served.

    Parameters
    ----------
    host : str | None
        Address, as for `settings_for`. [-]
    port : int
        Port. [-]
    lan : bool
        Whether other devices may come in. [-]

    Returns
    -------
    socket.socket
        Open; a taken port or an address of another machine raises `InputError`. [-]
    """
    listen = _listened(host, lan=lan)
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(listen, port, type=socket.SOCK_STREAM)[0]
    except (OSError, UnicodeError):
        raise InputError("--host", listen, "an address of this machine", "leave it out") from None
    door = socket.socket(family, kind, protocol)
    try:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # the port of a server that has just ended is free
        door.bind(place)
        door.listen(_WAITING)
    except OSError as error:
        door.close()
        raise _not_free(error, listen, port) from None
    return door


def _not_free(error: OSError, host: str, port: int) -> InputError:
    if error.errno in _NOT_HERE:
        return InputError("--host", host, "an address of this machine", "leave it out")
    if error.errno == errno.EACCES:
        return InputError("--port", port, "1024 to 65535 for this user", "leave it out for 8460")
    remedy = "stop what listens there, perhaps a kitchen served already, or name another, such as --port 8461"
    return InputError("--port", port, "a port of this machine that is free", remedy)


def run_server(
    kitchen: Door,
    settings: WebSettings,
    folder: Path,
    *,
    door: socket.socket,
    feed: FeedSettings | None = None,
    say: Callable[[str], None] = print,
) -> None:
    """Serve a kitchen until it is stopped.

    Parameters
    ----------
    kitchen : Door
        The application's kitchen. [-]
    settings : WebSettings
        From `settings_for`. [-]
    folder : Path
        Where the certificate is kept. [-]
    door : socket.socket
        From `listening`; closed in the end. [-]
    feed : FeedSettings | None
        Of thermometer probes. [-]
    say : Callable[[str], None]
        Where the address and the square code are written. [-]
    """
    files = own_certificate(folder, [*settings.names, "127.0.0.1"]) if settings.secure else None
    config = uvicorn.Config(
        create_app(kitchen, settings, feed), host=settings.host, port=settings.port, workers=1, access_log=False,
        proxy_headers=False, server_header=False, log_level="warning", timeout_graceful_shutdown=_STOP_S,
        ws="websockets-sansio", ws_max_size=4096,
        ssl_certfile=str(files.certificate) if files else None, ssl_keyfile=str(files.key) if files else None,
    )  # fmt: skip
    for line in greeting(settings):
        say(line)
    uvicorn.Server(config).run(sockets=[door])


def greeting(settings: WebSettings) -> list[str]:
    """Return what is written at the start: the address, and for other devices how to pair them."""
    own = settings.host.replace("0.0.0.0", "127.0.0.1")
    lines = [f"The kitchen is at {'https' if settings.secure else 'http'}://{own}:{settings.port}"]
    if settings.lan:
        square = segno.make(pairing_address(settings.address, settings.secrets.cook), error="m", micro=False)
        lines += ["Scan this with a tablet or phone to pair it as a cook:", _blocks(square), settings.address]
        lines.append("Owners are paired from the page Devices on this machine.")
    return lines


def _blocks(square: segno.QRCode) -> str:
    """Return a square code in half blocks, light on dark or dark on light alike."""
    rows = [[bool(cell) for cell in row] for row in square.matrix_iter(border=2)]
    rows += [[False] * len(rows[0])] * (len(rows) % 2)
    signs = {(True, True): " ", (True, False): "▄", (False, True): "▀", (False, False): "█"}
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join("".join(signs[cells] for cells in zip(top, low, strict=True)) for top, low in pairs)
