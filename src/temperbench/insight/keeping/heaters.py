"""How a bowl is warmed a little: a short burst, a heat gun over the stirred surface, or a warm bath."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.setup_job import Known
from temperbench.kitchen.bowl_layout import CYCLE, DELAY, DRIFT, KAPPA, LOG_BETA, MASS, POWER, SHARE, WALL_SHARE
from temperbench.kitchen.bowls import Bowls, controls
from temperbench.kitchen.members import latin, triangular
from temperbench.kitchen.outside import Around, drawn_around, middle_around, water_bath
from temperbench.kitchen.oven import chocolate_share

__all__ = ["Heater", "heater_of"]


@dataclass(frozen=True)
class Heater:
    """One way of warming, for an ensemble of bowls: ``share`` (m,) of a heat gun's power that goes in."""

    kind: str  # one of `temperbench.insight.keeping.ask.HEATERS`
    grid: tuple[float, ...]  # seconds that are tried
    level: float = 1.0  # of the oven
    ratio: float = 1.0  # of the oven's load curve
    kilograms: float = 1.0  # that the rows' power belongs to
    gun_w: float = 0.0
    bath_c: float = 0.0
    material: str = "plastic"
    share: Array = dataclasses.field(default_factory=lambda: np.ones(1))
    around: Around = dataclasses.field(default_factory=lambda: middle_around(1))  # films of the bath

    def only(self, which: NDArray[np.intp]) -> Heater:
        """Return the heater for these members, or for copies of the first one."""
        around = {name: values[which] for name, values in self.around.items()}
        return dataclasses.replace(self, share=self.share[which], around=around)

    def warm(self, bowls: Bowls, seconds: Array) -> None:
        """Warm each bowl for its own seconds; those with none only wait while the others are handled."""
        if self.kind == "none" or not (seconds > 0.0).any():
            return
        own = bowls.members
        if self.kind == "microwave":
            bowls.members = dataclasses.replace(own, rows=self._oven_rows(own.rows))
            bowls.burst(seconds, self.level)
            bowls.members = own
            bowls.stand(np.where(seconds > 0.0, number("bowl.rest.handling"), 0.0))
        elif self.kind == "heat-gun":
            bowls.members = dataclasses.replace(own, rows=self._gun_rows(own.rows))
            stirred = controls(1.0, number("bowl.stroke_rate"), number("bowl.shear.hand"), 2, 1.0)
            bowls.phase(stirred, seconds)
            bowls.members = own
        else:
            self._over_bath(bowls, seconds)

    @property
    def watched(self) -> bool:
        """Whether the thermometer can stay in the stirred bowl while it is warmed, and say when to stop."""
        return self.kind in ("heat-gun", "bath")

    def warm_until(self, bowls: Bowls, aims: Array, reads: Callable[[], Array], most_s: Array) -> Array:
        """Warm each bowl until its own thermometer reads its aim, at most so long; return the seconds it took."""
        step = number("keep.watch_step")
        spent = np.zeros_like(most_s)
        while True:
            on = (reads() < aims) & (spent < most_s)
            if not on.any():
                return spent
            more = np.where(on, np.minimum(step, most_s - spent), 0.0)
            self.warm(bowls, more)
            spent += more

    def _oven_rows(self, rows: Array) -> Array:
        """Rows with the power that the chocolate now in the bowl takes: a fuller bowl takes more of it."""
        new = rows.copy()
        shares = np.array([chocolate_share(float(kg), self.ratio) for kg in rows[:, MASS]])
        new[:, POWER] *= shares / chocolate_share(self.kilograms, self.ratio)
        return new

    def _gun_rows(self, rows: Array) -> Array:
        """Rows of bowls whose surface takes all the heat: the hot zone is the skin that the gun blows on."""
        new = rows.copy()
        new[:, POWER] = self.gun_w * self.share
        new[:, [WALL_SHARE, LOG_BETA, DELAY, CYCLE, DRIFT]] = 0.0
        new[:, KAPPA : KAPPA + 3] = 0.0
        new[:, KAPPA] = 1.0 / rows[:, SHARE]
        return new

    def _over_bath(self, bowls: Bowls, seconds: Array) -> None:
        """Stir over a bath that is kept at its temperature; the wall gives what it holds afterwards."""
        bowls.stand_in(water_bath(bowls.members, self.material, self.bath_c, figures=self.around))
        bowls.stir(seconds)
        bowls.stand_on_bench()


def heater_of(ask: KeepAsk, known: Known, m: int, rng: np.random.Generator | None = None) -> Heater:
    """Return the way of warming of a job for ``m`` bowls; with the middle of what is not known when ``rng`` is None."""
    spread = spread_of("keep.gun_share") if rng is not None else Spread.exact(number("keep.gun_share"))
    share = np.full(m, spread.mid) if rng is None else triangular(latin(rng, m, 1)[0], spread)
    grid = array("keep.bath_seconds") if ask.warm_with == "bath" else array("keep.warm_seconds")
    return Heater(
        ask.warm_with, grid, known.job.level, known.oven.ratio.mid, known.job.grams / 1000.0,
        number("keep.gun_w") if ask.gun_w is None else ask.gun_w,
        number("keep.bath_c") if ask.bath_c is None else ask.bath_c, known.bowl.material, share,
        middle_around(m) if rng is None else drawn_around(m, rng),
    )  # fmt: skip
