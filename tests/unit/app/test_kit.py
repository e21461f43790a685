"""Kit and larder: what may be entered, that it can be changed and put away, and checks of thermometers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.kit import KitShelf
from temperbench.app.kit_facts import best_before_ms, check_facts, check_ice
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.book.rows import KitVersion, Run
from temperbench.book.rows import Lot as LotRow
from temperbench.book.rows import Thing as Row
from temperbench.foundation.errors import InputError
from temperbench.insight.live import Happening
from unit.app.conftest import NOW, Clock

DAY_MS = 86_400_000
CHECKED = {"thermometer": "probe", "ice_c": 0.2, "warm_c": 32.4, "reference_c": 32.0}


@pytest.mark.parametrize(
    ("kind", "facts", "field", "says"),
    [
        ("oven", {"oven_w": "twelve hundred W"}, "oven_w", "a power such as 1000"),
        ("oven", {"oven_w": -3}, "oven_w", "300 to 2000 W"),
        ("oven", {"oven_w": "-3 W"}, "oven_w", "300 to 2000 W"),
        ("oven", {}, "oven_w", "needed but not given"),
        ("oven", {"oven_w": 1000, "oven_measured_w": 2000}, "oven_measured_w", "beside a label of 1000 W"),
        ("oven", {"oven_w": 1000, "bowl": "glass"}, "bowl", "leave it out"),
        ("bowl", {"bowl": "paper"}, "bowl", "plastic"),
        ("bowl", {"bowl_g": "3 g"}, "bowl_g", "20 to 10000 g"),
        ("bowl", {"bowl_l": 900.0}, "bowl_l", "0.2 to 60 L"),
        ("thermometer", {"thermometer": "finger"}, "thermometer", "probe, infrared"),
        ("thermometer", {"thermometer": "none"}, "thermometer", "probe, infrared"),
        ("lot", {"chocolate": "purple"}, "chocolate", "dark, milk, white"),
        ("lot", {"cocoa_pct": 58}, "chocolate", "needed but not given"),
        ("lot", {"chocolate": "dark", "cocoa_pct": 900}, "cocoa_pct", "0 to 100 %"),
        ("lot", {"chocolate": "dark", "fat_pct": "lots"}, "fat_pct", "a share such as 36"),
        ("lot", {"chocolate": "dark", "fat_pct": 2.0}, "fat_pct", "pack"),
        ("lot", {"chocolate": "dark", "stock_g": -500}, "stock_g", "0 to 500000 g"),
        ("lot", {"chocolate": "dark", "stock_g": "-500 g"}, "stock_g", "0 to 500000 g"),
        ("lot", {"chocolate": "dark", "best_before": "soon"}, "best_before", "2000-01-01 to 2099-12-31"),
        ("lot", {"chocolate": "dark", "lot": "L\x07"}, "lot", "on one line"),
        ("lot", {"chocolate": "dark", "butter": "runny"}, "butter", "soft, medium, hard"),
        ("spoon", {}, "kind", "oven, bowl, thermometer, lot"),
        ("thermometer", {**CHECKED, "reference_c": 0}, "reference_c", "28 to 38 °C"),
        ("thermometer", {**CHECKED, "ice_c": -3.1}, "ice_c", "-3 to 3 °C"),
        ("thermometer", {**CHECKED, "ice_c": "90 °F"}, "ice_c", "-3 to 3 °C"),
        ("thermometer", {**CHECKED, "warm_c": 37.1}, "warm_c", "27 to 37 °C beside a reference at 32 °C"),
        ("thermometer", {**CHECKED, "warm_c": float("nan")}, "warm_c", "temperature"),
        ("thermometer", {"ice_c": 0.0}, "warm_c", "all three readings"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(kind: str, facts: dict[str, Any], field: str, says: str) -> None:
    """One sentence names the field, the value, what is allowed and what to do."""
    with pytest.raises(InputError) as fault:
        check_facts(kind, facts)
    assert field == fault.value.field
    assert says in str(fault.value)
    assert str(fault.value).endswith((".", "?"))


@pytest.mark.parametrize(
    ("kind", "facts", "kept"),
    [
        ("oven", {"oven_w": "1,1 kW", "oven_inverter": "yes"}, {"oven_w": 1100.0, "oven_inverter": True}),
        ("bowl", {"bowl": "Glass", "bowl_g": "1.2 kg", "bowl_l": ""}, {"bowl": "glass", "bowl_g": 1200.0}),
        ("bowl", {"bowl": "steel"}, {"bowl": "steel"}),
        ("thermometer", {"ice_c": "32 °F", "warm_c": "32,4", "reference_c": 32},
         {"ice_c": 0.0, "warm_c": 32.4, "reference_c": 32.0}),
        ("lot", {"chocolate": "milk", "fat_pct": "38 %", "stock_g": "0 kg", "best_before": " 2027-02-01"},
         {"chocolate": "milk", "fat_pct": 38.0, "stock_g": 0.0, "best_before": "2027-02-01"}),
    ],
)  # fmt: skip
def test_figures_are_kept_in_the_unit_of_their_key(kind: str, facts: dict[str, Any], kept: dict[str, Any]) -> None:
    """Words, commas and units are read once, here; an empty field is not there."""
    assert check_facts(kind, facts) == pytest.approx(kept)


def test_the_ice_point_is_judged_by_itself() -> None:
    """The first half of a check can be put right before the second is made."""
    assert check_ice("0,4") == pytest.approx(0.4)
    for wrong in ("", None, "4", "cold"):
        with pytest.raises(InputError, match=r"^ice_c: "):
            check_ice(wrong)


def test_a_date_is_a_moment() -> None:
    """00:00 UTC of the day; text of an old book is none."""
    assert best_before_ms({"best_before": "2027-02-01"}) == 1_801_440_000_000
    assert best_before_ms({"best_before": "next year"}) is None
    assert best_before_ms({}) is None


def test_what_was_refused_is_not_in_the_book(shelf: KitShelf, book: Book) -> None:
    """Nothing of an entry is kept before all of it is right."""
    with pytest.raises(InputError):
        shelf.save_thing("oven", "Bench oven", {"oven_w": "lots"}, None)
    with pytest.raises(InputError):
        shelf.save_lot("House dark", {"chocolate": "dark", "stock_g": -1}, None)
    assert (book.things(), book.lots()) == ([], [])


def test_a_changed_entry_keeps_its_past(shelf: KitShelf, book: Book) -> None:
    """New facts and a new name hold; every version stays in the book with its name."""
    oven = shelf.save_thing("oven", "Oven", {"oven_w": 900}, None)
    changed = shelf.save_thing("oven", "Bench oven", {"oven_w": 1000}, oven.id)
    lot = shelf.save_lot("Dark", {"chocolate": "dark", "stock_g": 5000}, None)
    shelf.save_lot("House dark", {"chocolate": "dark", "fat_pct": 37.5}, lot.id)
    assert [changed] == shelf.kit()
    assert [(v.learnt, v.conditions["name"]) for v in book.versions(oven.id)] == [
        ({"oven_w": 900.0}, "Oven"),
        ({"oven_w": 1000.0}, "Bench oven"),
    ]
    assert [v.conditions["name"] for v in book.versions(lot.id)] == ["Dark", "House dark"]
    assert [one.facts for one in shelf.lots()] == [{"chocolate": "dark", "fat_pct": 37.5, "stock_g": 5000.0}]


def test_an_entry_can_be_put_away_and_taken_back(shelf: KitShelf, book: Book) -> None:
    """It is no longer offered, comes back as it was, and is changed where it lies."""
    oven = shelf.save_thing("oven", "Bench oven", {"oven_w": 1000}, None)
    lot = shelf.save_lot("House dark", {"chocolate": "dark", "stock_g": 5000}, None)
    for one in (oven, lot):
        shelf.put_away(one.id)
    assert (shelf.kit(), shelf.kit(away=True)) == ([], [oven])
    assert (shelf.lots(), shelf.lots(away=True)) == ([], [lot])
    shelf.save_thing("oven", "Old oven", {"oven_w": 1000}, oven.id)
    assert [one.name for one in shelf.kit(away=True)] == ["Old oven"]
    for one in (oven, lot):
        shelf.put_away(one.id, away=False)
    assert ([one.name for one in shelf.kit()], shelf.lots()) == (["Old oven"], [lot])
    assert [v.conditions["state"] for v in book.versions(lot.id)] == ["in use", "put away", "in use"]
    with pytest.raises(KeyError):
        shelf.put_away("nothing")


def test_an_entry_of_an_old_book_can_be_put_away(shelf: KitShelf, book: Book) -> None:
    """What would be refused today is not judged again, and a lot without a row in the kit gets one."""
    book.save_thing(Row("K1", "oven", "Odd oven"))
    book.add_version(KitVersion("V1", "K1", {"oven_w": "twelve hundred W"}, {}, NOW))
    book.save_lot(LotRow("L1", "L1", "Purple", {"chocolate": "purple"}, NOW))
    shelf.put_away("K1")
    shelf.put_away("L1")
    assert [one.facts for one in shelf.kit(away=True)] == [{"oven_w": "twelve hundred W"}]
    assert [one.facts for one in shelf.lots(away=True)] == [{"chocolate": "purple", "stock_g": 0.0}]


def test_an_id_is_that_of_one_thing(shelf: KitShelf) -> None:
    """A bowl does not become an oven, nor a lot a thermometer."""
    bowl = shelf.save_thing("bowl", "Blue bowl", {"bowl": "plastic"}, None)
    lot = shelf.save_lot("House dark", {"chocolate": "dark"}, None)
    with pytest.raises(InputError, match=r"^id: "):
        shelf.save_thing("oven", "Bench oven", {"oven_w": 1000}, bowl.id)
    with pytest.raises(InputError, match=r"^id: "):
        shelf.save_thing("thermometer", "Probe", {}, lot.id)


# Checks of thermometers


def _bias(shelf: KitShelf, id: str) -> list[float]:
    bias = shelf.knowledge.bias(id)
    return [] if bias is None else [bias.low, bias.mid, bias.high]


def test_a_check_puts_readings_right_and_fades(shelf: KitShelf, clock: Clock) -> None:
    """The offset at 32 °C lies on the line through both points; its band widens with the age of the check."""
    probe = shelf.save_thing("thermometer", "Probe", CHECKED, None)
    assert _bias(shelf, probe.id) == pytest.approx([0.3, 0.4, 0.5])
    assert "Reads 0.4 °C high at 32 °C" in shelf.kit()[0].learnt[-1]
    clock.now_ms += 90 * DAY_MS
    assert _bias(shelf, probe.id) == pytest.approx([0.2, 0.4, 0.6])


def test_renaming_a_thermometer_makes_no_check(shelf: KitShelf, clock: Clock) -> None:
    """Its check and the age of it stay, also when it was put away; another kind of thermometer starts unchecked."""
    probe = shelf.save_thing("thermometer", "Probe", CHECKED, None)
    clock.now_ms += 90 * DAY_MS
    shelf.save_thing("thermometer", "Pen", {"thermometer": "probe"}, probe.id)
    shelf.put_away(probe.id)
    shelf.put_away(probe.id, away=False)
    assert _bias(shelf, probe.id) == pytest.approx([0.2, 0.4, 0.6])
    shelf.save_thing("thermometer", "Pen", CHECKED, probe.id)
    assert _bias(shelf, probe.id) == pytest.approx([0.3, 0.4, 0.5])
    shelf.save_thing("thermometer", "Pen", {"thermometer": "infrared"}, probe.id)
    assert _bias(shelf, probe.id) == []


@pytest.mark.parametrize("odd", [{"reference_c": 0.0}, {"ice_c": 40.0}, {"warm_c": "32"}, {"warm_c": "hot"}])
def test_a_stored_check_that_cannot_be_used_is_passed_over(shelf: KitShelf, book: Book, odd: dict[str, Any]) -> None:
    """A book in which such a check stands for good still shows its kit and starts bowls."""
    book.save_thing(Row("K1", "thermometer", "Probe"))
    book.add_version(KitVersion("V1", "K1", {**CHECKED, **odd}, {}, NOW))
    usable = odd == {"warm_c": "32"}
    assert len(shelf.kit()[0].learnt) == usable
    assert (_bias(shelf, "K1") != []) is usable


# Bowls that name their things


@pytest.fixture
def kitchen(book: Book, clock: Clock) -> Iterator[Kitchen]:
    """Give a kitchen with small filters."""
    one = Kitchen(book, clock, particles=40)
    yield one
    one.close()


RAW = RawJob({"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0})


@pytest.mark.parametrize(
    "things", [{"oven": "no-such"}, {"lot": "no-such"}, {"bowl": "K1"}, {"thermometer": "?"}, {"spoon": "K1"}]
)
def test_a_bowl_starts_with_known_things_only(kitchen: Kitchen, book: Book, things: dict[str, str]) -> None:
    """What is not there, or is something else, is refused by its name, and no run is kept."""
    book.save_thing(Row("K1", "oven", "Bench oven"))
    with pytest.raises(InputError) as fault:
        kitchen.start(RAW, things=things)
    assert fault.value.field in (*things, "things")
    assert book.runs() == []


def test_a_run_of_an_old_book_with_an_unknown_oven_can_be_finished(kitchen: Kitchen, book: Book) -> None:
    """The tap is answered, and the next one too."""
    job = {"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0}
    book.add_run(Run("run-1", "Bars", {"job": job, "things": {"oven": "gone"}, "learnt": {}, "pressed_ms": NOW}))
    kitchen.tap("run-1", Happening("tap-1", "burst", NOW + 60_000, seconds=50.0), "tablet")
    done = kitchen.tap("run-1", Happening("tap-2", "finished", NOW + 90_000), "tablet")
    after = kitchen.tap("run-1", Happening("tap-3", "undo", NOW + 95_000, of="tap-2"), "tablet")
    assert (done.state, after.state == "finished") == ("finished", False)
