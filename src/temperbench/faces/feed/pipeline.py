"""The one way from a probe's message to a reading of a running bowl, whatever channel the message came by."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from threading import RLock

from temperbench.app.results import Happening
from temperbench.faces.feed.gates import Timed
from temperbench.faces.feed.message import HOUSE, Message, Refusal, Shape, checked_name, parse_payload, read_object
from temperbench.faces.feed.settings import FeedSettings, ProbeSettings
from temperbench.faces.feed.thin import Thinner
from temperbench.faces.feed.watch import Watcher
from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.foundation.units import Celsius

__all__ = ["ChannelStatus", "Deliver", "Feed", "FeedStatus", "Placed", "ProbeStatus", "Taken", "wall_clock_ms"]

Deliver = Callable[[str, Happening, str], object]
Placed = Callable[[str, str | None], object]

_LOG = logging.getLogger(__name__)
_MOST_PROBES = 64
_MOST_AT_ONCE = 1000
_BOWL_LETTERS = 64


@dataclass(frozen=True)
class Taken:
    """A message that was taken in, and whether a reading of a bowl came of it."""

    probe: str
    reading: bool


@dataclass(frozen=True)
class ProbeStatus:
    """How a probe is: what a face shows."""

    probe: str
    state: str  # one of `watch.STATES`
    sentence: str
    bowl: str | None  # id of the run it is in
    now_c: Celsius | None  # what it shows now; not a reading
    now_ms: int | None
    settling: bool  # it was put somewhere else and still moves there; no readings until it has
    readings: int  # handed on so far
    refused: int  # messages that could not be used
    last_refusal: str | None
    trouble: str | None  # why the last reading was not taken by the bowl


@dataclass(frozen=True)
class ChannelStatus:
    """How a broker or a serial line is."""

    channel: str
    ok: bool
    sentence: str


@dataclass(frozen=True)
class FeedStatus:
    """All probes and channels by name, and what came that is nobody's."""

    probes: tuple[ProbeStatus, ...]
    channels: tuple[ChannelStatus, ...]
    refused: int
    last_refusal: str | None


class _Probe:
    def __init__(self, name: str, settings: ProbeSettings) -> None:
        self.name, self.settings, self.bowl = name, settings, settings.bowl
        self.readings = self.refused = 0
        self.last_refusal: str | None = None
        self.trouble: str | None = None
        self.arrived_ms = 0
        self.begin()

    def begin(self) -> None:
        self.not_before_ms = 0
        self.watcher = Watcher(self.name, self.settings.silent_s)
        self.thinner = Thinner(self.settings.tau_s)

    def put(self, bowl: str | None) -> bool:
        """Put it into another bowl; say whether it was not there already."""
        if bowl == self.bowl:
            return False
        self.bowl = bowl
        self.trouble = None
        self.not_before_ms = 0
        self.thinner.restart()
        self.watcher.moved()
        return True


def wall_clock_ms() -> int:
    """Return the present moment in milliseconds since 1970, UTC."""
    return time.time_ns() // 1_000_000


