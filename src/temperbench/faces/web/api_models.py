"""What the REST interface takes in, checked before the kitchen hears of it. All temperatures in °C, masses in g."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.app.results import Happening

__all__ = ["Answers", "Away", "Keep", "Problem", "See", "Start", "Tap", "raw_job"]

_Key = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_.:-]{4,64}$")]
_PLAIN = r"^[^\x00-\x1f\x7f]*$"
_Word = Annotated[str, StringConstraints(min_length=1, max_length=80, strip_whitespace=True, pattern=_PLAIN)]
_Instant = Annotated[int, Field(ge=1_000_000_000_000, le=9_999_999_999_999, description="UTC, ms")]
_Seconds = Annotated[float, Field(ge=0, le=36000, allow_inf_nan=False, description="s")]
_Heat = Annotated[float, Field(ge=-50, le=200, allow_inf_nan=False, description="°C")]
_Mass = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False, description="g")]
_Minutes = Annotated[float, Field(ge=0, le=240, allow_inf_nan=False, description="min")]
_Answer = Annotated[str, StringConstraints(max_length=80, pattern=_PLAIN)] | bool | float
Answers = Annotated[dict[Annotated[str, StringConstraints(max_length=40)], _Answer | None], Field(max_length=40)]
_PLACES = {f.key: f.name.replace("_", " ") for f in FIELDS}


class _Strict(BaseModel):
    """Refuses what it does not know."""

    model_config = ConfigDict(extra="forbid")


class Tap(_Strict):
    """One thing that happened, as it was pressed. The same id twice is one happening."""

    id: _Key
    kind: Literal[
        "burst", "stir", "stand", "reading", "lumps", "flow", "added", "moved", "test", "taken", "finished", "undo",
        "corrected", "block out", "melted", "bath", "cabinet", "kettle", "tabled",
    ]  # fmt: skip
    pressed_ms: _Instant
    seconds: _Seconds | None = None
    celsius: _Heat | None = None
    grams: _Mass | None = None
    minutes: _Minutes | None = None
    level: Literal["many", "some", "few", "none", "with ease", "thick", "hardly", "left", "scraping"] | None = None
    seed: Literal["buttons", "block", "butter-crystals", "ripened-butter", "melted"] | None = None
    thermometer: _Word | None = None
    look: Literal["sheen", "dull", "lines", "soft"] | None = None
    film: _Word | None = None
    material: _Word | None = None
    of: _Key | None = None

    def happening(self) -> Happening:
        """Return it as the kitchen takes it."""
        return Happening(**self.model_dump())


class Start(_Strict):
    """A bowl to begin: the answers of a job by their keys, and which things of the kit it uses."""

    id: _Key | None = None
    title: _Word | None = None
    pressed_ms: _Instant | None = None
    job: Answers
    things: Annotated[dict[Literal["oven", "bowl", "thermometer", "lot"], _Key], Field(max_length=4)] = {}


class Keep(_Strict):
    """A thing of the kit or a lot of the larder: what this kitchen calls it and what is known of it."""

    id: _Key | None = None
    name: _Word
    facts: Answers


class Away(_Strict):
    """A thing or a lot to be put away, or to be taken back."""

    id: _Key
    away: bool = True


class See(_Strict):
    """How a page shows its bowl: the room for its chart, theme, units and decimal mark."""

    width: Annotated[float, Field(ge=200, le=4000, allow_inf_nan=False)]
    theme: Literal["light", "dark", "contrast"] = "light"
    fahrenheit: bool = False
    ounces: bool = False
    comma: bool = False


class Problem(BaseModel):
    """What is wrong with a request, in one sentence, and where."""

    message: str
    field: str | None = None


def raw_job(answers: Answers) -> RawJob:
    """Return answers as an unchecked job; an empty answer counts as none.

    Parameters
    ----------
    answers : Answers
        By the keys of a job. [-]

    Returns
    -------
    RawJob
        What the kitchen checks. [-]
    """
    values = {key: value for key, value in answers.items() if value not in (None, "")}
    return RawJob(values, {key: _PLACES.get(key, key) for key in values})
