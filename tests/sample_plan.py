"""Ready-made plans for the tests of the faces: a usual one, one judged by eye, and an awkward one.

The figures are those of 1000 g dark chocolate in a 691 W oven as our own model gave them once: they make the
cards look real and prove nothing about chocolate.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from temperbench.app.results import (
    Band,
    BurstPlan,
    BurstStep,
    Carries,
    Leg,
    ReadsThen,
    RescueRow,
    SettingTest,
    StoreRow,
    Warning_,
    Workable,
)

__all__ = ["RULES", "sample_plan", "sample_plan_awkward", "sample_plan_by_eye"]

_START_C = 20.0
_ROOM_C = 20.0
_PARTS = tuple(i / 12 for i in range(1, 13))
_COOLING_S = 8.0 * 60.0 / math.log((34.3 - _ROOM_C) / (32.0 - _ROOM_C))  # 34.3 to 32 °C in 8 min, unheated

# seconds, rest, stir, stirred °C, its 5 % and 95 % points, hottest 95 %, solid % of fat
_STEPS = (
    (60, 5, 30, 30.6, 29.7, 31.5, 54.6, 36.0),
    (15, 5, 20, 31.8, 31.2, 32.4, 39.8, 24.0),
    (12, 5, 20, 32.6, 32.1, 33.1, 39.6, 16.0),
    (12, 5, 30, 33.7, 33.3, 34.1, 39.7, 7.0),
    (3, 5, 90, 34.0, 33.7, 34.3, 36.1, 5.0),
)
# reading from, to, looks, seconds after burst 1 and 2, after burst 3, after burst 4 and later
_READS = (
    (None, 31.0, "mostly whole", (24, 24, 20)),
    (31.0, 32.0, "half melted, firm", (18, 15, 15)),
    (32.0, 32.5, "thick, soft lumps", (12, 12, 12)),
    (32.5, 33.0, "thick, soft lumps", (12, 10, 8)),
    (33.0, 33.3, "flows, few lumps", (8, 8, 6)),
    (33.3, 33.6, "flows, few lumps", (6, 5, 5)),
    (33.6, 33.8, "last lumps going", (4, 4, 3)),
    (33.8, None, "last lumps going", (0, 0, 0)),
)
_STAGES = (1, 3, 4)  # at which the table changes
_LOOKS = (
    ("mostly whole", (20, 18)),
    ("half melted, firm", (14, 12)),
    ("thick, soft lumps", (8, 6)),
    ("flows, few lumps", (4, 4)),
    ("last lumps going", (0, 0)),
)
RULES = (
    "No lump left and it flows: stop.",
    "Never a longer burst than the one before.",
    "Stir first, then read.",
)


def _steps(
    rows: tuple[tuple[int, int, int, float, float, float, float, float], ...],
) -> tuple[BurstStep, ...]:
    return tuple(BurstStep(*row) for row in rows)


def _up(steps: tuple[BurstStep, ...]) -> Leg:
    """Return a staircase: up while the oven runs, then nearly level while the bowl stands and is stirred."""
    t, low, mid, high = 0.0, _START_C - 0.2, _START_C, _START_C + 0.2
    path = [(t, low, mid, high, high)]
    for step in steps:
        for part in _PARTS:
            now = [a + (b - a) * part for a, b in ((low, step.low_c), (mid, step.mean_c), (high, step.high_c))]
            path.append((t + step.seconds * part, *now, mid + (step.hottest_high_c - mid) * part))
        t += step.seconds
        low, mid, high = step.low_c, step.mean_c, step.high_c
        for part in _PARTS:
            hot = high + 0.3 + (step.hottest_high_c - high - 0.3) * math.exp(-4.0 * part)
            path.append((t + (step.rest_s + step.stir_s) * part, low, mid, high, hot))
        t += step.rest_s + step.stir_s
    return _leg(path)


def _leg(path: list[tuple[float, float, float, float, float]]) -> Leg:
    t, low, mid, high, hot = zip(*path, strict=True)
    return Leg(t, low, mid, high, tuple(max(a, b) for a, b in zip(hot, high, strict=True)))


def _down(from_c: float) -> Leg:
    """Return the way down: Newton's cooling with a spread of the rate."""
    times = tuple(15.0 * i for i in range(57))

    def fall(start: float, pace: float) -> tuple[float, ...]:
        return tuple(_ROOM_C + (start - _ROOM_C) * math.exp(-pace * t / _COOLING_S) for t in times)

    return Leg(times, fall(from_c - 0.3, 1.25), fall(from_c, 1.0), fall(from_c + 0.3, 0.8))


