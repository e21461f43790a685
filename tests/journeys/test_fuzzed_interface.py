"""Odd requests to a served kitchen with a real book: no fault of the server, and every answer as documented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from fake_kitchen import FakeKitchen
from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.app.results import HAPPENINGS, BurstPlan, Happening
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock
from temperbench.faces.web import WebSettings, create_app
from temperbench.foundation.errors import InputError

PARTICLES, EXAMPLES, START_MS = 40, 40, 1_773_480_413_000
JOB = {"chocolate": "dark", "grams": 900.0, "oven_w": 900.0}
NEEDED = {"/api/runs/{run_id}/happenings": {"seconds": 10, "celsius": 31.0, "grams": 20, "level": "some"}}
ALWAYS: dict[str, dict[str, Any]] = {
    "/api/runs": {"job": JOB},
    "/api/runs/{run_id}/happenings": {"pressed_ms": START_MS},
    "/api/probes/{probe}/bowl": {"bowl": "running"},
    "/api/away": {"id": "oven"},
    "/api/lots": {"facts": {"chocolate": "dark", "fat_pct": 37.5, "stock_g": "5 kg"}},
}
CHECKED = {"thermometer": "probe", "ice_c": 0.2, "warm_c": 32.4, "reference_c": 32.0}
FACTS: dict[str, dict[str, Any]] = {
    "oven": {"oven_w": 900.0, "oven_measured_w": 800.0}, "bowl": {"bowl": "glass", "bowl_g": "900 g", "bowl_l": 2.0},
    "thermometer": CHECKED, "lots": {"chocolate": "dark", "fat_pct": 37.5, "stock_g": "5 kg"},
}  # fmt: skip
ODD = (0, -3, 1e6, "900 %", "lots", "0", True, None)
WORDS = (None, "many", "none", "thick", "hardly", "probe", "infrared", "sheen", "soft", "paper", "knife", "glass", "?")
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Return the interface of a kitchen with two bowls, as it describes itself."""
    folder = tmp_path_factory.mktemp("fuzz")
    kitchen = Kitchen(Book.open(folder / "kitchen.book"), wall_clock, _card, PARTICLES)
    now = wall_clock() - 300_000
    for run in ("running", "finished"):
        kitchen.start(RawJob(JOB), id=run, pressed_ms=now)
        kitchen.tap(run, Happening(f"{run}-1", "burst", now + 60_000, seconds=55.0), "test")
    kitchen.tap("finished", Happening("finished-2", "finished", now + 90_000), "test")
    kitchen.save_thing("oven", "Bench oven", FACTS["oven"], id="oven")
    many = WebSettings(names=("testserver",), writes_at_once=10**6, folder=folder)
    yield schemathesis.openapi.from_asgi("/api/openapi.json", create_app(kitchen, many))
    kitchen.close()
    kitchen.book.close()


@pytest.fixture
def kitchens(tmp_path: Path) -> Path:
    """Return the place of a book."""
    return tmp_path / "kitchen.book"


def _said(body: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in body.items() if value is not None}


def _card(plan: BurstPlan, page: str) -> bytes:
    return f"%PDF- {page} {plan.title}".encode()


def places() -> list[tuple[str, str]]:
    """Return every route the interface describes."""
    described = create_app(FakeKitchen(), WebSettings()).openapi()["paths"]
    return [(path, method) for path, methods in described.items() for method in methods]


@pytest.mark.parametrize(("path", "method"), places(), ids=lambda part: part.strip("/"))
def test_no_request_is_a_fault_of_the_server(path: str, method: str, api: Any) -> None:
    """Whatever is sent, the answer has a documented status, type and shape, and none is a 500."""
    statuses: set[int] = set()
    positive, negative = (api[path][method].as_strategy(generation_mode=mode) for mode in GenerationMode)

    @settings(max_examples=EXAMPLES, derandomize=True, suppress_health_check=list(HealthCheck), database=None)
    @given(case=positive | negative, run=st.sampled_from(["running", "running", "finished", None]), right=st.booleans())
    def sent(case: schemathesis.Case, run: str | None, right: bool) -> None:
        if run is not None and "run_id" in case.path_parameters:
            case.path_parameters["run_id"] = run
        if right:
            case.headers.pop("Authorization", None)
        if right and isinstance(case.body, dict):
            case.body = NEEDED.get(path, {}) | _said(case.body) | ALWAYS.get(path, {})
            kind = case.path_parameters.get("kind")
            if kind in FACTS:  # what is kept here is what the other routes meet
                case.body["facts"] = FACTS[kind]
        answer = case.call()
        case.validate_response(answer, checks=CHECKS)
        statuses.add(answer.status_code)

    sent()
    assert statuses & {200, 201}


@pytest.mark.parametrize("kind", FACTS)
def test_no_entry_is_a_fault_of_the_server(kind: str, api: Any) -> None:
    """Right facts with one odd value are taken or refused, and afterwards kit, larder and start pages still open."""
    where = "/api/lots" if kind == "lots" else f"/api/kit/{kind}"
    web = TestClient(api.app, base_url="http://testserver", raise_server_exceptions=False)
    taken = web.post(where, json={"id": f"odd-{kind}", "name": "Right", "facts": FACTS[kind]})
    assert taken.status_code == 201
    for key in FACTS[kind]:
        for odd in ODD:
            body = {"id": f"odd-{kind}", "name": "Odd", "facts": {**FACTS[kind], key: odd}}
            assert web.post(where, json=body).status_code in (201, 422), (key, odd)
    seen = [web.get(path).status_code for path in ("/api/kit", "/api/lots", "/kit", "/larder", "/start", "/keep")]
    assert set(seen) == {200}


figures = st.none() | st.sampled_from([0.0, 0.1, 20.0, 31.4, 60.0, 200.0, 7200.0, 100_000.0]) | st.floats(-50.0, 200.0)
words = st.sampled_from(WORDS)
ids = st.sampled_from([f"tap-{n}" for n in range(12)])
happenings = st.builds(
    Happening, ids, st.sampled_from(HAPPENINGS), st.integers(START_MS - 10_000, START_MS + 900_000), seconds=figures,
    celsius=figures, grams=figures, minutes=figures, level=words, thermometer=words, look=words, film=words,
    material=words, of=st.none() | ids,
)  # fmt: skip


@settings(max_examples=EXAMPLES // 2, derandomize=True, suppress_health_check=list(HealthCheck), database=None)
@given(happened=st.lists(happenings, min_size=1, max_size=12))
def test_what_is_in_the_book_can_be_followed(happened: list[Happening], kitchens: Path) -> None:
    """Any happenings in any order are taken or refused in a sentence; what was taken replays to the same view."""
    book = Book.open(kitchens)
    kitchen = Kitchen(book, wall_clock, particles=PARTICLES)
    run = kitchen.start(RawJob(JOB), pressed_ms=START_MS).run_id
    view, taken = kitchen.view(run), 0
    for what in happened:
        one = replace(what, id=f"{run}-{what.id}", of=None if what.of is None else f"{run}-{what.of}")
        try:
            view = kitchen.tap(run, one, "tablet")
            taken += 1
        except InputError:
            assert view == kitchen.view(run)
    kitchen.close()
    again = Kitchen(book, wall_clock, particles=PARTICLES)
    assert view == again.view(run)
    assert len(again.run_record(run).happenings) <= taken
    again.close()
    book.close()
