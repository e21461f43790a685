"""What was asked on the pages of help, as the use cases take it: signs, readings, the log of a sample."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from temperbench.app.find_trouble import RawTrouble, known_signs
from temperbench.app.job_fields import RawJob
from temperbench.faces.web.forms import with_unit
from temperbench.faces.web.looks import Look

__all__ = ["PLACES", "STAGES", "SignGroup", "asked_trouble", "given_job", "sign_groups"]

STAGES = {"bowl": "In the bowl", "smear": "On the smear", "goods": "On finished pieces"}
PLACES = {
    "seen": "What you see", "not_seen": "What is not there", "hottest": "Hottest it read", "reads": "Reads now",
    "minutes": "Minutes since", "set_in": "Smear set after", "not_set_by": "Smear wet at", "film": "Smear on",
    "found": "What a check showed", "chocolate": "Chocolate", "grams": "Amount", "method": "Method", "room_c": "Room",
    "sample_g": "Sample", "cup": "Cup", "ice_c": "Bath", "bowl_reads_c": "The bowl read",
}  # fmt: skip
_HEATS = ("hottest", "reads")
_MINUTES = ("minutes", "set_in", "not_set_by")
_MOST_WORDS = 40  # signs or checks in one question


@dataclass(frozen=True)
class SignGroup:
    """Signs that are seen in one place."""

    heading: str
    signs: tuple[tuple[str, str], ...]  # key and title


def sign_groups() -> tuple[SignGroup, ...]:
    """Return all signs by where they are seen."""
    known = known_signs()
    return tuple(
        SignGroup(heading, tuple((s.key, s.title) for s in known if s.stage == stage))
        for stage, heading in STAGES.items()
    )


def given_job(form: Mapping[str, str], keys: Sequence[str], look: Look) -> RawJob:
    """Return what was typed of a job under some keys; a bare figure is in the device's unit."""
    values = {key: with_unit(key, form[key], look) for key in keys if form.get(key, "").strip()}
    return RawJob(values, PLACES)


def asked_trouble(form: Mapping[str, str], seen: Sequence[str], found: Sequence[str], look: Look) -> RawTrouble:
    """Return the question of the page "something is wrong"."""
    told: dict[str, Any] = {}
    for key in (*_HEATS, *_MINUTES, "film"):
        text = form.get(key, "").strip()[:40]
        if text:
            told[key] = with_unit(key, text, look)
    return RawTrouble(seen=tuple(seen)[:_MOST_WORDS], found=tuple(found)[:_MOST_WORDS], places=PLACES, **told)