def _carries() -> Carries:
    stores = (
        StoreRow(15.0, (60, 24, 15, 12, 6), 117),
        StoreRow(18.0, (60, 18, 13, 12, 4), 107),
        StoreRow(20.0, (60, 15, 12, 12, 3), 102),
        StoreRow(22.0, (60, 12, 8, 8, 3), 91),
    )
    text = "These seconds alone hold for 19 to 21 °C at the start, 970 to 1030 g, oven cold. Else: go by the readings."
    return Carries(19.0, 21.0, 970.0, 1030.0, 17.9, stores, text)


def _rescue() -> tuple[RescueRow, ...]:
    def row(at_c: float, ends_pct_of_fat: float, *portions: int) -> RescueRow:
        first, second, last = portions
        advice = f"Stir in {first} g, {second} g and {last} g, each until it is gone; make the setting test."
        return RescueRow(at_c, sum(portions), 34.1, ends_pct_of_fat, advice, portions)

    return (
        row(35.0, 3.4, 20, 20, 30),
        row(36.0, 3.2, 40, 40, 30),
        row(37.0, 3.1, 50, 50, 40),
        row(38.0, 3.0, 60, 60, 50),
        row(40.0, 2.8, 80, 80, 80),
        *(RescueRow(at_c, None, None, None, _MELT) for at_c in (42.0, 45.0)),
    )


_MELT = "It would take more than 250 g: melt it fully, then seed it."


def sample_plan() -> BurstPlan:
    """Return the usual plan: 1000 g dark, a probe, five bursts, two warnings."""
    steps = _steps(_STEPS)
    return BurstPlan(
        title="1000 g dark chocolate, 1000 W oven, plastic bowl",
        stop_c=34.0,
        limit_c=34.5,
        work_from_c=31.0,
        work_to_c=32.0,
        scorch_c=55.0,
        bursts=steps,
        total_burst_s=102,
        total_min=5.2,
        risk_lost=0.021,
        risk_scorch=0.047,
        risk_asked=0.05,
        risk_members=4000,
        reads_then=tuple(
            ReadsThen(stage, low, high, seconds[i], looks)
            for i, stage in enumerate(_STAGES)
            for low, high, looks, seconds in _READS
        ),
        crystals_pct_of_fat=Band(3.1, 5.0, 8.2),
        draw_down_min=Band(5.4, 7.0, 9.2),
        setting_test=SettingTest("paper", 4.0, 1.8, 2.9),
        workable=Workable(15.0, 23.0, 29.0, "too thick"),
        held=Workable(28.0, 41.0, 60.0, "too thick"),
        rescue=_rescue(),
        carries=_carries(),
        up=_up(steps),
        down=_down(34.0),
        defaults_used=(
            "total fat 36 % (30 to 42), typical of dark chocolate",
            "Weight of the bowl: taken as 160 g from its size and material.",
            "Oven power: taken as 850 W from the label of 1000 W, because no water test was given.",
        ),
        rules=RULES,
        warnings=(
            Warning_("oven-not-measured", "Oven power is taken from its label; measure it once with water."),
            Warning_(
                "glass-not-asked",
                "A bowl warm from the washer heats on: start with a bowl at room temperature.",
            ),
        ),
        sources=("crystals.sfc.nodes", "limits.dark.stop"),
        cautions=(
            "Stay with the oven: chocolate smokes before it looks burnt.",
            "The bowl is hot where the chocolate touches it: use a dry cloth.",
            "Keep water and steam out. Milk, nuts and soya are allergens: keep bowls and scrapers apart.",
        ),
        holds_for=(
            "1000 g of the same in-temper buttons, glossy, from a store at 20 °C.",
            "A cold oven at full power, the same bowl, the lid off.",
        ),
    )


