"""The published domestic routine for 1.134 kg of dark chocolate, run through the model.

Three bursts of 30 s and three to five of 15 s bring it to 37.8 °C, then six of 10 s to 46.1 °C, stirred each time,
in a 3.8 L glass bowl at full power. The routine does not give oven, bowl weight or start: 900 W into 1000 g of water,
1.8 kg of glass and 20 °C are assumed.
"""

from __future__ import annotations

import numpy as np

from temperbench.insight.carry import still
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.kitchen.bowl_layout import POWER, WALL_SHARE
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, draw, nominal
from validation_tables.page import table

__all__ = ["FIRST_C", "SECOND_C", "audit_tables", "needed_power", "readings"]

FIRST_C, SECOND_C = 37.8, 46.1
STAGE_ONE, STAGE_TWO = [30.0, 30.0, 30.0], [10.0] * 6
STIR, HANDLING = 20.0, 10.0
JOB = BowlJob(
    "dark", 1134.0, 1000.0, cocoa_pct=54.0, oven_measured_w=900.0, bowl="glass", bowl_g=1800.0, bowl_l=3.8,
    room_c=20.0, start_c=20.0,
)  # fmt: skip


def _bursts(bowls: Bowls, bursts: list[float]) -> None:
    for burst in bursts:
        bowls.burst(burst)
        bowls.stand(HANDLING / 2)
        bowls.stir(STIR)
        bowls.stand(HANDLING / 2)


def readings(members: Members, short: int) -> tuple[np.ndarray, np.ndarray]:
    """Stirred temperatures after the first stage with ``short`` bursts of 15 s, and after the second."""
    bowls = Bowls(members)
    _bursts(bowls, [*STAGE_ONE, *[15.0] * short])
    first = bowls.reading()
    _bursts(bowls, STAGE_TWO)
    return first, bowls.reading()


def _at(one: Members, watts: float, share: float) -> Members:
    rows = one.rows.copy()
    rows[:, POWER], rows[:, WALL_SHARE] = watts, share
    return Members(**{**one.__dict__, "rows": rows})


def needed_power(short: int, wall_share: float, second: bool = False) -> float:
    """Power into chocolate and bowl that brings the middle bowl to the routine's own temperature. [W]"""
    one = still(nominal(know(JOB).setup))
    low, high = 200.0, 1500.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        if second:
            bowls = _at_first_end(one, short, wall_share)
            bowls.members = _at(one, middle, wall_share)
            _bursts(bowls, STAGE_TWO)
            reached = float(bowls.reading()[0]) > SECOND_C
        else:
            reached = float(readings(_at(one, middle, wall_share), short)[0][0]) > FIRST_C
        low, high = (low, middle) if reached else (middle, high)
    return 0.5 * (low + high)


def _at_first_end(one: Members, short: int, wall_share: float) -> Bowls:
    bowls = Bowls(_at(one, needed_power(short, wall_share), wall_share))
    _bursts(bowls, [*STAGE_ONE, *[15.0] * short])
    return bowls


def audit_tables(members: int) -> dict[str, str]:
    """Return the model's temperatures beside the routine's, and the powers they imply."""
    setup = know(JOB).setup
    one = nominal(setup)
    power, share = float(one.rows[0, POWER]), float(one.rows[0, WALL_SHARE])
    drawn = draw(setup, members, np.random.default_rng(21))
    lines = []
    for short in (3, 4, 5):
        first, second = readings(drawn, short)
        a, b = (np.quantile(x, [0.05, 0.5, 0.95]) for x in (first, second))
        lines.append((
            f"3 x 30 s + {short} x 15 s", f"{FIRST_C} °C", f"{a[1]:.1f} °C ({a[0]:.1f} to {a[2]:.1f})",
            f"{SECOND_C} °C", f"{b[1]:.1f} °C ({b[0]:.1f} to {b[2]:.1f})",
            f"{np.mean(first < FIRST_C) * 100.0:.0f} %",
        ))  # fmt: skip
    head = ("First stage", "Routine", "Model, middle (5 to 95 %)", "After 6 x 10 s more", "Model",
            "Bowls below the routine's first figure")  # fmt: skip
    found = {"audit": table(head, lines)}
    rows = []
    for short in (3, 4, 5):
        whole = needed_power(short, share)
        rows.append((
            f"3 x 30 s + {short} x 15 s to {FIRST_C} °C", f"{(1.0 - share) * whole:.0f} W",
            "565 to 685 W", f"{whole:.0f} W", "700 to 850 W",
        ))  # fmt: skip
    whole = needed_power(4, share, second=True)
    rows.append((
        f"6 x 10 s from {FIRST_C} to {SECOND_C} °C", f"{(1.0 - share) * whole:.0f} W", "-", f"{whole:.0f} W", "560 W"
    ))  # fmt: skip
    titles = ("Stage", "Model needs, into chocolate", "By hand", "Model needs, with the bowl", "By hand")
    found["implied"] = (
        f"The model itself takes {power:.0f} W for chocolate and bowl in this oven, of which the bowl "
        f"{100.0 * share:.0f} %, less the oven's drift.\n\n" + table(titles, rows)
    )
    return found
