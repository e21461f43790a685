"""The trouble-shooter: every combination is answered, told figures decide, chances and checks add up."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number
from temperbench.insight.job import METHODS, BowlJob
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import temperatures
from temperbench.insight.trouble.advice import seed_now
from temperbench.insight.trouble.ask import Trouble, TroubleAsk
from temperbench.insight.trouble.checks import entropy
from temperbench.insight.trouble.diagnose import diagnose
from temperbench.insight.trouble.table import FEATURES, PRIORS, WORDS, sign_named, table, word_draws
from temperbench.insight.trouble.weigh import sign_chances
from temperbench.matter.materials import NAMES
from temperbench.matter.pack import CHOCOLATES, KINDS

JOB = BowlJob("dark", 1000.0, 1000.0, room_c=20.0)
SIGNS, CAUSES, CHECKS = table().signs, table().causes, table().checks
FEW = 24  # simulated bowls where only the shape of the answer counts


def told(answer: Trouble) -> str:
    """Return every text of an answer."""
    texts = [x for c in answer.causes for x in (c.title, c.why, c.do, c.save, c.next_time)]
    texts += [x for c in answer.checks for x in (c.ask, c.how, *(o.text for o in c.outcomes))]
    return "\n".join([*texts, *answer.cautions])


def is_whole(answer: Trouble) -> None:
    """Check that an answer leaves nobody alone: causes with what to do and save, chances that are chances."""
    assert len(answer.causes) >= 3
    assert [c for c in answer.causes if not (c.do.strip() and c.save.strip() and c.why.strip())] == []
    assert sorted((c.probability for c in answer.causes), reverse=True) == [c.probability for c in answer.causes]
    assert 0.0 < sum(c.probability for c in answer.causes) <= 1.0 + 1e-9
    assert [c for c in answer.causes if not 0.0 <= c.low <= c.probability <= c.high <= 1.0] == []
    parts = answer.chance_lost + answer.chance_in_temper + answer.chance_too_many
    assert math.isclose(parts, 1.0, abs_tol=1e-9)
    assert "{" not in told(answer)
    assert "}" not in told(answer)
    assert len(answer.cautions) >= 2


@pytest.mark.parametrize("sign", SIGNS)
def test_every_sign_alone_is_answered(sign: str) -> None:
    """One sign, and nothing else known, gets causes, advice and a check."""
    answer = diagnose(TroubleAsk(JOB, seen=(sign,)), members=FEW)
    is_whole(answer)
    assert len(answer.checks) >= 1


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("kind", ["dark", "milk", "white"])
def test_every_kind_and_method_is_answered(kind: str, method: str) -> None:
    """The worst that can be told of any kind by any method is answered."""
    job = replace(JOB, chocolate=kind, method=method, room_c=None)
    is_whole(diagnose(TroubleAsk(job, method, tuple(SIGNS), (), 130.0, 10.0, 1440.0, None, 30.0, "knife"), members=FEW))


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in CHOCOLATES])
def test_other_masses_are_answered(kind: str) -> None:
    """Nut pastes, plant-milk and caramelised chocolate and coloured butter can be in trouble too, and are named."""
    answer = diagnose(TroubleAsk(replace(JOB, chocolate=kind), seen=("will-not-set", "soft-pieces")), members=FEW)
    is_whole(answer)
    assert NAMES[kind] in answer.heading


def test_a_hot_room_speaks_for_itself() -> None:
    """Soft pieces in a room of 29 °C: the room is likelier to be the cause than in one of 19 °C."""
    chances = []
    for room in (19.0, 29.0):
        answer = diagnose(TroubleAsk(replace(JOB, room_c=room), "microwave", ("soft-pieces", "will-not-set")))
        chances.append(sum(c.probability for c in answer.causes if c.key == "warm-room"))
    assert chances[1] > 3.0 * chances[0]


def test_pairs_of_signs_are_answered() -> None:
    """Any two signs together are answered, also those that contradict each other."""
    keys = list(SIGNS)
    rng = np.random.default_rng(3)
    for _ in range(12):
        one, other = rng.choice(len(keys), 2, replace=False)
        is_whole(diagnose(TroubleAsk(JOB, seen=(keys[one], keys[other])), members=FEW))


def test_all_checks_made_is_no_dead_end() -> None:
    """With every check answered by its rest there is still advice, and no check is asked twice."""
    made = tuple((c.key, next((o.key for o in c.outcomes if o.rest), c.outcomes[0].key)) for c in CHECKS.values())
    answer = diagnose(TroubleAsk(JOB, seen=("thick", "sticks"), found=made), members=FEW)
    is_whole(answer)
    assert answer.checks == ()


def test_readings_far_above_the_limit_tell_of_lost_crystals() -> None:
    """A smear that will not set after 37 °C is an overheated bowl, and the grams of seed are in the advice."""
    answer = diagnose(TroubleAsk(JOB, "microwave", ("will-not-set",), (), 37.0, 31.5, 12.0))
    best = answer.causes[0]
    assert (best.key, best.by) == ("overheated", "model")
    assert best.probability > 0.8
    assert answer.chance_lost > 0.9
    assert " g of finely chopped in-temper chocolate" in best.do


def test_a_bowl_kept_for_an_hour_is_over_crystallised() -> None:
    """Thick after 70 minutes in the window: too many crystals, and warming or thinning is the advice."""
    best = diagnose(TroubleAsk(JOB, "microwave", ("thick",), (), 33.9, 31.5, 70.0)).causes[0]
    assert best.key == "too-long"
    assert "40 to 45 °C" in best.do


@pytest.mark.parametrize(
    ("seen", "cause"),
    [("seized", "water"), ("scorched", "scorched"), ("rough-bloom", "damp"), ("grey-over-filling", "oil-migration"),
     ("haze-later", "warm-store"), ("pinholes", "trapped-air"), ("dull-patch", "heat-trapped")],
)  # fmt: skip
def test_signs_with_one_known_cause_lead_to_it(seen: str, cause: str) -> None:
    """Common practice gives these signs one cause; it comes first."""
    assert diagnose(TroubleAsk(JOB, seen=(seen,))).causes[0].key == cause


def test_more_told_is_never_less_known_on_the_example() -> None:
    """Reading by reading, less is open about the cause of one bowl."""
    signs = TroubleAsk(JOB, "microwave", ("will-not-set", "streaks"))
    hot = replace(signs, hottest_c=36.8)
    left = [diagnose(a).left_bits for a in (signs, hot, replace(hot, reads_c=31.2, minutes=14.0))]
    assert left == sorted(left, reverse=True)


def test_the_same_question_has_the_same_answer() -> None:
    """The seed decides all random numbers."""
    ask = TroubleAsk(JOB, seen=("dull",))
    assert diagnose(ask, members=FEW, seed=4) == diagnose(ask, members=FEW, seed=4)


def test_a_check_is_worth_what_it_can_tell() -> None:
    """No check is expected to tell more than is open, the most telling comes first, its outcomes are all there is."""
    answer = diagnose(TroubleAsk(JOB, seen=("grainy",)))
    bits = [round(c.bits, 2) for c in answer.checks]
    assert bits == sorted(bits, reverse=True)
    assert 0.0 < bits[0] <= answer.left_bits
    for check in answer.checks:
        assert math.isclose(sum(o.chance for o in check.outcomes), 1.0, abs_tol=1e-6)


def test_an_answered_check_moves_the_cause_as_it_said() -> None:
    """A check that said "then it is this, so likely" is held to it when that outcome is told."""
    ask = TroubleAsk(JOB, "bath", ("grainy", "thick"))
    first = diagnose(ask).checks[0]
    for outcome in first.outcomes:
        then = diagnose(replace(ask, found=((first.key, outcome.key),))).causes[0]
        assert (then.key, then.probability) == (outcome.cause, pytest.approx(outcome.probability, abs=1e-9))


def test_a_sign_alone_is_the_noisy_or_of_its_rules() -> None:
    """Where no figure of the bowl brings it, a sign's chance is 1 − (1 − else)(1 − word)."""
    words = word_draws(3, 1)
    nothing = np.zeros((5, len(FEATURES)))
    found = sign_chances(CAUSES["water"], "seized", nothing, words)
    expected = 1.0 - (1.0 - words["else"]) * (1.0 - words["always"])
    np.testing.assert_allclose(found, np.repeat(expected[:, None], 5, axis=1), rtol=1e-12)


