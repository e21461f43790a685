"""Places of the figures in the state, the parameter row and the control row of a simulated bowl.

State of one bowl: ``zones`` parcels of six figures (`temperbench.matter.crystals`), then the wall temperature. Where
what the bowl stands in warms and cools with it, its temperature comes last; one that keeps its own is in the row.
Beside the state runs one figure outside the equations: the warmth of the oven (0 cold, 1 after long use).
"""

from __future__ import annotations

from temperbench.matter.crystals import CRYSTAL_PARAMETERS, PARCEL

__all__ = [
    "BOWL_PARAMETERS", "CONDUCT", "CONTROLS", "CYCLE", "C_AIR", "C_BENCH", "C_CONTACT", "C_FILM", "C_POWER",
    "C_SHEAR", "C_STROKES", "DELAY", "DRIFT", "DRIFT_TAU", "FLUID_FLOOR", "GONE_AT", "INSIDE", "KAPPA", "LOG_BETA",
    "LUMP", "MASS", "MAX_ZONES", "OUTSIDE", "OUT_C", "OUT_LOSS", "OUT_POWER", "OUT_RATE", "PARAMETERS", "POWER",
    "REST_CONTACT", "REST_TAU", "SHARE", "SOFT", "SOLID_REF", "STIRRED_FILM", "STROKES", "TOP", "WALL_AIR",
    "WALL_BENCH", "WALL_HEAT", "WALL_SHARE", "parameter", "state_size",
]  # fmt: skip

MAX_ZONES = 3

BOWL_PARAMETERS = (
    "mass", "power", "wall_share", "log_beta", "solid_ref", "wall_heat", "wall_air", "wall_bench", "top", "conduct",
    "lump", "rest_contact", "soft", "gone", "fluid_floor", "strokes", "drift", "drift_tau", "rest_tau", "delay",
    "cycle", "stirred_film", "share_0", "share_1", "share_2", "kappa_0", "kappa_1", "kappa_2", "inside_0", "inside_1",
    "inside_2", "outside", "out_c", "out_rate", "out_loss", "out_power",
)  # fmt: skip
PARAMETERS = CRYSTAL_PARAMETERS + BOWL_PARAMETERS

(
    MASS, POWER, WALL_SHARE, LOG_BETA, SOLID_REF, WALL_HEAT, WALL_AIR, WALL_BENCH, TOP, CONDUCT,
    LUMP, REST_CONTACT, SOFT, GONE_AT, FLUID_FLOOR, STROKES, DRIFT, DRIFT_TAU, REST_TAU, DELAY,
    CYCLE, STIRRED_FILM, SHARE, _S1, _S2, KAPPA, _K1, _K2, INSIDE, _I1,
    _I2, OUTSIDE, OUT_C, OUT_RATE, OUT_LOSS, OUT_POWER,
) = range(len(CRYSTAL_PARAMETERS), len(PARAMETERS))  # fmt: skip

# Control row of a phase: what the cook and the oven do while it lasts. power: share of full power; strokes: 1/s;
# shear: 1/s; contact of lumps with their liquid: 0 none, 1 at rest, 2 stirred; film at the wall: 0 at rest, 1 stirred.
CONTROLS = ("power", "strokes", "shear", "contact", "air_c", "bench_c", "film")
C_POWER, C_STROKES, C_SHEAR, C_CONTACT, C_AIR, C_BENCH, C_FILM = range(len(CONTROLS))

_PLACES = {name: place for place, name in enumerate(PARAMETERS)}


def parameter(name: str) -> int:
    """Return the place of a parameter in the row of a member. Raises ``KeyError`` for an unknown name."""
    return _PLACES[name]


def state_size(zones: int) -> int:
    """Return how many figures the state of a bowl of so many zones has, besides what it stands in."""
    return zones * PARCEL + 1
