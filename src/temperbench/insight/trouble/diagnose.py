"""From what is seen to the whole answer: ensembles, weights, ranked causes, checks, what can be saved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.after_stop import film_times
from temperbench.insight.plan import Band, Warning_
from temperbench.insight.setup_job import Known, know
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.insight.trouble.advice import said_figures
from temperbench.insight.trouble.ask import CauseFound, Trouble, TroubleAsk
from temperbench.insight.trouble.checks import entropy, rank_checks
from temperbench.insight.trouble.paths import Ways
from temperbench.insight.trouble.table import PRIORS, WORDS, Cause, table, word_draws
from temperbench.insight.trouble.weigh import Weighed, considered, sign_chances, weigh
from temperbench.kitchen.members import nominal
from temperbench.kitchen.parcel import parcel_states
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio
from temperbench.matter.materials import ALLERGENS

__all__ = ["diagnose", "pass_minutes_usual"]

_LOW, _HIGH = 0.05, 0.95
_DRAWS = 40  # sets of figures behind the words
_SHOWN = 0.02  # causes less likely than this are left out, beyond the first three
_FOR, _AGAINST = 0.3, 0.1  # chance of a sign that speaks for a cause, and against it
_MOST_CHECKS = 3
_PIECES = "Pieces already made: safe to eat; for looks melt them fully and temper them again."


def pass_minutes_usual(known: Known, aims: Temperatures, film: str) -> float:
    """Return when a smear of a bowl with just enough crystals has set in this room. [min]"""
    one, enough = nominal(known.setup), number("bowl.enough")
    middle = 0.5 * (aims.work_from_c + aims.work_to_c)
    loss = np.array([spread_of(f"film.{film}.loss").mid])
    least = film_times(one, parcel_states(middle, enough, 100.0 * enough), loss)
    return float(min(np.ceil(2.0 * least[0]) / 2.0, number("film.longest")))


def diagnose(ask: TroubleAsk, *, members: int = 256, seed: int = 1) -> Trouble:
    """Return ranked causes, checks and advice; the same seed gives the same answer.

    Raises `temperbench.foundation.errors.InputError` for a job that cannot be.
    """
    known = know(ask.job)
    aims = temperatures(known)
    limits = (aims.work_from_c, aims.work_to_c, aims.limit_c)
    pass_min = pass_minutes_usual(known, aims, ask.film)
    causes = considered(ask)
    ways = Ways(ask, known, aims, members, seed)
    histories = {path: ways.history(path) for path in dict.fromkeys(c.path for c in causes)}
    usual = pass_minutes_usual(know(replace(ask.job, room_c=number("bowl.room"))), aims, ask.film)  # cooks go by that
    features = {path: ways.features(history, usual) for path, history in histories.items()}
    weighed = weigh(ask, causes, histories, features, word_draws(_DRAWS, seed), limits)
    said = said_figures(known, aims, ask, pass_min)
    ranked = _ranked(weighed, ask, said)
    checks = rank_checks(weighed, ask, limits, said)
    lost, good, many, crystals, setting = _standing(weighed)
    warnings = (*known.warnings, *_doubts(weighed, ask))
    return Trouble(
        heading=_heading(ask, known), seen=tuple(table().signs[s].title for s in ask.seen), causes=ranked,
        checks=tuple(checks[:_MOST_CHECKS]), left_bits=entropy(weighed.posterior[0]), chance_lost=lost,
        chance_in_temper=good, chance_too_many=many, crystals_pct_of_fat=crystals, set_min=setting,
        unexplained=_unexplained(weighed, ask), defaults_used=_defaults(known, ask), warnings=warnings,
        cautions=_cautions(ranked, ask.job.chocolate), sources=_sources(known),
    )  # fmt: skip


def _ranked(weighed: Weighed, ask: TroubleAsk, said: dict[str, str]) -> tuple[CauseFound, ...]:
    middle = weighed.posterior[0]
    order = sorted(range(len(middle)), key=lambda i: -middle[i])
    kept = [i for place, i in enumerate(order) if place < 3 or middle[i] >= _SHOWN]
    return tuple(_found(weighed, i, ask, said) for i in kept)


def _found(weighed: Weighed, i: int, ask: TroubleAsk, said: dict[str, str]) -> CauseFound:
    cause = weighed.causes[i]
    low, high = np.quantile(weighed.posterior[:, i], [_LOW, _HIGH])
    mid = float(weighed.posterior[0, i])
    good, bad = _evidence(weighed, i, ask)
    return CauseFound(
        key=cause.key, title=cause.title, probability=mid, low=min(float(low), mid), high=max(float(high), mid),
        by="model" if cause.by_model else "rules", speaks_for=good, speaks_against=bad, why=cause.why.format(**said),
        do=cause.do.format(**said), save=_save(cause, ask).format(**said), keeps=cause.keeps,
        next_time=cause.next_time.format(**said), basis=cause.basis, source=cause.source,
    )  # fmt: skip


def _save(cause: Cause, ask: TroubleAsk) -> str:
    """Say what can be saved; of a fault of the bowl, the pieces already made too."""
    goods = any(table().signs[s].stage == "goods" for s in ask.seen)
    return f"{cause.save} {_PIECES}" if goods and cause.where == "bowl" and cause.keeps == "all" else cause.save


def _chance(weighed: Weighed, i: int, sign: str) -> float:
    cause = weighed.causes[i]
    first = {k: v[:1] for k, v in weighed.words.items()}
    return float(sign_chances(cause, sign, weighed.features[cause.path], first)[0] @ weighed.members[i])


def _evidence(weighed: Weighed, i: int, ask: TroubleAsk) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Say which signs and figures speak for a cause, and which against it."""
    good, bad = [], []
    for sign in ask.seen:
        chance = _chance(weighed, i, sign)
        title = table().signs[sign].title
        if chance >= _FOR:
            good.append(f"{title}: in {100 * chance:.0f} of 100 such bowls")
        elif chance < _AGAINST:
            bad.append(f"{title}: in {100 * chance:.0f} of 100 such bowls")
    for sign in ask.not_seen:
        chance = _chance(weighed, i, sign)
        if chance >= 0.5:
            bad.append(f"not {table().signs[sign].title}: {100 * chance:.0f} of 100 such bowls would be")
    told = [ask.hottest_c, ask.reads_c, ask.minutes, ask.set_min, ask.not_set_min]
    if any(figure is not None for figure in told):
        fit = float(weighed.fits[i] - weighed.fits.max())
        if fit > np.log(_FOR):
            good.append("the figures told fit")
        elif fit < np.log(_AGAINST):
            bad.append("the figures told hardly fit")
    for key, outcome in ask.found:
        check = table().checks[key]
        named = next(o for o in check.outcomes if o.key == outcome)
        if weighed.causes[i].key in named.causes:
            good.append(f"check: {named.text}")
    return tuple(good), tuple(bad)


