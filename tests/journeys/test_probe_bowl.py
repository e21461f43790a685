"""A bowl with a thermometer probe in it, on the real kitchen: by REST with a token, by MQTT with a real broker."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from fastapi.testclient import TestClient

from mqtt_broker import HOST, running_broker
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.faces.feed.settings import FeedSettings, MqttSettings, ProbeSettings, Topic
from temperbench.faces.web import WebSettings, create_app
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw

BASE = "http://127.0.0.1:8460"
JOB = {"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0, "bowl": "plastic", "bowl_g": 220.0}
NOISE_K, PARTICLES, START = 0.15, 200, 1_773_480_413_000


class Played:
    """A bowl that lives in the past few minutes: a true one, the kitchen's, and a probe that shows the true one."""

    def __init__(self, folder: Path, settings: FeedSettings | None = None) -> None:
        self.now_ms = START
        self.kitchen = Kitchen(Book.open(folder / "kitchen.book"), self.clock, particles=PARTICLES)
        self.app = create_app(self.kitchen, WebSettings(folder=folder), settings, self.clock)
        self.truth = Bowls(draw(know(BowlJob(**JOB)).setup, 1, np.random.default_rng(4)))
        self.rng = np.random.default_rng(5)
        self.taps = 0

    def clock(self) -> int:
        """Return the time, which passes only when something happens."""
        return self.now_ms

    def begin(self, web: TestClient) -> str:
        """Start the bowl and return its id."""
        self.web = web
        started = web.post("/api/runs", json={"job": JOB, "pressed_ms": self.now_ms})
        self.run: str = started.json()["run_id"]
        return self.run

    def act(self, kind: str, seconds: float) -> None:
        """Burst or stir, and tap it."""
        getattr(self.truth, kind)(seconds)
        self.now_ms += int(1000 * seconds)
        self.taps += 1
        tap = {"id": f"tap-{self.taps}", "kind": kind, "pressed_ms": self.now_ms, "seconds": seconds}
        assert self.web.post(f"/api/runs/{self.run}/happenings", json=tap).status_code == 200

    def shown(self, seconds: int) -> Iterator[str]:
        """Let a stirred minute pass; give what a probe without a bias says each five seconds of it, at 1 Hz."""
        for _ in range(seconds // 5):
            said = []
            for _ in range(5):
                self.truth.stir(1.0)
                self.now_ms += 1000
                celsius = float(self.truth.temperature()[0] + self.rng.normal(0.0, NOISE_K))
                said.append({"celsius": round(celsius, 1), "at": self.now_ms, "bowl": self.run})
            yield json.dumps(said)

    def readings(self) -> list[Any]:
        """Return the readings in the book, with the device each came from."""
        steps = self.kitchen.run_record(self.run).happenings
        return [(one.happening.celsius, one.device) for one in steps if one.happening.kind == "reading"]


@contextmanager
def playing(folder: Path, settings: FeedSettings | None = None) -> Iterator[Played]:
    """Give a served bowl; shut the kitchen at the end."""
    one = Played(folder, settings)
    try:
        with TestClient(one.app, base_url=BASE) as web:
            one.begin(web)
            yield one
    finally:
        one.kitchen.close()
        one.kitchen.book.close()


def until(wanted: Callable[[], object]) -> None:
    """Wait until something is so; fail when it never is."""
    end = time.monotonic() + 20.0
    while not wanted():
        assert time.monotonic() < end
        time.sleep(0.05)


def heard(bowl: Played) -> int | None:
    """Return the time of the last message of the only probe, UTC ms; None before the first."""
    when: int | None = bowl.web.get("/api/probes").json()["probes"][0]["now_ms"]
    return when


def width(view: dict[str, Any]) -> float:
    """Return the width of the band of the bowl's temperature."""
    return float(view["now_c"]["high"] - view["now_c"]["low"])


def test_a_probe_by_rest_narrows_the_bowl_without_swamping_it(tmp_path: Path) -> None:
    """Token, place, streams at 1 Hz: a reading every 20 s, none across the stir, and a band that holds the truth."""
    with playing(tmp_path) as bowl:
        token = re.search(r"p1\.[\w-]{20,}", bowl.web.post("/devices/probes", data={"name": "p1"}).text)
        assert token is not None
        probe = TestClient(bowl.app, base_url=BASE, headers={"authorization": f"Bearer {token[0]}"})
        assert bowl.web.post("/api/probes/p1/bowl", json={"bowl": bowl.run}).status_code == 200
        bowl.act("burst", 55.0)
        sent = [probe.post("/api/probes/p1/readings", content=said).json() for said in bowl.shown(15)]
        bowl.act("stir", 25.0)
        wide = width(bowl.web.get(f"/api/runs/{bowl.run}").json())
        sent += [probe.post("/api/probes/p1/readings", content=said).json() for said in bowl.shown(75)]
        assert sent == [{"taken": 5, "refused": []}] * 18
        view = bowl.web.get(f"/api/runs/{bowl.run}").json()
        true = float(bowl.truth.temperature()[0])
        assert [device for _, device in bowl.readings()] == ["probe p1"] * 3
        assert (width(view) < 0.6 * wide, view["now_c"]["low"] <= true <= view["now_c"]["high"]) == (True, True)
        status = bowl.web.get("/api/probes").json()["probes"][0]
        assert (status["state"], status["bowl"], status["trouble"]) == ("ok", bowl.run, None)


def test_a_probe_by_mqtt_reaches_the_bowl(tmp_path: Path) -> None:
    """The listener runs with the application: what is published is in the book, and the broker is said on the kit."""
    with running_broker(tmp_path) as broker:
        topics = (Topic("kitchen/+/celsius", level=2),)
        settings = FeedSettings({"p2": ProbeSettings()}, MqttSettings(HOST, topics, broker.port))
        with playing(tmp_path, settings) as bowl:
            until(lambda: bowl.web.get("/api/probes").json()["channels"][0]["ok"])
            bowl.act("burst", 50.0)
            bowl.act("stir", 25.0)
            for said in bowl.shown(45):
                broker.publish("kitchen/p2/celsius", said)
                until(lambda now=bowl.now_ms: (heard(bowl) or 0) >= now - 5000)
            until(lambda: len(bowl.readings()) == 2)
            assert {device for _, device in bowl.readings()} == {"probe p2"}
            assert f"Listening to the broker {HOST}" in bowl.web.get("/kit").text
