"""The start page: every method and kind, what each asks, what is proposed next time, and errors in its own words."""

from __future__ import annotations

import pytest

from fake_kitchen import FakeKitchen
from temperbench.app.job_fields import field_of
from temperbench.app.remembered import remembered
from temperbench.faces.web.forms import start_form
from temperbench.faces.web.looks import Look
from temperbench.faces.web.starting import KINDS, METHODS, SEEDS, Proposed
from unit.faces.web.clients import client

SEED = {"method": "seed", "lot": "dark", "grams": "2000", "seed_with": "block", "seed_c": "18", "oven": "oven-1"}


def test_the_page_offers_all_that_a_job_can_name() -> None:
    """Methods, kinds and seeds on the page are those of the table of questions."""
    shown = (set(METHODS), set(KINDS), set(SEEDS))
    assert tuple(set(field_of(key).words) for key in ("method", "chocolate", "seed_with")) == shown


def test_a_form_answers_only_what_its_method_asks() -> None:
    """What stands in the fields of other methods, hidden from the cook, is not part of the job."""
    form = {**SEED, "oven_w": "800", "bath_c": "45", "cold_c": "10", "melt_c": ""}
    asked = start_form(form, FakeKitchen().kit(), [], Look(fahrenheit=True))
    told = {"chocolate": "dark", "grams": "2000", "method": "seed", "seed_with": "block", "seed_c": "18 °F"}
    assert (told, {}) == (asked.job.values, asked.things)


def test_cold_water_and_bloom_become_answers_of_the_job() -> None:
    """Cold water has a field of its own; bloomed stock is stock that is not glossy."""
    form = {"method": "cold-bowl", "lot": "milk", "grams": "900", "cold_c": "12", "bath_c": "45", "bloomed": "yes"}
    values = start_form(form, [], [], Look()).job.values
    assert (values["bath_c"], values["glossy"], values["method"]) == ("12", False, "cold-bowl")


def test_each_method_is_remembered_by_itself() -> None:
    """After a microwave bowl the seed page still proposes the seed of the bowl before."""
    first = remembered({}, {"method": "seed", "seed_with": "block", "seed_c": "18", "grams": "2000"}, {})
    then = remembered(first, {"chocolate": "milk", "oven_w": "900"}, {"oven": "oven-1"})
    proposed = Proposed({}, then)
    assert (proposed.of("seed", "seed_with"), proposed.of("seed", "seed_c")) == ("block", "18")
    assert (proposed.of("microwave", "oven_w"), proposed.of("microwave", "oven_id")) == ("900", "oven-1")
    assert proposed.method == "microwave"


@pytest.mark.parametrize(("kept", "shown"), [("2 lb", "32.0"), (1000.0, "35.3"), ("no figure", "35.3")])
def test_the_amount_of_last_time_is_proposed_in_this_devices_unit(kept: object, shown: str) -> None:
    """However it was typed last time, also where it cannot be read any more."""
    assert shown == Proposed({}, {"grams": kept}).grams(Look(ounces=True))


def test_another_page_fills_in_the_method() -> None:
    """The comparison leads here with method, seed and amount chosen; anything else in the address is left out."""
    asked = {"method": "seed", "seed_with": "block", "grams": "2500", "title": "x<y"}
    page = client().get("/start", params=asked).text
    assert 'value="seed" checked' in page
    assert 'value="block" checked' in page
    assert 'value="2500"' in page
    assert "x&lt;y" not in page


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"method": "microwave"}, "<strong>Oven</strong>: needed but not given; allowed is 300 to 2000 W; fill it in"),
        ({"method": "seed", "seed_c": "40"}, "<strong>The seed</strong>: “40” is not usable"),
        ({"method": "bath", "bloomed": "yes"}, "which is the method “Melt, then seed”"),
        ({"method": "wok"}, "<strong>Method</strong>: “wok” is not usable"),
    ],
)
def test_errors_are_in_the_words_of_the_form(form: dict[str, str], says: str) -> None:
    """They name the field as the page does and never an option of the command line."""
    answer = client(FakeKitchen()).post("/start", data={"lot": "dark", "grams": "1000", **form})
    assert answer.status_code == 422
    assert says in answer.text
    assert "--" not in answer.text.partition("<form")[0].partition("<h1>")[2]
