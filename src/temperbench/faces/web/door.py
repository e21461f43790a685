"""What the web face asks of the kitchen: the shape of the one door it calls."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_book import BookCopy
from temperbench.app.results import Happening, LiveView, WhatIf
from temperbench.app.run_record import Said, Used
from temperbench.foundation.units import Celsius

__all__ = ["Door", "Lot", "RunLine", "RunRecord", "Step", "Thing"]


class RunLine(Protocol):
    """A run as one line of a list."""

    @property
    def id(self) -> str:
        """Of the run."""

    @property
    def title(self) -> str:
        """In the cook's words."""

    @property
    def state(self) -> str:
        """As in `LiveView`."""

    @property
    def started_ms(self) -> int:
        """UTC."""

    @property
    def headline(self) -> str:
        """The next move, or the last one."""

    @property
    def now_c(self) -> Celsius:
        """Median of the stirred bowl. [°C]"""

    @property
    def stop_c(self) -> Celsius:
        """Where it is taken from the oven. [°C]"""


class Step(Protocol):
    """One thing that happened, with what was advised before it."""

    @property
    def happening(self) -> Happening:
        """What the cook pressed."""

    @property
    def advice(self) -> Said:
        """The advice that stood when it was pressed."""

    @property
    def device(self) -> str:
        """Which device it was pressed on."""

    @property
    def undone(self) -> bool:
        """Whether a later undo took it back."""


class RunRecord(Protocol):
    """A whole run, for its page in the book."""

    @property
    def view(self) -> LiveView:
        """The bowl as it is now, or as it ended."""

    @property
    def used(self) -> Used:
        """What went into it, and what it was made with."""

    @property
    def happenings(self) -> Sequence[Step]:
        """In the order they were pressed."""


class Thing(Protocol):
    """An oven, a bowl or a thermometer of this kitchen."""

    @property
    def id(self) -> str:
        """Of the thing."""

    @property
    def kind(self) -> str:
        """Oven, bowl or thermometer, in lower case."""

    @property
    def name(self) -> str:
        """What this kitchen calls it."""

    @property
    def facts(self) -> Mapping[str, object]:
        """What was entered, by the keys of a job; a checked thermometer also has ice_c, warm_c and reference_c."""

    @property
    def learnt(self) -> Sequence[str]:
        """What runs have shown about it, in plain words."""


class Lot(Protocol):
    """A lot of chocolate in the larder."""

    @property
    def id(self) -> str:
        """Of the lot."""

    @property
    def name(self) -> str:
        """What this kitchen calls it."""

    @property
    def facts(self) -> Mapping[str, object]:
        """What the pack says, by the keys of a job; also lot, best_before and stock_g where given."""

    @property
    def learnt(self) -> Sequence[str]:
        """What runs have shown about it, in plain words."""


class Door(Protocol):
    """The application's kitchen. Times are UTC milliseconds."""

    def start(
        self,
        raw_job: RawJob,
        title: str | None = None,
        *,
        id: str | None = None,
        pressed_ms: int | None = None,
        things: Mapping[str, str] | None = None,
    ) -> LiveView:
        """Begin a bowl; the same id twice is one bowl. ``things`` says which oven, bowl, thermometer and lot."""

    def tap(self, run_id: str, happening: Happening, device: str) -> LiveView:
        """Take in what happened and answer with the next move; the same id twice is one happening."""

    def view(self, run_id: str) -> LiveView:
        """Return the bowl as it is; raise `KeyError` when there is none of this id."""

    def last(self, run_id: str) -> int:
        """Return the number of the last happening of a bowl, quick: another server on the same book may take taps."""

    def standing(self, run_id: str, most: int = 5) -> Sequence[tuple[Happening, str]]:
        """Return the last happenings that were not taken back, with the device of each, the newest last."""

    def what_if(self, run_id: str, seconds: int) -> WhatIf:
        """Return what a burst of so many seconds would do."""

    def running(self) -> Sequence[RunLine]:
        """Return the bowls that are not finished, the newest first."""

    def runs(self, search: str = "", limit: int = 50, before_ms: int | None = None) -> Sequence[RunLine]:
        """Return runs found by all words searched for, in title, chocolate or lot, the newest first."""

    def run_record(self, run_id: str) -> RunRecord:
        """Return a whole run; raise `KeyError` when there is none of this id."""

    def job_of(self, run_id: str) -> Mapping[str, object]:
        """Return the answers of a run's job by their keys; raise `KeyError` for an unknown id."""

    def card(self, run_id: str, page: str) -> bytes:
        """Return the card of a run as a PDF."""

    def kit(self, away: bool = False) -> Sequence[Thing]:
        """Return ovens, bowls and thermometers in use, or those that were put away."""

    def save_thing(self, kind: str, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Thing:
        """Keep a new thing, or a new version of a known one; raise `InputError` for what cannot be."""

    def lots(self, away: bool = False) -> Sequence[Lot]:
        """Return the lots of the larder in use, or those that were put away."""

    def save_lot(self, name: str, facts: Mapping[str, object], *, id: str | None = None) -> Lot:
        """Keep a new lot, or a new version of a known one; raise `InputError` for what cannot be."""

    def put_away(self, id: str, away: bool = True) -> None:
        """Put a thing or a lot away, or take it back; raise `KeyError` for an unknown id. What is known of it stays."""

    def probe_places(self) -> Mapping[str, str]:
        """Return which run each probe is in, as it was kept."""

    def place_probe(self, probe: str, run_id: str | None) -> None:
        """Keep which run a probe is in; None: it was taken out."""

    def book_copy(self, what: str) -> BookCopy:
        """Return a backup of the book, or an export: "backup", "lines", or the name of a table."""

    def trouble(self) -> str:
        """Return why nothing can be kept now; nothing when it can."""

    def defaults(self) -> Mapping[str, object]:
        """Return what was used last: job keys, and the ids oven_id, bowl_id, thermometer_id and lot_id."""
