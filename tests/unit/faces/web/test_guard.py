"""Who may come in: names, origins, roles, pairing, pace, size and headers."""

from __future__ import annotations

import logging
import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from fake_kitchen import FakeKitchen
from temperbench.faces.web import Secrets, kept_secrets
from temperbench.faces.web.access import PASS, Access
from temperbench.faces.web.guard import HEADERS, LARGEST_BODY, Pace
from temperbench.faces.web.settings import WebSettings
from unit.faces.web.clients import BASE, SECRETS, WIRE, client, lan_client, tap

URL = "/api/runs/demo-3/happenings"


def bearer(token: str) -> dict[str, str]:
    """Return the header of a token."""
    return {"authorization": f"Bearer {token}"}


def test_every_answer_carries_the_headers() -> None:
    """Pages, files, refusals and errors alike say what a browser may do: only our own."""
    devices = client()
    for path in ("/", "/api/runs", "/bowls/none", "/fonts/regular.ttf"):
        answer = devices.get(path)
        assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    assert "default-src 'self'" in HEADERS["content-security-policy"]
    assert "unsafe" not in HEADERS["content-security-policy"]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"origin": BASE}, 200),
        ({}, 200),
        ({"origin": "http://elsewhere.example"}, 403),
        ({"origin": "null"}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"origin": "http://127.0.0.1:9999"}, 403),
    ],
)
def test_writes_come_from_our_own_pages(headers: dict[str, str], status: int) -> None:
    """A POST from another page is refused; a program that is no browser passes."""
    assert status == client().post(URL, json=tap(seconds=3.0), headers=headers).status_code


def test_a_socket_from_another_page_is_refused() -> None:
    """A WebSocket whose origin is not ours never opens."""
    with (
        pytest.raises(WebSocketDisconnect),
        client().websocket_connect(f"{WIRE}/demo-3", headers={"origin": "http://elsewhere.example"}),
    ):
        pass


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.20", "a@127.0.0.1", ""])
def test_foreign_names_are_refused(host: str) -> None:
    """A name that merely points at this machine does not open it."""
    assert client().get("/", headers={"host": host}).status_code == 421


def test_other_devices_need_a_pass() -> None:
    """Without pairing a page leads to the pairing page and the interface answers 401."""
    devices = lan_client()
    page = devices.get("/", headers={"accept": "text/html"}, follow_redirects=False)
    assert (page.status_code, page.headers["location"]) == (303, "/pair")
    assert devices.get("/api/runs").status_code == 401
    assert devices.get("/pair").status_code == 200


@pytest.mark.parametrize(("role", "kit"), [("cook", 403), ("owner", 201)])
def test_pairing_gives_the_role_of_the_token(role: str, kit: int) -> None:
    """A cook taps and starts bowls; only an owner changes the kit."""
    devices = lan_client()
    paired = devices.post("/pair", data={"token": f"{role}-token"}, follow_redirects=False)
    cookie = paired.headers["set-cookie"]
    assert ("HttpOnly" in cookie, "SameSite=strict" in cookie) == (True, True)
    assert devices.post(URL, json=tap(seconds=3.0)).status_code == 200
    assert kit == devices.post("/api/kit/bowl", json={"name": "B", "facts": {}}).status_code
    assert devices.get("/devices").status_code == (200 if role == "owner" else 403)


@pytest.mark.parametrize("kind", ["", "wrong", "probe"])
def test_other_tokens_do_not_pair(kind: str) -> None:
    """A wrong token, and a probe's, gives no pass."""
    devices = lan_client()
    answer = devices.post("/pair", data={"token": probe_token(devices) if kind == "probe" else kind})
    assert (answer.status_code, "set-cookie" in answer.headers) == (403, False)


def test_pairing_attempts_are_limited() -> None:
    """The seventh attempt of a minute is refused."""
    devices = lan_client()
    found = [devices.post("/pair", data={"token": "guess"}).status_code for _ in range(7)]
    assert found == [403] * 6 + [429]


