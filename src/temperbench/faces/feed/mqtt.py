"""Listens to an MQTT broker. Messages sent while the connection is away are not asked for again: a bowl goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from paho.mqtt.client import Client, ConnectFlags, DisconnectFlags, MQTTMessage, topic_matches_sub
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from temperbench.faces.feed.pipeline import Feed
from temperbench.faces.feed.settings import MqttSettings, Topic

__all__ = ["MqttFeed"]

_KEEP_ALIVE_S, _CONNECT_S = 30, 5.0
_REFUSED = 128  # reason codes from here on are failures


class MqttFeed:
    """One connection in a thread of its own; it comes back by itself, after pauses that double."""

    def __init__(self, feed: Feed, settings: MqttSettings) -> None:
        """Prepare; nothing is connected before `start`."""
        self._feed, self._settings = feed, settings
        self._name = f"mqtt {settings.host}:{settings.port}"
        self._listening = False
        self._client: Client | None = None

    def _made(self) -> Client:
        """Make a client; a used one cannot be started again without leaving a socket open."""
        settings = self._settings
        client = Client(CallbackAPIVersion.VERSION2, client_id=settings.client_id, clean_session=True)
        client.connect_timeout = _CONNECT_S
        client.reconnect_delay_set(int(settings.first_wait_s), int(settings.longest_wait_s))
        if settings.user is not None:
            client.username_pw_set(settings.user, settings.password)
        if settings.tls or settings.ca_file:
            client.tls_set(settings.ca_file)
        client.on_connect = self._connected
        client.on_connect_fail = self._not_reached
        client.on_disconnect = self._lost
        client.on_subscribe = self._subscribed
        client.on_message = self._message
        return client

    def start(self) -> None:
        """Begin to connect. A broker that is away is waited for. Started twice is started once."""
        if self._client is not None:
            return
        self._client = self._made()
        self._feed.say(self._name, f"Connecting to the broker {self._settings.host}.", ok=False, calm=True)
        self._client.connect_async(self._settings.host, self._settings.port, _KEEP_ALIVE_S)
        self._client.loop_start()

    def stop(self) -> None:
        """Disconnect and wait for the thread to end. May be called twice."""
        if self._client is None:
            return
        self._listening = False
        self._client.disconnect()
        self._client.loop_stop()
        self._client = None
        self._feed.say(self._name, f"Disconnected from the broker {self._settings.host}.", ok=False, calm=True)

    def _connected(
        self, client: Client, userdata: Any, flags: ConnectFlags, reason: ReasonCode, properties: Properties | None
    ) -> None:
        del userdata, flags, properties
        if reason.is_failure:
            self._feed.say(self._name, f"The broker {self._settings.host} refuses: {reason}.", ok=False)
            return
        client.subscribe([(topic.filter, 0) for topic in self._settings.topics])

    def _subscribed(
        self, client: Client, userdata: Any, mid: int, reasons: Sequence[ReasonCode], properties: Properties | None
    ) -> None:
        del client, userdata, mid, properties
        refused = [t.filter for t, r in zip(self._settings.topics, reasons, strict=False) if r.value >= _REFUSED]
        if refused:
            self._feed.say(self._name, f"The broker does not let us listen to {', '.join(refused)}.", ok=False)
        else:
            self._listening = True
            self._feed.say(self._name, f"Listening to the broker {self._settings.host}.", ok=True)

    def _not_reached(self, client: Client, userdata: Any) -> None:
        del client, userdata
        self._feed.say(self._name, f"The broker {self._settings.host} cannot be reached; trying again.", ok=False)

    def _lost(
        self, client: Client, userdata: Any, flags: DisconnectFlags, reason: ReasonCode, properties: Properties | None
    ) -> None:
        del client, userdata, flags, properties
        was, self._listening = self._listening, False
        if was and reason.is_failure:
            self._feed.say(
                self._name, f"The connection to the broker {self._settings.host} is lost; trying again.", ok=False
            )

    def _message(self, client: Client, userdata: Any, message: MQTTMessage) -> None:
        del client, userdata
        if message.retain:  # kept by the broker since nobody knows when
            return
        for topic in self._settings.topics:
            if topic_matches_sub(topic.filter, message.topic):
                self._feed.take(bytes(message.payload), probe=_whose(topic, message.topic), shape=topic.shape)
                return


def _whose(topic: Topic, name: str) -> str | None:
    if topic.level is None:
        return topic.probe
    levels = name.split("/")
    return levels[topic.level - 1] if topic.level <= len(levels) else ""
