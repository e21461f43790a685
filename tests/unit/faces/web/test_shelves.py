"""Larder, kit and check: what was entered can be changed, put away and put right."""

from __future__ import annotations

import pytest

from fake_kitchen import furnished
from unit.faces.web.clients import NOW_S, client, lan_client


def test_an_entry_is_changed_on_its_own_page() -> None:
    """The form stands as the entry is; what comes back untouched is kept exactly, what was changed is changed."""
    kitchen = furnished(lambda: NOW_S)
    devices = client(kitchen)
    devices.cookies.set("temperbench_look", "light.C.oz")
    page = devices.get("/larder/change/lot-1").text
    assert 'value="261.0 oz"' in page
    form = {"name": "House dark", "chocolate": "dark", "cocoa_pct": "60", "fat_pct": "37.5", "stock_g": "261.0 oz"}
    answer = devices.post("/larder/change/lot-1", data=form, follow_redirects=False)
    facts = kitchen.lots()[0].facts
    assert (answer.status_code, answer.headers["location"]) == (303, "/larder")
    assert (facts["cocoa_pct"], facts["stock_g"], kitchen.lots()[0].name) == (60.0, 7400, "House dark")


def test_a_mistake_in_a_change_is_said_in_the_words_of_the_page() -> None:
    """The field is named as the page names it, and what was typed still stands there."""
    answer = client().post("/kit/change/oven-1", data={"name": "Bench oven", "oven_w": "twelve hundred W"})
    assert answer.status_code == 422
    assert "<strong>Oven</strong>: “twelve hundred W” is not usable" in answer.text
    assert 'value="twelve hundred W"' in answer.text


@pytest.mark.parametrize(("shelf", "id", "name"), [("kit", "oven-1", "Bench oven"), ("larder", "lot-1", "House dark")])
def test_an_entry_is_put_away_and_taken_back(shelf: str, id: str, name: str) -> None:
    """It goes from the start page, stands under what is put away, and comes back with all that is known of it."""
    devices = client()
    devices.post(f"/{shelf}/change/{id}", data={"away": "yes"})
    assert name not in devices.get("/start").text
    assert "Put away (1)" in devices.get(f"/{shelf}").text
    assert "Take it back" in devices.get(f"/{shelf}/change/{id}").text
    devices.post(f"/{shelf}/change/{id}", data={"away": "no"})
    assert name in devices.get("/start").text
    assert "Put away (1)" not in devices.get(f"/{shelf}").text


@pytest.mark.parametrize("path", ["/kit/change/none", "/larder/change/oven-1", "/cellar/change/oven-1"])
def test_an_entry_that_is_not_there_is_not_found(path: str) -> None:
    """Neither an unknown id, nor the wrong shelf, nor an unknown one."""
    assert client().get(path).status_code in (404, 422)


def test_a_cook_does_not_change_entries() -> None:
    """The page of an entry is for owners."""
    devices = lan_client()
    devices.headers["authorization"] = "Bearer cook-token"
    assert devices.get("/kit").status_code == 200
    assert "Change</a>" not in devices.get("/kit").text
    assert devices.get("/kit/change/oven-1").status_code == 403
    assert devices.post("/api/away", json={"id": "oven-1"}).status_code == 403


@pytest.mark.parametrize("ice", ["40", "cold", "", "-4"])
def test_a_wrong_ice_point_is_put_right_before_the_warm_one(ice: str) -> None:
    """The first step says what is wrong, with the field in sight; the second is not reached."""
    page = client().get("/check/thermometer-4", params={"step": "warm", "ice_c": ice})
    assert page.status_code == 422
    assert "<strong>In ice</strong>" in page.text
    assert f'name="ice_c" value="{ice}"' in page.text
    assert 'name="warm_c"' not in page.text


def test_every_reading_of_a_check_can_be_put_right() -> None:
    """A wrong warm point keeps the other two, each in a field that shows; a wrong ice point leads back to the ice."""
    devices = client()
    read = {"ice_c": "0,2", "warm_c": "45", "reference_c": "32,0"}
    page = devices.post("/check/thermometer-4", data=read)
    assert page.status_code == 422
    assert "<strong>This one</strong>: 45 is not usable" in page.text.replace("“", "").replace("”", "")
    assert all(f'name="{key}" value="{value}"' in page.text for key, value in read.items())
    assert 'type="hidden"' not in page.text
    again = devices.post("/check/thermometer-4", data={**read, "ice_c": "40"})
    assert "Fill a cup with crushed ice" in again.text
    zero = devices.post("/check/thermometer-4", data={**read, "warm_c": "0", "reference_c": "0"})
    assert (zero.status_code, "28 to 38 °C" in zero.text) == (422, True)


def test_a_refusal_is_in_the_units_of_the_device() -> None:
    """On a device in °F and ounces the range is told in them, a reading typed without a unit as it was meant."""
    devices = client()
    devices.cookies.set("temperbench_look", "light.F.oz")
    page = devices.get("/check/thermometer-4", params={"step": "warm", "ice_c": "50"}).text
    assert "“50 °F” is not usable; allowed is 26.6 to 37.4 °F" in page
    heavy = devices.post("/kit/change/bowl-3", data={"name": "Blue", "bowl": "plastic", "bowl_g": "900"}).text
    assert "“900 oz” is not usable; allowed is 0.7 to 352.7 oz" in heavy
