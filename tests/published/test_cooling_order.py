"""The published order of cooling curves, in the cups of this kitchen.

Untempered lowest and latest, with a slope up at the bend; under-tempered low and up; well tempered about level;
over-tempered highest, with a slope down: Afoakwa et al. 2008, J. Food Eng. 89:128, recalled; Stapley et al. 1999,
recalled. Only the order can be carried from one cup to another.
"""

from __future__ import annotations

import pytest

from sample_cups import plain_log
from temperbench.insight.curve.smooth import look_at

SEEDS = (0.0, 0.002, 0.01, 0.03, 0.08)


@pytest.mark.parametrize("cup", ["jacket", "metal", "plastic"])
def test_bends_come_in_the_published_order(cup: str) -> None:
    """From untempered to over-tempered the bend is warmer and its slope falls from up to down; read from noisy logs."""
    bends = [look_at(plain_log(x, cup)).bend for x in SEEDS]
    assert None not in bends
    warmth = [bend.celsius for bend in bends if bend]
    slopes = [bend.per_minute for bend in bends if bend]
    assert warmth == sorted(warmth)
    assert slopes == sorted(slopes, reverse=True)
    assert slopes[0] > 0.5
    assert slopes[-1] < -0.15


def test_a_well_tempered_sample_in_a_sleeve_bends_about_level() -> None:
    """One per cent of the fat, well dispersed: the slope at the bend is within 0.3 °C/min of level."""
    bend = look_at(plain_log(0.01)).bend
    assert bend is not None
    assert abs(bend.per_minute) < 0.3