def sample_plan_by_eye() -> BurstPlan:
    """Return a plan without a thermometer: the table's rows are looks instead of readings."""
    reads = tuple(
        ReadsThen(stage, None, None, seconds[i], looks) for i, stage in enumerate((1, 3)) for looks, seconds in _LOOKS
    )
    return replace(
        sample_plan(),
        title="1000 g dark chocolate, 1000 W oven, plastic bowl, by eye",
        reads_then=reads,
        risk_lost=0.12,
        warnings=(Warning_("by-eye", "Without a thermometer one bowl in eight is lost: lean on the setting test."),),
    )


def sample_plan_awkward() -> BurstPlan:
    """Return a plan that is hard to lay out: 8 bursts, a long title, many rows, 10 warnings, long lists."""
    rows = (
        (45, 5, 30, 26.1, 24.9, 27.2, 46.6, 55.0),
        (30, 5, 20, 28.8, 27.9, 29.6, 45.0, 38.0),
        (15, 5, 20, 29.7, 29.0, 30.3, 41.9, 30.0),
        (12, 5, 20, 30.4, 29.8, 30.9, 39.6, 22.0),
        (10, 5, 20, 31.0, 30.5, 31.4, 38.2, 15.0),
        (8, 5, 20, 31.5, 31.1, 31.9, 37.1, 10.0),
        (5, 5, 30, 31.8, 31.5, 32.1, 35.5, 7.0),
        (3, 5, 120, 32.1, 31.8, 32.4, 34.6, 5.0),
    )
    steps = _steps(rows)
    edges = (None, 27.0, 28.0, 29.0, 30.0, 30.5, 31.0, 31.3, 31.6, 31.8, 32.0, None)
    reads = tuple(
        ReadsThen(stage, low, high, max(0, 30 - 3 * i - stage) if high is not None else 0, "")
        for stage in range(1, 9)
        for i, (low, high) in enumerate(pairwise(edges))
    )
    usual = sample_plan()
    long = "This is warning {} of ten, with its reason spelt out at the length that such reasons usually have."
    return replace(
        usual,
        title="1250 g milk chocolate <38 % & “house” #7 $x$ *lot* \\n, "
        "850 W inverter oven at half power, heavy glass bowl",
        stop_c=32.1,
        limit_c=32.8,
        work_from_c=29.0,
        work_to_c=30.0,
        scorch_c=50.0,
        bursts=steps,
        total_burst_s=sum(step.seconds for step in steps),
        total_min=7.6,
        reads_then=reads,
        draw_down_min=Band(5.9, 8.3, 11.4),
        setting_test=SettingTest("knife", 10.0, 5.6, 9.1),
        workable=Workable(9.0, 12.0, 16.0, "too cold"),
        rescue=(
            *(replace(row, at_c=row.at_c - 1.7) for row in usual.rescue),
            RescueRow(44.0, None, None, None, _MELT),
        ),
        carries=replace(
            usual.carries,
            stores=tuple(
                StoreRow(c, tuple(s.seconds for s in steps), 128) for c in (12.0, 15.0, 18.0, 20.0, 22.0, 25.0)
            ),
        ),
        up=_up(steps),
        down=_down(32.1),
        defaults_used=tuple(f"default number {i} taken as usual" for i in range(1, 9)),
        warnings=tuple(Warning_(f"warning-{i}", long.format(i)) for i in range(1, 11)),
        cautions=(
            *usual.cautions,
            "Melting does not make chocolate safe if it was contaminated: follow your local rules.",
        ),
        holds_for=(
            *usual.holds_for,
            *(f"Line {i} of what the card holds for, as long as lines are." for i in range(3, 8)),
        ),
    )
