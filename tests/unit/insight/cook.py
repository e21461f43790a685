"""A cook of the tests: a bowl of middle values lives what a run is told, and lends it its readings."""

from __future__ import annotations

from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening, LiveView
from temperbench.insight.live_run import LiveRun
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import nominal

__all__ = ["Cook"]

MOST_MOVES = 16


class Cook:
    """Acts on the true bowl and on the run alike; tells the run what can be seen."""

    def __init__(self, job: BowlJob, particles: int = 150, reads_high: float = 0.0, **true: float) -> None:
        """Begin a run; ``true`` overrides figures of the true bowl."""
        self.run = LiveRun("test", job, 0, particles=particles)
        self.truth = Bowls(nominal(self.run.known.setup, **true))
        self.reads_high, self.now_ms, self.made = reads_high, 0, 0

    def tell(self, kind: str, **what: object) -> Happening:
        """Hand one happening to the run."""
        self.made += 1
        happening = Happening(f"h{self.made}", kind, self.now_ms, **what)
        self.run.fold(happening)
        return happening

    def act(self, kind: str, seconds: float) -> None:
        """Burst, stir or stand."""
        getattr(self.truth, kind)(seconds)
        self.now_ms += int(1000 * seconds)
        self.tell(kind, seconds=seconds)

    def read(self) -> float:
        """Take a reading to a tenth of a degree."""
        celsius = round(float(self.truth.reading()[0]) + self.reads_high, 1)
        self.tell("reading", celsius=celsius)
        return celsius

    def look(self) -> str:
        """Judge the lumps by eye."""
        left = float(self.truth.lumpiest()[0])
        level = "many" if left > 0.38 else "some" if left > 0.2 else "few" if left > 0.1 else "none"
        self.tell("lumps", level=level)
        return level

    def heat_until_smooth(self) -> list[float]:
        """Follow the advice until no lumps are left; return the bursts. [s]"""
        bursts = []
        for _ in range(MOST_MOVES):
            move = self.view().move
            if move.kind == "burst":
                bursts.append(float(move.seconds or 0))
                self.act("burst", bursts[-1])
                continue
            self.act("stir", float(move.seconds or 30))
            self.read()
            if self.look() == "none":
                return bursts
        raise AssertionError("the true bowl is not smooth after all moves")

    def stir_down(self, to_c: float) -> None:
        """Stir a minute at a time until the true bowl is down, then read."""
        while float(self.truth.temperature()[0]) > to_c:
            self.act("stir", 60.0)
        self.read()

    def view(self) -> LiveView:
        """Return what the page shows."""
        return self.run.view()
