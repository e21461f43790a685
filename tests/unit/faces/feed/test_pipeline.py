"""The pipeline: from messages of any channel to readings of the right bowl, and what is said of each probe."""

from __future__ import annotations

import json
import logging
from threading import Thread

import pytest

from temperbench.app.results import HAPPENINGS, Happening
from temperbench.faces.feed.message import Refusal, Shape
from temperbench.faces.feed.pipeline import Feed, ProbeStatus, Taken
from temperbench.faces.feed.settings import FeedSettings, ProbeSettings
from temperbench.foundation.errors import InputError
from unit.faces.feed.kitchen import START, Clock, Door


def stream(feed: Feed, clock: Clock, seconds: int, probe: str = "p1", start: float = 34.0, **more: object) -> None:
    """Send a message a second of a bowl that is drawn down."""
    for i in range(seconds):
        clock.now += 1000
        message = {"probe": probe, "celsius": round(start - 0.005 * i, 1), "at": clock.now} | more
        feed.take(json.dumps(message))


def shown(feed: Feed, probe: str = "p1") -> ProbeStatus:
    """Return the status of one probe."""
    (found,) = (one for one in feed.status().probes if one.probe == probe)
    return found


def test_a_stream_becomes_a_few_readings() -> None:
    """Two minutes at 1 Hz are six readings of the bowl the probe is in, through the one door."""
    door, clock = Door(), Clock()
    feed = Feed(door, clock_ms=clock)
    feed.assign("p1", "run-1")
    stream(feed, clock, 121)
    assert 6 == len(door.came) == shown(feed).readings
    run_id, first, device = door.came[0]
    at = first.pressed_ms
    assert (run_id, device) == ("run-1", "probe p1")
    assert Happening(f"feed-p1-{at}", "reading", at, celsius=33.95, thermometer="probe") == first
    assert START < at < START + 22_000
    assert first.kind in HAPPENINGS


def test_ids_fit_the_book_and_repeat() -> None:
    """The same stream twice gives the same ids, of letters, digits and dashes, at most 64."""
    ids = []
    for _ in range(2):
        door, clock = Door(), Clock()
        feed = Feed(door, FeedSettings({"p" * 40: ProbeSettings(bowl="run-1")}), clock)
        stream(feed, clock, 60, "p" * 40)
        ids.append([happening.id for _, happening, _ in door.came])
    assert ids[0] == ids[1] != []
    assert all(len(one) <= 64 and one.replace("-", "").isalnum() for one in ids[0])


def test_a_probe_in_no_bowl_is_watched_only() -> None:
    """Without a bowl nothing goes through the door; what the probe shows is there for the eye."""
    door, clock = Door(), Clock()
    feed = Feed(door, clock_ms=clock)
    stream(feed, clock, 60)
    status = shown(feed)
    assert ([], "ok", None, clock.now) == (door.came, status.state, status.bowl, status.now_ms)
    assert status.now_c == pytest.approx(33.7, abs=0.1)


def test_a_message_may_name_the_bowl() -> None:
    """The bowl in a message puts the probe there; in another bowl it begins anew, no value counts for both."""
    door, clock = Door(), Clock()
    feed = Feed(door, clock_ms=clock)
    stream(feed, clock, 41, bowl="run-1")
    stream(feed, clock, 41, start=31.0, bowl="run-2")
    assert [run for run, _, _ in door.came] == ["run-1", "run-1", "run-2", "run-2"]
    assert all(happening.celsius < 31.1 for run, happening, _ in door.came if run == "run-2")


def test_a_finished_bowl_lets_its_probes_go() -> None:
    """After release no reading goes to that bowl; probes of other bowls stay."""
    door, clock = Door(), Clock()
    feed = Feed(door, clock_ms=clock)
    feed.assign("p1", "run-1")
    feed.assign("p2", "run-2")
    feed.release("run-1")
    assert [one.bowl for one in feed.status().probes] == [None, "run-2"]


def test_what_was_shown_before_a_burst_is_no_reading_after_it() -> None:
    """A happening of the bowl ends the values gathered so far; a late message from before it does not count."""
    door, clock = Door(), Clock()
    feed = Feed(door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock)
    stream(feed, clock, 18, start=30.0)
    acted = clock.now + 500
    feed.acted("run-1", acted)
    feed.acted("run-2", acted + 3_600_000)
    late = feed.take(json.dumps({"probe": "p1", "celsius": 30.0, "at": clock.now + 400}))
    assert [Taken("p1", False)] == list(late)
    stream(feed, clock, 45, start=33.0)
    assert pytest.approx([happening.celsius for _, happening, _ in door.came], abs=0.1) == [32.9, 32.8]
    assert min(happening.pressed_ms for _, happening, _ in door.came) > acted


def test_a_list_is_taken_in_order_and_does_not_spoil_the_clock() -> None:
    """A minute sent at once carries its own times; two bad ones are refused and the rest taken."""
    door, clock = Door(), Clock()
    feed = Feed(door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock)
    clock.now = START + 60_000
    readings: list[object] = [{"celsius": round(34 - 0.1 * (i % 2), 1), "at": START + 1000 * i} for i in range(61)]
    readings[5], readings[9] = {"celsius": "hot"}, 999
    results = feed.take(json.dumps({"readings": readings}), probe="p1")
    assert [i for i, one in enumerate(results) if isinstance(one, Refusal)] == [5, 9]
    times = [(happening.pressed_ms - START) / 1000 for _, happening, _ in door.came]
    assert pytest.approx(times, abs=1.5) == [11, 30, 50]
    assert (shown(feed).state, shown(feed).refused) == ("ok", 2)


