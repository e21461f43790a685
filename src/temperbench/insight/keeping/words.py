"""The sentences of keeping: title, what to do at a look, rules, when to stop, alarms, cautions, warnings, defaults."""

from __future__ import annotations

from temperbench.foundation.evidence import array, number
from temperbench.insight.keeping.ask import KeepAsk
from temperbench.insight.keeping.run import Look
from temperbench.insight.keeping.table import KeepTable
from temperbench.insight.plan import Warning_
from temperbench.insight.setup_job import Known
from temperbench.insight.telling import Telling
from temperbench.insight.temperatures import Temperatures
from temperbench.matter.materials import ALLERGENS

__all__ = [
    "WARM_WORDS", "alarm_texts", "cautions_of", "defaults_of", "done", "keep_title", "rules_of", "stop_rules_of",
    "warnings_of",
]  # fmt: skip

WARM_WORDS = {
    "microwave": "a short burst in the microwave oven", "heat-gun": "a heat gun over the stirred bowl",
    "bath": "a warm bath", "none": "warm chocolate only",
}  # fmt: skip
_HOW = {
    "microwave": "Burst {:.0f} s", "heat-gun": "Heat gun {:.0f} s, stirring",
    "bath": "Over the bath {:.0f} s, stirring",
}  # fmt: skip


def keep_title(ask: KeepAsk, known: Known) -> str:
    """Return the heading of the plan."""
    used = f", {ask.leaves_g_h:.0f} g/h used" if ask.leaves_g_h > 0.0 else ""
    return (
        f"Keeping {ask.job.grams:.0f} g {ask.job.chocolate} chocolate in temper, {known.bowl.material} bowl, "
        f"{WARM_WORDS[ask.warm_with]}{used}"
    )


def done(look: Look, ask: KeepAsk) -> str:
    """Say what the first bowl of a look asks for."""
    first_s, warm_s, add_g = (float(values[0]) for values in (look.first_s, look.warm_s, look.add_g))
    parts = []
    if add_g > 0.0:
        what = "in-temper" if ask.refill == "in-temper" else "melted"
        parts.append(f"Stir in {add_g:.0f} g {what} chocolate at {ask.refill_c:.0f} °C")
    if warm_s > 0.0:
        more = f", stir, then {warm_s - first_s:.0f} s more" if warm_s > first_s else ""
        parts.append(_HOW[ask.warm_with].format(first_s) + more)
    if not parts:
        return "Thick: stir, and use it up" if look.thick[0] else "Stir"
    return ", then ".join([parts[0], *(part[0].lower() + part[1:] for part in parts[1:])]) + ", stir"


def rules_of(ask: KeepAsk, at: Temperatures, table: KeepTable, say: Telling) -> tuple[str, ...]:
    """Return what goes with the table."""
    found = [
        f"Stir first, then {say.either('read, then judge', 'look')} how it runs off the spatula.",
        f"Flows with ease: back to {table.kept_c:.1f} °C. Thick: to {table.thin_c:.1f} °C. Never above "
        f"{at.stop_c:.1f} °C, stirred.",
        f"After every correction stir {number('keep.stir'):.0f} s and {say.read} again.",
    ]
    if ask.warm_with in ("heat-gun", "bath") and say.reads:
        early = f", {table.early_c:.1f} °C sooner for what the wall still gives" if table.early_c >= 0.1 else ""
        found.append(f"Leave the thermometer in while you warm, and stop at the aim{early}: the seconds are a guide.")
    elif ask.warm_with != "none":
        found.append("Still in a row that warms after that stir: its seconds once more, not longer than before.")
    if ask.refill_g > 0.0 and ask.refill == "melted":
        most = 100.0 * number("keep.most_added")
        found.append(
            f"Warm melted chocolate before heat: it warms, thins and refills at once; at most {most:.0f} % of what is "
            f"in the bowl at a time, as far as there is room, stirred in until even, never past {table.most_c:.1f} °C."
        )
        step = 10.0 * round(0.1 * number("keep.refill_step") * ask.job.grams)
        found.append(f"Flows with ease and {step:.0f} g or more are missing: top it up with it before you warm.")
        found.append("After a larger addition make a setting test before the next tray.")
    return tuple(found)


