"""The WebSocket: the view at once, the heartbeat, two devices on one bowl."""

from __future__ import annotations

import pytest
from starlette.websockets import WebSocketDisconnect

from fake_kitchen import furnished
from temperbench.app.results import Happening
from unit.faces.web.clients import NOW_S, WIRE, client, tap

SEE = {"width": 358, "theme": "dark", "fahrenheit": False, "ounces": False}


def test_a_page_gets_its_bowl_at_once() -> None:
    """After saying how it sees, a device gets texts, key, clock and chart at its width."""
    with client() as devices, devices.websocket_connect(f"{WIRE}/demo-2") as socket:
        socket.send_json(SEE)
        found = socket.receive_json()
    assert (found["t"], found["verb"], found["act"]["kind"]) == ("view", "Draw", "stir")
    assert 'width="358"' in found["chart"]
    assert found["countdown"]["until_ms"] > found["countdown"]["from_ms"]


def test_the_server_is_heard_even_when_nothing_happens() -> None:
    """A heartbeat with the server's clock comes within its time."""
    with client(beat_s=0.05) as devices, devices.websocket_connect(f"{WIRE}/demo-2") as socket:
        beat = socket.receive_json()
    assert (beat["t"], beat["now_ms"] > 1_700_000_000_000) == ("beat", True)


def test_two_devices_see_the_same_bowl() -> None:
    """A tap of one is shown by the other without asking."""
    with (
        client() as devices,
        devices.websocket_connect(f"{WIRE}/demo-3") as one,
        devices.websocket_connect(f"{WIRE}/demo-3") as other,
    ):
        one.send_json(SEE)
        other.send_json({**SEE, "fahrenheit": True})
        before = (one.receive_json(), other.receive_json())
        devices.post("/api/runs/demo-3/happenings", json=tap(seconds=20.0))
        after = (one.receive_json(), other.receive_json())
    assert [view["count"] for view in before] == [4, 4]
    assert [(view["count"], view["kind"]) for view in after] == [(5, "stir"), (5, "stir")]
    assert (after[0]["now"].count("°C"), after[1]["now"].count("°F")) == (1, 1)


def test_a_tap_taken_by_another_server_is_shown() -> None:
    """The page gets the view though nobody told this server, before the next heartbeat is due."""
    kitchen = furnished(lambda: NOW_S)
    with client(kitchen) as devices, devices.websocket_connect(f"{WIRE}/demo-3") as one:
        one.send_json(SEE)
        before = one.receive_json()
        kitchen.tap("demo-3", Happening("tap-0009", "burst", int(NOW_S * 1000) + 5000, seconds=20.0), "elsewhere")
        after = one.receive_json()
    assert [(found["t"], found["count"]) for found in (before, after)] == [("view", 4), ("view", 5)]


def test_an_unknown_bowl_is_said_and_closed() -> None:
    """The page learns that there is no such bowl instead of waiting."""
    with client() as devices, devices.websocket_connect(f"{WIRE}/none") as socket:
        socket.send_json(SEE)
        with pytest.raises(WebSocketDisconnect) as closed:
            socket.receive_json()
    assert closed.value.code == 4404


@pytest.mark.parametrize("message", ["", "[]", '{"width": -1}', '{"width": 300, "theme": "neon"}', "x" * 2000])
def test_what_cannot_be_read_closes_the_line(message: str) -> None:
    """A broken message ends the connection, not the server."""
    with client() as devices:
        with devices.websocket_connect(f"{WIRE}/demo-2") as socket:
            socket.send_text(message)
            with pytest.raises(WebSocketDisconnect) as closed:
                socket.receive_json()
        assert devices.get("/").status_code == 200
    assert closed.value.code == 4400


def test_every_page_says_that_the_book_cannot_be_written() -> None:
    """The banner is on the pages and on the wire for as long as it holds, and only then."""
    kitchen = furnished(lambda: NOW_S)
    devices = client(kitchen)
    for words in ("Nothing can be kept now: disk is full.", ""):
        kitchen.fault = words
        with devices.websocket_connect(f"{WIRE}/demo-3") as line:
            line.send_json({"width": 600})
            assert line.receive_json()["banner"] == words
        page = devices.get("/book").text
        assert ("disk is full" in page, 'role="alert" hidden' in page) == (bool(words), not words)
