"""The task every solver gets: one bowl for twenty minutes in 29 phases, or an ensemble of such bowls.

1 kg of dark buttons from 20 °C: bursts of 60, 15, 10, 12 and 3 s (each after the oven's start delay of 2 s), a stand
of 5 s and a stir of 20 to 30 s after each, a last stir of 90 s, then standing and stirring by turns up to 20 minutes.
Controls are constant in a phase. The slow loss of oven power (drift) is set to zero for every solver, so that the
equations of a phase do not depend on time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread
from temperbench.kitchen.bowl_layout import C_AIR, C_BENCH, DELAY, DRIFT, MAX_ZONES, state_size
from temperbench.kitchen.bowls import controls
from temperbench.kitchen.members import Members, draw, nominal
from temperbench.kitchen.setup import Setup
from temperbench.matter.crystals import PARCEL, TEMP

__all__ = [
    "ENOUGH_K",
    "NZ",
    "SCALE",
    "SETUP",
    "STATES",
    "TEMPERATURES",
    "Array",
    "Task",
    "ensemble",
    "one_bowl",
    "plain",
    "the_task",
]

Array = NDArray[np.float64]

NZ = MAX_ZONES
STATES = state_size(NZ)
TEMPERATURES = np.array([i * PARCEL + TEMP for i in range(NZ)] + [STATES - 1])
SCALE = np.tile([0.02, 0.02, 0.02, 2.0, 2.0, 1.0], NZ + 1)[:STATES]  # what counts as much as one kelvin
SCALE[-1] = 1.0
ENOUGH_K = 0.02  # the worst error at which solvers are compared

START_DELAY_S = 2.0
BURSTS_S = (60.0, 15.0, 10.0, 12.0, 3.0)
STAND_S = 5.0
STIRS_S = (20.0, 20.0, 25.0, 30.0, 90.0)
REST_S, TURN_S = 150.0, 30.0  # draw-down: unstirred, stirred
TOTAL_S = 1200.0
GRID_S = 10.0

_x = Spread.exact
SETUP = Setup(
    fat=Spread(0.34, 0.36, 0.38), milk_share=_x(0.0), hardness=Spread(-0.35, 0.0, 0.35), growth_factor=_x(1.0),
    mass_kg=1.0, stock="buttons", start_c=Spread(19.5, 20.0, 20.5), air_c=Spread(19.0, 20.0, 21.0),
    delivered_w=Spread(750.0, 850.0, 1000.0), coupling=Spread(0.65, 0.813, 1.0), drift=_x(0.0), warmth=_x(0.0),
    cycle_s=_x(0.0),
    wall_share=Spread(0.01, 0.02, 0.03), wall_heat=Spread(250.0, 270.0, 290.0), wall_c=Spread(19.0, 20.0, 21.0),
    inside_m2=Spread(0.045, 0.05, 0.055), top_m2=0.025, bias_c=Spread(-0.3, 0.0, 0.3), noise_c=0.1,
)  # fmt: skip


@dataclass(frozen=True)
class Task:
    """Phases with constant controls, and the times inside each at which temperatures are asked for.

    ``controls`` (phases, controls) without air and bench; ``marks`` one increasing array per phase, ending with it.
    """

    seconds: Array
    controls: Array
    marks: tuple[Array, ...]

    @property
    def outputs(self) -> int:
        """How many output times there are."""
        return sum(len(marks) for marks in self.marks)

    def at(self, air_c: float) -> Array:
        """Return the controls with this air around bowl and bench."""
        u = self.controls.copy()
        u[:, C_AIR] = u[:, C_BENCH] = air_c
        return u

    def ends_only(self) -> Task:
        """Return the same phases with no output but at the end of each."""
        return Task(self.seconds, self.controls, tuple(np.array([s]) for s in self.seconds))


def the_task() -> Task:
    """Return the twenty minutes with outputs at the ends of phases and every ten seconds."""
    strokes, shear = number("bowl.stroke_rate"), number("bowl.shear.hand")
    stir = controls(strokes=strokes, shear=shear, contact=2, film=1.0)
    rest = controls(contact=1)
    acts: list[tuple[float, Array]] = []
    for k, (burst, stirred) in enumerate(zip(BURSTS_S, STIRS_S, strict=True)):
        contact = 1 if k else 0  # nothing has been stirred before the first burst
        acts += [(START_DELAY_S, controls(contact=contact)), (burst - START_DELAY_S, controls(1.0, contact=contact))]
        acts += [(STAND_S, controls(contact=contact)), (stirred, stir)]
    left = TOTAL_S - sum(seconds for seconds, _ in acts)
    while left > REST_S + TURN_S:
        acts += [(REST_S, rest), (TURN_S, stir)]
        left -= REST_S + TURN_S
    acts.append((left, rest))
    seconds = np.array([s for s, _ in acts])
    return Task(seconds, np.array([u for _, u in acts]), _marks(seconds))


def _marks(seconds: Array) -> tuple[Array, ...]:
    found, start = [], 0.0
    for s in seconds:
        grid = np.arange(np.floor(start / GRID_S) + 1.0, np.ceil((start + s) / GRID_S)) * GRID_S - start
        found.append(np.append(grid[(grid > 0.0) & (grid < s)], s))
        start += s
    return tuple(found)


def one_bowl() -> Members:
    """Return the bowl with the middle value of everything."""
    return plain(nominal(SETUP, drift=0.0))


def ensemble(m: int, seed: int = 20) -> Members:
    """Return ``m`` bowls drawn from the spreads; the same for every solver."""
    return plain(draw(SETUP, m, np.random.default_rng(seed)))


def plain(members: Members) -> Members:
    """Take the drift and the spread of the start delay out of members, for the sake of all solvers."""
    members.rows[:, DRIFT] = 0.0
    members.rows[:, DELAY] = START_DELAY_S
    return members
