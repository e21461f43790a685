"""The rule table: signs, causes and checks as data/trouble.toml has them, checked once, with the words as figures.

The order of the words (always, often, sometimes, seldom) is what the trade says; the figures behind them are rows of
evidence with a spread, from which `word_draws` takes many sets so that an answer can say how much hangs on them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from temperbench.foundation.errors import nearest
from temperbench.foundation.evidence import BASES, sources
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.kitchen.members import latin, triangular

__all__ = [
    "FEATURES", "KEEPS", "PATHS", "PRIORS", "STAGES", "WORDS", "Cause", "Check", "Outcome", "Sign", "Table",
    "nearest_sign", "sign_named",
    "table", "word_draws",
]  # fmt: skip

WORDS = ("always", "often", "sometimes", "seldom", "else")
PRIORS = ("common", "usual", "uncommon", "rare")
STAGES = ("bowl", "smear", "goods")
FEATURES = ("thick", "thin", "lumps", "late", "soon", "few", "many", "unstable", "warm", "cold")
PATHS = (
    "sound", "any", "overheated", "few", "dead", "lumps", "long", "cold", "warm", "thermometer", "warm-room",
    "scorched",
)  # fmt: skip
KEEPS = ("all", "part", "other use")


@dataclass(frozen=True)
class Sign:
    """Something that can be seen, and which figures of the simulated bowl bring it."""

    key: str
    title: str
    stage: str  # one of STAGES
    also: tuple[str, ...]  # other words for it
    features: Mapping[str, str]  # feature -> word


@dataclass(frozen=True)
class Cause:
    """One cause: what it shows by rule, by which path of the bowl it is simulated, and what to do about it."""

    key: str
    title: str
    where: str  # bowl or goods: a cause in the goods is weighed only when a sign of the goods is named
    path: str  # one of PATHS
    prior: str  # one of PRIORS
    more: tuple[str, ...]  # methods with which it is likelier
    only: str  # part-melt, seeded, or "" for both
    shows: Mapping[str, str]  # sign -> word
    why: str
    do: str
    save: str
    keeps: str  # one of KEEPS
    next_time: str
    basis: str
    source: str

    @property
    def by_model(self) -> bool:
        """Whether the simulated bowl itself tells this cause from the others."""
        return self.path not in ("sound", "any") or self.key == "sound"


@dataclass(frozen=True)
class Outcome:
    """One possible result of a check, and by which causes it comes."""

    key: str
    text: str
    rest: bool  # takes what the other outcomes leave
    causes: Mapping[str, str]  # cause -> word


@dataclass(frozen=True)
class Check:
    """One thing to look at, measure or ask, cheap enough to do at the bench."""

    key: str
    ask: str
    how: str
    minutes: int
    by: str  # model or rules
    at: str  # bowl: while there is one; goods: once there are some; any
    needless_with: tuple[str, ...]  # signs that answer it already
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True)
class Table:
    """The whole rule table."""

    signs: Mapping[str, Sign]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]


def _by_word(words: Mapping[str, Any], known: tuple[str, ...], place: str) -> dict[str, str]:
    """Turn word -> things into thing -> word, and refuse what is not known."""
    found: dict[str, str] = {}
    for word, things in words.items():
        if word not in WORDS[:-1]:
            raise ValueError(f"{place}: {word!r} is not one of {WORDS[:-1]}")
        for thing in things:
            if thing not in known or thing in found:
                raise ValueError(f"{place}: {thing!r} is not known or stands twice")
            found[thing] = word
    return found


def _sign(entry: dict[str, Any]) -> Sign:
    features = _by_word(entry.pop("from", {}), FEATURES, entry["key"])
    if entry["stage"] not in STAGES:
        raise ValueError(f"{entry['key']}: no such stage")
    return Sign(**{**entry, "also": tuple(entry["also"])}, features=features)


def _cause(entry: dict[str, Any], signs: tuple[str, ...]) -> Cause:
    shows = _by_word(entry.pop("shows", {}), signs, entry["key"])
    cause = Cause(**{**entry, "more": tuple(entry["more"])}, shows=shows)
    held = (
        (cause.path, PATHS), (cause.prior, PRIORS), (cause.keeps, KEEPS), (cause.where, ("bowl", "goods")),
        (cause.only, ("", "part-melt", "seeded")), (cause.basis, tuple(BASES)), (cause.source, tuple(sources())),
    )  # fmt: skip
    wrong = [value for value, known in held if value not in known]
    if wrong:
        raise ValueError(f"{cause.key}: {wrong} is not known")
    return cause


def _check(entry: dict[str, Any], causes: tuple[str, ...]) -> Check:
    outcomes = []
    for outcome in entry.pop("outcome"):
        when = dict(outcome.get("when", {}))
        rest = when.pop("rest", None) is not None
        outcomes.append(Outcome(outcome["key"], outcome["text"], rest, _by_word(when, causes, entry["key"])))
    check = Check(**{**entry, "needless_with": tuple(entry["needless_with"])}, outcomes=tuple(outcomes))
    if check.at not in ("bowl", "goods", "any"):
        raise ValueError(f"{check.key}: no such place")
    if check.by not in ("model", "rules") or (check.by == "rules" and sum(o.rest for o in outcomes) != 1):
        raise ValueError(f"{check.key}: by rules exactly one outcome takes the rest")
    return check


@cache
def table() -> Table:
    """Return the rule table. Raises ``ValueError`` for an entry that breaks its rules."""
    content = resources.files("temperbench.data").joinpath("trouble.toml").read_text(encoding="utf-8")
    read = tomllib.loads(content)
    signs = {e["key"]: _sign(dict(e)) for e in read["sign"]}
    causes = {e["key"]: _cause(dict(e), tuple(signs)) for e in read["cause"]}
    checks = {e["key"]: _check(dict(e), tuple(causes)) for e in read["check"]}
    if any(len(found) != len(read[name]) for name, found in (("sign", signs), ("cause", causes), ("check", checks))):
        raise ValueError("trouble.toml: a key stands twice")
    return Table(signs, causes, checks)


def sign_named(word: str) -> str | None:
    """Return the sign that a word means, by its key or one of its other words; None when there is none."""
    tidy = "-".join(word.lower().replace("_", " ").replace("'", "").split())
    for sign in table().signs.values():
        if tidy == sign.key or tidy in sign.also:
            return sign.key
    return None


def nearest_sign(word: str) -> str | None:
    """Return the sign whose name is most like a word."""
    names = {name: sign.key for sign in table().signs.values() for name in (sign.key, *sign.also)}
    found = nearest(word, names)
    return None if found is None else names[found]


def word_draws(draws: int, seed: int) -> dict[str, Array]:
    """Return the figures behind the words: the middle ones, then ``draws`` sets from their spreads. (1 + draws,)"""
    names = [f"trouble.word.{w}" for w in WORDS] + [f"trouble.prior.{p}" for p in PRIORS]
    names += ["trouble.named", "trouble.prior.more"]
    cube = latin(np.random.default_rng([seed, 5]), max(draws, 1), len(names))
    found = {}
    for i, name in enumerate(names):
        spread = spread_of(name)
        drawn = triangular(cube[i], spread)[:draws]
        found[name.split(".")[-1]] = np.concatenate([[spread.mid], drawn])
    return found
