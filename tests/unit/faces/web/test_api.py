"""The REST interface: what it takes, what it answers, and what it refuses in one sentence."""

from __future__ import annotations

from typing import Any

import pytest

from temperbench.app.faults import BookError
from temperbench.app.job_fields import RawJob
from temperbench.faces.web.api_models import raw_job
from unit.faces.web.clients import client, tap


def test_a_tap_is_answered_with_the_next_move() -> None:
    """A burst is followed by stirring, with a clock that runs from the press."""
    answer = client().post("/api/runs/demo-3/happenings", json=tap(seconds=20.0))
    assert answer.status_code == 200
    assert answer.json()["move"]["kind"] == "stir"
    assert answer.json()["countdown"]["from_ms"] == tap()["pressed_ms"]


def test_the_same_tap_twice_is_one_happening() -> None:
    """Sending a tap again, as a device does that never heard the answer, changes nothing."""
    devices = client()
    first = devices.post("/api/runs/demo-3/happenings", json=tap(seconds=20.0)).json()
    second = devices.post("/api/runs/demo-3/happenings", json=tap(seconds=20.0)).json()
    assert first == second


def test_a_tap_keeps_the_time_it_was_pressed() -> None:
    """A late tap lands at its press time, not at its arrival."""
    devices = client()
    devices.post("/api/runs/demo-3/happenings", json=tap(seconds=20.0))
    steps = devices.get("/api/runs/demo-3/record").json()["happenings"]
    assert tap()["pressed_ms"] == steps[-1]["happening"]["pressed_ms"]


def test_undo_takes_the_last_tap_back() -> None:
    """After an undo the move is what it was; the record keeps both taps."""
    devices = client()
    before = devices.get("/api/runs/demo-3").json()["move"]
    devices.post("/api/runs/demo-3/happenings", json=tap(seconds=20.0))
    after = devices.post("/api/runs/demo-3/happenings", json=tap("undo", "tap-0002", of="tap-0001")).json()["move"]
    steps = devices.get("/api/runs/demo-3/record").json()["happenings"]
    assert before == after
    assert [(s["happening"]["kind"], s["undone"]) for s in steps[-2:]] == [("burst", True), ("undo", False)]


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "explode"},
        {"id": "x"},
        {"id": "../../book"},
        {"pressed_ms": 5},
        {"seconds": -1.0},
        {"seconds": "NaN"},
        {"celsius": 1e9},
        {"level": "plenty"},
        {"colour": "red"},
        {"film": "a\x00b"},
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(wrong: dict[str, Any]) -> None:
    """Unknown kinds, keys and words, and figures outside sense get 422 and a message."""
    answer = client().post("/api/runs/demo-3/happenings", json={**tap(seconds=3.0), **wrong})
    assert answer.status_code == 422
    assert "\n" not in answer.json()["message"]
    assert next(iter(wrong)) in answer.json()["message"]


@pytest.mark.parametrize(
    "path", ["/api/runs/none", "/bowls/none", "/api/runs/none/record", "/api/runs/none/card", "/nothing"]
)
def test_what_is_not_there_is_not_found(path: str) -> None:
    """An unknown run or page is 404 with a message, never a fault."""
    answer = client().get(path)
    assert answer.status_code == 404
    assert answer.json()["message"]


def test_what_if_answers_with_bands_and_risk() -> None:
    """The question changes nothing and is answered with an end and a risk."""
    devices = client()
    answer = devices.get("/api/runs/demo-3/what-if", params={"seconds": 5}).json()
    assert answer["seconds"] == 5
    assert answer["ends_c"]["low"] < answer["ends_c"]["mid"] < answer["ends_c"]["high"]
    assert devices.get("/api/runs/demo-3").json()["happenings"] == 4


def test_a_bowl_is_started_by_its_job() -> None:
    """A job by its keys starts a bowl; a job without an amount is refused by name."""
    devices = client()
    job = {"chocolate": "dark", "grams": "1,2 kg", "oven_w": 900}
    made = devices.post("/api/runs", json={"id": "bowl-0001", "title": "Test bars", "job": job})
    assert (made.status_code, made.json()["title"]) == (201, "Test bars")
    short = devices.post("/api/runs", json={"job": {"chocolate": "dark", "oven_w": 900}})
    assert (short.status_code, short.json()["field"]) == (422, "--grams")


