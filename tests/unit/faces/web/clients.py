"""Clients of the web application over the kitchen in memory."""

from __future__ import annotations

from typing import Any

from fastapi.testclient import TestClient

from fake_kitchen import FakeKitchen, furnished
from temperbench.faces.web import Secrets, WebSettings, create_app

__all__ = ["BASE", "SECRETS", "WIRE", "client", "lan_client", "tap"]

BASE = "http://127.0.0.1:8460"
WIRE = "ws://127.0.0.1:8460/wire"  # the test client knows another name for sockets
SECRETS = Secrets("owner-token", "cook-token", "key-of-the-kitchen")
NOW_S = 1_790_000_000.0


def client(kitchen: FakeKitchen | None = None, **settings: Any) -> TestClient:
    """Return a client on the machine itself, over a furnished kitchen."""
    made = WebSettings(secrets=SECRETS, **settings)
    return TestClient(create_app(kitchen or furnished(lambda: NOW_S), made), base_url=BASE)


def lan_client(**settings: Any) -> TestClient:
    """Return a client on another device of the local network."""
    made = WebSettings(lan=True, secrets=SECRETS, **settings)
    app = create_app(furnished(lambda: NOW_S), made)
    return TestClient(app, base_url="http://192.168.1.20:8460", client=("192.168.1.77", 50000))


def tap(kind: str = "burst", key: str = "tap-0001", **what: Any) -> dict[str, Any]:
    """Return the JSON of a tap."""
    return {"id": key, "kind": kind, "pressed_ms": int(NOW_S * 1000) + 5000, **what}
