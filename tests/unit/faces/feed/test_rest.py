"""The REST door: token, one reading or many, refusals a person can read, and never an error of the server's own."""

from __future__ import annotations

import logging
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import given, settings
from hypothesis import strategies as st

from temperbench.faces.feed.pipeline import Feed
from temperbench.faces.feed.rest import one_token, probe_router
from temperbench.faces.feed.settings import FeedSettings, ProbeSettings
from unit.faces.feed.kitchen import START, Clock, Door

TOKEN = "correct-horse-battery"
PATH = "/api/probes/p1/readings"


def client(door: Door | None = None, clock: Clock | None = None, token: str = TOKEN) -> TestClient:
    """Return a client of an app with the probes' routes."""
    feed = Feed(door or Door(), FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock or Clock())
    app = FastAPI(docs_url=None, redoc_url=None)
    app.include_router(probe_router(feed, one_token(TOKEN)))
    return TestClient(app, headers={"Authorization": f"Bearer {token}"} if token else {})


@pytest.mark.parametrize("token", ["", "wrong", TOKEN + "x", TOKEN[:-1]])
def test_without_the_token_nothing_is_taken_or_told(token: str) -> None:
    """No token, or another one: 401 at both routes, and the answer does not repeat it."""
    door = Door()
    web = client(door, token=token)
    answers = [web.post(PATH, json={"celsius": 31.4}), web.get("/api/probes")]
    assert [one.status_code for one in answers] == [401, 401]
    assert [
        one for one in answers if (token and token in one.text) or one.headers["www-authenticate"] != "Bearer"
    ] == []


def test_an_empty_token_lets_nobody_in() -> None:
    """A door without a token is not opened at all."""
    with pytest.raises(ValueError, match="empty"):
        one_token("")


@pytest.mark.parametrize(
    ("body", "taken"),
    [
        ('{"celsius": 31.4}', 1),
        ("31,4", 1),
        ('{"probe": "p1", "celsius": 31.4, "at": "2026-03-14T09:26:52Z"}', 1),
        ("[31.4, 31.3]", 2),
        ('{"readings": [{"celsius": 31.4}, {"celsius": 31.3}]}', 2),
    ],
)
def test_a_reading_or_a_list_is_taken(body: str, taken: int) -> None:
    """JSON of our own, a plain number, a list."""
    answer = client().post(PATH, content=body)
    assert (200, {"taken": taken, "refused": []}) == (answer.status_code, answer.json())


def test_posted_readings_reach_the_bowl() -> None:
    """Fifty posts, a second apart, are two readings of the bowl."""
    door, clock = Door(), Clock()
    web = client(door, clock)
    for i in range(50):
        clock.now = START + 1000 * i
        web.post(PATH, json={"celsius": round(34 - 0.005 * i, 1), "at": clock.now})
    assert [run for run, _, _ in door.came] == ["run-1", "run-1"]
    (status,) = web.get("/api/probes").json()["probes"]
    assert (status["probe"], status["state"], status["readings"]) == ("p1", "ok", 2)


@pytest.mark.parametrize(
    ("path", "body", "code", "part"),
    [
        (PATH, "", 422, "empty"),
        (PATH, "hot", 422, "number such as 31.4"),
        (PATH, '{"celsius": 1000}', 422, "250"),
        (PATH, '{"probe": "p2", "celsius": 31}', 422, "by the way of p1"),
        (PATH, '{"celsius": "\\ud800"}', 422, "number"),
        (PATH, "[]", 422, "1 to 1000"),
        (PATH, "9" * 70_000, 413, "65536"),
        ("/api/probes/p%201/readings", "31", 422, "letters"),
        ("/api/probes/%ff/readings", "31", 422, "letters"),
    ],
)
def test_refusals_are_sentences(path: str, body: str, code: int, part: str) -> None:
    """What cannot be used is answered with why, and with a code that says it is the sender's fault."""
    answer = client().post(path, content=body)
    assert (code, 0) == (answer.status_code, answer.json()["taken"])
    assert part in answer.json()["refused"][0]["why"]


def test_a_list_with_a_bad_one_names_it() -> None:
    """The good ones are taken, the bad one is named by its place."""
    answer = client().post(PATH, json=[31.4, "hot", 31.3])
    assert (answer.status_code, answer.json()["taken"], [x["index"] for x in answer.json()["refused"]]) == (200, 2, [1])


def test_a_closed_kitchen_is_no_error_of_the_server(caplog: pytest.LogCaptureFixture) -> None:
    """When the bowl takes no readings the probe still gets its 200, and the status says the trouble."""
    clock = Clock()
    web = client(Door(fault=RuntimeError("disk")), clock)
    codes = set()
    with caplog.at_level(logging.CRITICAL):
        for _ in range(25):
            clock.now += 1000
            codes.add(web.post(PATH, content="31.4").status_code)
    assert {200} == codes
    assert "RuntimeError" in web.get("/api/probes").json()["probes"][0]["trouble"]


def test_the_token_is_in_no_log(caplog: pytest.LogCaptureFixture) -> None:
    """At the most talkative level, a good and a bad post leave no trace of the token."""
    with caplog.at_level(logging.DEBUG):
        client().post(PATH, content="31.4")
        client(token="another-secret-token").post(PATH, content="hot")
    assert [r for r in caplog.records if TOKEN in r.getMessage() or "another-secret" in r.getMessage()] == []


@settings(max_examples=60)
@given(st.binary(max_size=120), st.text(st.characters(codec="utf-8"), min_size=1, max_size=20))
def test_no_body_and_no_name_is_a_server_error(body: bytes, name: str) -> None:
    """Whatever is posted, the answer is 200, 404 or 422."""
    answer = WEB.post(f"/api/probes/{quote(name, safe='')}/readings", content=body)
    assert answer.status_code in {200, 404, 405, 422}


WEB = client()


def test_the_door_is_in_the_openapi_page() -> None:
    """Body, answers and path are described."""
    page = client().get("/openapi.json").json()
    post = page["paths"]["/api/probes/{probe}/readings"]["post"]
    assert {"200", "401", "413", "422"} <= set(post["responses"])
    assert "application/json" in post["requestBody"]["content"]
    assert set().union(*post["security"]) <= set(page["components"]["securitySchemes"])
