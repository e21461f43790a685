"""Memory: what was not hot enough for long enough keeps old crystals, and they decide how the next temper goes."""

from __future__ import annotations

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.insight.after_stop import HELD_STILL, even_rows, quantile_band
from temperbench.insight.keeping.result import ClearCheck, ClearRow
from temperbench.insight.setup_job import Known
from temperbench.kitchen.bowl_layout import TOP
from temperbench.kitchen.members import Members, draw, nominal, settled_solids
from temperbench.kitchen.parcel import parcel_states, run_parcels
from temperbench.matter.crystals import CP, X5, X6

__all__ = ["clear_check", "clear_rows", "clear_rule"]

_MEMBERS = 256
_LONGEST_MIN = 120.0


def _left(members: Members, celsius: float, minutes: Array) -> Array:
    """Old crystals over fat (m, times) in smooth chocolate held at a temperature, stirred."""
    rows = even_rows(members)
    rows[:, CP], rows[:, TOP] = HELD_STILL, 0.0
    solid = settled_solids(members.rows, members.curves, np.full(len(members), 20.0))
    turned = number("keep.old_vi")
    y = parcel_states(celsius, solid * (1.0 - turned), 100.0 * solid)
    y[:, X6] = solid * turned
    states = run_parcels(y, rows, members.curves, members.air_c, 60.0 * minutes, number("bowl.shear.hand"), 0.02)
    return np.asarray(states[:, :, X5] + states[:, :, X6])


def clear_rows(known: Known) -> tuple[ClearRow, ...]:
    """Return how long the model needs to clear the middle chocolate at each of some temperatures."""
    one = nominal(known.setup)
    minutes = np.arange(0.0, _LONGEST_MIN + 0.5, 0.5)
    found = []
    for celsius in array("keep.clear_rows"):
        left = _left(one, celsius, minutes)[0]
        clear = left <= number("keep.clear_left")
        found.append(ClearRow(celsius, float(minutes[clear.argmax()]) if clear.any() else None))
    return tuple(found)


def clear_rule(kind: str) -> str:
    """Say how practice clears a chocolate of this kind."""
    low, high = array(f"keep.clear_c.{kind}")
    return (
        f"To clear old crystals: melt to {low:.0f} to {high:.0f} °C and hold it there, stirred, for at least "
        f"{number('keep.clear_min'):.0f} min. No lump left is not enough: what stays behind too small to see sets the "
        "next bowl its own way."
    )


def clear_check(known: Known, hottest_c: float, minutes: float, seed: int = 1) -> ClearCheck:
    """Tell whether chocolate that was held at ``hottest_c`` for so many minutes has lost its old crystals.

    Cleared means hot and long enough by common practice, and by the model in nineteen of twenty bowls.
    """
    members = draw(known.setup, _MEMBERS, np.random.default_rng(seed))
    left = _left(members, hottest_c, np.array([0.0, max(minutes, 1e-3)]))[:, 1]
    kind = known.chocolate.kind
    low = array(f"keep.clear_c.{kind}")[0]
    practised = hottest_c >= low and minutes >= number("keep.clear_min")
    molten = float(np.quantile(left, 0.95)) <= number("keep.clear_left")
    if practised and molten:
        text = "Cleared: no old crystals to count on, none to fear. Seed it or table it afresh."
    elif molten:
        text = (
            f"Molten by the model, but cooler or shorter than practice asks ({low:.0f} °C for "
            f"{number('keep.clear_min'):.0f} min): old crystals may stay. Clear it before you temper it by cooling; "
            "for seeding it does no harm."
        )
    else:
        text = (
            "Not cleared: old crystals stay and set how many there will be. Keep it as a part-melt, or melt it "
            f"to {low:.0f} °C for {number('keep.clear_min'):.0f} min."
        )
    return ClearCheck(practised and molten, quantile_band(100.0 * left), text)