@pytest.mark.parametrize(("payload", "count"), [("[]", 1), (json.dumps([31.4] * 1001), 1), ("nonsense", 1)])
def test_what_is_no_list_of_messages_is_refused_once(payload: str, count: int) -> None:
    """An empty list, too long a list and plain nonsense: one refusal, no error."""
    results = Feed(Door(), clock_ms=Clock()).take(payload, probe="p1")
    assert count == len(results)
    assert all(isinstance(one, Refusal) for one in results)


def test_the_settings_of_a_probe_hold() -> None:
    """Its own keys and unit, its kind, its time constant."""
    door, clock = Door(), Clock()
    mine = ProbeSettings("infrared", Shape(value="t", unit="F"), tau_s=5.0, bowl="run-2")
    feed = Feed(door, FeedSettings({"gun": mine}), clock)
    for _ in range(31):
        clock.now += 1000
        assert isinstance(feed.take('{"t": 89.6}', probe="gun")[0], Taken)
    assert [(run, h.celsius, h.thermometer) for run, h, _ in door.came] == [("run-2", 32.0, "infrared")] * 3


@pytest.mark.parametrize(
    ("fault", "part"),
    [
        (KeyError("run-1"), "No bowl with the id run-1"),
        (InputError("reading", 34.0, "readings of a running bowl", "start a new one"), "start a new one"),
        (RuntimeError("disk"), "lost: RuntimeError"),
    ],
)
def test_what_the_kitchen_does_not_take_is_said(fault: Exception, part: str, caplog: pytest.LogCaptureFixture) -> None:
    """A closed door stops neither the stream nor the thread; the status says why, until a reading goes through."""
    door, clock = Door(fault=fault), Clock()
    feed = Feed(door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock)
    with caplog.at_level(logging.CRITICAL):
        stream(feed, clock, 25)
    assert part in (shown(feed).trouble or "")
    door.fault = None
    stream(feed, clock, 25, start=33.9)
    assert (shown(feed).trouble, len(door.came)) == (None, 1)


def test_a_faulty_probe_hands_nothing_on() -> None:
    """Fahrenheit in Celsius' clothes: said, shown, not handed on."""
    door, clock = Door(), Clock()
    feed = Feed(door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock)
    stream(feed, clock, 100, start=92.0)
    assert (shown(feed).state, door.came) == ("wrong unit", [])


def test_refusals_are_counted_where_they_belong() -> None:
    """A known probe's refusal stands with the probe, a stranger's with the feed."""
    feed = Feed(Door(), FeedSettings({"p1": ProbeSettings()}), Clock())
    feed.take("hot", probe="p1")
    feed.take("hot")
    status = feed.status()
    assert (status.probes[0].refused, status.refused) == (1, 1)
    assert status.last_refusal is not None


def test_strangers_do_not_fill_the_memory() -> None:
    """After 64 probes no further one is taken."""
    feed = Feed(Door(), clock_ms=Clock())
    results = [feed.take("31.4", probe=f"p{i}")[0] for i in range(70)]
    assert sum(isinstance(one, Refusal) for one in results) == 6
    assert len(feed.status().probes) == 64
    with pytest.raises(InputError):
        feed.assign("one-more", "run-1")


def test_our_own_clock_may_be_set_back() -> None:
    """An hour back on this machine: the probe begins anew instead of being refused for an hour."""
    door, clock = Door(), Clock()
    feed = Feed(door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), clock)
    stream(feed, clock, 30)
    clock.now -= 3_600_000
    stream(feed, clock, 30)
    assert (len(door.came), shown(feed).refused) == (2, 0)


def test_many_threads_may_send() -> None:
    """Four channels at once: every message is counted for its probe, every reading goes through once."""
    door, clock = Door(), Clock()
    feed = Feed(door, FeedSettings({f"p{i}": ProbeSettings(bowl="run-1") for i in range(4)}), clock)

    def send(probe: str) -> None:
        for i in range(300):
            feed.take(json.dumps({"celsius": round(34 - 0.005 * i, 1), "at": START + 1000 * i}), probe=probe)

    clock.now = START + 300_000
    threads = [Thread(target=send, args=(f"p{i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.refused for one in feed.status().probes] == [0] * 4
    assert len(door.came) == len({happening.id for _, happening, _ in door.came})
    assert sum(one.readings for one in feed.status().probes) == len(door.came)


def test_channels_say_how_they_are() -> None:
    """A broker's or a line's last word is in the status, by name."""
    feed = Feed(Door(), clock_ms=Clock())
    feed.say("serial b", "Reading.", ok=True)
    feed.say("mqtt a", "Lost.", ok=False)
    assert [(one.channel, one.ok) for one in feed.status().channels] == [("mqtt a", False), ("serial b", True)]
