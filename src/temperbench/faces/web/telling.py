"""What happened, and what is known of a thing, in a few plain words."""

from __future__ import annotations

from collections.abc import Mapping

from temperbench.app.results import Happening

__all__ = ["facts_line", "happened"]

_PLAIN = {"finished": "Finished", "undo": "Undid a tap", "corrected": "Corrected a tap"}
_SEEDS = {"block": " in one block", "butter-crystals": " of cocoa-butter crystals",
          "ripened-butter": " of creamy cocoa butter", "melted": " melted"}  # fmt: skip
_UNITS = {"oven_w": "W on the label", "oven_measured_w": "W measured", "bowl_g": "g empty", "bowl_l": "L"}
_PACK = {"cocoa_pct": "cocoa", "fat_pct": "fat", "milk_fat_pct": "milk fat", "sugars_pct": "sugars"}


def happened(what: Happening) -> str:
    """Say what happened.

    Parameters
    ----------
    what : Happening
        As the cook pressed it. [-]

    Returns
    -------
    str
        Such as "Burst 12 s" or "Read 31.4 °C". [-]
    """
    seconds, grams = f"{what.seconds or 0:.0f} s", f"{what.grams or 0:.0f} g"
    heat = f"{what.celsius:.1f} °C" if what.celsius is not None else ""
    told = {
        "burst": f"Burst {seconds}",
        "stir": f"Stirred {seconds}",
        "stand": f"Stood {seconds}",
        "reading": f"Read {heat}",
        "lumps": f"Lumps: {what.level}",
        "flow": f"Flows {what.level}" if what.level == "with ease" else f"Flow: {what.level}",
        "added": f"Stirred in {grams}{_SEEDS.get(what.seed or '', '')}"
        + (f" {what.material}" if what.material else "")
        + (f" at {heat}" if heat else ""),
        "moved": f"Moved to another bowl ({what.material or 'not said'})",
        "taken": f"Took {grams}",
        "block out": "Took the block out",
        "melted": f"Melted fully, {heat}",
        "bath": f"{seconds} over water" + (f" of {heat}" if heat else ""),
        "cabinet": f"{(what.seconds or 0) / 60:.0f} min in the cabinet" + (f" at {heat}" if heat else ""),
        "kettle": f"{(what.seconds or 0) / 60:.0f} min in the kettle" + (f" at {heat}" if heat else ""),
        "tabled": f"{grams} on the slab" + (f" down to {heat}" if heat else ""),
        "test": f"Setting test: set in {what.minutes:.1f} min, {what.look}"
        if what.minutes is not None
        else "Setting test: not set" + (f" after {what.seconds / 60.0:.1f} min" if what.seconds else ""),
        **_PLAIN,
    }
    return told.get(what.kind, what.kind)


def facts_line(facts: Mapping[str, object]) -> str:
    """Say what is known of a thing of the kit or a lot of the larder.

    Parameters
    ----------
    facts : Mapping[str, object]
        By the keys of a job. [-]

    Returns
    -------
    str
        Such as "dark, 58 % cocoa, 37.5 % fat". [-]
    """
    found = [str(facts[key]) for key in ("chocolate", "bowl", "thermometer") if facts.get(key)]
    found += [f"{_figure(facts[key])} % {word}" for key, word in _PACK.items() if facts.get(key)]
    found += [f"{_figure(facts[key])} {unit}" for key, unit in _UNITS.items() if facts.get(key)]
    if facts.get("oven_inverter"):
        found.append("inverter")
    return ", ".join(found)


def _figure(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else str(value)
