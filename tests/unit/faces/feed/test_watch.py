"""The watcher: every fault a probe can have is found, said in one sentence, and does not become a reading."""

from __future__ import annotations

import numpy as np
import pytest

from temperbench.faces.feed.message import Message, Refusal
from temperbench.faces.feed.watch import STATES, Verdict, Watcher

START = 1_773_480_413_000


class Bench:
    """A watcher with a clock: sends values one after the other and keeps what passed."""

    def __init__(self, every_s: float = 1.0, **settings: float) -> None:
        self.watcher = Watcher("p1", **settings)
        self.now = START
        self.every_ms = round(1000 * every_s)
        self.passed: list[float] = []
        self.refused: list[str] = []

    def send(self, *values: float, behind_s: float | None = None, digit: float = 0.1, **more: bool) -> Bench:
        for value in values:
            self.now += self.every_ms
            at = None if behind_s is None else self.now - round(1000 * behind_s)
            found = self.watcher.take(Message("p1", value, digit, at), self.now, **more)
            if isinstance(found, Refusal):
                self.refused.append(found.why)
            else:
                self.passed += [celsius for _, celsius in found]
        return self

    def says(self, after_s: float = 0.0) -> Verdict:
        return self.watcher.judge(self.now + round(1000 * after_s))

    @property
    def state(self) -> str:
        return self.says().state


def slope(start: float, per_s: float, count: int) -> list[float]:
    return [round(start + per_s * i, 1) for i in range(count)]


def test_a_good_probe_is_well() -> None:
    """A bowl that is drawn down, 1 message a second: everything passes."""
    values = slope(34.0, -0.005, 600)
    bench = Bench().send(*values)
    assert ("ok", values) == (bench.state, bench.passed)


def test_silence_is_a_dead_probe() -> None:
    """No message yet, or none for half a minute: dead, with the length of the silence."""
    bench = Bench()
    assert bench.state == "dead"
    bench.send(31.4, 31.4)
    assert [bench.says(s).state for s in (29, 42)] == ["ok", "dead"]
    assert "silent for 42 s" in bench.says(42).sentence


def test_a_probe_that_sends_rarely_is_given_its_time() -> None:
    """One message a minute is dead after five of its own gaps, or after what the settings say."""
    bench = Bench(every_s=60).send(*slope(34, -0.3, 6))
    assert [bench.says(s).state for s in (290, 310)] == ["ok", "dead"]
    told = Bench(every_s=60, silent_s=70.0).send(*slope(34, -0.3, 6))
    assert [told.says(s).state for s in (69, 71)] == ["ok", "dead"]


def test_a_value_that_never_moves_is_stuck() -> None:
    """Five minutes without a tenth moving, in a bowl: held back from then on, until it moves."""
    bench = Bench(every_s=5).send(*slope(34, -0.1, 10)).send(*[33.0] * 60)
    assert bench.state == "ok"
    before = len(bench.passed)
    bench.send(33.0, 33.0)
    assert ("stuck", before) == (bench.state, len(bench.passed))
    assert "33.0 °C for 5 min" in bench.says().sentence
    bench.send(32.9)
    assert ("ok", before + 1) == (bench.state, len(bench.passed))


def test_coarse_digits_are_given_longer() -> None:
    """A probe that shows whole degrees may stand for ten minutes: the slowest bowl takes so long for one."""
    bench = Bench(every_s=10).send(*[33.0] * 60, digit=1.0)
    assert bench.state == "ok"
    assert bench.send(33.0, digit=1.0).state == "stuck"


def test_a_probe_on_the_bench_is_not_stuck() -> None:
    """Out of a bowl nothing has to move; the count begins when it is put in."""
    bench = Bench(every_s=10).send(*[22.5] * 100, in_bowl=False)
    assert bench.state == "ok"
    assert bench.send(*[22.5] * 29).state == "ok"


def test_spikes_are_left_out_and_said() -> None:
    """Single wild values do not pass; the odd one is not worth a word, one in eight is."""
    good = slope(33.0, -0.01, 80)
    bench = Bench().send(*good[:20]).send(50.0).send(*good[20:40])
    assert ("ok", good[:40]) == (bench.state, bench.passed)
    for i in range(40, 80, 8):
        bench.send(41.0 if i % 16 else 18.0).send(*good[i : i + 8])
    assert ("spiky", good) == (bench.state, bench.passed)
    assert "jumps" in bench.says().sentence


@pytest.mark.parametrize("every_s", [1, 5, 10, 30])
def test_a_probe_put_into_the_bowl_is_no_spike(every_s: int) -> None:
    """A first-order rise from room to bowl passes whole, at any rate of messages."""
    times = [every_s * i for i in range(1, 40)]
    rise = [22.0] * 6 + [round(33 - 0.005 * t - 11 * float(np.exp(-t / 10)), 1) for t in times]
    bench = Bench(every_s).send(*rise)
    assert (rise, "ok") == (bench.passed, bench.state)


def test_noise_alone_makes_no_spikes() -> None:
    """Normal noise of 0.1 K about a falling bowl, with a fixed seed: 2000 of 2000 values pass."""
    noise = np.random.default_rng(7).normal(0.0, 0.1, 2000)
    values = [round(34 - 0.001 * i + float(x), 1) for i, x in enumerate(noise)]
    assert values == Bench().send(*values).passed