def probe_token(devices: TestClient, name: str = "p1") -> str:
    """Return a token for a probe, as an owner sees it on the page of devices."""
    page = devices.post("/devices/probes", data={"name": name}, headers=bearer("owner-token"))
    found = re.search(rf"{name}\.[\w-]{{20,}}", page.text)
    assert found is not None
    return found[0]


def test_probes_send_readings_only() -> None:
    """A probe's token opens its own readings and how the probes are, nothing else."""
    devices = lan_client()
    own = bearer(probe_token(devices))
    sent = [
        devices.post("/api/probes/p1/readings", json={"celsius": 31.0}, headers=own),
        devices.get("/api/probes", headers=own),
        devices.post("/api/probes/p2/readings", json={"celsius": 31.0}, headers=own),
        devices.post("/api/probes/p1/bowl", json={"bowl": "demo-3"}, headers=own),
        devices.post(URL, json=tap("reading", celsius=31.0), headers=own),
        devices.get("/api/kit", headers=own),
    ]
    assert [one.status_code for one in sent] == [200, 200, 401, 403, 403, 403]


def test_a_token_is_shown_once_and_ends_when_withdrawn(tmp_path: Path) -> None:
    """It outlives a restart, only its digest is kept, a new one takes its place, and withdrawn it is worth nothing."""
    devices = lan_client(folder=tmp_path)
    token = probe_token(devices)
    assert token not in devices.get("/devices", headers=bearer("owner-token")).text
    kept = tmp_path / "probe-tokens.json"
    assert (token in kept.read_text(), token.split(".")[1] in kept.read_text()) == (False, False)
    assert kept.stat().st_mode & 0o077 == 0
    again = lan_client(folder=tmp_path)
    assert again.get("/api/probes", headers=bearer(token)).status_code == 200
    newer = probe_token(again)
    assert again.get("/api/probes", headers=bearer(token)).status_code == 401
    again.post("/devices/probes/withdraw", data={"name": "p1"}, headers=bearer("owner-token"))
    assert again.get("/api/probes", headers=bearer(newer)).status_code == 401


@pytest.mark.parametrize("name", ["", "a b", "ü", "x" * 41, "../etc"])
def test_a_probe_has_a_plain_name(name: str) -> None:
    """What cannot be a name gets no token, in one sentence."""
    answer = lan_client().post("/devices/probes", data={"name": name}, headers=bearer("owner-token"))
    assert (answer.status_code, "1 to 40 letters" in answer.text) == (422, True)


def test_a_flooding_probe_takes_nobody_s_place() -> None:
    """Presses of a probe are counted apart from those of whoever sits at the same address."""
    devices = lan_client(writes_at_once=2, writes_per_s=0.01)
    own, cook = bearer(probe_token(devices)), bearer("cook-token")
    flood = [devices.post("/api/probes/p1/readings", json=31.0, headers=own).status_code for _ in range(3)]
    assert flood == [200, 200, 429]
    assert devices.post(URL, json=tap(seconds=3.0), headers=cook).status_code == 200


def test_a_wrong_bearer_is_refused_even_on_the_machine_itself() -> None:
    """A token that is given must be right."""
    assert client().get("/api/runs", headers=bearer("wrong")).status_code == 401


def test_presses_are_limited_and_come_back() -> None:
    """A flood is told to wait; after a moment there is room again."""
    now = [0.0]
    pace = Pace(2.0, 3, lambda: now[0])
    assert [pace.allows("a") for _ in range(4)] == [True, True, True, False]
    assert pace.allows("b")
    now[0] = 0.6
    assert [pace.allows("a"), pace.allows("a")] == [True, False]


def test_a_flood_of_taps_gets_429_with_a_time() -> None:
    """The interface says when to try again."""
    devices = client(writes_at_once=2, writes_per_s=0.01)
    answers = [devices.post(URL, json=tap(key=f"tap-000{i}", seconds=1.0)) for i in range(3)]
    assert [a.status_code for a in answers] == [200, 200, 429]
    assert answers[-1].headers["retry-after"] == "2"


