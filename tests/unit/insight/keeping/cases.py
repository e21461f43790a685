"""Jobs that the tests of keeping share: small and quick."""

from __future__ import annotations

from typing import Any

import numpy as np

from temperbench.insight.job import BowlJob
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.keep_bowl import told_in_full
from temperbench.insight.keeping.start import bowls_in_temper
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.kitchen.bowls import Bowls

__all__ = ["asked", "drawn", "situation"]


def asked(chocolate: str = "dark", grams: float = 2000.0, minutes: float = 40.0, **said: Any) -> KeepAsk:
    """Return a request for a bowl in a room of 20 °C."""
    job = BowlJob(chocolate, grams, 1000.0, bowl="plastic", room_c=20.0)
    return KeepAsk(job, minutes, **said)


def situation(ask: KeepAsk) -> tuple[KeepAsk, Known, Temperatures]:
    """Return the request in full, what is known and the four temperatures."""
    known = know(ask.job)
    at = temperatures(known)
    return told_in_full(ask, at), known, at


def drawn(ask: KeepAsk, members: int = 48, seed: int = 3) -> Bowls:
    """Return an ensemble of such bowls."""
    full, known, at = situation(ask)
    return bowls_in_temper(known, full, at, members, np.random.default_rng(seed))