def test_a_jump_to_fahrenheit_is_said() -> None:
    """31.4 and then 88.5: the same bowl in other degrees. Nothing of it passes."""
    bench = Bench().send(*slope(31.5, -0.01, 10)).send(*[88.5] * 10)
    assert bench.state == "wrong unit"
    assert all(word in bench.says().sentence for word in ("31.4 °C in degrees Fahrenheit", "set its unit to F"))
    assert slope(31.5, -0.01, 10) == bench.passed
    assert bench.send(*slope(31.3, -0.01, 3)).state == "ok"


def test_fahrenheit_from_the_start_is_said() -> None:
    """No bowl is at 88 °C, and 88 °F is one."""
    bench = Bench().send(88.0, 88.1, 88.2)
    assert (bench.state, bench.passed) == ("wrong unit", [])


def test_celsius_where_fahrenheit_is_set_is_said() -> None:
    """A probe set to F that is switched to C seems to freeze."""
    bench = Bench()
    for value in (31.4, 31.2, 31.3, -0.4, -0.4, -0.3):
        bench.now += 1000
        bench.watcher.take(Message("p1", value, 0.1, unit="F"), bench.now)
    assert bench.state == "wrong unit"
    assert "set its unit to C" in bench.says().sentence


def test_too_hot_is_not_a_wrong_unit() -> None:
    """A probe that climbs past what a bowl can be is out of range, whatever it would be in other degrees."""
    bench = Bench().send(*slope(48.0, 0.8, 20))
    assert bench.state == "out of range"
    assert max(bench.passed) <= 55.0


@pytest.mark.parametrize(("behind_s", "state"), [(1.5, "ok"), (2.5, "clock off"), (-40.0, "clock off")])
def test_a_clock_that_is_off_is_said(behind_s: float, state: str) -> None:
    """Two seconds pass without a word, more does not."""
    bench = Bench().send(*slope(33, -0.01, 10), behind_s=behind_s)
    assert state == bench.state
    assert (state == "ok") is (f"{abs(behind_s):.0f} s" not in bench.says().sentence.replace(".5 s", " s"))


@pytest.mark.parametrize("behind_s", [0.0, 3.0, 7200.0, -3.0, -7200.0])
def test_times_are_put_right(behind_s: float) -> None:
    """Whatever the probe's clock says, a value carries our time."""
    watcher = Watcher("p1")
    for i in range(20):
        now = START + 1000 * i
        got = watcher.take(Message("p1", 33 - 0.1 * i, 0.1, now - round(1000 * behind_s)), now)
        assert [(now, 33 - 0.1 * i)] == got


def test_a_late_message_keeps_its_own_time() -> None:
    """The running median ignores one message that was held up for four seconds."""
    watcher = Watcher("p1")
    for i in range(20):
        watcher.take(Message("p1", 33.0, 0.1, START + 1000 * i - 60_000), START + 1000 * i)
    late = START + 24_000
    assert [(late - 4000, 32.9)] == watcher.take(Message("p1", 32.9, 0.1, late - 64_000), late)


def test_a_clock_that_is_set_is_followed() -> None:
    """After a step of an hour times are right again within the time the table gives, and stay so."""
    bench = Bench().send(*slope(34, -0.01, 30), behind_s=0.0)
    bench.send(*slope(33.7, -0.01, 30), behind_s=3600.0)
    assert len(bench.refused) <= 11
    found = bench.watcher.take(Message("p1", 33.4, 0.1, bench.now + 1000 - 3_600_000), bench.now + 1000)
    assert [(bench.now + 1000, 33.4)] == found


def test_a_backlog_is_no_new_clock() -> None:
    """Fifty messages of the outage, sent in half a second after it, leave the offset as it was."""
    watcher = Watcher("p1")
    for i in range(40):
        watcher.take(Message("p1", 33.0 + 0.1 * (i % 2), 0.1, START + 1000 * i), START + 1000 * i)
    end = START + 100_000
    for i in range(50):
        watcher.take(Message("p1", 32.5 + 0.1 * (i % 2), 0.1, START + 1000 * (41 + i)), end + 10 * i)
    assert [(end + 1000, 32.4)] == watcher.take(Message("p1", 32.4, 0.1, end + 1000), end + 1000)


def test_repeated_and_old_messages_are_refused() -> None:
    """The same time twice, an earlier one, or a quarter of an hour ago: not a new value."""
    watcher = Watcher("p1")
    for i in range(5):
        watcher.take(Message("p1", 33.0, 0.1, START + 1000 * i), START + 1000 * i)
    again = watcher.take(Message("p1", 33.0, 0.1, START + 4000), START + 5000)
    earlier = watcher.take(Message("p1", 33.0, 0.1, START + 2000), START + 5000)
    old = Watcher("p1")
    old.take(Message("p1", 33.0, 0.1, START), START)
    ancient = old.take(Message("p1", 33.0, 0.1, START + 1000), START + 900_000)
    assert all(isinstance(one, Refusal) for one in (again, earlier, ancient))


def test_the_gravest_fault_speaks() -> None:
    """A probe that is silent and was in the wrong unit is dead first."""
    bench = Bench().send(88.0, 88.1, 88.2)
    assert [bench.says(s).state for s in (1, 60)] == ["wrong unit", "dead"]
    assert {bench.says(s).state for s in (1, 60)} <= set(STATES)
