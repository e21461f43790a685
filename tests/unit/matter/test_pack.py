"""Figures on a pack: what is believed, what is refused, and that nothing else than a plain refusal comes out."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError
from temperbench.matter.composition import Chocolate, chocolate_from_pack

CONTRADICTIONS: list[tuple[dict[str, Any], str, str]] = [
    ({"kind": "dark", "fat_pct": 40, "sugars_pct": 90}, "sugars_pct", "0 to 60 % beside 40 % fat"),
    ({"kind": "dark", "cocoa_pct": 70, "sugars_pct": 45}, "sugars_pct", "0 to 30 % beside 70 % cocoa"),
    ({"kind": "milk", "fat_pct": 30, "milk_fat_pct": 35}, "milk_fat_pct", "beside 30 % fat in milk"),
    ({"kind": "dark", "fat_pct": 36, "milk_fat_pct": 9}, "milk_fat_pct", "0 to 5.4 %"),
    ({"kind": "dark", "panel": {"fat": 50, "carbohydrate": 45, "protein": 9}}, "panel", "up to 100 g"),
    ({"kind": "dark", "panel": {"fat": 12, "carbohydrate": 15, "protein": 2}}, "panel", "60 to 100 g"),
    ({"kind": "dark", "panel": {"carbohydrate": 40, "sugars": 50}}, "panel.sugars", "0 to 40 g"),
    ({"kind": "dark", "panel": {"fat": 80}}, "panel.fat", "20 to 60 %"),
    ({"kind": "dark", "panel": {"fiber": 3}}, "panel", "fibre"),
    ({"kind": "dark", "fat_pct": 36, "panel": {"fat": 40}}, "fat_pct", "39 to 41 % beside 40 in the panel"),
    ({"kind": "dark", "sugars_pct": 85}, "sugars_pct", "0 to 80 %"),
    ({"kind": "dark", "sugars_pct": 75}, "sugars_pct", "0 to 70 %"),
    ({"kind": "dark", "fat_pct": 45, "cocoa_pct": 30}, "fat_pct", "beside 30 % cocoa"),
    ({"kind": "white", "fat_pct": 30, "cocoa_pct": 40}, "cocoa_pct", "cocoa butter only"),
    ({"kind": "milk", "fat_pct": 5}, "fat_pct", "20 to 60 %"),
    ({"kind": "milk", "fat_pct": math.nan}, "fat_pct", "20 to 60 %"),
    ({"kind": "milk", "fat_pct": "36"}, "fat_pct", "20 to 60 %"),
    ({"kind": "milk", "fat_pct": True}, "fat_pct", "20 to 60 %"),
    ({"kind": "milk", "fat_pct": 10**5000}, "fat_pct", "20 to 60 %"),
    ({"kind": "milk", "sugars_pct": -1}, "sugars_pct", "0 to 100 %"),
    ({"kind": "milk", "panel": 3}, "panel", "a table"),
    ({"kind": "milk", "butter": "firm"}, "butter", "soft, medium, hard"),
    ({"kind": "milk", "butter": 3}, "butter", "soft, medium, hard"),
    ({"kind": "ruby"}, "kind", "dark, milk, white"),
    ({"kind": None}, "kind", "dark, milk, white"),
]


@pytest.mark.parametrize(("given", "field", "allowed"), CONTRADICTIONS)
def test_contradictions_are_refused_by_name(given: dict[str, Any], field: str, allowed: str) -> None:
    """A figure that cannot be true beside the others is refused with its field, what is allowed and a remedy."""
    with pytest.raises(InputError) as caught:
        chocolate_from_pack(**given)
    assert field == caught.value.field
    assert allowed in caught.value.allowed
    assert caught.value.remedy


@pytest.mark.parametrize("kind", ["compound", "Compound coating", "dark coating"])
def test_compound_coating_is_refused_with_its_reason(kind: str) -> None:
    """Compound coating is refused because there is no cocoa butter in it to temper."""
    with pytest.raises(InputError, match="it has no cocoa butter to temper"):
        chocolate_from_pack(kind)


def test_dark_with_much_milk_fat_is_sent_to_milk() -> None:
    """The remedy for a dark chocolate rich in milk fat is to call it what it behaves as."""
    with pytest.raises(InputError, match="call it milk chocolate"):
        chocolate_from_pack("dark", fat_pct=36, milk_fat_pct=7)


@pytest.mark.parametrize(
    "panel",
    [
        {"fat": 31.28, "carbohydrate": 61.17, "sugars": 47.9, "protein": 4.88, "fibre": 7.0},
        {"fat": 42.63, "carbohydrate": 45.9, "sugars": 23.99, "protein": 7.79, "fibre": 10.9},
        {"fat": 52.31, "carbohydrate": 29.84, "sugars": 0.91, "protein": 12.9, "fibre": 16.6},
        {"fat": 42.63, "carbohydrate": 35.0, "sugars": 23.99, "protein": 7.79, "fibre": 10.9, "salt": None},
    ],
)
def test_real_panels_pass(panel: dict[str, float]) -> None:
    """Dark chocolates of the USDA database (items 19902, 19904, 19078) pass, with fibre in carbohydrate or apart."""
    assert panel["fat"] / 100.0 == pytest.approx(chocolate_from_pack("dark", panel=panel).fat.mid, rel=1e-12)


def test_unsweetened_chocolate_passes() -> None:
    """Cocoa of 100 % and the 0.9 % sugars that cocoa itself holds are no contradiction."""
    assert chocolate_from_pack("dark", cocoa_pct=100, sugars_pct=0.9).kind == "dark"


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.lists(st.integers(), max_size=2)
)
LIKELY = st.one_of(st.none(), st.floats(0.0, 110.0), st.integers(0, 110))
FIGURE = st.one_of(LIKELY, LIKELY, ODD)
PANEL = st.one_of(
    st.none(),
    st.dictionaries(st.sampled_from(["fat", "carbohydrate", "sugars", "protein", "fibre", "salt", "fett"]), FIGURE),
    ODD,
)


@st.composite
def packs(draw: st.DrawFn) -> dict[str, Any]:
    """Anything a person could type about a pack, likely figures more often than odd ones."""
    return {
        "kind": draw(st.one_of(st.sampled_from(["dark", "milk", "white"]), ODD)),
        "cocoa_pct": draw(FIGURE),
        "fat_pct": draw(FIGURE),
        "milk_fat_pct": draw(FIGURE),
        "sugars_pct": draw(FIGURE),
        "butter": draw(st.one_of(st.sampled_from([None, "soft", "medium", "hard"]), ODD)),
        "panel": draw(PANEL),
        "baking_drops": draw(st.booleans()),
    }


def answer(pack: dict[str, Any]) -> Chocolate | InputError:
    """Return the chocolate or the refusal."""
    try:
        return chocolate_from_pack(**pack)
    except InputError as refusal:
        return refusal


@st.composite
def likely_packs(draw: st.DrawFn) -> dict[str, Any]:
    """Figures in the span of real packs, some of them missing."""

    def maybe(low: float, high: float) -> float | None:
        return draw(st.one_of(st.none(), st.floats(low, high)))

    return {
        "kind": draw(st.sampled_from(["dark", "milk", "white"])),
        "cocoa_pct": maybe(25.0, 60.0),
        "fat_pct": maybe(28.0, 45.0),
        "milk_fat_pct": maybe(0.0, 10.0),
        "sugars_pct": maybe(20.0, 60.0),
        "baking_drops": draw(st.booleans()),
    }


@settings(deadline=None, max_examples=400)
@given(pack=st.one_of(likely_packs(), packs()))
def test_anything_gives_a_chocolate_or_a_refusal(pack: dict[str, Any]) -> None:
    """Whatever is typed, the answer is a usable chocolate or a refusal of a named field; never another exception."""
    made = answer(pack)
    if isinstance(made, InputError):
        assert made.field.split(".")[0] in pack
        assert made.remedy
    else:
        assert 0.0 < made.fat.low < made.fat.high < 1.0
        assert 0.0 <= made.milk_fat_share.low <= made.milk_fat_share.high < 1.0


@settings(deadline=None, max_examples=200)
@given(
    kind=st.sampled_from(["dark", "milk", "white"]),
    fat=st.floats(20.0, 60.0),
    excess=st.floats(1.001, 60.0),
)
def test_fat_and_sugars_over_a_whole_are_refused(kind: str, fat: float, excess: float) -> None:
    """Fat and sugars that together exceed the chocolate by more than rounding are always refused."""
    with pytest.raises(InputError):
        chocolate_from_pack(kind, fat_pct=fat, sugars_pct=100.0 - fat + excess)


@settings(deadline=None, max_examples=200)
@given(kind=st.sampled_from(["dark", "milk", "white"]), fat=st.floats(20.0, 60.0), over=st.floats(0.001, 40.0))
def test_more_milk_fat_than_fat_is_refused(kind: str, fat: float, over: float) -> None:
    """Milk fat beyond the total fat is always refused, whatever the kind."""
    with pytest.raises(InputError) as caught:
        chocolate_from_pack(kind, fat_pct=fat, milk_fat_pct=fat + over)
    assert caught.value.field == "milk_fat_pct"
