"""Sentences that plans of several methods share: cautions, washing-up, what a plan holds for, common faults."""

from __future__ import annotations

from temperbench.insight.methods.method_plan import Fault
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.matter.materials import ALLERGENS

__all__ = ["cautions", "common_faults", "holds_for", "washing_up"]

_STEAM = (
    "Hot water and steam burn: water below the boil, lift the bowl away from you, dry its foot at once. A drop of "
    "water makes chocolate seize."
)
_OVEN = "Stay with the oven and follow its manual. No metal, no gold rim; never run it empty."
_UNSAFE = "Keep water and steam away from the bowl. Melting does not make unsafe chocolate safe."
_ALLERGENS = "Milk, nuts, soya: one bowl, spatula and slab per allergen. Local food rules come first."
_SLAB = (
    "Slab: food-safe, clean and bone dry, above the dew point of the room; scraper edges cut, so push away from "
    "the hand."
)
_COLD = "Cold or ice water: keep it well below the rim and dry the bowl before you pour."
_KETTLE = "Kettle: follow its manual, keep hands off a turning stirrer, switch it off before you reach in."
_CABINET = "Cabinet: food only, clean, covered bowls; check its air with a thermometer of your own."


def cautions(known: Known, melted_by: str = "") -> tuple[str, ...]:
    """Return the safety lines of a plan; ``melted_by`` is the source of heat of its full melt, if it has one."""
    method = known.job.method
    rest = known.say.either("the reading", "the rest")
    found = [f"Hot bowl: dry cloth or gloves; stir before touching, since parts can be hotter than {rest}."]
    found += [_STEAM] if "bath" in (method, melted_by) else [_UNSAFE]
    found += [_OVEN] if melted_by == "oven" else []
    found += [_CABINET] if "cabinet" in (method, melted_by) else []
    found += {"tabling": [_SLAB], "cold-bowl": [_COLD], "kettle": [_KETTLE]}.get(method, [])
    found += [_COLD] if method == "seed" and "butter" in known.job.seed_with else []
    own = ALLERGENS.get(known.job.chocolate)
    return (*found, _ALLERGENS, *(() if own is None else (own,)))


_TOOLS = {
    "microwave": ("bowl", "spatula"), "bath": ("bowl", "spatula"), "cabinet": ("bowl", "spatula"),
    "seed": ("bowl", "spatula"), "tabling": ("bowl", "spatula", "slab", "scraper and palette knife"),
    "cold-bowl": ("bowl", "spatula", "basin of the cold bath"), "kettle": ("kettle", "stirrer", "spatula"),
}  # fmt: skip


def washing_up(known: Known, melted_by: str = "", *more: str) -> tuple[str, ...]:
    """Return what has to be cleaned afterwards."""
    method = known.job.method
    pot = ("pot of the bath",) if "bath" in (method, melted_by) else ()
    reads = ("thermometer",) if known.say.reads else ()
    return tuple(dict.fromkeys((*_TOOLS[method], *pot, *more, *reads)))


def holds_for(known: Known, *more: str) -> tuple[str, ...]:
    """Return the conditions a plan holds for."""
    job, bowl = known.job, known.bowl
    return (
        f"{job.grams:.0f} g {known.chocolate.name} in all",
        f"store {known.start_c.mid:.0f} °C, room {known.room_c.mid:.0f} °C",
        f"{bowl.material} bowl of about {bowl.mass_g.mid:.0f} g and {bowl.litres.mid:.1f} L",
        *more,
        *known.holds,
    )


def common_faults(at: Temperatures, say: Telling) -> tuple[Fault, ...]:
    """Return what can be seen of any bowl that is said to be in temper."""
    work = f"{at.work_from_c:.0f} to {at.work_to_c:.0f} °C"
    return (
        Fault("the smear does not set in time", "too few crystals",
              "stir in a few in-temper buttons, stir them out, test again"),
        Fault("the smear sets with streaks or grey lines", "crystals not stirred in evenly, or still too warm",
              f"stir two minutes more at {work}, test again"),
        Fault("thick soon, sets at the spatula", "too many crystals, or too cold",
              f"warm by 0.5 to 1 °C at a time, never above {at.limit_c:.1f} °C"),
        Fault(say.reads_above(at.limit_c), "the crystals are going",
              "stop all heat, stir in in-temper buttons; a rescue plan tells how many"),
        Fault("grainy, stiff, a dull paste", "water or steam got in",
              "it will not come back: keep it for ganache or baking"),
    )  # fmt: skip
