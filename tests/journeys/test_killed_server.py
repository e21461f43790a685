"""The whole server is killed at random moments while devices tap: nothing acknowledged is lost, nothing comes twice."""

from __future__ import annotations

import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Any

import httpx2
import pytest

import served_forks
from served_forks import JOB, PARTICLES
from temperbench.app.happenings import happening_of
from temperbench.app.kitchen import Kitchen
from temperbench.book.book import Book
from temperbench.book.moments import wall_clock

DEVICES, ON_ONE_BOWL, LONGEST_S, PAUSE_S = 4, 3, 0.5, 0.1
WHAT: tuple[dict[str, Any], ...] = (
    {"kind": "burst", "seconds": 4.0}, {"kind": "stir", "seconds": 3.0}, {"kind": "lumps", "level": "many"},
    {"kind": "stand", "seconds": 2.0}, {"kind": "stir", "seconds": 5.0}, {"kind": "taken", "grams": 5.0},
    {"kind": "reading", "celsius": 21.0}, {"kind": "stir", "seconds": 2.0},
)  # fmt: skip


class Served:
    """The program that forks servers, and the one server that runs."""

    def __init__(self, folder: Path, program: subprocess.Popen[str]) -> None:
        """Take the running program and a folder for book and memory."""
        self.port = _free_port()
        self.folder, self.program, self.pid = folder, program, 0
        self.book = folder / "kitchen.book"

    def ask(self, **order: object) -> int:
        """Give an order and return the answer."""
        assert self.program.stdin is not None
        assert self.program.stdout is not None
        print(json.dumps(order), file=self.program.stdin, flush=True)
        return int(self.program.stdout.readline())

    def start(self) -> None:
        """Start a server on the book."""
        self.pid = self.ask(do="serve", where=str(self.book), port=self.port, settled=str(self.folder / "settled"))

    def kill(self) -> None:
        """Kill it, and see that this is what it died of."""
        os.kill(self.pid, signal.SIGKILL)
        assert self.ask(do="reap", pid=self.pid) == -signal.SIGKILL

    def until_answered(self, method: str, path: str, body: object = None) -> Any:
        """Ask until a server answers, as a device does; return what it says."""
        until = time.monotonic() + 300
        with httpx2.Client(base_url=f"http://127.0.0.1:{self.port}", timeout=20.0) as web:
            while True:
                try:
                    answer = web.request(method, path, json=body)
                    assert answer.status_code in (200, 201), answer.text
                    return answer.json()
                except httpx2.TransportError:
                    assert time.monotonic() < until, "no answer in five minutes"
                    time.sleep(PAUSE_S)


