"""The pieces of a live bowl: headline in two parts, the answering key, units of the device."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fake_kitchen import Thing, furnished
from temperbench.app.keep_results import LiveKeeping
from temperbench.app.kit_facts import check_facts
from temperbench.app.results import HAPPENINGS, MOVES, Band, Doubt, Happening, Move
from temperbench.faces.web.forms import begun_ms, lot_facts, start_form
from temperbench.faces.web.live_page import act_for, can_ask, extras, headline_parts, last_taps, pieces, thermometers
from temperbench.faces.web.looks import Look, look_of, told
from temperbench.faces.web.starting import METHODS
from temperbench.faces.web.telling import facts_line, happened
from unit.faces.web.clients import NOW_S

FAHRENHEIT = Look("light", True, True)


@pytest.mark.parametrize(
    ("headline", "parts"),
    [
        ("Burst 12 s", ("Burst", "12 s", "")),
        ("Stir in 40 g", ("Stir in", "40 g", "")),
        ("Test now", ("Test", "now", "")),
        ("Draw down", ("Draw", "down", "")),
        ("Finished", ("Finished", "", "")),
        ("Ready: use it", ("Ready:", "use it", "")),
        ("Stir 3 min, test again", ("Stir", "3 min", "test again")),
        ("Stir in 1.4 oz", ("Stir in", "1.4 oz", "")),
    ],
)
def test_a_headline_has_a_verb_and_a_figure(headline: str, parts: tuple[str, str, str]) -> None:
    """The two parts stand on lines of their own on a phone, at the same place every time."""
    assert parts == headline_parts(headline)


@pytest.mark.parametrize("kind", MOVES)
def test_every_move_has_its_answer(kind: str) -> None:
    """Each move is answered by one key; only a finished bowl has none."""
    act = act_for(Move(kind, "X", "", "", 12, 40))
    assert (act.label == "") is (kind == "finished")
    assert act.unit in ("s", "min", "g", "")


@pytest.mark.parametrize(
    ("move", "sent"),
    [
        (Move("melt", "X", "", "", grams=740, celsius=45.0), ("melted", {"grams": 740, "celsius": 45.0})),
        (Move("seed", "X", "", "", grams=10, celsius=20.0, seed="butter-crystals"),
         ("added", {"celsius": 20.0, "seed": "butter-crystals"})),
        (Move("bath", "X", "", "", 120, celsius=48.0), ("bath", {"celsius": 48.0})),
        (Move("chill", "X", "", "", 120, celsius=12.0), ("bath", {"celsius": 12.0})),
        (Move("warm", "X", "", "", 10, celsius=40.0), ("bath", {"celsius": 40.0})),
        (Move("warm", "X", "", "", 10), ("burst", {})),
        (Move("stir", "X", "", "", 60, level="scraping"), ("stir", {"level": "scraping"})),
        (Move("table", "X", "", "", grams=650, celsius=27.5), ("tabled", {"celsius": 27.5})),
        (Move("block out", "X", "", ""), ("block out", {})),
    ],
)  # fmt: skip
def test_the_key_sends_along_how_it_was_done(move: Move, sent: tuple[str, dict[str, object]]) -> None:
    """Bath, seed, tool and turn go with the answer, so that the bowl is followed as it was advised."""
    act = act_for(move)
    assert sent == (act.kind, act.along)


def test_what_methods_do_is_told_in_words() -> None:
    """Full melts, baths, cabinets, slabs and seeds read plainly in the record of a run."""
    said = {
        "Melted fully, 45.0 °C": Happening("a", "melted", 0, celsius=45.0),
        "120 s over water of 48.0 °C": Happening("a", "bath", 0, seconds=120.0, celsius=48.0),
        "90 min in the cabinet": Happening("a", "cabinet", 0, seconds=5400.0),
        "20 min in the kettle at 31.5 °C": Happening("a", "kettle", 0, seconds=1200.0, celsius=31.5),
        "650 g on the slab down to 27.4 °C": Happening("a", "tabled", 0, grams=650.0, celsius=27.4),
        "Stirred in 10 g of cocoa-butter crystals at 20.0 °C": Happening("a", "added", 0, grams=10.0, celsius=20.0,
                                                                          seed="butter-crystals"),
        "Took the block out": Happening("a", "block out", 0),
    }  # fmt: skip
    assert {text: happened(what) for text, what in said.items()} == {text: text for text in said}


def test_keeping_is_told_and_thinning_says_with_what() -> None:
    """Lines about keeping come in the device's units; melted chocolate is answered as melted chocolate."""
    act = act_for(Move("thin", "Stir in 60 g melted", "", "", None, 60))
    assert (act.kind, act.amount, act.unit, act.material) == ("added", 60, "g", "melted")
    melted = Happening("abcd", "added", 0, grams=60.0, material="melted", celsius=42.0)
    assert happened(melted) == "Stirred in 60 g melted at 42.0 °C"
    lines = ("Left alone: too thick in about 9 min (3 to 14).", "Warm it 8 s, to about 32.5 °C.")
    kept = LiveKeeping(Band(3, 9, 14), Band(40, 60, 60), "too thick", True, 8, 32.5, 0, 1.0, False, lines)
    view = furnished(lambda: NOW_S).view("demo-2")
    assert pieces(view, Look())["keeping"] == []
    assert pieces(replace(view, keeping=kept), FAHRENHEIT)["keeping"] == [lines[0], "Warm it 8 s, to about 90.5 °F."]