def test_large_bodies_are_refused() -> None:
    """More than a form or a tap can hold is not read."""
    answer = client().post(URL, content=b"x" * (LARGEST_BODY + 1))
    assert answer.status_code == 413


PERSON = {"accept": "text/html,application/xhtml+xml"}


def test_a_person_reads_a_sentence_on_a_page() -> None:
    """What is refused before any page is reached is told on a page too; a program gets the same in JSON."""
    devices = client(writes_at_once=1, writes_per_s=0.01)
    devices.post(URL, json=tap(seconds=1.0))
    page, program = devices.get("/methods", headers=PERSON), devices.get("/methods")
    assert page.status_code == program.status_code == 429
    assert page.headers["retry-after"] == program.headers["retry-after"] == "2"
    assert page.headers["content-type"].startswith("text/html")
    assert program.json()["message"] in page.text
    assert "<h1>That did not work</h1>" in page.text
    large = client().post("/start", content=b"x" * (LARGEST_BODY + 1), headers=PERSON)
    assert large.status_code == 413
    assert "Too much was sent at once." in large.text
    foreign = client().get("/", headers={"host": "elsewhere.example", **PERSON})
    assert foreign.headers["content-type"].startswith("text/plain")
    assert foreign.text == "This server is not known by that name."


@pytest.mark.parametrize("path", ["/", "/api/runs"])
def test_a_fault_of_ours_is_told_in_a_sentence(
    path: str, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error nobody foresaw gives no traceback and no bare words, keeps the headers, and is in the log."""

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("unforeseen")

    monkeypatch.setattr(FakeKitchen, "runs", fail)
    answer = client(FakeKitchen(lambda: 1.0)).get(path, headers=PERSON)
    assert answer.status_code == 500
    assert "Something went wrong here" in answer.text
    assert "unforeseen" not in answer.text
    assert answer.headers["x-frame-options"] == HEADERS["x-frame-options"]
    assert "unforeseen" in caplog.text


def test_passes_end_and_cannot_be_forged() -> None:
    """A pass holds until its day, for its role only."""
    now = [1000.0]
    access = Access(WebSettings(lan=True, secrets=SECRETS), lambda: now[0])
    given = access.new_pass("cook")

    def role(value: str) -> str | None:
        scope = {"type": "http", "headers": [(b"cookie", f"{PASS}={value}".encode())], "client": ("10.0.0.9", 1)}
        return access.role_of(scope)

    assert role(given) == "cook"
    assert role(given.replace("cook", "owner")) is None
    assert role("cook.99999999999.") is None
    now[0] += 91 * 86400
    assert role(given) is None


def test_secrets_stay_the_same_and_to_themselves(tmp_path: Path) -> None:
    """They are kept in a file only its owner reads, and are not shown when printed."""
    first, second = kept_secrets(tmp_path), kept_secrets(tmp_path)
    assert first == second
    assert (tmp_path / "web-secrets.json").stat().st_mode & 0o077 == 0
    assert first.owner not in repr(first)
    assert first.owner not in repr(WebSettings(secrets=first))
    assert Secrets() != Secrets()


def test_no_secret_reaches_the_log(caplog: pytest.LogCaptureFixture) -> None:
    """Pairing, tapping with a token and being refused write no token and no pass."""
    caplog.set_level(logging.DEBUG)
    devices = lan_client()
    devices.post("/pair", data={"token": "owner-token"}, follow_redirects=False)
    token = probe_token(devices)
    devices.post("/api/probes/p1/readings", json={"celsius": 31.0}, headers=bearer(token))
    devices.post("/api/probes/p2/readings", json={"celsius": 31.0}, headers=bearer(token))
    given = devices.cookies[PASS]
    assert [word for word in ("owner-token", token, given) if word in caplog.text] == []