def test_kit_and_larder_are_kept() -> None:
    """A thing and a lot that were saved are listed."""
    devices = client()
    devices.post("/api/kit/bowl", json={"name": "Glass bowl", "facts": {"bowl": "glass"}})
    devices.post("/api/lots", json={"name": "White", "facts": {"chocolate": "white"}})
    assert "Glass bowl" in [thing["name"] for thing in devices.get("/api/kit").json()]
    assert "White" in [lot["name"] for lot in devices.get("/api/lots").json()]


@pytest.mark.parametrize("drawing", ["chart", "rule"])
def test_drawings_come_at_the_width_asked_for(drawing: str) -> None:
    """The drawing has the width of the device's room, not another one scaled."""
    answer = client().get(f"/api/runs/demo-2/{drawing}.svg", params={"width": 420, "theme": "dark"})
    assert answer.headers["content-type"] == "image/svg+xml"
    assert 'width="420"' in answer.text


def test_the_card_is_a_pdf() -> None:
    """The card comes as a PDF on the page asked for."""
    answer = client().get("/api/runs/demo-1/card", params={"page": "Letter"})
    assert answer.content.startswith(b"%PDF-")


def test_the_interface_describes_itself_without_outside_pages() -> None:
    """OpenAPI is served from here; the pages that load scripts from elsewhere are not."""
    devices = client()
    described = devices.get("/api/openapi.json").json()
    assert {"/api/runs", "/api/runs/{run_id}/happenings", "/api/kit"} <= set(described["paths"])
    assert [devices.get(path).status_code for path in ("/docs", "/redoc")] == [404, 404]


def test_a_full_disk_acknowledges_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the kitchen cannot store, the answer is 503 and says so."""
    devices = client()

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("fake_kitchen.FakeKitchen.tap", full)
    answer = devices.post("/api/runs/demo-3/happenings", json=tap(seconds=3.0))
    assert answer.status_code == 503
    assert "stored" in answer.json()["message"]


def test_lists_page_backwards_in_time() -> None:
    """Older runs follow before a given time."""
    devices = client()
    newest = devices.get("/api/runs", params={"limit": 1}).json()
    older = devices.get("/api/runs", params={"before_ms": newest[0]["started_ms"]}).json()
    assert [line["id"] for line in newest + older] == ["demo-3", "demo-2", "demo-1"]


def test_an_answer_left_empty_counts_as_none() -> None:
    """Empty words are not sent on to the kitchen."""
    assert RawJob({"grams": 5.0}, {"grams": "grams"}) == raw_job({"grams": 5.0, "butter": "", "room_c": None})


def test_trouble_of_the_book_is_told_in_its_own_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """A full or unwritable book answers 503 with what to do; the device keeps its tap."""
    devices = client()

    def full(*_: object, **__: object) -> None:
        raise BookError("book.sqlite")

    monkeypatch.setattr("fake_kitchen.FakeKitchen.tap", full)
    answer = devices.post("/api/runs/demo-3/happenings", json=tap(seconds=3.0))
    assert (answer.status_code, "do not press it again" in answer.json()["message"]) == (503, True)


@pytest.mark.parametrize("body", [b"", b"{", b"\xff\xfe", b'{"id": "\\ud800"}', b"[" * 5000, b"null", b'{"id": 1e999}'])
def test_broken_bodies_are_no_fault(body: bytes) -> None:
    """What is no tap at all is refused, never answered with a fault of the program."""
    for path in ("/api/runs", "/api/runs/demo-3/happenings", "/api/lots", "/api/kit/oven"):
        answer = client().post(path, content=body, headers={"content-type": "application/json"})
        assert (path, answer.status_code) == (path, 422)


@pytest.mark.parametrize(
    "path", ["/api/runs/%00", "/bowls/%00%ff", "/runs/a%20b", "/book?search=%00", "/api/runs?limit=1e9"]
)
def test_odd_addresses_are_no_fault(path: str) -> None:
    """Control signs and nonsense in an address are refused."""
    assert client().get(path).status_code == 422
