"""Chocolates from their packs: defaults and their words, printed figures, warnings, windows."""

from __future__ import annotations

import pytest

from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import row
from temperbench.foundation.quantities import Spread
from temperbench.matter.composition import (
    chocolate_from_pack,
    full_melt,
    practice_ceiling,
    scorch_alarm,
    working_window,
)

KINDS = ["dark", "milk", "white"]


@pytest.mark.parametrize(
    ("kind", "fat", "share", "growth"),
    [
        ("dark", Spread(0.30, 0.36, 0.42), Spread(0.0, 0.0, 0.05), Spread(0.5, 1.0, 1.0)),
        ("milk", Spread(0.29, 0.32, 0.38), Spread(0.12, 0.18, 0.25), Spread(0.5, 0.8, 1.0)),
        ("white", Spread(0.29, 0.33, 0.40), Spread(0.12, 0.25, 0.30), Spread(0.5, 0.75, 1.0)),
    ],
)
def test_nothing_known_is_typical_of_the_kind(kind: str, fat: Spread, share: Spread, growth: Spread) -> None:
    """Without figures the typical ranges of common trade practice are carried."""
    made = chocolate_from_pack(kind)
    assert (fat, share, growth, None) == (made.fat, made.milk_fat_share, made.growth_factor, made.butter)


def test_defaults_are_told_in_plain_words() -> None:
    """Everything taken as typical is said, with its range."""
    assert chocolate_from_pack("dark").defaults_used == (
        "total fat 36 % (30 to 42), typical of dark chocolate",
        "milk fat 0 % (0 to 5) of the fat, typical of dark chocolate",
        "cocoa butter of unknown hardness: medium (soft to hard)",
    )


def test_nothing_is_told_when_all_is_known() -> None:
    """A pack that tells fat, milk fat and butter leaves nothing to be taken as typical."""
    made = chocolate_from_pack("milk", fat_pct=36, milk_fat_pct=6, butter="hard")
    assert made.defaults_used == ()
    assert made.sources == ("kinetics.growth_factor.milk",)
    assert made.butter == "hard"


@pytest.mark.parametrize("kind", KINDS)
def test_sources_resolve(kind: str) -> None:
    """Every default can be asked where it comes from."""
    made = chocolate_from_pack(kind, cocoa_pct=35)
    assert list(made.sources) == [row(key).id for key in made.sources]
    assert len(made.sources) == 3


def test_printed_figures_carry_their_rounding() -> None:
    """A printed figure is the middle of half a per cent of the chocolate either way."""
    made = chocolate_from_pack("milk", fat_pct=36, milk_fat_pct=9)
    assert (made.fat.low, made.fat.mid, made.fat.high) == pytest.approx((0.355, 0.36, 0.365), rel=1e-12)
    share = made.milk_fat_share
    assert (share.low, share.mid, share.high) == pytest.approx((8.5 / 36.5, 0.25, 9.5 / 35.5), rel=1e-12)


def test_the_panel_stands_in_for_figures() -> None:
    """Fat and sugars of the nutrition panel count as if given one by one."""
    panel = {"fat": 36, "sugars": 44, "carbohydrate": 48, "protein": 7}
    assert chocolate_from_pack("dark", panel=panel) == chocolate_from_pack("dark", fat_pct=36, sugars_pct=44)


@pytest.mark.parametrize(("cocoa", "fat"), [(64.5, 0.3831), (77.5, 0.4263), (100.0, 0.5231), (71.0, 0.4047)])
def test_fat_of_dark_rises_with_its_cocoa(cocoa: float, fat: float) -> None:
    """Above 64 % cocoa the fat follows the USDA figures of items 19903, 19904 and 19078, straight between them."""
    made = chocolate_from_pack("dark", cocoa_pct=cocoa)
    assert made.fat.mid == pytest.approx(fat, abs=1e-6)
    assert made.fat.high - made.fat.low == pytest.approx(0.08, abs=1e-9)


def test_sugars_narrow_an_unknown_fat() -> None:
    """Where sugars leave less room than the usual fat, the range ends at that room."""
    made = chocolate_from_pack("dark", sugars_pct=62)
    assert (made.fat.low, made.fat.mid, made.fat.high) == pytest.approx((0.30, 0.34, 0.38), rel=1e-12)


@pytest.mark.parametrize(
    ("cocoa", "high", "told"),
    [(28, 8.5 / 36.5, "milk fat 22 % (11 to 23) of the fat, typical of white chocolate with 28 % cocoa butter"),
     (22, 0.30, "milk fat 25 % (12 to 30) of the fat, typical of white chocolate"),
     (36.4, 0.1 / 36.5, "milk fat 0 % (0 to 0) of the fat, typical of white chocolate with 36.4 % cocoa butter")],
)  # fmt: skip
def test_cocoa_of_white_bounds_its_milk_fat(cocoa: float, high: float, told: str) -> None:
    """What a white chocolate's cocoa butter leaves of the fat is the most its milk fat can be."""
    made = chocolate_from_pack("white", fat_pct=36, cocoa_pct=cocoa)
    assert made.milk_fat_share.high == pytest.approx(high, rel=1e-9)
    assert told == made.defaults_used[0]


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({}, []),
        ({"fat_pct": 31}, []),
        ({"fat_pct": 30.9}, ["low-fat"]),
        ({"baking_drops": True}, ["baking-drops", "low-fat"]),
        ({"baking_drops": True, "fat_pct": 32}, ["baking-drops"]),
    ],
)
def test_thick_chocolate_is_warned_of(given: dict[str, float], codes: list[str]) -> None:
    """Baking drops and chocolate under 31 % fat are taken, with a word that they are thick."""
    assert codes == [code for code, _ in chocolate_from_pack("dark", **given).warnings]


@pytest.mark.parametrize(
    ("kind", "window", "scorch"), [("dark", (31, 32), 55), ("milk", (29, 30), 50), ("white", (28, 29), 48)]
)
def test_each_kind_has_its_temperatures(kind: str, window: tuple[float, float], scorch: float) -> None:
    """Windows are those of common trade practice; the alarm stands above the full melt, the ceiling between."""
    assert window == working_window(kind)
    assert scorch == scorch_alarm(kind)
    marks = [*working_window(kind), *practice_ceiling(kind), *full_melt(kind), scorch_alarm(kind)]
    assert sorted(marks) == marks


@pytest.mark.parametrize("ask", [working_window, practice_ceiling, full_melt, scorch_alarm])
def test_an_unknown_kind_is_named(ask: object) -> None:
    """A misspelt kind is refused with the nearest word."""
    assert callable(ask)
    with pytest.raises(InputError, match="did you mean “white”"):
        ask("whit")
