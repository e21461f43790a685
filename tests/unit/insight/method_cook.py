"""A cook of the tests who tempers by any method: a true bowl of middle figures lives what the advice says."""

from __future__ import annotations

import numpy as np

from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening, LiveView, Move
from temperbench.insight.live_run import LiveRun
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal

__all__ = ["MethodCook"]


class MethodCook:
    """Acts on the true bowl and on the run alike, reads after every act, and follows every move."""

    def __init__(self, job: BowlJob, particles: int = 120, factors: dict[str, float] | None = None) -> None:
        """Begin a run; ``factors`` change what bath, cabinet and slab are to the true bowl."""
        self.run = LiveRun("test", job, 0, particles=particles)
        self.truth = Bowls(nominal(self.run.known.setup))
        middle = {name: np.full(1, s.mid) for name, s in self.run.filter.doings.spreads.items()}
        self.figures = {name: v * (factors or {}).get(name, 1.0) for name, v in middle.items()}
        self.now_ms, self.made = 0, 0
        self.moves: list[Move] = []

    def tell(self, kind: str, **what: object) -> Happening:
        """Hand one happening to the run, after it has happened to the true bowl."""
        self.made += 1
        lasts = float(what.get("seconds") or 0.0) + 60.0 * float(what.get("minutes") or 0.0)
        self.now_ms += int(1000 * lasts) if kind != "test" else 0
        happening = Happening(f"h{self.made}", kind, self.now_ms, **what)
        self.run.fold(happening)
        return happening

    def act(self, kind: str, **what: object) -> None:
        """Do something to the true bowl, and tell."""
        if kind == "melted":
            if what.get("grams"):
                self.truth.pour_out(1.0 - float(what["grams"]) / self.run.job.grams)
            self.truth.melted_at(float(what["celsius"]))
        else:
            self.run.filter.doings.act(self.truth, Happening("t", kind, 0, **what), self.figures)
        self.tell(kind, **what)

    def read(self) -> float:
        """Take a reading to a tenth of a degree."""
        celsius = round(float(self.truth.reading()[0]), 1)
        self.tell("reading", celsius=celsius)
        return celsius

    def look(self) -> None:
        """Judge the lumps by eye."""
        left = float(self.truth.lumpiest()[0])
        self.tell("lumps", level="many" if left > 0.38 else "some" if left > 0.2 else "few" if left > 0.1 else "none")

    def view(self) -> LiveView:
        """Return what the page shows."""
        return self.run.view()

    def follow(self, most: int = 30) -> Move:
        """Do what is advised until the setting test is asked for; return that move."""
        for _ in range(most):
            move = self.run.move()
            self.moves.append(move)
            if move.kind in ("test", "ready", "finished", "full melt"):
                return move
            self.do(move)
        raise AssertionError([m.headline for m in self.moves])

    def do(self, move: Move) -> None:
        """Do what a move says, as it says."""
        seconds = float(move.seconds or 0)
        if move.kind == "melt":
            self.act("melted", celsius=move.celsius, grams=move.grams)
        elif move.kind in ("seed", "rescue"):
            grams = move.portions_g[0] if move.portions_g else move.grams
            self.act("added", grams=float(grams or 0), celsius=move.celsius, seed=move.seed)
        elif move.kind == "block out":
            self.act("block out")
        elif move.kind in ("bath", "chill", "lift", "warm"):
            self.act("bath", seconds=seconds, celsius=move.celsius)
            self.act("stir", seconds=20.0)
        elif move.kind in ("cabinet", "kettle"):
            self.act(move.kind, seconds=seconds, celsius=move.celsius)
        elif move.kind == "table":
            self._table(move)
        else:
            self.act("stir", seconds=seconds or 30.0, level=move.level)
        if move.kind not in ("cabinet", "table", "seed"):
            self.read()
            self.look()

    def _table(self, move: Move) -> None:
        """Spread in half minutes until the true layer reads the turn, then keep it moving four minutes."""
        doings = self.run.filter.doings
        for seconds in np.arange(30.0, 600.0, 15.0):
            shown = doings.act(self.truth.copy(), Happening("t", "tabled", 0, seconds=float(seconds), minutes=4.0,
                               grams=float(move.grams or 0), celsius=move.celsius), self.figures)  # fmt: skip
            assert shown is not None
            if float(shown[0]) <= float(move.celsius or 0.0) + 0.5:
                break
        self.act("tabled", seconds=float(seconds), minutes=4.0, grams=float(move.grams or 0),
                 celsius=round(float(shown[0]), 1))  # fmt: skip