def _free_port() -> int:
    """Return a free port that no client is given for its own end: one that calls a dead server could meet itself."""
    for port in random.sample(range(15_000, 30_000), 100):
        with socket.socket() as free:
            if free.connect_ex(("127.0.0.1", port)):
                return port
    raise AssertionError("no free port")


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """Start the program; at the end nothing of it runs."""
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(
        [sys.executable, served_forks.__file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
    ) as program:
        served = Served(folder, program)
        try:
            yield served
        finally:
            if served.pid:
                os.kill(served.pid, signal.SIGKILL)
            program.kill()


class Device(threading.Thread):
    """A tablet: each tap has its id and press time, is sent until it is acknowledged, and only then the next."""

    def __init__(self, served: Served, name: str) -> None:
        """Take the server and a name; the bowl it stands at is told later."""
        super().__init__(daemon=True)
        self.served, self.device, self.run_id = served, name, ""
        self.going = True
        self.pressed: dict[str, int] = {}
        self.seen: list[tuple[str, dict[str, Any]]] = []  # the run and the view of each acknowledgement
        self.fault: BaseException | None = None

    def run(self) -> None:
        """Tap until told to stop; the tap that was begun is brought to its end."""
        try:
            number = 0
            while self.going:
                run, what = self.run_id, WHAT[number % len(WHAT)]
                tap = {"id": f"{self.device}-{number:05}", "pressed_ms": wall_clock(), **what}
                view = self.served.until_answered("POST", f"/api/runs/{run}/happenings", tap)
                self.pressed[tap["id"]] = tap["pressed_ms"]
                self.seen.append((run, view))
                number += 1
                time.sleep(PAUSE_S)
        except BaseException as fault:  # told to the test, which is in another thread
            self.fault = fault


def settled_in(devices: list[Device], runs: list[str]) -> None:
    """Wait until each device has tapped at its new bowl: what waited for the one before is brought to its end."""
    until = time.monotonic() + 300
    while not all(device.seen and device.seen[-1][0] in runs for device in devices):
        assert (time.monotonic() < until, [d.fault for d in devices if d.fault]) == (True, [])
        time.sleep(PAUSE_S)


def kill_many(kills: int, folder: Path) -> None:
    """Kill the server at random moments under load; hold the book and every answer to what they must be."""
    chance = random.Random(kills)
    seen: list[tuple[str, dict[str, Any]]] = []
    with serving(folder) as served:
        served.start()
        devices = [Device(served, f"tablet{n}") for n in range(DEVICES)]
        for number in range(kills):
            if number % ON_ONE_BOWL == 0:
                runs = [f"bowl-{number // ON_ONE_BOWL}-{side}" for side in "ab"]
                for run in runs:
                    served.until_answered("POST", "/api/runs", {"id": run, "job": JOB, "pressed_ms": wall_clock()})
                for n, device in enumerate(devices):
                    device.run_id = runs[n % 2]
                    if number == 0:
                        device.start()
                settled_in(devices, runs)
            time.sleep(chance.uniform(0, LONGEST_S))
            served.kill()
            served.start()
            seen += [(run, served.until_answered("GET", f"/api/runs/{run}")) for run in runs]
        for device in devices:
            device.going = False
        for device in devices:
            device.join(300)
            assert (device.is_alive(), device.fault) == (False, None)
    check(served.book, devices, [*seen, *(one for device in devices for one in device.seen)], kills)


def check(place: Path, devices: list[Device], seen: list[tuple[str, dict[str, Any]]], kills: int) -> None:
    """Every acknowledged tap is in the book once, as pressed; every answer is what a fresh kitchen would say."""
    pressed = {key: ms for device in devices for key, ms in device.pressed.items()}
    book = Book.open(place)
    try:
        assert book.check() == []
        runs = sorted({run for run, _ in seen})
        rows = [row for run in runs for row in book.happenings(run)]
        assert pressed == {row.id: row.pressed_ms for row in rows}
        assert len(pressed) == len(rows) > kills
        for run in runs:
            order = [(row.id.partition("-")[0], row.id) for row in book.happenings(run)]
            assert sorted(order) == sorted(order, key=lambda pair: pair[0])  # of each device, as it was pressed
        kitchen = Kitchen(book, wall_clock, particles=PARTICLES)  # without a memory: settled anew
        for run in runs[-2:]:
            views, said = replayed(kitchen, run), [view for name, view in seen if name == run]
            assert len(said) > 1
            assert [view for view in said if view != views[view["happenings"]]] == []
        kitchen.close()
    finally:
        book.close()


def replayed(kitchen: Kitchen, run: str) -> list[Any]:
    """Return the view after each happening of a run, folded from the start, as JSON has it."""
    live, title = kitchen._fresh(run)
    views = [live.view()]
    for row in kitchen.book.happenings(run):
        live.fold(happening_of(row.id, row.kind, row.pressed_ms, row.payload))
        views.append(live.view())
    return [json.loads(json.dumps(asdict(view) | {"title": title})) for view in views]


def test_fifteen_kills_of_the_server_lose_nothing(tmp_path: Path) -> None:
    """Taps sent until acknowledged are in the book once, and every advice, before and after, is the replay's."""
    kill_many(15, tmp_path)


@pytest.mark.long
def test_three_hundred_kills_of_the_server_lose_nothing(tmp_path: Path) -> None:
    """The same for 300 kills, a hundred pairs of bowls."""
    kill_many(300, tmp_path)
