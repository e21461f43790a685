"""A raw job becomes a typed one, or one sentence that names field, value, what is allowed and the remedy."""

from __future__ import annotations

import pytest

from temperbench.app.check_job import check_at, check_job
from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.foundation.evidence import array, rows
from temperbench.insight.job import METHODS, PART_MELTS, BowlJob
from temperbench.kitchen.vessels import MATERIALS, refused_in_microwave

LEAST: dict[str, object] = {"chocolate": "dark", "grams": 1000, "oven_w": 1000}


def refusal(purpose: str = "plan", **given: object) -> InputError:
    """Return the error with which a job is refused."""
    with pytest.raises(InputError) as caught:
        check_job(RawJob({**LEAST, **given}), purpose)
    return caught.value


def test_three_answers_are_enough() -> None:
    """Chocolate, grams and oven make a job; everything else stays unknown or as usual."""
    assert check_job(RawJob(LEAST)) == BowlJob("dark", 1000.0, 1000.0)


def test_every_field_reaches_the_job() -> None:
    """What is given in every field, as text where people write text, arrives in its unit."""
    given = {
        "chocolate": "Gianduja", "nut_pct": "30 %", "grams": "2 lb", "oven_w": "1 kW", "cocoa_pct": "36 %",
        "fat_pct": "37,5", "milk_fat_pct": 3, "sugars_pct": 40,
        "butter": "SOFT", "stock": "Set bowl", "glossy": True, "start_c": "68 F",
        "oven_measured_w": "850 W", "oven_inverter": True, "level": "50 %", "warm_oven": True, "bowl": "Glass",
        "bowl_g": "1,1 kg", "bowl_l": "2500 ml", "bowl_c": 19, "room_c": "21", "thermometer": "infrared",
        "risk": "10 %", "risk_scorch": 0.02, "page": "letter", "method": "Microwave", "melt_c": 44,
        "seed_with": "butter crystals", "seed_c": "19", "people": "2", "bath_c": "113 F", "bath_l": "3 L",
        "cabinet_c": 33, "slab": "granite", "slab_mm": "2 cm", "slab_c": 19, "slab_m2": "2400 cm²",
        "kettle_w": "0.5 kW", "kettle_l": 6, "kettle_wall_c": 48, "kettle_stirs": True,
    }  # fmt: skip
    assert set(given) == {asked.key for asked in FIELDS}
    job = check_job(RawJob(given))
    assert job == BowlJob(
        chocolate="gianduja", nut_pct=30.0, grams=pytest.approx(907.18474), oven_w=1000.0, cocoa_pct=36.0, fat_pct=37.5,
        milk_fat_pct=3.0, sugars_pct=40.0, butter="soft", stock="set-bowl", glossy=True, start_c=pytest.approx(20.0),
        oven_measured_w=850.0, oven_inverter=True, level=0.5, warm_oven=True, bowl="glass", bowl_g=1100.0,
        bowl_l=pytest.approx(2.5), bowl_c=19.0, room_c=21.0, thermometer="infrared", risk=pytest.approx(0.1),
        risk_scorch=0.02, page="Letter", melt_c=44.0, seed_with="butter-crystals", seed_c=19.0, people=2,
        bath_c=pytest.approx(45.0), bath_l=3.0, cabinet_c=33.0, slab="granite", slab_mm=20.0, slab_c=19.0,
        slab_m2=pytest.approx(0.24), kettle_w=500.0, kettle_l=6.0, kettle_wall_c=48.0, kettle_stirs=True,
    )  # fmt: skip