def test_the_answer_carries_the_figure_of_the_move() -> None:
    """A burst of 12 s is answered by 12 s until the cook puts it right."""
    burst, rescue = act_for(Move("burst", "", "", "", 12)), act_for(Move("rescue", "", "", "", None, 40))
    assert (burst.amount, rescue.amount) == (12, 40)


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("It reads 32.1 °C (31.5 to 32.8).", "It reads 89.8 °F (88.7 to 91.0)."),
        ("window 31.0 to 32.0 °C", "window 87.8 to 89.6 °F"),
        ("warm it by 0.5 °C", "warm it by 0.9 °F"),
        ("Stir in 40 g", "Stir in 1.4 oz"),
        ("58 % in 100 g/L", "58 % in 100 g/L"),
    ],
)
def test_texts_are_told_in_the_units_of_the_device(text: str, there: str) -> None:
    """Temperatures, bands, small differences and masses are all turned; other figures are left."""
    assert there == told(text, FAHRENHEIT)
    assert text == told(text, Look())


@pytest.mark.parametrize("cookie", ["", "x.y.z", "dark", "dark.F.oz.more", "dark.F.oz.comma.x"])
def test_an_odd_look_is_no_fault(cookie: str) -> None:
    """What a device stored in another version falls back to the usual look."""
    assert look_of({"temperbench_look": cookie}).theme in ("auto", "dark")


def test_a_chart_comes_only_when_its_width_is_known() -> None:
    """The first page has no chart; the WebSocket sends it for the device's room."""
    view = furnished(lambda: NOW_S).view("demo-2")
    assert "chart" not in pieces(view, Look())
    assert 'width="358"' in str(pieces(view, Look(), 358.0)["chart"])


def test_a_doubt_is_told_with_its_explanations() -> None:
    """A reading that does not fit is said, likeliest explanation first."""
    kitchen = furnished(lambda: NOW_S)
    first = kitchen.run_record("demo-3").happenings[2].happening
    wild = type(first)("tap-wild", "reading", int(NOW_S * 1000), celsius=45.0)
    found = pieces(kitchen.tap("demo-3", wild, "tablet"), Look())
    assert "does not fit" in str(found["doubt"])
    assert found["explanations"]


def test_the_check_is_offered_when_the_thermometer_is_doubted() -> None:
    """The way to the two-point check shows with the explanation it belongs to, and in the device's unit."""
    named = "the thermometer off, reading about 1.5 °C too high: check it in ice and near 32 °C"
    view = furnished(lambda: NOW_S).view("demo-2")
    for check in (True, False):
        doubted = replace(view, doubt=Doubt("This does not fit.", (named,), check))
        found = pieces(doubted, FAHRENHEIT)
        assert found["check"] is check
        assert found["explanations"] == [
            "the thermometer off, reading about 2.7 °F too high: check it in ice and near 89.6 °F"
        ]
    assert pieces(replace(view, doubt=None), Look())["check"] is False


def test_a_bare_amount_is_in_the_unit_shown() -> None:
    """On a device in ounces 35 means 35 oz; with its unit it means what it says."""
    form = start_form({"lot": "dark", "grams": "35", "oven_w": "900"}, [], [], FAHRENHEIT)
    other = start_form({"lot": "dark", "grams": "900 g", "oven_w": "900"}, [], [], FAHRENHEIT)
    assert (form.job.values["grams"], other.job.values["grams"]) == ("35 oz", "900 g")


