"""What a person tells of a bowl in trouble, and the frozen answer that every face shows."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.insight.job import BowlJob
from temperbench.insight.plan import Band, Warning_

__all__ = ["CauseFound", "CheckFirst", "OutcomeLeads", "Trouble", "TroubleAsk"]


@dataclass(frozen=True)
class TroubleAsk:
    """What is seen, and what is known of the run; None is not known."""

    job: BowlJob
    method: str | None = None  # how it was tempered
    seen: tuple[str, ...] = ()  # signs, by their keys
    not_seen: tuple[str, ...] = ()  # signs looked for and not there
    hottest_c: float | None = None  # highest stirred reading while there were crystals to keep
    reads_c: float | None = None  # stirred reading now
    minutes: float | None = None  # since that highest reading
    set_min: float | None = None  # the smear had set after so many minutes
    not_set_min: float | None = None  # the smear had not set by then
    film: str = "paper"  # what the smear was spread on
    found: tuple[tuple[str, str], ...] = ()  # checks already made: check, outcome


@dataclass(frozen=True)
class CauseFound:
    """One cause, how likely it is, what speaks for and against it, and what to do."""

    key: str
    title: str
    probability: float
    low: float  # 5 % and 95 % points over the figures that may stand behind the words of the rule table
    high: float
    by: str  # "model": told by the simulated bowl; "rules": by the rule table alone
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    why: str
    do: str
    save: str
    keeps: str  # all, part, other use
    next_time: str
    basis: str  # evidence mark of its rule
    source: str


@dataclass(frozen=True)
class OutcomeLeads:
    """Where one outcome of a check leads."""

    key: str
    text: str
    chance: float
    cause: str  # likeliest cause then
    title: str
    probability: float  # of that cause then


@dataclass(frozen=True)
class CheckFirst:
    """A check worth making, and what each outcome would tell."""

    key: str
    ask: str
    how: str
    minutes: int
    bits: float  # expected information about the cause
    outcomes: tuple[OutcomeLeads, ...]


@dataclass(frozen=True)
class Trouble:
    """The whole answer: ranked causes, what to check first, where the bowl stands, and how sure all of it is."""

    heading: str
    seen: tuple[str, ...]  # in words
    causes: tuple[CauseFound, ...]  # likeliest first; together 1 with those left out
    checks: tuple[CheckFirst, ...]  # most telling first
    left_bits: float  # what is not known about the cause, as information
    chance_lost: float  # fewer stable crystals than keep a temper
    chance_in_temper: float
    chance_too_many: float
    crystals_pct_of_fat: Band
    set_min: Band  # setting time of a smear
    unexplained: tuple[str, ...]  # signs that nothing in the table explains well
    defaults_used: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
