"""Every question about keeping a bowl in temper, in one table; what it shares with a plan stands in `job_fields`."""

from __future__ import annotations

from temperbench.app.job_fields import JobField
from temperbench.insight.keeping.ask import HEATERS, REFILLS, TEMPERED

__all__ = ["CLEAR_FIELDS", "FLOW_WORDS", "KEEP_FIELDS"]

FLOW_WORDS = {"easy": "with ease", "thick": "thick", "hardly": "hardly"}

KEEP_FIELDS: tuple[JobField, ...] = (
    JobField("minutes", "keep", "minutes", "--for", "minutes",
             "How long the bowl is wanted: 90, 90 min or 2 h.", limit="limit.keep_minutes", example="2h"),
    JobField("at_c", "keep", "at_c", "--at", "celsius",
             "What the stirred bowl reads now, °C; the top of its working window when not given.",
             limit="limit.keep_at_c", example="31.5"),
    JobField("flows", "keep", "flows", "--flows", "word", "How it runs off the spatula now.",
             tuple(FLOW_WORDS), example="easy"),
    JobField("tempered", "keep", "tempered", "--tempered", "word",
             "How it came into temper; by the method of the job when not given.", TEMPERED, example="seeded"),
    JobField("every_min", "keep", "every_min", "--every", "minutes",
             "Minutes between two looks at it; planned when not given.", limit="limit.keep_every_min", example="10"),
    JobField("warm_with", "keep", "warm_with", "--warm-with", "word",
             "What it is warmed with.", HEATERS, example="microwave"),
    JobField("gun_w", "keep", "gun_w", "--gun-watts", "watts",
             "Power on the heat gun's label, W.", limit="limit.keep_gun_w", example="1500"),
    JobField("leaves_g_h", "keep", "uses", "--uses", "rate",
             "Chocolate used an hour: 500, 500 g/h or 1.5 kg/h.", limit="limit.keep_leaves_g_h", example="500"),
    JobField("returns_share", "keep", "returns", "--returns", "share",
             "Share of it that comes back, from drips and tapped moulds.", limit="limit.keep_returns", example="30 %"),
    JobField("returns_c", "keep", "returns_c", "--returns-c", "celsius",
             "What comes back, °C.", limit="limit.keep_returns_c", example="28"),
    JobField("refill_g", "keep", "refill", "--refill", "grams",
             "Chocolate at hand to thin and refill with.", limit="limit.keep_refill_g", example="1000"),
    JobField("refill_c", "keep", "refill_c", "--refill-c", "celsius",
             "That chocolate, °C.", limit="limit.keep_refill_c", example="42"),
    JobField("refill", "keep", "refill_with", "--refill-with", "word",
             "Whether it is melted without temper, or in temper itself.", REFILLS, example="melted"),
)  # fmt: skip

CLEAR_FIELDS: tuple[JobField, ...] = (
    JobField("clear_c", "clear", "at_c", "--at", "celsius",
             "What it was held at, stirred, °C.", limit="limit.clear_c", example="45"),
    JobField("clear_min", "clear", "minutes", "--for", "minutes",
             "How long it was held there.", limit="limit.clear_min", example="10"),
)  # fmt: skip
