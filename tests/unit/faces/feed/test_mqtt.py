"""MQTT against a real broker, Debian's mosquitto: topics, passwords, an outage, a clean stop."""

from __future__ import annotations

import logging
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from mqtt_broker import HOST, PASSWORD, PLACES, Broker, running_broker
from temperbench.faces.feed.message import Shape
from temperbench.faces.feed.mqtt import MqttFeed
from temperbench.faces.feed.pipeline import Feed
from temperbench.faces.feed.settings import FeedSettings, MqttSettings, ProbeSettings, Topic
from unit.faces.feed.kitchen import Clock, Door, until

TOPICS = (
    Topic("kitchen/+/celsius", level=2),
    Topic("old/+/t", level=2, shape=Shape(value="t", unit="F")),
    Topic("named"),
    Topic("only", probe="p1"),
)


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    """Give a broker that runs."""
    with running_broker(tmp_path) as one:
        yield one


class Listening:
    """A feed that listens to a broker for as long as the block lasts."""

    def __init__(self, broker: Broker, **more: str) -> None:
        self.door, self.clock = Door(), Clock()
        probes = {name: ProbeSettings(bowl="run-1") for name in ("p1", "p2")}
        self.feed = Feed(self.door, FeedSettings(probes), self.clock)
        self.mqtt = MqttFeed(self.feed, MqttSettings(HOST, TOPICS, broker.port, longest_wait_s=2.0, **more))

    def __enter__(self) -> Listening:
        self.mqtt.start()
        return self

    def __exit__(self, *fault: object) -> None:
        self.mqtt.stop()

    def word(self) -> tuple[bool, str]:
        (channel,) = self.feed.status().channels
        return channel.ok, channel.sentence

    def now_c(self, probe: str) -> float | None:
        return {one.probe: one.now_c for one in self.feed.status().probes}[probe]


def test_topics_say_whose_and_how(broker: Broker) -> None:
    """Name from a level of the topic, from the message or from the settings; each topic with its own keys."""
    with Listening(broker) as one:
        until(lambda: one.word()[0])
        broker.publish("kitchen/p1/celsius", "31.4")
        until(lambda: one.now_c("p1") == 31.4)
        one.clock.now += 60_000
        broker.publish("old/p2/t", '{"t": 89.6}')
        until(lambda: one.now_c("p2") == 32.0)
        one.clock.now += 60_000
        broker.publish("named", '{"probe": "p2", "celsius": "32,4"}')
        until(lambda: one.now_c("p2") == 32.4)
        broker.publish("only", "31,1")
        until(lambda: one.now_c("p1") == 31.1)


def test_a_stream_reaches_the_bowl(broker: Broker) -> None:
    """Messages stamped over a minute become readings of the bowl."""
    with Listening(broker) as one:
        until(lambda: one.word()[0])
        start = one.clock.now - 60_000
        messages = [f'{{"celsius": {34 - 0.1 * (i % 2):.1f}, "at": {start + 1000 * i}}}' for i in range(61)]
        broker.publish("only", "[" + ",".join(messages) + "]")
        until(lambda: len(one.door.came) == 3)


def test_nonsense_does_not_stop_the_thread(broker: Broker) -> None:
    """Refused messages, topics with names that are none, then a good one: the good one arrives."""
    with Listening(broker) as one:
        until(lambda: one.word()[0])
        broker.publish("kitchen/p 1/celsius", "31.4")
        broker.publish("only", "", "hot", '{"celsius": []}', "31.4")
        until(lambda: one.now_c("p1") == 31.4)
        status = one.feed.status()
        assert (status.refused, status.probes[0].refused) == (1, 3)


def test_kept_messages_are_left_alone(broker: Broker) -> None:
    """A message the broker kept may be hours old: it is not taken for the present."""
    broker.publish("only", "45.0", retain=True)
    with Listening(broker) as one:
        until(lambda: one.word()[0])
        broker.publish("kitchen/p2/celsius", "31.4")
        until(lambda: one.now_c("p2") == 31.4)
        assert one.now_c("p1") is None


def test_an_outage_is_said_and_ends_by_itself(broker: Broker) -> None:
    """The broker goes and comes back: said, connected again, and messages arrive."""
    with Listening(broker) as one:
        until(lambda: one.word()[0])
        broker.stop()
        until(lambda: not one.word()[0])
        assert "trying again" in one.word()[1]
        broker.start()
        until(lambda: one.word()[0], 15)
        broker.publish("only", "31.4")
        until(lambda: one.now_c("p1") == 31.4)


def test_a_broker_that_is_not_there_yet_is_waited_for(broker: Broker) -> None:
    """Started before the broker: said, and listening once it is there."""
    broker.stop()
    with Listening(broker) as one:
        until(lambda: "cannot be reached" in one.word()[1])
        broker.start()
        until(lambda: one.word()[0], 15)


def test_passwords_open_the_broker_and_are_in_no_log(
    broker: Broker, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """The right one listens, a wrong one is refused and said; neither is logged, shown or said."""
    broker.stop()
    broker.passwords = tmp_path / "passwords"
    tool = shutil.which("mosquitto_passwd", path=PLACES)
    assert tool is not None
    subprocess.run([tool, "-c", "-b", str(broker.passwords), "kitchen", PASSWORD], check=True, capture_output=True)
    broker.start()
    with caplog.at_level(logging.DEBUG):
        with Listening(broker, user="kitchen", password=PASSWORD) as one:
            until(lambda: one.word()[0])
            broker.publish("only", "31.4", user="kitchen")
            until(lambda: one.now_c("p1") == 31.4)
        with Listening(broker, user="kitchen", password=PASSWORD + "!") as other:
            until(lambda: "refuses" in other.word()[1])
    said = [record.getMessage() for record in caplog.records] + [one.word()[1], other.word()[1]]
    assert [text for text in said if PASSWORD in text] == []


@pytest.mark.parametrize("there", [True, False])
def test_stop_is_clean_and_quick(broker: Broker, there: bool) -> None:
    """With or without a broker, stop ends the thread within seconds, twice is once, and it can start again."""
    if not there:
        broker.stop()
    before = set(threading.enumerate())
    one = Listening(broker)
    with one:
        until(lambda: one.word()[0] is there and "Connecting" not in one.word()[1])
    begun = time.monotonic()
    one.mqtt.stop()
    assert time.monotonic() - begun < 5
    assert (set(), False) == (set(threading.enumerate()) - before, one.word()[0])
    with one:
        until(lambda: one.word()[0] is there and "Connecting" not in one.word()[1])
