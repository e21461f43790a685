"""Twenty devices on four bowls: a real server, a tap on each bowl every so many seconds, and what comes back when.

Each device keeps the bowl's page open by WebSocket. A tap is timed from the press to the advice that answers it, and to
the last of the other devices that shows it. The period is shortened until answers come late; then every tap is asked
back from the book. Run by itself with a port and a folder it is the server.
"""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from typing import Any

import numpy as np

from measure import HERE, say

__all__ = ["live_load"]

BOWLS, DEVICES = 4, 20
AIM_MS = 500.0
PERIODS_S = (10.0, 5.0, 2.5, 1.25)
WAIT_S = 4.0  # between acts and tellings of a bowl, on its own clock
ROUND = (
    ("burst", 45.0), ("stir", 20.0), ("reading", None), ("lumps", None), ("burst", 22.0), ("stir", 20.0),
    ("reading", None), ("lumps", None), ("burst", 8.0), ("stir", 25.0), ("reading", None), ("lumps", None),
    ("burst", 4.0), ("stir", 40.0), ("reading", None), ("lumps", None),
)  # fmt: skip
JOB = {"chocolate": "dark", "grams": 1000.0, "oven_w": 1000.0}
CUTS = (("many", 0.38), ("some", 0.20), ("few", 0.10), ("none", -1.0))


def _serve(port: int, folder: str) -> None:
    import uvicorn

    from temperbench.app.kitchen import Kitchen
    from temperbench.book.book import Book
    from temperbench.book.moments import wall_clock
    from temperbench.faces.web import WebSettings, create_app

    kitchen = Kitchen(Book.open(Path(folder) / "bench.book"), wall_clock)
    app = create_app(kitchen, WebSettings(port=port, writes_per_s=1000.0, writes_at_once=1000))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="critical", ws="websockets-sansio")


class _Truth:
    """A bowl of middle values that lives what is tapped, and gives what is read of it."""

    def __init__(self) -> None:
        from temperbench.insight.job import BowlJob
        from temperbench.insight.setup_job import know
        from temperbench.kitchen.bowls import Bowls
        from temperbench.kitchen.members import nominal

        self.bowl = Bowls(nominal(know(BowlJob(**JOB)).setup), workers=1)
        self.now_ms, self.taps = time.time_ns() // 1_000_000 - 3_600_000, 0

    def tap(self) -> dict[str, Any]:
        """The next happening of the round."""
        kind, seconds = ROUND[self.taps % len(ROUND)]
        self.taps += 1
        if seconds is not None:
            getattr(self.bowl, kind)(seconds)
            self.now_ms += int(1000 * seconds)
            return {"kind": kind, "pressed_ms": self.now_ms, "seconds": seconds}
        self.bowl.stand(WAIT_S)
        self.now_ms += int(1000 * WAIT_S)
        told = {"kind": kind, "pressed_ms": self.now_ms}
        if kind == "reading":
            return {**told, "celsius": round(float(self.bowl.reading()[0]), 1)}
        left = float(self.bowl.lumpiest()[0])
        return {**told, "level": next(level for level, cut in CUTS if left > cut)}


