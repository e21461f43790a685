"""What keeps a probe's clock and single values honest: the running offset of its clock, and the gate for spikes."""

from __future__ import annotations

import statistics
from collections import deque

from temperbench.foundation.evidence import number
from temperbench.foundation.units import Celsius, Second

__all__ = ["ClockOffset", "SpikeGate", "Timed"]

Timed = tuple[int, float]  # a moment in UTC milliseconds, a temperature in degrees Celsius

_OFFSETS, _WINDOW, _OUTCOMES, _FEWEST = 31, 5, 40, 3
_NORMAL = 1.4826  # a normal deviation over its median absolute deviation
_HALF_WAY = 0.5  # a value so much nearer to the one before than to the median goes on with it


class ClockOffset:
    """How far a probe's clock is off: the running median of arrival less time said."""

    def __init__(self) -> None:
        """Know nothing yet."""
        self._offsets: deque[int] = deque(maxlen=_OFFSETS)
        self._suspects: list[tuple[int, int]] = []  # arrival and offset of messages far from the usual

    def corrected(self, at_ms: int | None, arrived_ms: int, *, newest: bool = True) -> int:
        """Return when a value was taken, by our clock; never later than its arrival.

        Only the ``newest`` message of a batch tells the offset: the others waited for it.
        """
        if at_ms is None:
            return arrived_ms
        if newest:
            self._learn(arrived_ms - at_ms, arrived_ms)
        return min(arrived_ms, at_ms + round(self._median())) if self._offsets else min(arrived_ms, at_ms)

    def _learn(self, offset: int, arrived_ms: int) -> None:
        jump = 1000.0 * number("feed.clock_jump")
        if not self._offsets or abs(offset - self._median()) <= jump:
            self._offsets.append(offset)
            self._suspects.clear()
            return
        if self._suspects and abs(offset - self._suspects[-1][1]) > 1000.0 * number("feed.clock_said"):
            self._suspects.clear()
        self._suspects.append((arrived_ms, offset))
        lasted = arrived_ms - self._suspects[0][0]
        if len(self._suspects) >= _FEWEST and lasted >= 1000.0 * number("feed.clock_settles"):
            self._offsets.clear()
            self._offsets.extend(one for _, one in self._suspects[-_OFFSETS:])
            self._suspects.clear()

    def _median(self) -> float:
        return statistics.median(self._offsets)

    @property
    def behind_s(self) -> Second:
        """How far the clock is behind ours, the way to us included; negative when it is ahead. [s]"""
        return self._median() / 1000.0 if self._offsets else 0.0


class SpikeGate:
    """Lets values through that lie near the median of the last five, or that begin a new level.

    A value outside the gate waits for the next one. When that goes on from it, both pass: a probe was put into the
    bowl. Otherwise it was a spike.
    """

    def __init__(self) -> None:
        """Start with an empty window, in which nothing is a spike."""
        self._window: deque[float] = deque(maxlen=_WINDOW)
        self._waiting: Timed | None = None
        self._spikes: deque[bool] = deque(maxlen=_OUTCOMES)

    def take(self, at_ms: int, celsius: Celsius) -> list[Timed]:
        """Return the values that pass now: none, this one, or this one and the one before.

        Parameters
        ----------
        at_ms
            When it was taken, UTC milliseconds.
        celsius
            Temperature. [°C]

        Returns
        -------
            Moments and temperatures, in order.
        """
        new = (at_ms, celsius)
        if len(self._window) < _FEWEST:
            return self._let([new])
        mid = statistics.median(self._window)
        spread = _NORMAL * statistics.median(abs(x - mid) for x in self._window)
        off = abs(celsius - mid)
        before, self._waiting = self._waiting, None
        if off <= number("feed.spike_gate") * max(spread, number("feed.spike_floor")):
            if before is not None:
                self._spikes.append(True)
            return self._let([new])
        if before is not None and abs(celsius - before[1]) <= _HALF_WAY * off:
            self._window.clear()
            return self._let([before, new])
        if before is not None:
            self._spikes.append(True)
        self._waiting = new
        return []

    def _let(self, values: list[Timed]) -> list[Timed]:
        for _, celsius in values:
            self._window.append(celsius)
            self._spikes.append(False)
        return values

    @property
    def spikes(self) -> int:
        """How many of the last messages were spikes."""
        return sum(self._spikes)

    @property
    def judged(self) -> int:
        """How many messages `spikes` counts among."""
        return len(self._spikes)

    @property
    def spiky(self) -> bool:
        """Whether spikes are more than the odd one."""
        return self.spikes >= _FEWEST and self.spikes >= number("feed.spiky_share") * self.judged