@pytest.mark.parametrize("key", [asked.key for asked in FIELDS if asked.limit])
def test_ends_are_allowed_and_beyond_is_not(key: str) -> None:
    """Each figure is refused just outside the two ends of its row, with the ends in the sentence."""
    asked = next(f for f in FIELDS if f.key == key)
    low, high = array(asked.limit)
    for value in (low - 0.01 * (high - low), high + 0.01 * (high - low)):
        error = refusal(**{key: value})
        assert error.field == asked.option
        assert f"{low:g} to {high:g}" in error.allowed or key == "start_c"


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"grams": 0}, "--grams: 0 is not usable; allowed is 50 to 30000 g; melt at least that much at once."),
        ({"grams": "-3 g"}, "--grams: “-3 g” is not usable; allowed is 50 to 30000 g"),
        ({"grams": 50000}, "--grams: 50000 is not usable; allowed is 50 to 30000 g; share it over several bowls."),
        ({"grams": 25000, "bowl_l": 1}, "--bowl-litres: 1 is not usable; allowed is at least 2"),
        ({"grams": True}, "--grams: true is not usable"),
        ({"fat_pct": 40, "sugars_pct": 90}, "--sugars: 90 is not usable; allowed is 0 to 60 % beside 40 % fat"),
        ({"bowl": "steel"}, "take a plastic bowl, or melt over a warm bath"),
        ({"bowl": "melamine"}, "take a plastic or glass bowl"),
        ({"bowl": "plastik"}, "did you mean “plastic”?"),
        ({"bowl": "aluminium"}, "--bowl: “aluminium” is not usable; allowed is plastic (polypropylene) marked for"),
        ({"bowl": "wood"}, "borosilicate, glass, stoneware; take the nearest of these."),
        ({"risk": 5}, "--risk: 5 is not usable; allowed is 0.001 to 0.3; write it as 0.05 or 5 %"),
        ({"bowl": 3}, "--bowl: 3 is not usable; allowed is plastic, "),
        ({"room_c": 40}, "--room: 40 is not usable; allowed is 5 to 35 °C; chocolate cannot be worked"),
        ({"start_c": 29}, "allowed is -5 to 28 °C for dark buttons; stock this warm has softened"),
        ({"start_c": 36}, "has lost its stable crystals, so melt it fully, let it cool and seed it"),
        (
            {"stock": "part-melted"},
            "--start-c: needed but not given; allowed is -5 to 34.5 °C for part-melted dark chocolate",
        ),
        ({"stock": "melted", "chocolate": "milk"}, "melted chocolate has no crystals to keep"),
        ({"stock": "part-melted", "start_c": 34.6}, "allowed is -5 to 34.5 °C for part-melted dark chocolate"),
        ({"stock": "melted", "start_c": 40}, "melted chocolate has no crystals to keep"),
        ({"glossy": False}, "--bloomed: stock that has bloomed or been warm is not usable"),
        ({"glossy": False}, "melt it fully, let it cool and seed it"),
        ({"chocolate": "compound coating"}, "it has no cocoa butter to temper"),
        ({"chocolate": "drak"}, "did you mean “dark”?"),
        ({"chocolate": 7}, "--chocolate: 7 is not usable; allowed is dark, milk, white"),
        ({"oven_measured_w": 300}, "allowed is 400 to 1150 W beside a label of 1000 W; repeat the water test"),
        ({"oven_w": "1000 V"}, "--oven: “1000 V” is not usable"),
        ({"level": 50}, "write full power as 1 and half power as 0.5 or 50 %"),
        ({"stock": "chips"}, "--stock: “chips” is not usable; allowed is buttons, block, set-bowl"),
        ({"page": "A3"}, "did you mean “A4”?"),
        ({"colour": "brown"}, "colour: this field is not usable"),
    ],
)
def test_what_cannot_be_is_told_with_its_remedy(given: dict[str, object], told: str) -> None:
    """Wrong types, units, ranges and contradictions each get a sentence with field, value, range and remedy."""
    assert told in str(refusal(**given))


@pytest.mark.parametrize("key", ["chocolate", "grams", "oven_w"])
def test_the_three_are_asked_for_by_both_names(key: str) -> None:
    """A missing answer is asked for as an option and as a line of the job file."""
    asked = next(f for f in FIELDS if f.key == key)
    error = refusal(**{key: None})
    assert (
        error.remedy == f"add {asked.option} {asked.example}, or {asked.name} under [{asked.section}] in the job file"
    )


def test_fields_are_named_as_the_person_wrote_them() -> None:
    """A figure from a job file is blamed by its section and key, also when another room refuses it."""
    places = {"sugars_pct": "[chocolate] sugars", "grams": "[bowl] grams"}
    with pytest.raises(InputError, match=r"^\[chocolate\] sugars: “90 %” is not usable"):
        check_job(RawJob({**LEAST, "fat_pct": 40, "sugars_pct": "90 %"}, places))
    with pytest.raises(OutOfRange, match=r"^\[bowl\] grams: 1 is not usable"):
        check_job(RawJob({**LEAST, "grams": 1}, places))


def test_a_rescue_needs_no_oven_and_takes_any_stock() -> None:
    """A rescue asks only for chocolate and grams, and does not ask what the bowl was melted from."""
    raw = RawJob({"chocolate": "dark", "grams": 950, "glossy": False, "stock": "melted"})
    assert check_job(raw, "rescue").grams == 950.0


def test_buttons_too_warm_to_seed_are_refused() -> None:
    """A rescue takes buttons as solid as stock must be."""
    told = "--start-c: 40 is not usable; allowed is -5 to 28 °C for the buttons to add; buttons this warm have softened"
    assert told in str(refusal("rescue", start_c=40))
    assert check_job(RawJob({**LEAST, "start_c": 28}), "rescue").start_c == 28.0


def test_melted_chocolate_can_be_simulated() -> None:
    """A simulation may start fully melted, with its temperature given, but not from bloomed stock."""
    raw = RawJob({**LEAST, "stock": "melted", "start_c": 45})
    assert check_job(raw, "simulate").start_c == 45.0
    assert refusal("simulate", stock="melted", start_c=20).field == "--start-c"
    assert refusal("simulate", glossy=False).field == "--bloomed"


