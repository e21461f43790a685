"""A run as the book tells it: what was used, what happened, and the advice that was on screen before each happening."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from temperbench.book.book import Book
from temperbench.book.checks import Json
from temperbench.book.rows import Run, StoredEntry
from temperbench.foundation.units import Gram
from temperbench.insight.live import Happening, LiveView, Move

__all__ = ["RunRecord", "Said", "Step", "Used", "advice_kept", "advice_said", "used_in"]


@dataclass(frozen=True)
class Said:
    """The advice before a happening."""

    headline: str
    reason: str
    anew: bool = False  # not kept at the time: what this release says of the same happenings


@dataclass(frozen=True)
class Step:
    """One happening, the advice that stood when it was pressed, and whether it was taken back."""

    happening: Happening
    advice: Said
    device: str
    undone: bool


@dataclass(frozen=True)
class Used:
    """What went into a bowl and what it was made with, by the kitchen's names; what was not told is empty."""

    chocolate: str
    grams: Gram
    method: str
    lot_code: str = ""
    lot_name: str = ""
    oven: str = ""
    bowl: str = ""
    thermometer: str = ""


@dataclass(frozen=True)
class RunRecord:
    """A whole run."""

    view: LiveView
    used: Used
    happenings: tuple[Step, ...]


def advice_kept(move: Move) -> dict[str, Json]:
    """Return what the book keeps of the advice on screen, beside the happening it preceded."""
    return {"headline": move.headline, "reason": move.reason}


def advice_said(row: StoredEntry) -> Said | None:
    """Return the advice kept beside a happening; None where an older release kept none."""
    if "headline" not in row.advice:
        return None
    return Said(str(row.advice["headline"]), str(row.advice.get("reason", "")))


def used_in(book: Book, run: Run) -> Used:
    """Return what a run used: things by the names they have now, and by what was answered where none was chosen.

    Parameters
    ----------
    book
        The open book.
    run
        The run.
    """
    job, things = _mapping(run.job.get("job")), _mapping(run.job.get("things"))
    names = {one.id: one.name for one in book.things()}
    lot = book.lot(str(things["lot"])) if things.get("lot") else None
    method = str(job.get("method", ""))
    watts = job.get("oven_w")
    label = f"{float(str(watts)):.0f} W" if watts is not None and method == "microwave" else ""
    return Used(
        chocolate=str(job.get("chocolate", "")),
        grams=float(str(job.get("grams", 0.0))),
        method=method,
        lot_code=lot.lot.code if lot else "",
        lot_name=lot.lot.name if lot else "",
        oven=names.get(str(things.get("oven")), label),
        bowl=names.get(str(things.get("bowl")), str(job.get("bowl") or "")),
        thermometer=names.get(str(things.get("thermometer")), str(job.get("thermometer") or "")),
    )


def _mapping(value: object) -> dict[str, object]:
    return dict(value) if isinstance(value, Mapping) else {}
