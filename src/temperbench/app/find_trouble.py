"""Use case: from what is seen of a bowl, or of what was made of it, to ranked causes, checks and what can be saved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from temperbench.app.check_job import check_job, own_names
from temperbench.app.job_fields import RawJob
from temperbench.app.read_figure import Phrase, read_number, read_word, safe_to_show
from temperbench.app.results import Trouble
from temperbench.foundation.errors import InputError, NotGiven, OutOfRange
from temperbench.foundation.evidence import array, number, row
from temperbench.insight.job import BowlJob
from temperbench.insight.trouble.ask import TroubleAsk
from temperbench.insight.trouble.diagnose import diagnose
from temperbench.insight.trouble.table import nearest_sign, sign_named, table
from temperbench.kitchen.parcel import FILMS

__all__ = ["MEMBERS", "RawTrouble", "SignWord", "find_trouble", "known_checks", "known_signs"]

MEMBERS = 256  # simulated bowls for each way a run can go

_PLACES = {
    "seen": "--seen", "not_seen": "--not-seen", "hottest": "--hottest", "reads": "--reads", "minutes": "--minutes",
    "set_in": "--set-in", "not_set_by": "--not-set-by", "film": "--film", "found": "--found",
}  # fmt: skip


@dataclass(frozen=True)
class RawTrouble:
    """What a person told, unchecked: words and figures as they wrote them; and how each field was named."""

    seen: Sequence[str] = ()
    not_seen: Sequence[str] = ()
    hottest: object = None
    reads: object = None
    minutes: object = None
    set_in: object = None
    not_set_by: object = None
    film: object = None
    found: Sequence[str] = ()  # CHECK=OUTCOME
    places: Mapping[str, str] = field(default_factory=dict)

    def place(self, name: str) -> str:
        """Return the name of a field as the person knows it.

        Parameters
        ----------
        name : str
            Attribute. [-]

        Returns
        -------
        str
            Name for a message. [-]
        """
        return self.places.get(name, _PLACES[name])


@dataclass(frozen=True)
class SignWord:
    """One sign, or one check with its outcomes, as a list for people."""

    key: str
    title: str
    stage: str
    also: tuple[str, ...]


def known_signs() -> tuple[SignWord, ...]:
    """Return every sign that can be told, in the table's order.

    Returns
    -------
    tuple[SignWord, ...]
        Key, title, stage (bowl, smear, goods) and other words. [-]
    """
    return tuple(SignWord(s.key, s.title, s.stage, s.also) for s in table().signs.values())


def known_checks() -> tuple[SignWord, ...]:
    """Return every check whose outcome can be told.

    Returns
    -------
    tuple[SignWord, ...]
        Key, question, where it is made (bowl, goods, any) and the keys of its outcomes. [-]
    """
    return tuple(SignWord(c.key, c.ask, c.at, tuple(o.key for o in c.outcomes)) for c in table().checks.values())


def find_trouble(raw: RawJob, told: RawTrouble, *, members: int = MEMBERS, seed: int = 1) -> Trouble:
    """Return what the trouble is likeliest to be, what to check first, what to do, and what can be saved.

    Parameters
    ----------
    raw : RawJob
        What is known of the bowl; nothing of it is needed. [-]
    told : RawTrouble
        What is seen and read; at least one sign or one figure. [-]
    members : int
        Simulated bowls for each way a run can go. [-]
    seed : int
        Start of the random numbers; the same seed gives the same answer. [-]

    Returns
    -------
    Trouble
        The answer. [-]
    """
    usual = RawJob({"chocolate": "dark", "grams": number("trouble.usual_g")}, {})
    job = check_job(usual.overlaid(raw), "trouble")
    method = None if raw.values.get("method") is None else job.method
    seen, not_seen = (_signs(told, name) for name in ("seen", "not_seen"))
    both = [key for key in seen if key in not_seen]
    if both:
        remedy = "leave it out of one of the two"
        raise InputError(told.place("not_seen"), both[0], f"signs that {told.place('seen')} does not name", remedy)
    minutes, set_in, not_set = (_minutes(told, name) for name in ("minutes", "set_in", "not_set_by"))
    if set_in is not None and not_set is not None and not_set >= set_in:
        allowed = f"less than the {set_in:g} min in which it had set"
        raise OutOfRange(told.place("not_set_by"), not_set, allowed, "give the one of the two that was seen")
    ask = TroubleAsk(
        job, method, seen, not_seen, _celsius(told, "hottest"), _celsius(told, "reads"), minutes, set_in, not_set,
        _film(told), _found(told, raw, job),
    )  # fmt: skip
    _something_told(ask, told)
    with own_names(raw):
        found = diagnose(ask, members=members, seed=seed)
    return _with_defaults(found, raw)


def _with_defaults(found: Trouble, raw: RawJob) -> Trouble:
    more = []
    if raw.values.get("chocolate") is None:
        more.append("Chocolate: dark, since its kind was not told.")
    if raw.values.get("grams") is None:
        more.append(f"Amount: {number('trouble.usual_g'):.0f} g.")
    return replace(found, defaults_used=(*more, *found.defaults_used))


def _signs(told: RawTrouble, name: str) -> tuple[str, ...]:
    words = [part.strip() for text in getattr(told, name) for part in str(text).split(",") if part.strip()]
    return tuple(dict.fromkeys(_sign(word, told.place(name)) for word in words))


def _sign(word: str, place: str) -> str:
    found = sign_named(word)
    if found is not None:
        return found
    guess = nearest_sign(word)
    allowed = ", ".join(sign.key for sign in table().signs.values())
    raise InputError(place, word, allowed, f"did you mean “{guess}”?" if guess else "choose one of these")


def _celsius(told: RawTrouble, name: str) -> float | None:
    value = getattr(told, name)
    if value is None:
        return None
    figure = read_number(value, "celsius", told.place(name))
    return _ranged(told, name, figure, "limit.trouble_c", "stir the bowl and read it again")


def _minutes(told: RawTrouble, name: str) -> float | None:
    value = getattr(told, name)
    if value is None:
        return None
    text = value.strip().removesuffix("min").strip() if isinstance(value, str) else value
    figure = read_number(text, "percent", told.place(name)) if _is_figure(text) else None
    if figure is None:
        raise InputError(told.place(name), safe_to_show(value), "minutes such as 6 or 6.5", "write a number of minutes")
    return _ranged(told, name, figure, "limit.trouble_min", "count the minutes from when it was hottest, or spread")


def _is_figure(value: object) -> bool:
    if isinstance(value, str):
        return value.replace(",", ".", 1).replace(".", "", 1).isdecimal() and value.isascii()
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _ranged(told: RawTrouble, name: str, figure: float, limit: str, remedy: str) -> float:
    low, high = array(limit)
    if not low <= figure <= high:
        allowed = f"{low:g} to {high:g} {row(limit).unit}"
        raise OutOfRange(told.place(name), safe_to_show(getattr(told, name)), allowed, remedy)
    return figure


def _film(told: RawTrouble) -> str:
    return FILMS[0] if told.film is None else read_word(told.film, FILMS, told.place("film"))


def _found(told: RawTrouble, raw: RawJob, job: BowlJob) -> tuple[tuple[str, str], ...]:
    """Read the outcomes of checks; what is told of stock and fat answers the checks of stock and pack."""
    pairs: dict[str, str] = {}
    for text in told.found:
        key, _, outcome = (part.strip().lower() for part in str(text).partition("="))
        check = read_word(key or text, tuple(table().checks), told.place("found"))
        known = tuple(o.key for o in table().checks[check].outcomes)
        if not outcome:
            allowed = f"{check}= and one of {', '.join(known)}"
            raise InputError(told.place("found"), str(text), allowed, f"write for example {check}={known[0]}")
        pairs[check] = read_word(outcome, known, told.place("found"))
    if raw.values.get("glossy") is not None:
        pairs.setdefault("stock", "good" if job.glossy else "poor")
    if job.fat_pct is not None:
        pairs.setdefault("pack", "lean" if job.fat_pct < 100.0 * number("composition.fat.thin") else "good")
    return tuple(pairs.items())


def _something_told(ask: TroubleAsk, told: RawTrouble) -> None:
    figures = (ask.hottest_c, ask.reads_c, ask.minutes, ask.set_min, ask.not_set_min)
    if ask.seen or ask.not_seen or ask.found or any(f is not None for f in figures):
        return
    allowed = ", ".join(sign.key for sign in table().signs.values())
    raise NotGiven(told.place("seen"), Phrase("nothing"), allowed, f"add for example {told.place('seen')} thick")