def _standing(weighed: Weighed) -> tuple[float, float, float, Band, Band]:
    """Return where the bowl stands: chances of lost, in temper and too many, crystals, setting time."""
    weight, stable, solid, setting, thick = [], [], [], [], []
    for i, cause in enumerate(weighed.causes):
        history = weighed.histories[cause.path]
        weight.append(weighed.posterior[0, i] * weighed.members[i])
        stable.append(history.stable)
        solid.append(history.solid)
        setting.append(np.minimum(history.set_min, number("film.longest")))
        rows = history.members.rows
        thick.append(crystals_at_ratio(number("bowl.thick_ratio"), rows[:, FAT], history.members.kappa))
    w, x, total, test, at = (np.concatenate(part) for part in (weight, stable, solid, setting, thick))
    lost, many = float(w[x < number("bowl.lost")].sum()), float(w[(total > at) & (x >= number("bowl.lost"))].sum())
    return lost, max(0.0, 1.0 - lost - many), many, _band(100.0 * x, w), _band(test, w)


def _band(values: Array, weights: Array) -> Band:
    order = np.argsort(values)
    share = np.cumsum(weights[order]) / weights.sum()
    places = np.minimum(np.searchsorted(share, [_LOW, 0.5, _HIGH]), len(order) - 1)
    low, mid, high = (float(v) for v in values[order][places])
    return Band(round(low, 2), round(mid, 2), round(high, 2))


def _unexplained(weighed: Weighed, ask: TroubleAsk) -> tuple[str, ...]:
    found = []
    for sign in ask.seen:
        chance = sum(weighed.posterior[0, i] * _chance(weighed, i, sign) for i in range(len(weighed.causes)))
        if chance < 2.0 * _AGAINST:
            found.append(table().signs[sign].title)
    return tuple(found)


def _doubts(weighed: Weighed, ask: TroubleAsk) -> list[Warning_]:
    found = []
    effective = 1.0 / (weighed.members**2).sum(axis=1)
    best = int(np.argmax(weighed.posterior[0]))
    if effective[best] < 8.0:
        text = (
            "What was told is far from any run that is usual: check the figures; the chances rest on few simulated "
            "bowls."
        )
        found.append(Warning_("unusual-figures", text))
    if ask.reads_c is not None and ask.hottest_c is not None and ask.reads_c > ask.hottest_c + 1.0:
        text = "The bowl reads more now than the highest reading told: the present reading is taken for the highest."
        found.append(Warning_("warmer-than-hottest", text))
    return found


def _heading(ask: TroubleAsk, known: Known) -> str:
    how = f", {ask.method}" if ask.method else ""
    return f"{ask.job.grams:.0f} g {known.chocolate.name}{how}"


def _defaults(known: Known, ask: TroubleAsk) -> tuple[str, ...]:
    found = [text for text in known.defaults_used if not text.lower().startswith(("oven", "power", "label"))]
    if ask.method is None:
        found.append("Method: not told, so both part-melted and fully melted bowls are weighed.")
    return tuple(found)


def _cautions(ranked: tuple[CauseFound, ...], kind: str) -> tuple[str, ...]:
    found = [
        "Hot bowl, hot spots and steam: dry cloth or gloves, and stir before touching or tasting.",
        "Like into like: what holds milk, nuts or soya goes only into what holds them too, and is labelled so.",
    ]
    if any(c.key in ("water", "damp", "other-fat") for c in ranked[:3]):
        found.append(
            "Chocolate with water or cream in it is no longer a dry food and can spoil: cool it, use it the same day, "
            "and follow your local food rules."
        )
    if any(c.key == "scorched" for c in ranked[:3]):
        found.append("Smoke or a burnt smell: switch off, leave the door shut until it stops, then throw it away.")
    if kind in ALLERGENS:
        found.append(ALLERGENS[kind])
    found.append("When in doubt about safety, throw it away. Melting makes nothing safe.")
    return tuple(found)


def _sources(known: Known) -> tuple[str, ...]:
    own = [f"trouble.word.{word}" for word in WORDS] + [f"trouble.prior.{word}" for word in PRIORS]
    crystals = [key for key in known.sources if not key.startswith("oven.")]
    return tuple(dict.fromkeys([*own, "trouble.named", "trouble.path.slip", *crystals]))
