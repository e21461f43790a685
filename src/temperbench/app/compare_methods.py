"""Use case: which method suits an amount, a chocolate, the kit at hand, time, skill and people."""

from __future__ import annotations

from collections.abc import Callable

from temperbench.app.check_job import check_job, own_names
from temperbench.app.compare_fields import read_compare
from temperbench.app.figures_json import band_json
from temperbench.app.job_fields import RawJob
from temperbench.app.plan_json import FORMAT
from temperbench.insight.methods.compare import Comparison, MethodRow, compare

__all__ = ["compare_methods", "comparison_json"]


def compare_methods(
    raw: RawJob, asked: RawJob, *, members: int | None = None, seed: int = 1,
    progress: Callable[[str], None] | None = None,
) -> Comparison:  # fmt: skip
    """Return all methods side by side.

    Parameters
    ----------
    raw : RawJob
        What the person gave of the job, unchecked; its method makes no difference. [-]
    asked : RawJob
        What the person gave of `COMPARE_FIELDS`: kit, time, skill. [-]
    members : int | None
        Bowls of each method; from the table when None. [-]
    seed : int
        Start of the random numbers. [-]
    progress : Callable[[str], None] | None
        Told in words what takes long, once per method. [-]

    Returns
    -------
    Comparison
        Rows, the advised one first, with the reason. [-]
    """
    job = check_job(raw, "compare")
    have, minutes, skill = read_compare(asked)
    with own_names(raw):
        return compare(job, have=have, minutes=minutes, skill=skill, members=members, seed=seed, progress=progress)


def comparison_json(found: Comparison) -> dict[str, object]:
    """Return a comparison as plain dictionaries, lists, numbers and text.

    Parameters
    ----------
    found : Comparison
        A comparison. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "title": found.title,
        "best": found.best,
        "reason": found.reason,
        "methods": [_row(row) for row in found.rows],
        "notes": list(found.notes),
        "warnings": [{"code": warning.code, "text": warning.text} for warning in found.warnings],
        "members": found.members,
    }


def _row(row: MethodRow) -> dict[str, object]:
    return {
        "name": row.name,
        "method": row.method,
        "seed_with": row.seed_with,
        "why_not": row.why_not,
        "total_min": None if row.total_min is None else band_json(row.total_min),
        "hands_on_min": None if row.hands_on_min is None else band_json(row.hands_on_min),
        "risk_lost": None if row.risk_lost is None else round(row.risk_lost, 3),
        "risk_scorch": None if row.risk_scorch is None else round(row.risk_scorch, 3),
        "keeps_risks": row.keeps_risks,
        "crystals_pct_of_fat": None if row.crystals_pct_of_fat is None else band_json(row.crystals_pct_of_fat),
        "seed_g": row.seed_g,
        "skill": row.skill,
        "least_g": round(row.least_g),
        "most_g": round(row.most_g),
        "washing_up": list(row.washing_up),
        "reason": row.reason,
    }