def test_the_bowls_offered_are_those_the_kitchen_takes() -> None:
    """Help names every material that may go into the oven, and steel for the other methods."""
    offered = next(f.words for f in FIELDS if f.key == "bowl")
    assert offered == (*(name for name in MATERIALS if refused_in_microwave(name) is None), "steel")


def test_methods_without_an_oven_need_none() -> None:
    """Chocolate and grams are enough for any method but the microwave, and a steel bowl may stand over a bath."""
    for method in METHODS[1:]:
        job = check_job(RawJob({"chocolate": "milk", "grams": 500, "method": method, "bowl": "steel"}))
        assert job == BowlJob("milk", 500.0, method=method, bowl="steel")


@pytest.mark.parametrize("method", [name for name in METHODS if name not in PART_MELTS])
def test_a_full_melt_takes_any_stock(method: str) -> None:
    """Bloomed and melted stock can be melted fully, and scorched stock cannot."""
    base: dict[str, object] = {"chocolate": "milk", "grams": 500, "method": method}
    assert not check_job(RawJob({**base, "glossy": False})).glossy
    assert check_job(RawJob({**base, "stock": "melted", "start_c": 42})).start_c == 42.0
    for given, told in (
        ({"stock": "melted"}, "--start-c: needed but not given; allowed is 28 to 60 °C for melted chocolate"),
        ({"stock": "melted", "start_c": 55}, "allowed is below 50 °C for milk chocolate"),
        ({"melt_c": 49}, "--melt-c: 49 is not usable; allowed is 38 to 48 °C for a full melt of milk chocolate"),
    ):
        with pytest.raises(InputError) as caught:
            check_job(RawJob({**base, **given}))
        assert told in str(caught.value)


@pytest.mark.parametrize("method", PART_MELTS[1:])
def test_a_part_melt_needs_sound_stock_by_any_heat(method: str) -> None:
    """Over a bath and in a cabinet too, bloomed and fully melted stock is refused with the way out."""
    for given in ({"glossy": False}, {"stock": "melted", "start_c": 40}):
        with pytest.raises(InputError, match="method seed"):
            check_job(RawJob({"chocolate": "dark", "grams": 500, "method": method, **given}))


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"method": "bath", "bath_c": 80}, "allowed is 36 to 70 °C for a part-melt over a bath"),
        ({"method": "cold-bowl", "bath_c": 45}, "allowed is 0 to 25 °C for cold-bowl stirring"),
        ({"method": "seed", "seed_c": 30}, "allowed is -5 to 28 °C for solid in-temper seed"),
        ({"method": "seed", "seed_with": "butter-crystals", "seed_c": 33}, "allowed is -5 to 30 °C for cocoa butter"),
        ({"method": "seed", "seed_with": "ripened-butter", "seed_c": 25}, "allowed is 31 to 36 °C for cocoa butter"),
        ({"method": "kettle", "people": 1.5}, "--people: 1.5 is not usable; allowed is a whole number from 1 to 10"),
        ({"method": "tabeling"}, "did you mean “tabling”?"),
        ({"method": "microwave"}, "--oven: needed but not given"),
    ],
)
def test_a_method_refuses_what_it_cannot_work_with(given: dict[str, object], told: str) -> None:
    """Each method names the range of its own bath, seed and people."""
    with pytest.raises(InputError) as caught:
        check_job(RawJob({"chocolate": "dark", "grams": 500, **given}))
    assert told in str(caught.value)


@pytest.mark.parametrize(("value", "celsius"), [(38, 38.0), ("100,4 F", 38.0), ("38 °C", 38.0)])
def test_a_bowl_to_be_rescued_is_read(value: object, celsius: float) -> None:
    """The temperature of the bowl is a number or text with its unit."""
    assert check_at(value, "--at") == pytest.approx(celsius)


@pytest.mark.parametrize("value", [None, 20, 90, "hot", True])
def test_a_bowl_that_cannot_be_rescued_is_refused(value: object) -> None:
    """Nothing, too cold, too hot and words are refused by the field's name."""
    with pytest.raises(InputError, match=r"^--at: "):
        check_at(value, "--at")


def test_fields_and_limits_name_each_other() -> None:
    """Every limit a field names is a row of two figures, and keys, options and places are unique."""
    assert {len(array(asked.limit)) for asked in FIELDS if asked.limit} == {2}
    assert {asked.limit for asked in FIELDS if asked.limit} <= set(rows())
    for names in ([f.key for f in FIELDS], [f.option for f in FIELDS], [f.file_place for f in FIELDS]):
        assert len(set(names)) == len(FIELDS)