class Feed:
    """Takes messages from any thread, watches their probes, and hands readings on by one door.

    ``deliver`` gets the id of the run, the reading and the name of the device. ``placed`` gets a probe and the id of
    the run it was put into, None when it was taken out; ``places`` gives that back after a restart. Both are called in
    the thread that brought the message, outside the feed's lock.
    """

    def __init__(
        self,
        deliver: Deliver,
        settings: FeedSettings | None = None,
        clock_ms: Callable[[], int] = wall_clock_ms,
        *,
        places: Mapping[str, str] | None = None,
        placed: Placed | None = None,
    ) -> None:
        """Begin with the probes of the settings and those that were in a bowl; none has sent anything."""
        self._deliver, self._clock_ms = deliver, clock_ms
        self._lock = RLock()
        self.settings = settings or FeedSettings()
        self._placed = placed
        self._probes = {name: _Probe(name, one) for name, one in self.settings.probes.items()}
        for name, run_id in (places or {}).items():
            self._probes.setdefault(name, _Probe(name, ProbeSettings())).bowl = run_id
        self._channels: dict[str, ChannelStatus] = {}
        self._refused = 0
        self._last_refusal: str | None = None

    def assign(self, probe: str, run_id: str | None) -> None:
        """Say which running bowl a probe is in; None takes it out. Raises `InputError` for a name that is none."""
        checked_name("probe", probe)
        if run_id is not None:
            checked_name("bowl", run_id, _BOWL_LETTERS)
        with self._lock:
            found = self._probe(probe)
            if isinstance(found, Refusal):
                raise InputError("probe", probe, f"at most {_MOST_PROBES} probes", "end the one that is not yours")
            moved = found.put(run_id)
        if moved:
            self._tell_place(probe, run_id)

    def release(self, run_id: str) -> None:
        """Take all probes out of a bowl, as when its run is finished."""
        with self._lock:
            out = [probe.name for probe in self._probes.values() if probe.bowl == run_id and probe.put(None)]
        for name in out:
            self._tell_place(name, None)

    def _tell_place(self, probe: str, run_id: str | None) -> None:
        try:
            if self._placed is not None:
                self._placed(probe, run_id)
        except Exception:  # a stream goes on; after a restart somebody puts the probe into its bowl again
            _LOG.exception("Where probe %s is was not kept", probe)

    def acted(self, run_id: str, at_ms: int) -> None:
        """Say that something was done to a bowl at a moment, UTC milliseconds: a burst, stirring, buttons added.

        What its probes showed before belongs to the bowl as it was, and goes into no later reading.
        """
        with self._lock:
            for probe in self._probes.values():
                if probe.bowl == run_id:
                    probe.not_before_ms = max(at_ms, probe.not_before_ms)
                    probe.thinner.restart()

    def take(
        self, payload: bytes | str, *, probe: str | None = None, shape: Shape | None = None
    ) -> tuple[Taken | Refusal, ...]:
        """Take what a channel brought: one message, or a JSON list of messages in order. Never raises.

        Parameters
        ----------
        payload
            UTF-8 text.
        probe
            Whose it is, when the channel tells.
        shape
            How the channel's senders write; None takes it from the settings of the probe.

        Returns
        -------
            What became of each message.
        """
        arrived_ms = self._clock_ms()
        found = parse_payload(payload)
        if isinstance(found, dict) and set(found) == {"readings"} and isinstance(found["readings"], list):
            found = found["readings"]
        many = found if isinstance(found, list) else [found]
        if not 1 <= len(many) <= _MOST_AT_ONCE:
            many = [Refusal(f"A list of {len(many)} messages came; send 1 to {_MOST_AT_ONCE} at once.")]
        messages = [self._read(one, probe, shape) for one in many]
        last = {one.probe: i for i, one in enumerate(messages)}
        return tuple(self._take(one, arrived_ms, newest=i == last[one.probe]) for i, one in enumerate(messages))

    def _read(self, found: object, probe: str | None, shape: Shape | None) -> Message | Refusal:
        if isinstance(found, Refusal):
            return Refusal(found.why, probe)
        if shape is None:
            with self._lock:
                known = self._probes.get(probe or "")
            shape = known.settings.shape if known else HOUSE
        return read_object(found, shape, probe)

    def _take(self, message: Message | Refusal, arrived_ms: int, *, newest: bool) -> Taken | Refusal:
        with self._lock:
            if isinstance(message, Refusal):
                return self._refuse(message)
            owner = self._probe(message.probe)
            if isinstance(owner, Refusal):
                return self._refuse(owner)
            before = owner.bowl
            found = self._watched(owner, message, arrived_ms, newest=newest)
            refused = self._refuse(found) if isinstance(found, Refusal) else None
            values = [] if isinstance(found, Refusal) else [one for one in found if one[0] >= owner.not_before_ms]
            due = [reading for value in values if (reading := owner.thinner.take(*value)) is not None]
            run_id = owner.bowl
        if run_id != before:
            self._tell_place(owner.name, run_id)
        sent = [self._hand_on(owner, run_id, reading) for reading in due if run_id is not None]
        return refused or Taken(message.probe, any(sent))

    def _watched(self, owner: _Probe, message: Message, arrived_ms: int, *, newest: bool) -> list[Timed] | Refusal:
        if message.bowl is not None:
            owner.put(message.bowl)
        if arrived_ms < owner.arrived_ms - 1000.0 * number("feed.clock_jump"):
            owner.begin()  # our own clock was set back
        owner.arrived_ms = arrived_ms
        return owner.watcher.take(message, arrived_ms, in_bowl=owner.bowl is not None, newest=newest)

    def _probe(self, name: str) -> _Probe | Refusal:
        if name not in self._probes:
            if len(self._probes) >= _MOST_PROBES:
                return Refusal(f"{name} is one probe too many; {_MOST_PROBES} are known already.")
            self._probes[name] = _Probe(name, ProbeSettings())
        return self._probes[name]

    def _refuse(self, refusal: Refusal) -> Refusal:
        owner = self._probes.get(refusal.probe or "")
        if owner is None:
            self._refused += 1
            self._last_refusal = refusal.why
        else:
            owner.refused += 1
            owner.last_refusal = refusal.why
        return refusal

    def _hand_on(self, owner: _Probe, run_id: str, reading: Timed) -> bool:
        at_ms, celsius = reading
        happening = Happening(
            f"feed-{owner.name}-{at_ms}", "reading", at_ms, celsius=round(celsius, 2), thermometer=owner.settings.kind
        )
        trouble = None
        try:
            self._deliver(run_id, happening, f"probe {owner.name}")
        except KeyError:
            trouble = f"No bowl with the id {run_id} is running; say which one {owner.name} is in."
        except InputError as fault:
            trouble = f"The bowl did not take a reading of {owner.name}: {fault}"
        except Exception as fault:  # a stream goes on, whatever the kitchen does with one reading of it
            _LOG.exception("A reading of probe %s was not taken", owner.name)
            trouble = f"A reading of {owner.name} was lost: {type(fault).__name__}."
        with self._lock:
            owner.trouble = trouble
            owner.readings += trouble is None
        return trouble is None

    def say(self, channel: str, sentence: str, *, ok: bool, calm: bool = False) -> None:
        """Note how a broker or a serial line is; ``calm``: it is not in order, but nobody has to look after it."""
        with self._lock:
            before = self._channels.get(channel)
            self._channels[channel] = ChannelStatus(channel, ok, sentence)
        if before is None or before.sentence != sentence:
            _LOG.log(logging.INFO if ok or calm else logging.WARNING, "%s", sentence)

    def status(self) -> FeedStatus:
        """Return how every probe and channel is now."""
        now_ms = self._clock_ms()
        with self._lock:
            probes = tuple(self._shown(one, now_ms) for _, one in sorted(self._probes.items()))
            channels = tuple(one for _, one in sorted(self._channels.items()))
            return FeedStatus(probes, channels, self._refused, self._last_refusal)

    def _shown(self, probe: _Probe, now_ms: int) -> ProbeStatus:
        verdict, now = probe.watcher.judge(now_ms), probe.thinner.now()
        return ProbeStatus(
            probe.name, verdict.state, verdict.sentence, probe.bowl, None if now is None else round(now[1], 2),
            None if now is None else now[0], probe.thinner.settling, probe.readings, probe.refused,
            probe.last_refusal, probe.trouble,
        )  # fmt: skip
