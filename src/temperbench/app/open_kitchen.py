"""Opening a kitchen with its book, and a kitchen of our own invention to look around in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from temperbench.app.job_fields import RawJob
from temperbench.app.kitchen import Kitchen
from temperbench.app.memory import settled_files
from temperbench.app.results import BurstPlan, MethodPlan
from temperbench.book.book import Book
from temperbench.book.checks import new_id
from temperbench.book.moments import wall_clock
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening, LiveView
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw

__all__ = ["furnish_demo", "open_kitchen"]

_DEMO_STEPS = 24
_LUMPS = ((0.38, "many"), (0.20, "some"), (0.10, "few"))


def open_kitchen(where: str | Path, print_card: Callable[[BurstPlan | MethodPlan, str], bytes]) -> Kitchen:
    """Open the kitchen whose book is at a path or a PostgreSQL URL; the book is made when there is none."""
    return Kitchen(Book.open(where), wall_clock, print_card, memory=settled_files())


class _Played:
    """An invented cook at an invented bowl, who does what the kitchen says and reads what a true bowl would show."""

    def __init__(self, kitchen: Kitchen, job: BowlJob, view: LiveView, seed: int, started_ms: int) -> None:
        self.kitchen, self.view, self.now_ms = kitchen, view, started_ms
        self.truth = Bowls(draw(know(job).setup, 1, np.random.default_rng(seed)))
        self.rng = np.random.default_rng(seed)

    def tap(self, kind: str, lasted_s: float = 5.0, **said: Any) -> None:
        """Press a key ``lasted_s`` seconds after the last one."""
        self.now_ms += int(1000 * lasted_s)
        happening = Happening(new_id(self.now_ms), kind, self.now_ms, **said)
        self.view = self.kitchen.tap(self.view.run_id, happening, "demo")

    def read(self) -> None:
        """Read the thermometer and look for lumps."""
        self.truth.stand(5.0)
        self.tap("reading", celsius=round(float(self.truth.read_thermometer(self.rng)[0]), 1))
        lumps = float(self.truth.lumpiest()[0])
        level = next((word for least, word in _LUMPS if lumps > least), "none")
        self.tap("lumps", 1.0, level=level)

    def follow(self) -> bool:
        """Do the next move; say whether there is another one."""
        move = self.view.move
        if move.kind in ("burst", "warm"):
            self.truth.stand(5.0)
            self.truth.burst(float(move.seconds or 0))
            self.tap("burst", 5.0 + float(move.seconds or 0), seconds=float(move.seconds or 0))
        elif move.kind in ("stir", "draw down", "wait"):
            seconds = float(min(move.seconds or 60, 240))
            self.truth.stir(seconds)
            self.tap("stir", seconds, seconds=seconds)
            self.read()
        elif move.kind == "test":
            self.truth.stand(170.0)
            self.tap("test", 170.0, minutes=2.7, look="sheen", film="paper")
        else:
            if move.kind == "ready":
                self.tap("finished", 600.0)
            return False
        return True


def furnish_demo(kitchen: Kitchen) -> None:
    """Furnish an empty kitchen of our own invention: kit, two lots, a finished bowl and a running one."""
    if kitchen.kit():
        return
    oven = kitchen.save_thing("oven", "Counter oven", {"oven_w": 1000})
    kitchen.save_thing("oven", "Back room oven", {"oven_w": 800})
    bowl = kitchen.save_thing("bowl", "Blue plastic bowl", {"bowl": "plastic", "bowl_g": 220.0, "bowl_l": 2.5})
    probe = kitchen.save_thing("thermometer", "Pen probe", {"thermometer": "probe"})
    facts = {"chocolate": "dark", "cocoa_pct": 58.0, "fat_pct": 37.5, "lot": "L2606", "stock_g": 8000.0}
    lot = kitchen.save_lot("House dark 58", facts)
    facts = {"chocolate": "milk", "cocoa_pct": 36.0, "fat_pct": 36.5, "lot": "M2604", "stock_g": 5000.0}
    lots = {"dark": lot.id, "milk": kitchen.save_lot("House milk 36", facts).id}
    things = {"oven": oven.id, "bowl": bowl.id, "thermometer": probe.id}
    now = wall_clock()
    for title, chocolate, grams, started_ms, steps in (
        ("Saturday's shells", "dark", 1000.0, now - 5_400_000, _DEMO_STEPS),
        ("Milk for dipping", "milk", 800.0, now - 100_000, 3),
    ):
        raw = RawJob({"chocolate": chocolate, "grams": grams, "oven_w": 1000.0, "bowl": "plastic", "bowl_g": 220.0})
        view = kitchen.start(raw, title, pressed_ms=started_ms, things={**things, "lot": lots[chocolate]})
        played = _Played(kitchen, BowlJob(chocolate, grams, 1000.0, bowl="plastic", bowl_g=220.0), view, 7, started_ms)
        for _ in range(steps):
            if not played.follow():
                break
