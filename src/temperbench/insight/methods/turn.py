"""The turn: the reading down to which chocolate without seed is cooled before its crystals are waited for."""

from __future__ import annotations

from temperbench.foundation.evidence import rows
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.temperatures import Temperatures

__all__ = ["turn_of"]


def turn_of(kind: str, at: Temperatures) -> Spread:
    """Return the turn of a kind, °C: as practised, or so far below its working window where practice names none."""
    practised = f"tabling.turn.{kind}"
    if practised in rows():
        return spread_of(practised)
    below, work = spread_of("tabling.turn_below_work"), at.work_from_c
    return Spread(work - below.high, work - below.mid, work - below.low)
