"""Settings of the feed: which probes there are, how they write, and where they are listened to. docs/feed.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from temperbench.faces.feed.message import HOUSE, Shape, checked_name
from temperbench.foundation.errors import InputError, one_of, within
from temperbench.foundation.quantities import positive
from temperbench.foundation.units import Second

__all__ = ["KINDS", "FeedSettings", "MqttSettings", "ProbeSettings", "SerialSettings", "Topic"]

KINDS = ("probe", "infrared")
_HIGHEST_PORT, _FASTEST_BAUD = 65_535, 4_000_000
_LONGEST_WAIT_S = 3600.0


@dataclass(frozen=True)
class ProbeSettings:
    """What is known of one probe."""

    kind: str = "probe"  # the thermometer it is to the bowl
    shape: Shape = HOUSE
    tau_s: Second | None = None  # time constant in stirred chocolate; None: the table's
    silent_s: Second | None = None  # silence after which it is dead; None: the table's
    bowl: str | None = None  # id of the run it is in from the start

    def __post_init__(self) -> None:
        """Refuse what no probe can be."""
        one_of("kind", self.kind, KINDS, "say what it is to the bowl")
        for name, value in (("tau_s", self.tau_s), ("silent_s", self.silent_s)):
            if value is not None:
                positive(name, value, "seconds", "leave it out when you do not know it")
        if self.bowl is not None:
            checked_name("bowl", self.bowl, letters=64)


@dataclass(frozen=True)
class Topic:
    """One subscription: a filter, and whose messages they are."""

    filter: str
    probe: str | None = None  # all messages are this probe's
    level: int | None = None  # or the name is this level of the topic, counted from 1; None: the message names it
    shape: Shape | None = None

    def __post_init__(self) -> None:
        """Refuse a filter no broker takes."""
        levels = self.filter.split("/")
        whole = all(part in ("+", "#") or not set("+#\0") & set(part) for part in levels)
        if not self.filter or not whole or "#" in levels[:-1]:
            raise InputError("filter", self.filter, "levels with / between, + or # for any", "# goes last")
        if self.probe is not None:
            checked_name("probe", self.probe)
        if self.level is not None:
            within("level", self.level, 1, len(levels), "", "count the levels of the filter from 1")
            if self.probe is not None:
                raise InputError("level", self.level, "level or probe, not both", "leave one of them out")


@dataclass(frozen=True)
class MqttSettings:
    """A broker, and what is listened to there."""

    host: str
    topics: tuple[Topic, ...]
    port: int = 1883
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    tls: bool = False
    ca_file: str | None = None
    client_id: str = ""  # the broker makes one
    first_wait_s: Second = 1.0  # before the first try to come back; doubled each time
    longest_wait_s: Second = 60.0

    def __post_init__(self) -> None:
        """Refuse what cannot be connected to."""
        if not self.host or not self.topics:
            raise InputError("mqtt", self.host, "a host and at least one topic", "name both")
        within("port", self.port, 1, _HIGHEST_PORT, "", "1883 is usual, 8883 with TLS")
        within("first_wait_s", self.first_wait_s, 1.0, _LONGEST_WAIT_S, "s", "take whole seconds")
        within("longest_wait_s", self.longest_wait_s, self.first_wait_s, _LONGEST_WAIT_S, "s", "take whole seconds")
        if self.password is not None and self.user is None:
            raise InputError("user", "", "a name where there is a password", "name the user")


@dataclass(frozen=True)
class SerialSettings:
    """A serial line. One number or one JSON object on each line of text."""

    port: str
    baud: int = 9600
    probe: str | None = None
    shape: Shape | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be opened."""
        if not self.port:
            raise InputError("port", self.port, "the name of a serial port", "name it as the system does")
        within("baud", self.baud, 50, _FASTEST_BAUD, "", "9600 and 115200 are usual")
        if self.probe is not None:
            checked_name("probe", self.probe)


@dataclass(frozen=True)
class FeedSettings:
    """All settings of the feed."""

    probes: Mapping[str, ProbeSettings] = field(default_factory=dict)
    mqtt: MqttSettings | None = None
    serial: tuple[SerialSettings, ...] = ()

    def __post_init__(self) -> None:
        """Refuse names that are none."""
        for name in self.probes:
            checked_name("probe", name)