def test_information_is_counted_in_bits() -> None:
    """Four equal chances are two bits, a certainty none."""
    assert (entropy(np.full(4, 0.25)), entropy(np.array([1.0, 0.0]))) == (2.0, 0.0)


def test_words_are_in_their_order() -> None:
    """In the middle, always is more than often, and so on; common more than usual, and so on."""
    words = word_draws(0, 1)
    for names in (WORDS, PRIORS):
        figures = [float(words[name][0]) for name in names]
        assert figures == sorted(figures, reverse=True)


@pytest.mark.parametrize("cause", CAUSES)
def test_every_cause_can_be_seen_and_checked(cause: str) -> None:
    """A cause shows at least one sign, by a rule or by the simulated bowl, and some check tells it from others."""
    found = CAUSES[cause]
    assert found.by_model or [s for s, w in found.shows.items() if w in ("always", "often")] != []
    model = {"overheated", "too-cold", "still-warm", "sound", "too-long", "too-little-seed"}
    assert cause in model or [c.key for c in CHECKS.values() for o in c.outcomes if cause in o.causes] != []


@pytest.mark.parametrize(
    ("word", "sign"),
    [("Won't set", "will-not-set"), ("burnt", "scorched"), ("sugar bloom", "rough-bloom"), ("thick", "thick"),
     ("no snap", "soft-pieces"), ("sideways", None)],
)  # fmt: skip
def test_signs_have_the_words_people_use(word: str, sign: str | None) -> None:
    """Other words for a sign are understood; a word nobody uses for one is not."""
    assert sign_named(word) == sign


def test_words_for_signs_are_unique() -> None:
    """No word means two signs."""
    words = [w for s in SIGNS.values() for w in (s.key, *s.also)]
    assert len(words) == len(set(words))


def test_seed_for_a_lost_bowl_is_the_least_that_does() -> None:
    """Grams end with the crystals aimed at, 5 g less do not; a hot bowl is not seeded at all."""
    known = know(JOB)
    aim = number("trouble.seed.enough") * number("bowl.enough")
    found = seed_now(known, 31.5)
    assert found is not None
    grams, ends, solid = found
    assert solid >= aim
    assert ends < temperatures(known).limit_c
    assert solid * (1.0 - 5.0 / grams) < aim * 1.01
    assert seed_now(known, 60.0) is None


def test_a_job_that_cannot_be_is_refused() -> None:
    """More milk fat than fat is told as anywhere else."""
    with pytest.raises(InputError):
        diagnose(TroubleAsk(replace(JOB, fat_pct=30.0, milk_fat_pct=40.0), seen=("thick",)))
