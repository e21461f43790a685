"""Every question a job can answer, in one table: its place in a job file, its option, its kind, its limits.

The check, the job file and the command line all read this table, so that they cannot come to differ.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from temperbench.insight.job import METHODS, SEEDS, SLABS
from temperbench.matter.pack import KINDS

__all__ = ["FIELDS", "JobField", "RawJob", "field_of"]


@dataclass(frozen=True)
class JobField:
    """One question: where it is asked and what kind of answer it takes."""

    key: str  # attribute of BowlJob
    section: str  # of the job file
    name: str  # within the section
    option: str  # of the command line
    kind: str  # word, switch, grams, celsius, watts, litres, percent, share, millimetres, area or people
    help: str
    words: tuple[str, ...] = ()  # for a word: what it may be
    limit: str = ""  # for a number: the row with its lowest and highest figure
    example: str = ""

    @property
    def file_place(self) -> str:
        """Name of the field as a job file writes it."""
        return f"[{self.section}] {self.name}"


@dataclass(frozen=True)
class RawJob:
    """What a person gave, unchecked, by the attribute of BowlJob; and how they wrote each field's name."""

    values: Mapping[str, object] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)

    def place(self, key: str) -> str:
        """Return the name of a field as the person wrote it, or as an option when it was not given.

        Parameters
        ----------
        key : str
            Attribute of BowlJob. [-]

        Returns
        -------
        str
            Name for a message. [-]
        """
        known = _BY_KEY.get(key)
        return self.places.get(key, known.option if known else key)

    def overlaid(self, top: RawJob) -> RawJob:
        """Return this job with everything that ``top`` gives in place of what stands here.

        Parameters
        ----------
        top : RawJob
            What wins, such as the options over the file. [-]

        Returns
        -------
        RawJob
            The two together. [-]
        """
        return RawJob({**self.values, **top.values}, {**self.places, **top.places})


