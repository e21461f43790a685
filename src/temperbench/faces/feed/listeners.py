"""The broker and the serial lines of the settings, started and stopped together."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from typing import Any, Protocol

from temperbench.faces.feed.pipeline import Feed
from temperbench.foundation.errors import InputError

__all__ = ["Listeners"]


class _Channel(Protocol):
    def start(self) -> None: ...

    def stop(self) -> None: ...


class Listeners:
    """What brings messages by itself. Without a broker or a line in the settings there is nothing to start."""

    def __init__(self, feed: Feed) -> None:
        """Prepare what the feed's settings name; raise `InputError` when a package for it is not installed."""
        self._channels: list[_Channel] = []
        if feed.settings.mqtt is not None:
            mqtt = _module("feed.mqtt", "paho", "temperbench.faces.feed.mqtt")
            self._channels.append(mqtt.MqttFeed(feed, feed.settings.mqtt))
        for line in feed.settings.serial:
            serial = _module("feed.serial", "serial", "temperbench.faces.feed.serial_line")
            self._channels.append(serial.SerialFeed(feed, line))

    def start(self) -> None:
        """Begin to listen, in threads."""
        for channel in self._channels:
            channel.start()

    def stop(self) -> None:
        """Stop listening and wait for the threads. May be called twice."""
        for channel in reversed(self._channels):
            channel.stop()


def _module(place: str, package: str, name: str) -> Any:
    if find_spec(package) is None:
        raise InputError(place, "listening to it", "what is installed here", "install temperbench[feed]")
    return import_module(name)