class _Load:
    """The devices and what they saw."""

    def __init__(self, port: int) -> None:
        self.at = f"http://127.0.0.1:{port}"
        self.runs: list[str] = []
        self.truths = [_Truth() for _ in range(BOWLS)]
        self.sent: dict[str, set[str]] = {}
        self.answers: list[float] = []
        self.others: list[float] = []
        self.lost: list[str] = []

    def call(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """Ask the server; JSON in, JSON out."""
        data = None if body is None else json.dumps(body).encode()
        headers = {"content-type": "application/json", "x-device": "bench"}
        with urllib.request.urlopen(urllib.request.Request(self.at + path, data, headers), timeout=120) as answer:
            return json.load(answer)

    def begin(self) -> None:
        """Start the bowls."""
        for truth in self.truths:
            run = self.call("/api/runs", {"job": JOB, "pressed_ms": truth.now_ms})["run_id"]
            self.runs.append(run)
            self.sent[run] = set()

    async def press(self, bowl: int, loop: asyncio.AbstractEventLoop) -> None:
        """One tap on a bowl."""
        run = self.runs[bowl]
        body = self.truths[bowl].tap()
        key = f"{run}-{self.truths[bowl].taps}"
        body["id"] = key
        begun = time.perf_counter()
        try:
            await loop.run_in_executor(None, self.call, f"/api/runs/{run}/happenings", body)
            self.sent[run].add(key)
            self.answers.append(1e3 * (time.perf_counter() - begun))
        except OSError as why:
            self.lost.append(f"{key}: {why}")

    async def watch(self, bowl: int, seen: dict[int, float]) -> None:
        """One device: keeps the page of a bowl open and notes when it shows how many happenings."""
        from websockets.asyncio.client import connect

        url = self.at.replace("http", "ws") + f"/wire/{self.runs[bowl]}"
        async with connect(url, origin=self.at, max_size=None, ping_interval=None) as socket:
            await socket.send(json.dumps({"width": 390}))
            async for text in socket:
                told = json.loads(text)
                if told.get("t") == "view":
                    seen[int(told["count"])] = time.perf_counter()

    async def at_pace(self, period_s: float, lasts_s: float) -> dict[str, float]:
        """Tap every bowl once a period; return what came back when."""
        loop = asyncio.get_running_loop()
        self.answers, done = [], []
        seen: list[dict[int, float]] = [{} for _ in range(DEVICES)]
        devices = [asyncio.create_task(self.watch(d % BOWLS, seen[d])) for d in range(DEVICES)]
        await asyncio.sleep(1.0)
        pressed: list[tuple[int, int, float]] = []
        begun = time.perf_counter()
        for n in range(max(1, int(lasts_s / period_s)) * BOWLS):
            await asyncio.sleep(max(0.0, begun + n * period_s / BOWLS - time.perf_counter()))
            bowl = n % BOWLS
            pressed.append((bowl, self.truths[bowl].taps + 1, time.perf_counter()))
            done.append(asyncio.create_task(self.press(bowl, loop)))
        await asyncio.gather(*done)
        await asyncio.sleep(2.0)
        for device in devices:
            device.cancel()
        await asyncio.gather(*devices, return_exceptions=True)
        return {"period_s": period_s, "taps": len(done), **_late(self.answers), **self._shown(pressed, seen)}

    @staticmethod
    def _shown(pressed: list[tuple[int, int, float]], seen: list[dict[int, float]]) -> dict[str, float]:
        """How long until every device of the bowl shows a tap or a later one, 95 % point."""
        late, never = [], 0
        for bowl, count, at in pressed:
            for views in (seen[d] for d in range(DEVICES) if d % BOWLS == bowl):
                after = [when for n, when in views.items() if n >= count]
                never += not after
                late += [1e3 * (min(after) - at)] if after else []
        return {"shown_p95_ms": float(np.percentile(late, 95)) if late else float("nan"), "never_shown": never}

    def missing(self) -> int:
        """Count taps that were answered and are not in the book, or are there twice."""
        wrong = 0
        for run in self.runs:
            kept = [step["happening"]["id"] for step in self.call(f"/api/runs/{run}/record")["happenings"]]
            wrong += len(self.sent[run] - set(kept)) + len(kept) - len(set(kept))
        return wrong


def _late(answers: list[float]) -> dict[str, float]:
    if not answers:
        return {"median_ms": float("nan"), "p95_ms": float("nan"), "most_ms": float("nan")}
    median, p95 = np.percentile(answers, [50, 95])
    return {"median_ms": float(median), "p95_ms": float(p95), "most_ms": max(answers)}


def _paces(port: int, quick: bool, lasts_s: float) -> dict[str, Any]:
    rows, lost, missing = [], 0, 0
    for period in PERIODS_S[-1:] if quick else PERIODS_S:
        say(f"load: a tap on each of {BOWLS} bowls every {period:g} s")
        load = _Load(port)
        load.begin()
        rows.append(asyncio.run(load.at_pace(period, 5.0 if quick else lasts_s)))
        lost += len(load.lost)
        missing += load.missing() if quick or period >= PERIODS_S[1] else 0
    return {"rows": rows, "refused": lost, "missing": missing, "devices": DEVICES, "bowls": BOWLS}


def live_load(quick: bool, lasts_s: float = 80.0) -> dict[str, Any]:
    """Return tap-to-advice over the pace, and what became of every tap."""
    port = 8473
    with tempfile.TemporaryDirectory() as folder:
        server = subprocess.Popen([sys.executable, "-W", "ignore", str(HERE / "live_load.py"), str(port), folder])
        try:
            for _ in range(600):
                if server.poll() is not None:
                    raise RuntimeError("the server did not start: is everything installed that serving needs?")
                try:
                    urllib.request.urlopen(f"http://127.0.0.1:{port}/api/time", timeout=5).close()
                    break
                except OSError:
                    time.sleep(0.2)
            return _paces(port, quick, lasts_s)
        finally:
            server.terminate()
            server.wait(30)


if __name__ == "__main__":
    _serve(int(sys.argv[1]), sys.argv[2])
