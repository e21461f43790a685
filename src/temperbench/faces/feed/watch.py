"""Watches one probe: is it alive, does it move, does it jump, is its unit right, is its clock right.

What it lets through is fit to be a reading; what it holds back, it says in one sentence.
"""

from __future__ import annotations

import statistics
from collections import deque
from dataclasses import dataclass

from temperbench.faces.feed.gates import ClockOffset, SpikeGate, Timed
from temperbench.faces.feed.message import Message, Refusal, from_fahrenheit, to_fahrenheit
from temperbench.foundation.evidence import array, number
from temperbench.foundation.units import Celsius, Second

__all__ = ["STATES", "Verdict", "Watcher"]

STATES = ("ok", "dead", "wrong unit", "out of range", "stuck", "spiky", "clock off")
_GOOD, _GAPS = 5, 20


@dataclass(frozen=True)
class Verdict:
    """What is the matter with a probe, in one word of `STATES` and one sentence."""

    state: str
    sentence: str


class Watcher:
    """Watches one probe. Moments are UTC milliseconds and come from outside."""

    def __init__(self, probe: str, silent_s: Second | None = None) -> None:
        """Begin to watch.

        Parameters
        ----------
        probe
            Its name.
        silent_s
            Silence after which it is dead; None takes it from the table and from the probe's own gaps. [s]
        """
        self.probe, self._unit = probe, "C"
        self._silent_s = silent_s
        self._clock, self._gate = ClockOffset(), SpikeGate()
        self._arrived_ms: int | None = None
        self._gaps: deque[int] = deque(maxlen=_GAPS)
        self._said_ms: int | None = None  # the probe's own time of the last message
        self._last: Timed | None = None
        self._good: deque[Timed] = deque(maxlen=_GOOD)
        self._odd: Verdict | None = None  # wrong unit or out of range, of the last value that passed the gate
        self._same_value: float | None = None
        self._same_since_ms = 0
        self._same_digit = 0.0

    def take(
        self, message: Message, arrived_ms: int, *, in_bowl: bool = True, newest: bool = True
    ) -> list[Timed] | Refusal:
        """Take a message in.

        Parameters
        ----------
        message
            What the probe says.
        arrived_ms
            When it came.
        in_bowl
            Whether the probe is in a running bowl, so that its value has to move.
        newest
            Whether it is the last of the messages that came together.

        Returns
        -------
            The values fit to be used now, by our clock: none, one or two; or why the message is left out.
        """
        if self._arrived_ms is not None and arrived_ms > self._arrived_ms:
            self._gaps.append(arrived_ms - self._arrived_ms)
        self._arrived_ms = max(arrived_ms, self._arrived_ms or arrived_ms)
        at_ms = self._clock.corrected(message.at_ms, arrived_ms, newest=newest)
        late = self._late(message, at_ms, arrived_ms)
        if late is not None:
            return late
        self._said_ms, self._last = message.at_ms, (at_ms, message.celsius)
        self._move(message, at_ms, in_bowl)
        passed = self._gate.take(at_ms, message.celsius)
        fit = [one for one in passed if self._possible(one)]
        return [] if self._is_stuck(at_ms) else fit

    def moved(self) -> None:
        """Forget how long it stood still: it was put somewhere else."""
        self._same_value = None

    def _late(self, message: Message, at_ms: int, arrived_ms: int) -> Refusal | None:
        if message.at_ms is not None and message.at_ms == self._said_ms:
            return Refusal(f"{self.probe}: this message came before.", self.probe)
        if self._last is not None and at_ms < self._last[0]:
            return Refusal(f"{self.probe}: the message is older than the one before it.", self.probe)
        if arrived_ms - at_ms > 1000.0 * number("feed.oldest"):
            return Refusal(f"{self.probe}: the message is {(arrived_ms - at_ms) / 60_000:.0f} min old.", self.probe)
        return None

    def _move(self, message: Message, at_ms: int, in_bowl: bool) -> None:
        if message.celsius != self._same_value or not in_bowl:
            self._same_value, self._same_since_ms = message.celsius, at_ms
        self._same_digit, self._unit = message.digit, message.unit

    def _is_stuck(self, now_ms: int) -> bool:
        if self._same_value is None:
            return False
        digit_s = 60.0 * self._same_digit / number("feed.least_drift")
        return now_ms - self._same_since_ms >= 1000.0 * max(number("feed.stuck_after"), digit_s)

    def _possible(self, value: Timed) -> bool:
        """Tell whether a bowl can be so warm; keep what else it may mean."""
        at_ms, celsius = value
        low, high = array("feed.possible")
        if low <= celsius <= high:
            self._good.append(value)
            self._odd = None
            return True
        recent = at_ms - self._good[-1][0] <= 1000.0 * self._dead_after_s() if self._good else False
        before = statistics.median(x for _, x in self._good) if recent else None
        self._odd = self._unit_verdict(celsius, before) or Verdict(
            "out of range",
            f"{self.probe} shows {celsius:.1f} °C, where a bowl of chocolate is between {low:g} and {high:g} °C; its "
            "readings are held back.",
        )
        return False

    def _unit_verdict(self, celsius: Celsius, before: Celsius | None) -> Verdict | None:
        low, high = array("feed.possible")
        near = number("feed.unit_tolerance")
        held = "its readings are held back."
        as_fahrenheit, as_celsius = from_fahrenheit(celsius), to_fahrenheit(celsius)
        if low <= as_fahrenheit <= high and (before is None or abs(as_fahrenheit - before) <= near):
            since = "" if before is None else f" after {before:.1f}"
            return Verdict(
                "wrong unit",
                f"{self.probe} says {celsius:.1f} °C{since}, which looks like {as_fahrenheit:.1f} °C in degrees "
                f"Fahrenheit: set its unit to F; {held}",
            )
        if self._unit == "F" and low <= as_celsius <= high and (before is None or abs(as_celsius - before) <= near):
            return Verdict(
                "wrong unit",
                f"{self.probe} is set to degrees Fahrenheit but seems to send {as_celsius:.1f} °C: set its unit to C; "
                f"{held}",
            )
        return None

    def _dead_after_s(self) -> float:
        if self._silent_s is not None:
            return self._silent_s
        usual = statistics.median(self._gaps) / 1000.0 if self._gaps else 0.0
        return max(number("feed.dead_after"), number("feed.dead_gaps") * usual)

    def judge(self, now_ms: int) -> Verdict:
        """Return what is the matter with the probe now; the gravest fault speaks."""
        found = self._dead(now_ms) or self._odd or self._stuck() or self._spiky() or self._clock_off()
        return found or Verdict("ok", f"{self.probe} is well.")

    def _dead(self, now_ms: int) -> Verdict | None:
        advice = "check battery, cable and network."
        if self._arrived_ms is None:
            return Verdict("dead", f"{self.probe} has not sent anything yet; {advice}")
        silent_s = (now_ms - self._arrived_ms) / 1000.0
        if silent_s <= self._dead_after_s():
            return None
        return Verdict("dead", f"{self.probe} has been silent for {_span(silent_s)}; {advice}")

    def _stuck(self) -> Verdict | None:
        if self._last is None or not self._is_stuck(self._last[0]):
            return None
        stood = _span((self._last[0] - self._same_since_ms) / 1000.0)
        return Verdict(
            "stuck",
            f"{self.probe} has shown {self._last[1]:.1f} °C for {stood} without moving a digit; its readings are held "
            "back until it moves.",
        )

    def _spiky(self) -> Verdict | None:
        if not self._gate.spiky:
            return None
        share = f"{self._gate.spikes} of its last {self._gate.judged} values"
        return Verdict("spiky", f"{self.probe} jumps: {share} were left out; check plug and cable.")

    def _clock_off(self) -> Verdict | None:
        behind = self._clock.behind_s
        if abs(behind) <= number("feed.clock_said"):
            return None
        way = "behind" if behind > 0 else "ahead"
        off = _span(abs(behind))
        return Verdict("clock off", f"The clock of {self.probe} is {off} {way}; its times are corrected.")


def _span(seconds: float) -> str:
    """Write a length of time with one figure a person can use."""
    if seconds < 90:
        return f"{seconds:.1f} s" if seconds < 10 else f"{seconds:.0f} s"
    for size, word in ((60, "min"), (3600, "h"), (86_400, "days")):
        if seconds < 100 * size or word == "days":
            return f"{seconds / size:.0f} {word}"
    return ""
