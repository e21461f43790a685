"""From the typed request to the spreads the ensemble draws from, with every default named in plain words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from temperbench.foundation.errors import NotGiven
from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Kilogram
from temperbench.insight.job import PART_MELTS, BowlJob, unused_fields
from temperbench.insight.learnt import Learnt
from temperbench.insight.plan import Warning_
from temperbench.insight.telling import Telling
from temperbench.kitchen.oven import Oven, OvenUnknowns, chocolate_share, oven_unknowns, small_load
from temperbench.kitchen.setup import Setup
from temperbench.kitchen.thermometers import Thermometer, lagged_reading, skin_cooling, thermometer_of
from temperbench.kitchen.vessels import Bowl, bowl_from
from temperbench.matter.composition import Chocolate, chocolate_from_pack

__all__ = ["METHOD_WORDS", "Known", "ThermometerFigures", "know", "power_of", "thermometer_figures"]

METHOD_WORDS = {
    "microwave": "a part-melt in the microwave oven", "bath": "a part-melt over a warm bath",
    "cabinet": "a part-melt in a warm cabinet", "seed": "full melt and seed", "tabling": "tabling",
    "cold-bowl": "cold-bowl stirring", "kettle": "a holding kettle",
}  # fmt: skip

_HARDNESS = {"soft": -1.0, "medium": 0.0, "hard": 1.0}


@dataclass(frozen=True)
class Known:
    """All that is known of a job: the spreads, the things behind them, and what was assumed."""

    job: BowlJob
    setup: Setup
    chocolate: Chocolate
    oven: OvenUnknowns
    bowl: Bowl
    thermometer: Thermometer
    room_c: Spread
    start_c: Spread
    defaults_used: tuple[str, ...]
    warnings: tuple[Warning_, ...]
    sources: tuple[str, ...]
    holds: tuple[str, ...] = ()  # what was learnt of its things, and what that holds for

    @property
    def say(self) -> Telling:
        """How the job is told: by what is read, or by look and feel."""
        return Telling(self.thermometer.gives_a_number)


def _around(value: float, half: float) -> Spread:
    """Return the spread of a stated figure known to within ``half``."""
    return Spread(value - half, value, value + half)


def _butter(butter: str | None) -> Spread:
    if butter is None:
        return spread_of("crystals.butter_hardness")
    middle, half = _HARDNESS[butter], number("bowl.butter_known")
    return Spread(max(-1.0, middle - half), middle, min(1.0, middle + half))


def _warmth(oven: OvenUnknowns) -> Spread:
    """Share of the full drift already there at the start, from the on-time before."""
    if oven.on_before_s == 0.0:
        return Spread.exact(0.0)
    tau = oven.drift_time_s
    return Spread(*(1.0 - math.exp(-oven.on_before_s / t) for t in (tau.high, tau.mid, tau.low)))


def _cycle(oven: OvenUnknowns) -> Spread:
    """On-and-off cycle of the level asked for; none at full power and in an inverter oven above its lowest levels."""
    steady = oven.inverter and oven.level > number("oven.level.pulsed")
    return Spread.exact(0.0) if oven.level >= 1.0 or steady else oven.time_base_s


@dataclass(frozen=True)
class ThermometerFigures:
    """What the readings of a thermometer kind are worth in a stirred bowl."""

    bias: Spread  # [°C]
    noise: float  # [°C]
    lag_left: float  # share of a step not followed yet when it is read
    skin: float  # how far below the inside it reads, per kelvin above the room


@cache
def thermometer_figures(kind: str) -> ThermometerFigures:
    """Return bias, noise, lag and skin effect of a kind: read after some time constants, or soon after stirring."""
    found = thermometer_of(kind)
    wait = max(number("bowl.rest.handling"), number("plan.read_after_taus") * found.tau_s.mid)
    skin = skin_cooling(number("bowl.film.top"), number("plan.skin_read_after")) if found.surface_only else 0.0
    return ThermometerFigures(found.bias_c, found.noise_sd_c, lagged_reading(1.0, 0.0, wait, found.tau_s.mid), skin)


def power_of(job: BowlJob, mass: Kilogram | None = None) -> tuple[Spread, Spread]:
    """Return what a job's oven gives to 1000 g of water, and the share of it that a load of chocolate takes.

    Parameters
    ----------
    job
        Whose oven. [-]
    mass
        Load, if not the job's own. [kg]

    Returns
    -------
    tuple[Spread, Spread]
        In watts, and as a share of one. [-]
    """
    oven, load = _oven(job), job.grams / 1000.0 if mass is None else mass
    return oven.power_w, Spread(*(chocolate_share(load, r) for r in (oven.ratio.low, oven.ratio.mid, oven.ratio.high)))


def know(job: BowlJob, learnt: Learnt | None = None) -> Known:
    """Return everything the planner needs about a job, with what was learnt of its things in place of what is assumed.

    Raises `temperbench.foundation.errors.InputError` for what cannot be: contradictions on the pack, a bowl that
    must not go into the oven or cannot hold the chocolate.
    """
    defaults: list[str] = []
    chocolate = chocolate_from_pack(
        job.chocolate, cocoa_pct=job.cocoa_pct, fat_pct=job.fat_pct, milk_fat_pct=job.milk_fat_pct,
        sugars_pct=job.sugars_pct, nut_pct=job.nut_pct, butter=job.butter,
    )  # fmt: skip
    better = learnt or Learnt()
    defaults += [said for said in chocolate.defaults_used if better.hardness is None or "hardness" not in said]
    room = spread_of("bowl.room") if job.room_c is None else _around(job.room_c, number("bowl.room_known"))
    if job.room_c is None:
        defaults.append(f"Room: {room.mid:.0f} °C ({room.low:.0f} to {room.high:.0f}).")
    start = spread_of("bowl.store") if job.start_c is None else _around(job.start_c, number("bowl.start_known"))
    if job.start_c is None:
        defaults.append(f"Chocolate at the start: {start.mid:.0f} °C ({start.low:.0f} to {start.high:.0f}).")
    heated = job.method == "microwave"
    bowl = bowl_from(
        job.bowl, job.bowl_g, job.bowl_l, job.bowl_c, room_c=room, chocolate_g=job.grams, microwave=heated,
        usual=_usual_bowl(job), known_share=better.wall_share, known_heat=better.wall_heat,
    )  # fmt: skip
    defaults += bowl.defaults_used
    oven = _oven(job)
    if heated and better.absorbed_w is None:
        defaults += oven.defaults_used
    thermometer = thermometer_of(job.thermometer or "probe")
    figures = thermometer_figures(thermometer.kind)
    if job.thermometer is None:
        defaults.append("Thermometer: a probe, checked to within 0.3 °C.")
    mass = job.grams / 1000.0
    delivered, coupling = power_of(job)
    setup = Setup(
        fat=chocolate.fat, milk_share=chocolate.soft_share, hardness=_butter(job.butter),
        growth_factor=chocolate.growth_factor, mass_kg=mass, stock=job.stock, start_c=start, air_c=room,
        cycle_s=_cycle(oven), delivered_w=delivered, coupling=coupling, drift=oven.drift, warmth=_warmth(oven),
        wall_share=bowl.wall_share, wall_heat=bowl.heat, wall_c=bowl.start_c, inside_m2=bowl.wetted_m2,
        top_m2=bowl.top_m2, bias_c=thermometer.bias_c, noise_c=thermometer.noise_sd_c,
        lag_left=figures.lag_left, skin=figures.skin, cp=chocolate.cp,
    )  # fmt: skip
    warnings = [Warning_(*w) for w in (*chocolate.warnings, *bowl.warnings, *(oven.warnings if heated else ()))]
    small = small_load(mass) if heated else None
    warnings += [Warning_(*small)] if small else []
    warnings += _own_warnings(job)
    return Known(job, better.put_into(setup), chocolate, oven, bowl, thermometer, room, start, tuple(defaults),
                 tuple(warnings), _sources(job, chocolate), better.holds)  # fmt: skip


def _oven(job: BowlJob) -> OvenUnknowns:
    """Return the oven; for methods without one a usual oven stands in that is never switched on."""
    if job.oven_w is None:
        if job.method == "microwave":
            raise NotGiven("oven_w", "nothing", "a power in W", "read the microwave output on the oven's label")
        return oven_unknowns(Oven(number("usual.oven_w")))
    return oven_unknowns(Oven(job.oven_w, job.oven_measured_w, job.oven_inverter, warm=job.warm_oven, level=job.level))


def _usual_bowl(job: BowlJob) -> str:
    """Return what a bowl is of when nothing is said: plastic where a microwave oven melts, else steel."""
    melts_in_oven = job.oven_w is not None and job.method not in PART_MELTS
    return "plastic" if job.method == "microwave" or melts_in_oven else "steel"


def _own_warnings(job: BowlJob) -> list[Warning_]:
    found = []
    unused = unused_fields(job)
    if unused:
        named = ", ".join(key.replace("_", " ") for key in unused)
        found.append(Warning_("not-used", f"Given, but without use for {METHOD_WORDS[job.method]}: {named}."))
    if job.thermometer == "infrared":
        found.append(
            Warning_(
                "infrared-alone",
                "An infrared thermometer reads the skin, to within 1 °C at best: stir, read at once, and trust the "
                "setting test more than the reading.",
            )
        )
    if job.thermometer == "none":
        found.append(
            Warning_(
                "by-eye",
                "Judged by lumps and flow alone: buttons can look whole though they are molten inside, so stir before "
                "you judge, and make the setting test.",
            )
        )
    if not job.glossy and job.method in PART_MELTS:
        found.append(
            Warning_(
                "stock-not-glossy",
                "Stock that was bloomed or kept warm has no crystals worth saving: melt it fully and seed it.",
            )
        )
    if job.stock in ("block", "set-bowl") and job.method in PART_MELTS:
        found.append(
            Warning_(
                "coarse-stock",
                "Large pieces soften slowly: chop to the size of buttons, and stir longer before another burst.",
            )
        )
    return found


def _sources(job: BowlJob, chocolate: Chocolate) -> tuple[str, ...]:
    shared = [
        "crystals.sfc.medium", "crystals.sfc.tail_spread", "crystals.milk_fat_shift", "crystals.heat.v", "crystals.cp",
    ]  # fmt: skip
    oven = ["oven.start_delay", "oven.drift", "oven.load.ratio", "bowl.unevenness", "bowl.beta"]
    own = ["bowl.lump", "bowl.lost", "bowl.stop.left", "bowl.limit.left", "flow.kappa", "film.paper.loss"]
    last = ["oven.measured_share" if job.oven_measured_w else "oven.label_share"]
    if job.method != "microwave":
        oven, last = [], []
    return tuple(dict.fromkeys([*chocolate.sources, *shared, *oven, *own, *last]))
