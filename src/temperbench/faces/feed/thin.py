"""Thins a probe's stream to readings that are nearly independent, so that it does not swamp what else is known.

Errors of a probe are correlated in time: stirring drifts past it slowly, and its sheath smooths what drifts past. Taken
as a first-order autoregression with correlation exp(-d/tau) at a distance d, n values are worth, for a temperature that
stands still,

    (n - (n - 2) r) / (1 + r)  independent ones,  r = exp(-d/tau),

which for a dense stream of length L tends to L/(2 tau) + 1. So one reading every 2 tau, counted as independent, claims
what the whole stream is worth, however fast it comes. docs/feed.md.
"""

from __future__ import annotations

import math
import statistics
from collections import deque

from temperbench.faces.feed.gates import Timed
from temperbench.foundation.evidence import number
from temperbench.foundation.units import Celsius, Second

__all__ = ["Thinner", "independent_readings"]

_MOST = 4096  # values kept between two readings


def independent_readings(count: int, apart: Second, tau: Second) -> float:
    """Return how many independent readings equally spaced ones with first-order correlated errors are worth.

    Parameters
    ----------
    count
        How many.
    apart
        Time from one to the next. [s]
    tau
        Correlation time of their errors. [s]

    Returns
    -------
        Number of independent ones that tell as much of a constant.
    """
    if count < 1:
        return 0.0
    r = math.exp(-apart / tau)
    return (count - (count - 2) * r) / (1.0 + r)


class Thinner:
    """Makes one reading of all values since the last one, at most every so many seconds, once the probe has settled."""

    def __init__(self, tau_s: Second | None = None) -> None:
        """Begin with nothing.

        Parameters
        ----------
        tau_s
            Time constant of the probe in stirred chocolate; None takes it from the table. [s]
        """
        self.tau_s = number("feed.tau") if tau_s is None else tau_s
        self.spacing_s = number("feed.spacing") * self.tau_s
        self.settling = False
        self._since: deque[Timed] = deque(maxlen=_MOST)
        self._before: Timed | None = None  # the last value before the block
        self._last_ms: int | None = None  # when the last block ended

    def restart(self) -> None:
        """Forget what came: the probe goes into another bowl."""
        self.settling = False
        self._since.clear()
        self._before, self._last_ms = None, None

    def take(self, at_ms: int, celsius: Celsius) -> Timed | None:
        """Take a value in.

        Parameters
        ----------
        at_ms
            When it was taken, UTC milliseconds; not before the one before it.
        celsius
            Temperature. [°C]

        Returns
        -------
            A reading when one is due: the median moment and the median temperature of what came since the last.
        """
        if self._last_ms is None:
            self._last_ms = at_ms
        self._since.append((at_ms, celsius))
        if at_ms - self._last_ms < 1000.0 * self.spacing_s:
            return None
        block = [v for v in self._since if at_ms - v[0] < 1000.0 * self.spacing_s]
        if len(self._since) > len(block):
            self._before = self._since[-len(block) - 1]
        self.settling = self._to_go(block) > number("feed.settled")
        self._before, self._last_ms = block[-1], at_ms
        self._since.clear()
        return None if self.settling else _middle(block)

    def _to_go(self, block: list[Timed]) -> float:
        """Return how far the probe, as a first-order lag, still is from where it is going. Unknown counts as far."""
        if len(block) > 1:
            early, late = _middle(block[: len(block) // 2]), _middle(block[len(block) // 2 :])
        elif self._before is not None:
            early, late = self._before, block[-1]
        else:
            return math.inf
        apart = (late[0] - early[0]) / 1000.0 / self.tau_s
        if apart <= 0.0:
            return math.inf
        return abs(late[1] - early[1]) / math.expm1(min(apart, 500.0))

    def now(self) -> Timed | None:
        """Return what the probe shows now, for the eye: the median of the last values within a time constant.

        It is always current, and it is not a reading: looking often does not make the stream weigh more.
        """
        if not self._since:
            return self._before
        newest = self._since[-1][0]
        near = [v for v in self._since if newest - v[0] <= 1000.0 * self.tau_s]
        return newest, statistics.median(x for _, x in near)


def _middle(block: list[Timed]) -> Timed:
    """Return the median moment and the median temperature: on a straight slope they belong together."""
    return round(statistics.median(t for t, _ in block)), statistics.median(x for _, x in block)
