"""Probes of a served kitchen: put into bowls, shown on pages, listened to while the application runs."""

from __future__ import annotations

from typing import Any

import pytest
from fastapi.testclient import TestClient

from fake_kitchen import FakeKitchen, furnished
from temperbench.faces.feed.settings import FeedSettings, ProbeSettings, SerialSettings
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.probes import STILL
from temperbench.insight import estimation
from unit.faces.web.clients import BASE, NOW_S, WIRE, client, tap

READINGS, BOWL = "/api/probes/p1/readings", "/api/probes/p1/bowl"


def state(devices: TestClient) -> dict[str, Any]:
    """Return how the first probe is."""
    found: dict[str, Any] = devices.get("/api/probes").json()["probes"][0]
    return found


def test_what_acts_on_a_bowl_is_the_same_for_filter_and_feed() -> None:
    """Each happening that changes a believed bowl, and none that tells of it, ends what its probes showed before."""
    assert [kind for kind in STILL if kind in estimation.ACTS] == []
    assert [kind for kind in estimation.TELLS if kind not in STILL] == []


def test_a_probe_is_put_into_a_bowl_and_taken_out() -> None:
    """By a cook, into a bowl that is in the book; a bowl that is not there is said so."""
    devices = client()
    devices.post(READINGS, json={"celsius": 31.4})
    assert devices.post(BOWL, json={"bowl": "demo-3"}).json() == {"bowl": "demo-3"}
    assert state(devices)["bowl"] == "demo-3"
    assert devices.post(BOWL, json={"bowl": "none"}).status_code == 404
    devices.post(BOWL, json={"bowl": None})
    assert state(devices)["bowl"] is None


def test_a_finished_bowl_lets_its_probe_go() -> None:
    """Nobody has to take it out on the screen."""
    devices = client()
    devices.post(BOWL, json={"bowl": "demo-3"})
    devices.post("/api/runs/demo-3/happenings", json=tap("finished"))
    assert state(devices)["bowl"] is None


def test_after_a_restart_a_probe_is_where_it_was() -> None:
    """The place of a probe is kept by the kitchen, also when a message told it."""
    kitchen = furnished(lambda: NOW_S)
    client(kitchen).post(READINGS, json={"celsius": 31.4, "bowl": "demo-3"})
    again = state(client(kitchen))
    assert (again["probe"], again["bowl"], again["state"]) == ("p1", "demo-3", "dead")


def test_pages_say_how_a_probe_is() -> None:
    """The live page has it in its first view and on its wire, the kit in words; in the units of the device."""
    devices = client()
    devices.post(READINGS, json={"celsius": 31.4, "bowl": "demo-3"})
    devices.cookies.set("temperbench_look", "auto.F.g")
    with devices.websocket_connect(f"{WIRE}/demo-3", headers={"origin": BASE}) as line:
        line.send_json({"width": 600, "fahrenheit": True})
        (probe,) = line.receive_json()["probes"]
    assert (probe["word"], probe["now"], probe["here"], probe["fine"]) == ("fine", "88.5 °F", True, True)
    assert "&#34;here&#34;: true" in devices.get("/bowls/demo-3").text
    kit = devices.get("/kit").text
    assert [word for word in ("88.5 °F", ">fine<", "in “1000 g house dark, bars”") if word not in kit] == []


@pytest.mark.parametrize(("sent", "word"), [("88.5", "wrong unit"), ("55.5", "out of range")])
def test_what_is_wrong_is_said(sent: str, word: str) -> None:
    """A probe whose readings are held back says why on the page of its bowl."""
    devices = client()
    devices.post(BOWL, json={"bowl": "demo-3"})
    for _ in range(3):
        devices.post(READINGS, content=sent)
    kit = devices.get("/kit").text
    assert (f'<span class="ill">{word}</span>' in kit, "held back" in kit) == (True, True)


def test_a_stuck_probe_is_held_back() -> None:
    """One that never moves a digit gives no more readings after ten minutes, and the kit says why."""
    clock, kitchen = [int(NOW_S * 1000)], furnished(lambda: NOW_S)
    app = create_app(kitchen, WebSettings(writes_at_once=100), clock_ms=lambda: clock[0])
    devices = TestClient(app, base_url=BASE)
    devices.post(BOWL, json={"bowl": "demo-3"})
    counts = []
    for _ in range(14):
        said = [{"celsius": "31", "at": clock[0] + 10_000 * i} for i in range(1, 7)]
        clock[0] += 60_000
        devices.post(READINGS, json=said)
        counts.append(sum(one.device == "probe p1" for one in kitchen.run_record("demo-3").happenings))
    assert (counts[9] > 20, counts[10]) == (True, counts[13])
    assert state(devices)["state"] == "stuck"
    assert "without moving a digit" in devices.get("/kit").text


def test_lines_are_listened_to_while_the_application_runs() -> None:
    """A serial line of the settings is opened with the application and closed with it; both are said."""
    settings = FeedSettings({"p1": ProbeSettings()}, serial=(SerialSettings("/nowhere/port"),))
    app = create_app(FakeKitchen(), WebSettings(), settings)
    with TestClient(app, base_url=BASE) as devices:
        kit = devices.get("/kit").text
        assert "port /nowhere/port" in kit
    (line,) = TestClient(app, base_url=BASE).get("/api/probes").json()["channels"]
    assert (line["ok"], line["sentence"]) == (False, "The port /nowhere/port is closed.")