FIELDS: tuple[JobField, ...] = (
    JobField("chocolate", "chocolate", "kind", "--chocolate", "word",
             "Kind of chocolate: dark, milk, white; or gianduja, praline, plant-milk, caramelised, coloured-butter.",
             KINDS, example="dark"),
    JobField("cocoa_pct", "chocolate", "cocoa", "--cocoa", "percent",
             "Cocoa on the pack, % of the chocolate.", limit="limit.percent", example="54"),
    JobField("fat_pct", "chocolate", "fat", "--fat", "percent",
             "Total fat on the nutrition panel, % of the chocolate.", limit="limit.percent", example="36"),
    JobField("milk_fat_pct", "chocolate", "milk_fat", "--milk-fat", "percent",
             "Milk fat, % of the chocolate, if the maker states it.", limit="limit.percent", example="6"),
    JobField("sugars_pct", "chocolate", "sugars", "--sugars", "percent",
             "Sugars on the nutrition panel, % of the chocolate.", limit="limit.percent", example="45"),
    JobField("nut_pct", "chocolate", "nuts", "--nuts", "percent",
             "Nuts in gianduja or praline, % of the whole.", limit="limit.percent", example="30"),
    JobField("butter", "chocolate", "butter", "--butter", "word",
             "How hard its cocoa butter is, if known.", ("soft", "medium", "hard"), example="medium"),
    JobField("grams", "bowl", "grams", "--grams", "grams",
             "Chocolate in the bowl: 1000, 1.2 kg or 2 lb.",
             limit="limit.grams", example="1000"),
    JobField("start_c", "bowl", "start_c", "--start-c", "celsius",
             "Chocolate before the first burst, °C, or such as 68 F.", limit="limit.start_c", example="20"),
    JobField("stock", "bowl", "stock", "--stock", "word", "What is in the bowl at the start.",
             ("buttons", "block", "set-bowl", "part-melted", "melted"), example="buttons"),
    JobField("glossy", "bowl", "glossy", "--bloomed", "switch",
             "The stock has bloomed or been soft: no crystals to keep.", example="true"),
    JobField("bowl", "bowl", "material", "--bowl", "word",
             "What the bowl is made of: plastic, polycarbonate, silicone, glass, borosilicate, stoneware; steel too, "
             "but never in the microwave oven.",
             ("plastic", "polycarbonate", "silicone", "glass", "borosilicate", "stoneware", "steel"),
             example="plastic"),
    JobField("bowl_g", "bowl", "mass_g", "--bowl-grams", "grams",
             "Weight of the empty bowl: 250 or 1.8 kg.", limit="limit.bowl_g", example="250"),
    JobField("bowl_l", "bowl", "litres", "--bowl-litres", "litres",
             "What the bowl holds to the brim, litres.", limit="limit.bowl_l", example="3"),
    JobField("bowl_c", "bowl", "temperature_c", "--bowl-c", "celsius",
             "The empty bowl, °C; the room's when not given.", limit="limit.bowl_c", example="20"),
    JobField("oven_w", "oven", "label_w", "--oven", "watts",
             "Microwave output on the oven's label, W.",
             limit="limit.oven_w", example="1000"),
    JobField("oven_measured_w", "oven", "measured_w", "--watts-measured", "watts",
             "Output measured with 1000 g of water, W.", limit="limit.oven_measured_w", example="850"),
    JobField("oven_inverter", "oven", "inverter", "--inverter", "switch",
             "Whether the oven lowers its power evenly or by switching.", example="false"),
    JobField("level", "oven", "level", "--level", "share",
             "Power level as a share of full: 0.5 or 50 %.", limit="limit.level", example="1.0"),
    JobField("warm_oven", "oven", "warm", "--warm-oven", "switch",
             "The oven is hot from earlier bowls.", example="false"),
    JobField("method", "method", "name", "--method", "word",
             "How to temper.", METHODS, example="microwave"),
    JobField("melt_c", "method", "melt_c", "--melt-c", "celsius",
             "Full melt before seeding, tabling or cold stirring, °C.", limit="limit.melt_c", example="45"),
    JobField("seed_with", "method", "seed", "--seed-with", "word",
             "What to seed with.", SEEDS, example="buttons"),
    JobField("seed_c", "method", "seed_c", "--seed-c", "celsius",
             "The seed when it goes in, °C.", limit="limit.seed_c", example="20"),
    JobField("people", "method", "people", "--people", "people",
             "People at work on the bowl.", limit="limit.people", example="1"),
    JobField("bath_c", "bath", "temperature_c", "--bath-c", "celsius",
             "Water under the bowl, °C: warm for a part-melt, cold for cold-bowl stirring.",
             limit="limit.bath_c", example="45"),
    JobField("bath_l", "bath", "litres", "--bath-litres", "litres",
             "Water in the bath, litres.", limit="limit.bath_l", example="2"),
    JobField("cabinet_c", "cabinet", "temperature_c", "--cabinet-c", "celsius",
             "Warm cabinet, °C.", limit="limit.cabinet_c", example="33"),
    JobField("slab", "slab", "material", "--slab", "word",
             "What the slab is made of.", SLABS, example="marble"),
    JobField("slab_mm", "slab", "thickness_mm", "--slab-mm", "millimetres",
             "Thickness of the slab, mm.", limit="limit.slab_mm", example="20"),
    JobField("slab_c", "slab", "temperature_c", "--slab-c", "celsius",
             "The slab at the start, °C; the room's when not given.", limit="limit.slab_c", example="20"),
    JobField("slab_m2", "slab", "area_m2", "--slab-m2", "area",
             "Free area of the slab, m².", limit="limit.slab_m2", example="0.4"),
    JobField("kettle_w", "kettle", "watts", "--kettle-watts", "watts",
             "Heating power of the kettle, W.", limit="limit.kettle_w", example="500"),
    JobField("kettle_l", "kettle", "litres", "--kettle-litres", "litres",
             "What the kettle holds, litres.", limit="limit.kettle_l", example="6"),
    JobField("kettle_wall_c", "kettle", "wall_c", "--kettle-wall-c", "celsius",
             "The hottest its wall is let become, °C.", limit="limit.kettle_wall_c", example="50"),
    JobField("kettle_stirs", "kettle", "stirs", "--stirrer", "switch",
             "Whether a stirrer turns in the kettle.", example="true"),
    JobField("room_c", "kitchen", "room_c", "--room", "celsius",
             "Temperature of the room, °C.", limit="limit.room_c", example="20"),
    JobField("thermometer", "kitchen", "thermometer", "--thermometer", "word",
             "What reads the bowl after each stir.", ("probe", "infrared", "none"), example="probe"),
    JobField("risk", "kitchen", "risk", "--risk", "share",
             "Chance you accept of a lost temper, and of a scorch.",
             limit="limit.risk", example="0.05"),
    JobField("risk_scorch", "kitchen", "risk_scorch", "--risk-scorch", "share",
             "Chance of scorching where it differs.", limit="limit.risk", example="0.05"),
    JobField("page", "kitchen", "page", "--page", "word", "Paper of the card.", ("A4", "Letter"), example="A4"),
)  # fmt: skip

_BY_KEY = {entry.key: entry for entry in FIELDS}


def field_of(key: str) -> JobField:
    """Return the row of the table for an attribute of BowlJob.

    Parameters
    ----------
    key : str
        Attribute of BowlJob. [-]

    Returns
    -------
    JobField
        Its row. [-]
    """
    return _BY_KEY[key]
