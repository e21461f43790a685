"""Serial lines over a pseudo-terminal: numbers and JSON, broken lines, a plug pulled and put back, a clean stop."""

from __future__ import annotations

import os
import pty
import threading
import time
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest

from temperbench.faces.feed.message import Shape
from temperbench.faces.feed.pipeline import Feed, ProbeStatus
from temperbench.faces.feed.serial_line import SerialFeed
from temperbench.faces.feed.settings import FeedSettings, ProbeSettings, SerialSettings
from unit.faces.feed.kitchen import Clock, Door, until


class Line:
    """A pseudo-terminal behind a name that stays the same, as a port has it."""

    def __init__(self, folder: Path) -> None:
        self.name = folder / "port"
        self.plug()

    def plug(self) -> None:
        self.ours, self.theirs = pty.openpty()
        tty.setraw(self.theirs)
        self.name.symlink_to(os.ttyname(self.theirs))

    def pull(self) -> None:
        self.name.unlink()
        os.close(self.theirs)
        os.close(self.ours)

    def write(self, data: bytes) -> None:
        os.write(self.ours, data)


@pytest.fixture
def line(tmp_path: Path) -> Iterator[Line]:
    """Give a line that is plugged in."""
    one = Line(tmp_path)
    yield one
    one.pull()


class Reading:
    """A feed that reads a line for as long as the block lasts; begins once the port is open."""

    def __init__(self, line: Line, probe: str | None = "p1", shape: Shape | None = None) -> None:
        self.door, self.clock = Door(), Clock()
        self.feed = Feed(self.door, FeedSettings({"p1": ProbeSettings(bowl="run-1")}), self.clock)
        settings = SerialSettings(str(line.name), 115_200, probe, shape)
        self.serial = SerialFeed(self.feed, settings, first_wait_s=0.05, longest_wait_s=0.2)

    def __enter__(self) -> Reading:
        self.serial.start()
        until(lambda: self.ok)
        return self

    def __exit__(self, *fault: object) -> None:
        self.serial.stop()

    @property
    def ok(self) -> bool:
        return any(channel.ok for channel in self.feed.status().channels)

    @property
    def p1(self) -> ProbeStatus:
        return next(one for one in self.feed.status().probes if one.probe == "p1")


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
@pytest.mark.parametrize("text", [b"31.4", b"31,4 C", b'{"probe": "p1", "celsius": 31.4}'])
def test_a_line_is_a_message(line: Line, text: bytes, end: bytes) -> None:
    """Numbers and JSON, with any end of line."""
    with Reading(line) as one:
        line.write(b"beginning" + end + text + end)
        until(lambda: one.p1.now_c == 31.4)
        assert one.p1.refused == 0


def test_the_line_may_carry_several_probes(line: Line) -> None:
    """Without a probe in the settings each message names its own; keys by the line's own mapping."""
    with Reading(line, None, Shape(value="t", probe="id", scale=0.1)) as one:
        line.write(b'\n{"id": "p1", "t": 314}\n{"id": "p9", "t": 225}\n')
        until(lambda: len(one.feed.status().probes) == 2)
        assert [probe.now_c for probe in one.feed.status().probes] == [31.4, 22.5]


def test_a_line_cut_at_the_start_is_left_out(line: Line) -> None:
    """What was half sent when the port was opened, 1.4 of 31.4, is not taken for a temperature."""
    with Reading(line) as one:
        line.write(b"1.4\n32.0\n")
        until(lambda: one.p1.now_c == 32.0)
        assert one.p1.refused == 0


def test_pieces_are_put_together(line: Line) -> None:
    """A line that comes byte by byte is one message."""
    with Reading(line) as one:
        for byte in b'\n{"celsius": 31.25}\n':
            line.write(bytes([byte]))
            time.sleep(0.002)
        until(lambda: one.p1.now_c == 31.25)


def test_noise_is_refused_and_goes_by(line: Line) -> None:
    """Wrong bytes, an endless line, an empty one: the next good line counts."""
    with Reading(line) as one:
        line.write(b"\n\xff\xfe\xfd\n\n" + b"x" * 3000)
        time.sleep(0.05)
        line.write(b"yz\n31.4\n")
        until(lambda: one.p1.now_c == 31.4)
        assert one.p1.refused == 1


def test_a_stream_reaches_the_bowl(line: Line) -> None:
    """Stamped lines over a minute become readings of the bowl."""
    with Reading(line) as one:
        start = one.clock.now
        line.write(b"\n")
        for i in range(61):
            one.clock.now = start + 1000 * i
            line.write(f"{34 - 0.1 * (i % 2):.1f}\n".encode())
            until(lambda at=one.clock.now: one.p1.now_ms == at)
        assert len(one.door.came) == 3


def test_a_plug_that_is_pulled_is_said_and_taken_up_again(line: Line) -> None:
    """The port goes: said. It comes back: read again."""
    with Reading(line) as one:
        line.pull()
        until(lambda: not one.ok)
        assert "trying again" in one.feed.status().channels[0].sentence
        line.plug()
        until(lambda: one.ok)
        line.write(b"\n31.4\n")
        until(lambda: one.p1.now_c == 31.4)


def test_stop_is_clean_and_quick(line: Line) -> None:
    """Stop ends the thread within a second, twice is once, and it can start again."""
    before = set(threading.enumerate())
    one = Reading(line)
    with one:
        assert ["serial " + str(line.name)] == [t.name for t in set(threading.enumerate()) - before]
    begun = time.monotonic()
    one.serial.stop()
    assert time.monotonic() - begun < 1
    assert (set(), False) == (set(threading.enumerate()) - before, one.ok)
    with one:
        line.write(b"\n31.4\n")
        until(lambda: one.p1.now_c == 31.4)
