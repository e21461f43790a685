"""The use case of keeping a bowl: what may be asked, what is refused in one sentence, and its JSON."""

from __future__ import annotations

import json
from typing import Any

import pytest

from temperbench.app.job_fields import RawJob
from temperbench.app.keep_bowl import check_keep, check_memory, keep_bowl
from temperbench.app.keep_fields import CLEAR_FIELDS, KEEP_FIELDS
from temperbench.app.keep_json import clear_json, keep_json
from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import array

PLACES = {f.key: f.option for f in (*KEEP_FIELDS, *CLEAR_FIELDS)}
BOWL = {"chocolate": "dark", "grams": "2 kg", "oven_w": 1000}


def keeping(**said: Any) -> RawJob:
    """Return raw answers about keeping."""
    return RawJob(said, PLACES)


def test_figures_are_read_as_people_write_them() -> None:
    """Hours, grams an hour, percents and the cook's word for the flow become what the planner takes."""
    ask = check_keep(
        RawJob(BOWL),
        keeping(minutes="1,5 h", leaves_g_h="0.8 kg/h", returns_share="20 %", flows="easy", at_c="88.7 F"),
    )
    assert (ask.minutes, ask.leaves_g_h, ask.returns_share, ask.flows) == (90.0, 800.0, 0.2, "with ease")
    assert ask.at_c == pytest.approx(31.5)
    assert ask.job.method == "microwave"


@pytest.mark.parametrize(("method", "tempered"), [(None, "part-melted"), ("bath", "part-melted"), ("seed", "seeded")])
def test_the_method_of_the_job_says_how_it_was_tempered(method: str | None, tempered: str) -> None:
    """A job that was seeded, tabled or stirred cold starts with fewer crystals than a part-melt; a word wins."""
    raw = RawJob({**BOWL, **({} if method is None else {"method": method})})
    assert check_keep(raw, keeping()).tempered == tempered
    assert check_keep(raw, keeping(tempered="seeded")).tempered == "seeded"


def test_only_a_burst_needs_an_oven() -> None:
    """A heat gun, a bath or warm chocolate alone keep a bowl without an oven, and a steel bowl will do."""
    raw = RawJob({"chocolate": "milk", "grams": 1500, "bowl": "steel", "bath_c": 44})
    for heater in ("heat-gun", "bath", "none"):
        ask = check_keep(raw, keeping(warm_with=heater))
        assert ask.warm_with == heater
        assert ask.bath_c == (44.0 if heater == "bath" else None)
    with pytest.raises(InputError, match="--oven"):
        check_keep(RawJob({"chocolate": "milk", "grams": 1500}), keeping())


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"minutes": "3 min"}, ("--for", "10 to 480 min")),
        ({"at_c": 35.5}, ("--at", "rescue")),
        ({"at_c": 20}, ("--at", "24 to 36 °C")),
        ({"leaves_g_h": "fast"}, ("--uses", "500 g/h")),
        ({"returns_share": 0.3}, ("--returns", "--uses")),
        ({"returns_share": 1.2, "leaves_g_h": 100}, ("--returns", "0 to 0.95")),
        ({"warm_with": "microwav"}, ("--warm-with", "microwave")),
        ({"refill": "in-temper", "refill_c": 40, "refill_g": 500}, ("--refill-c", "in temper")),
        ({"every_min": float("nan")}, ("--every", "finite")),
        ({"flows": "ok"}, ("--flows", "easy")),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(said: dict[str, Any], words: tuple[str, ...]) -> None:
    """Each refusal names the option and what to do."""
    with pytest.raises(InputError) as caught:
        check_keep(RawJob(BOWL), keeping(**said))
    told = str(caught.value)
    assert all(word in told for word in words), told
    assert "\n" not in told


@pytest.mark.parametrize("name", ["--uses", "[keep] uses", "Used an hour"])
def test_what_is_missing_has_the_name_the_face_gives_it(name: str) -> None:
    """What comes back without any use is refused with the field to fill in, as option, job file or form calls it."""
    places = {"returns_share": "What comes back", "leaves_g_h": name}
    with pytest.raises(InputError) as caught:
        check_keep(RawJob(BOWL), RawJob({"returns_share": 0.3}, places))
    assert (caught.value.field, caught.value.remedy) == ("What comes back", f"say what is used as well ({name})")


def test_a_bath_too_hot_or_too_cool_is_refused() -> None:
    """A bath that warms a bowl in temper is neither cooler than it nor scalding."""
    with pytest.raises(InputError, match="scorches"):
        check_keep(RawJob({**BOWL, "bath_c": 75}), keeping(warm_with="bath"))


def test_json_holds_the_plan() -> None:
    """JSON is plain, finite, and has the keys that docs/json.md lists."""
    plan = keep_bowl(RawJob({**BOWL, "room_c": 20}), keeping(minutes=20, every_min=10), members=16)
    told = json.loads(json.dumps(keep_json(plan), allow_nan=False))
    assert told["minutes"] == 20.0
    assert [step["at_min"] for step in told["steps"]] == [0.0, 10.0, 20.0]
    assert len(told["path"]["temperature"]["t_s"]) == len(told["path"]["viscosity_ratio"]["mid"])
    assert set(told["table"][0]) == {"reads_from_c", "reads_to_c", "easy_s", "thick_s", "thick_g"}
    assert all(line.startswith(("Chocolate at the start", "Temperature of")) is False for line in told["defaults_used"])


def test_memory_is_checked_with_its_own_limits() -> None:
    """Both figures are needed, and the answer says whether old crystals stay."""
    raw = RawJob({"chocolate": "dark", "grams": 1000})
    with pytest.raises(InputError, match="--for"):
        check_memory(raw, 45, None)
    found = check_memory(raw, "113 F", "12 min")
    assert found.cleared is True
    assert clear_json(check_memory(raw, array("limit.clear_c")[0], 5))["cleared"] is False
