"""The sentences of a plan: title, what the bowl looks like, cautions, what the card holds for."""

from __future__ import annotations

from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import METHOD_WORDS, Known
from temperbench.insight.telling import Telling
from temperbench.matter.materials import ALLERGENS

__all__ = ["cautions", "holds_for", "in_bowls", "looks", "rules", "stir_first", "stop_by_look", "title"]

_STOCK = {
    "buttons": "in-temper buttons", "block": "chopped in-temper block", "set-bowl": "a bowl that set in temper",
    "part-melted": "a part-melted bowl", "melted": "a melted bowl",
}  # fmt: skip
_LOOKS = (
    (0.40, "mostly whole"),
    (0.25, "half melted, firm"),
    (0.14, "thick, soft lumps"),
    (0.08, "flows, few lumps"),
    (0.0, "last lumps going"),
)


def title(job: BowlJob, known: Known) -> str:
    """Return the heading of the plan."""
    if job.method != "microwave":
        bowl = "" if job.method == "kettle" else f", {known.bowl.material} bowl"
        return f"{job.grams:.0f} g {known.chocolate.name}, {METHOD_WORDS[job.method]}{bowl}"
    watts = f"{job.oven_measured_w:.0f} W (measured)" if job.oven_measured_w else f"{job.oven_w:.0f} W"
    return f"{job.grams:.0f} g {known.chocolate.name}, {watts} oven, {known.bowl.material} bowl"


def in_bowls(share: float) -> str:
    """Return a share of the bowls tried as it is said, never as a certainty: some hundreds of them are no proof."""
    if share >= 0.995:
        return "nearly all bowls"
    return "hardly any bowls" if share <= 0.005 else f"{100.0 * share:.0f} of 100 bowls"


def looks(solid: float) -> str:
    """Say how a stirred bowl looks with this solid share of its fat."""
    return next(text for least, text in _LOOKS if solid >= least)


def stop_by_look(say: Telling) -> str:
    """Return when a part-melt is done, whatever else is found."""
    return f"No lump left and it flows with ease: stop{say.either(', whatever it reads', '')}."


def stir_first(say: Telling) -> str:
    """Return why a part-melt is stirred before it is judged."""
    return f"Stir first, then {say.read}: buttons can look whole though they are molten inside."


def rules(say: Telling) -> tuple[str, ...]:
    """Return when to stop a part-melt in the oven, and what overrides its table."""
    return stop_by_look(say), "Never a longer burst than the one before.", stir_first(say)


def cautions(job: BowlJob) -> tuple[str, ...]:
    """Return the safety lines of the card."""
    own = ALLERGENS.get(job.chocolate)
    return (
        "Hot bowl and hot spots: chocolate can be over 50 °C where it looks solid. Dry cloth or gloves; "
        "stir before touching.",
        "Stay with the oven and follow its manual. No metal, no gold rim; never run it empty.",
        "Keep water and steam away from the bowl. Melting does not make unsafe chocolate safe.",
        "Milk, nuts, soya: one bowl and spatula per allergen. Local food rules come first.",
        *(() if own is None else (own,)),
    )


def holds_for(job: BowlJob, known: Known) -> tuple[str, ...]:
    """Return the conditions the card holds for."""
    bowl = known.bowl
    oven = "hot from earlier bowls" if job.warm_oven else "cold"
    level = "full power" if job.level >= 1.0 else f"{100 * job.level:.0f} % power"
    return (
        f"{job.grams:.0f} g {job.chocolate}, {_STOCK[job.stock]} at {known.start_c.mid:.0f} °C, glossy and never "
        "softened",
        f"{bowl.material} bowl of about {bowl.mass_g.mid:.0f} g and {bowl.litres.mid:.1f} L, "
        f"at {bowl.start_c.mid:.0f} °C",
        f"oven {oven}, {level}, turntable on; room {known.room_c.mid:.0f} °C",
        *known.holds,
    )