def test_stock_is_kept_in_grams() -> None:
    """What is typed alone is in the device's unit, and becomes grams where it is checked."""
    typed = lot_facts({"chocolate": "dark", "stock_g": "11"}, Look(ounces=True))
    assert check_facts("lot", typed)["stock_g"] == pytest.approx(311.84, abs=0.01)
    assert check_facts("lot", lot_facts({"chocolate": "dark", "stock_g": "2,5 kg"}, Look()))["stock_g"] == 2500.0


def test_happenings_and_facts_are_told_in_plain_words() -> None:
    """The record reads as a cook would say it."""
    steps = furnished(lambda: NOW_S).run_record("demo-1").happenings
    lines = [happened(step.happening) for step in steps]
    assert lines[:4] == ["Burst 60 s", "Stirred 30 s", "Read 30.4 °C", "Lumps: many"]
    assert lines[-3:] == ["Setting test: set in 2.2 min, sheen", "Took 900 g", "Finished"]
    assert facts_line({"chocolate": "dark", "cocoa_pct": 58, "fat_pct": 37.5}) == "dark, 58 % cocoa, 37.5 % fat"


def test_a_rescue_is_answered_by_its_first_portion() -> None:
    """Buttons go in portion by portion: the key sends one, not all of them."""
    move = Move("rescue", "Stir in 55 g", "", "", None, 165, (55, 55, 55))
    assert act_for(move).amount == 55


def test_undo_is_offered_for_what_hands_pressed() -> None:
    """A probe's reading is not taken back by a key that a cook presses for another tap."""
    reading = Happening("tap-2", "reading", 2, celsius=31.4)
    standing = [(Happening("tap-1", "burst", 1, seconds=20.0), "tablet"), (reading, "probe p1"), (reading, "phone")]
    assert last_taps(standing, FAHRENHEIT) == [
        {"id": "tap-1", "words": "Burst 20 s", "device": "tablet"},
        {"id": "tap-2", "words": "Read 88.5 °F", "device": "phone"},
    ]


@pytest.mark.parametrize("method", sorted(METHODS))
def test_what_else_can_happen_fits_the_method(method: str) -> None:
    """Every extra key names a happening and one of its figures; only a microwave bowl is burst without a bath."""
    offered = extras(method)
    assert [one.kind for one in offered if one.kind not in HAPPENINGS] == []
    assert {one.field for one in offered} == {"seconds", "grams"}
    assert ("bath" in [one.kind for one in offered]) == (method not in ("microwave", "kettle"))
    assert can_ask(method) == (method in ("microwave", "bath", "cabinet"))


def test_hours_in_a_cabinet_are_told_in_minutes() -> None:
    """A night is 480 min on the key, not 28800 s."""
    act = act_for(Move("cabinet", "Leave it 480 min", "", "", 28800, None, celsius=33.0))
    assert (act.amount, act.unit, act.along) == (480, "min", {"celsius": 33.0})


def test_a_reading_chooses_between_kinds_of_thermometers() -> None:
    """With one kind there is nothing to choose; else the job's own comes first, each with its names in this kitchen."""
    bowl = Thing("bowl-1", "bowl", "Blue", {"bowl": "plastic"})
    probe, gun = (
        Thing(name, "thermometer", name, {"thermometer": kind})
        for name, kind in (("Pen", "probe"), ("Gun", "infrared"))
    )
    second = Thing("Fork", "thermometer", "Fork", {"thermometer": "probe"})
    for own, kit in (("", ()), ("", (bowl, probe, second)), ("infrared", (gun,)), ("none", (probe,))):
        assert thermometers(own, kit) == []
    both = [("probe", "Probe", "Pen, Fork"), ("infrared", "Infrared", "Gun")]
    assert thermometers("probe", (bowl, gun, probe, second)) == both
    assert thermometers("infrared", (probe, second, gun)) == both[::-1]
    assert thermometers("infrared", (probe,)) == [("infrared", "Infrared", ""), ("probe", "Probe", "Pen")]


@pytest.mark.parametrize(
    ("off_s", "taken"),
    [(0, True), (-1, True), (-599, True), (-601, False), (-3600, False), (1, False), (604_800, False)],
)
def test_a_start_is_dated_by_its_press_only_if_that_can_be(off_s: int, taken: bool) -> None:
    """Minutes off, or ahead, is a wrong clock of the device: then the bowl begins when it is stored."""
    now = int(1000 * NOW_S)
    assert begun_ms(now + 1000 * off_s, now) == (now + 1000 * off_s if taken else None)
    assert begun_ms(None, now) is None
