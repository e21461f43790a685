"""Kit, lots and settings: what was learnt is appended, what was corrected is corrected, stock adds up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.book.book import Book
from temperbench.book.checks import Json, from_json, new_id, to_json
from temperbench.book.rows import KitVersion, Lot, LotOnShelf, Run, StockMove, Stored, Thing
from temperbench.foundation.errors import InputError, OutOfRange

START_MS = 1_790_000_000_000
OVEN = Thing("K1", "oven", "Oven by the window")
LOT = Lot("L1", "24-117", "Milk 38 %", {"fat_pct": 36.2}, START_MS, START_MS + 9, ("milk", "soya"), 1450, "EUR")


def test_kit_is_kept_and_renamed(book: Book) -> None:
    """A thing has a name and a state that can change; when it was entered stays."""
    assert book.save_thing(OVEN)
    book.save_thing(Thing("K2", "bowl", "Blue bowl"))
    assert not book.save_thing(replace(OVEN, name="Old oven", state="gone"))
    assert book.things("oven") == [Thing("K1", "oven", "Old oven", "gone", START_MS)]
    assert [thing.id for thing in book.things()] == ["K1", "K2"]


def test_what_was_learnt_is_appended(book: Book) -> None:
    """Each piece of knowledge gets a number and keeps its conditions; none replaces an older one."""
    book.save_thing(OVEN)
    book.add_run(Run("R1", "Milk", {}))
    first = KitVersion("V1", "K1", {"watt": 1000}, {}, START_MS)
    second = KitVersion("V2", "K1", {"watt": 612.5}, {"grams": 600}, START_MS + 5, "run", "R1")
    assert book.add_version(first) == Stored("V1", 1, new=True)
    assert book.add_version(second) == Stored("V2", 2, new=True)
    assert book.add_version(first) == Stored("V1", 1, new=False)
    kept = book.versions("K1")
    assert [replace(version, version=0, arrived_ms=0) for version in kept] == [first, second]
    assert [version.version for version in kept] == [1, 2]
    with pytest.raises(InputError, match="an id of its own"):
        book.add_version(replace(first, learnt={"watt": 900}))


def test_knowledge_belongs_to_what_is_there(book: Book) -> None:
    """Knowledge of an unknown thing, or from an unknown run, is refused."""
    with pytest.raises(InputError, match=r"^thing: “K1”"):
        book.add_version(KitVersion("V1", "K1", {}, {}, START_MS))
    book.save_thing(OVEN)
    with pytest.raises(InputError, match=r"^run: “R9”"):
        book.add_version(KitVersion("V1", "K1", {}, {}, START_MS, run_id="R9"))
    assert book.versions("K1") == []


def test_a_lot_comes_back_and_can_be_corrected(book: Book) -> None:
    """A lot keeps all its fields; saving it again corrects them and leaves the stock alone."""
    assert book.save_lot(LOT)
    book.move_stock(StockMove("M1", "L1", 2500, "received", START_MS))
    assert book.lot("L1") == LotOnShelf(LOT, 2500.0)
    corrected = replace(LOT, code="24-118", price_minor=None, currency=None, best_before_ms=None, allergens=())
    assert not book.save_lot(corrected)
    assert book.lots() == [LotOnShelf(corrected, 2500.0)]
    assert book.lot("L2") is None


def test_lots_that_expire_first_stand_first(book: Book) -> None:
    """Lots without a date come last."""
    for name, best in (("L1", None), ("L2", START_MS + 2), ("L3", START_MS + 1)):
        book.save_lot(replace(LOT, id=name, best_before_ms=best))
    assert [row.lot.id for row in book.lots()] == ["L3", "L2", "L1"]


@pytest.mark.parametrize(
    "change",
    [
        {"price_minor": None},
        {"price_minor": -1},
        {"price_minor": 14.5},
        {"price_minor": True},
        {"currency": "euro"},
        {"name": ""},
        {"name": "two\nlines"},
        {"received_ms": "yesterday"},
        {"allergens": ("",)},
    ],
    ids=str,
)
def test_a_lot_that_cannot_be_is_refused(file_book: Book, change: dict[str, object]) -> None:
    """A price without currency, half a coin, an empty name and the like are refused."""
    with pytest.raises(InputError):
        file_book.save_lot(replace(LOT, **change))
    assert file_book.lots() == []


def test_stock_adds_up_without_rounding(book: Book) -> None:
    """A thousand times a tenth of a gram is a hundred grams, and a move sent twice counts once."""
    book.save_lot(LOT)
    book.move_stock(StockMove("M0", "L1", 150, "received", START_MS))
    for number in range(1, 101):
        book.move_stock(StockMove(f"M{number}", "L1", -0.1, "taken", START_MS, "phone"))
    assert book.move_stock(StockMove("M7", "L1", -0.1, "taken", START_MS, "phone")) == Stored("M7", 8, new=False)
    assert book.lots()[0].stock_g == 140.0
    assert [move.seq for move in book.stock_moves("L1")] == list(range(1, 102))
    assert book.stock_moves("L1")[7].grams == -0.1


@pytest.mark.parametrize("grams", [float("nan"), float("inf"), 2e9, True])
def test_an_amount_that_cannot_be_is_refused(file_book: Book, grams: float) -> None:
    """Not a number, endless, absurd or no number at all: refused."""
    file_book.save_lot(LOT)
    with pytest.raises(OutOfRange):
        file_book.move_stock(StockMove("M1", "L1", grams, "received", START_MS))


def test_settings_keep_their_last_value(book: Book) -> None:
    """A setting is any JSON value; what was never kept is the default."""
    assert book.setting("units", {"mass": "g"}) == {"mass": "g"}
    book.save_setting("units", {"mass": "oz"})
    book.save_setting("units", ["°F", 1])
    assert book.setting("units") == ["°F", 1]
    book.save_setting("line:R1", None)
    with pytest.raises(InputError, match="128 letters"):
        book.save_setting("a/b", None)


def test_ids_sort_by_time() -> None:
    """An id has 26 characters, starts with its time, and is not made twice."""
    assert new_id(0, bytes) == "0" * 26
    assert new_id(2**48 - 1, lambda n: b"\xff" * n) == "7" + "Z" * 25
    made = [new_id(START_MS + number) for number in range(100)]
    assert made == sorted(made)
    assert len({new_id(START_MS) for _ in range(100)}) == 100


JSONS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(JSONS)
def test_json_has_one_form(value: Json) -> None:
    """What goes in comes back, and written again it is the same text: replays are byte for byte."""
    text = to_json("payload", value)
    assert value == from_json(text)
    assert text == to_json("payload", from_json(text))
    assert text.isascii()