def stop_rules_of(ask: KeepAsk, at: Temperatures, table: KeepTable, say: Telling) -> tuple[str, ...]:
    """Say when to give a bowl up."""
    thinned = " and thinned" if ask.refill_g > 0.0 and ask.refill == "melted" else ""
    low = array(f"keep.clear_c.{ask.job.chocolate}")[0]
    hot = say.either(f"Reads above {at.limit_c:.1f} °C after stirring",
                     f"Thin and not cool at the lip after stirring, above {at.limit_c:.1f} °C")  # fmt: skip
    return (
        f"Still thick at two looks in a row although it was warmed to {table.thin_c:.1f} °C{thinned}: stop. Use it "
        f"where temper does not matter, or melt it to {low:.0f} °C and temper it anew.",
        f"{hot}, or a smear that does not set in time: its crystals are gone. "
        "Rescue it with in-temper buttons, or melt and temper anew.",
        "Lumps or grains that do not stir out at the top of the table: melt it fully, do not strain and go on.",
    )


def alarm_texts(every_min: float, ask: KeepAsk, say: Telling) -> dict[str, str]:
    """Return the text of each kind of alarm."""
    refill = "in-temper" if ask.refill == "in-temper" else "melted"
    looks = say.either("read, judge", "look how it flows")
    return {
        "look": f"Look at the bowl every {every_min:.0f} min: stir, {looks}, and do what the table says.",
        "thick": "Left alone, it is getting too thick for one bowl in four: look now.",
        "cold": "Left alone, it is getting too cold for one bowl in four, and unstable crystals form: look now.",
        "refill": f"Have {refill} chocolate ready at {ask.refill_c:.0f} °C: now {{:.0f}} g, in all {{}} times and "
        "{:.0f} g.",
        "used up": "Bowl and refill are used up: what clings to the bowl cools at once.",
        "stop": "By now half of the bowls can no longer be kept: finish, or temper anew.",
    }


def cautions_of(ask: KeepAsk, say: Telling) -> tuple[str, ...]:
    """Return the safety lines."""
    own = {
        "microwave": f"Hot spots are hotter than {say.either('the bowl reads', 'the rest')}: stir before touching or "
        "tasting. No metal in the oven.",
        "heat-gun": "A heat gun burns skin, scorches chocolate and softens plastic bowls: keep it moving, a hand's "
        "breadth away, and stir all the time. Nothing that burns nearby.",
        "bath": "Water and steam seize chocolate, and steam burns: wipe the bowl's foot before you pour, and lift it "
        "away from you.",
        "none": "Chocolate at 40 °C and more burns no skin at once but a hot pan does: hold pots by a dry cloth.",
    }
    mass = ALLERGENS.get(ask.job.chocolate)
    return (
        own[ask.warm_with],
        "What comes back from moulds and pieces can carry crumbs, nuts or milk from them: keep bowls apart per "
        "allergen, and do not return what touched hands.",
        "Keep water away. Melting does not make unsafe chocolate safe. Local food rules come first.",
        *(() if mass is None else (mass,)),
    )


def warnings_of(ask: KeepAsk, known: Known, at: Temperatures, minutes: float, workable: float) -> tuple[Warning_, ...]:
    """Say what speaks against the plan."""
    found = []
    if workable < number("keep.sure"):
        found.append(
            Warning_(
                "not-kept",
                f"Only {100 * workable:.0f} of 100 bowls like this are still workable after {minutes:.0f} min: work "
                "faster, keep a smaller bowl, or have warm melted chocolate ready to thin it with.",
            )
        )
    if ask.refill == "melted" and ask.refill_g > 0.0 and ask.refill_c is not None and ask.refill_c <= at.stop_c:
        found.append(
            Warning_(
                "cool-refill",
                f"Melted chocolate at {ask.refill_c:.1f} °C thins but does not warm; it is added as far as there is "
                "room, and the bowl must be warmed besides.",
            )
        )
    if known.thermometer.kind == "infrared":
        found.append(
            Warning_("infrared-keeping", "An infrared thermometer reads a skin that has cooled: half a degree decides "
                     "here, so check it against a probe once an hour.")
        )  # fmt: skip
    return tuple(found)


def defaults_of(ask: KeepAsk, full: KeepAsk, say: Telling) -> tuple[str, ...]:
    """Return in plain words what was taken as usual."""
    found = []
    if ask.at_c is None:
        found.append(f"It {say.either('reads', 'is at about')} {full.at_c:.1f} °C now, the top of its working window.")
    if full.returns_share > 0.0 and ask.returns_c is None:
        found.append(f"What comes back: {full.returns_c:.0f} °C.")
    if full.refill_g > 0.0 and ask.refill_c is None:
        found.append(f"Chocolate to add: {full.refill_c:.0f} °C.")
    if full.warm_with == "heat-gun" and ask.gun_w is None:
        found.append(f"Heat gun: {full.gun_w:.0f} W, of which about {100 * number('keep.gun_share'):.0f} % go in.")
    if full.warm_with == "bath" and ask.bath_c is None:
        found.append(f"Bath: {full.bath_c:.0f} °C.")
    return tuple(found)
