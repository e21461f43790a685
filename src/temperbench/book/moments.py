"""Moments as the book keeps them: whole milliseconds since 1970 in UTC. A time without a zone is refused."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from temperbench.foundation.errors import InputError, OutOfRange

__all__ = ["LATEST_MS", "Clock", "checked_ms", "from_ms", "to_ms", "wall_clock"]

Clock = Callable[[], int]
LATEST_MS = 253_402_300_799_999  # the last millisecond of the year 9999, where calendars of Python end
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def wall_clock() -> int:
    """Return the present moment in milliseconds since 1970, UTC."""
    return time.time_ns() // 1_000_000


def checked_ms(field: str, value: object) -> int:
    """Return ``value`` when it is a whole number of milliseconds between 1970 and 9999; raise `InputError` if not."""
    if not isinstance(value, int) or isinstance(value, bool):
        raise InputError(field, value, "whole milliseconds since 1970 in UTC", "convert it with to_ms")
    if not 0 <= value <= LATEST_MS:
        raise OutOfRange(field, value, f"0 to {LATEST_MS} ms", "check the clock of the device")
    return value


def to_ms(moment: datetime, field: str = "moment") -> int:
    """Return a time with a zone as milliseconds since 1970, UTC; a time without one raises `InputError`."""
    if moment.utcoffset() is None:
        raise InputError(field, moment.isoformat(), "a time with its zone", "add the zone, UTC if that is what it is")
    return checked_ms(field, (moment - _EPOCH) // timedelta(milliseconds=1))


def from_ms(value: int) -> datetime:
    """Return a kept moment as a time in UTC."""
    return _EPOCH + timedelta(milliseconds=checked_ms("moment", value))
