"""Reads a job file (TOML, our own layout, described in docs/job-file.md) into a raw, unchecked job."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from temperbench.app.job_fields import FIELDS, RawJob
from temperbench.app.keep_fields import KEEP_FIELDS
from temperbench.app.read_figure import Phrase, safe_to_show
from temperbench.foundation.errors import InputError, nearest

__all__ = ["FORMAT", "LARGEST_BYTES", "job_from_bytes", "job_from_text", "read_job_file"]

FORMAT = 1
LARGEST_BYTES = 65536
_ALL = (*FIELDS, *KEEP_FIELDS)
_SECTIONS = tuple(dict.fromkeys(f.section for f in _ALL))
_A_FILE = "a readable job file in TOML"


def read_job_file(path: Path) -> RawJob:
    """Return what a job file says, each field with the place it stands in.

    Parameters
    ----------
    path : Path
        The file. [-]

    Returns
    -------
    RawJob
        Unchecked answers. [-]
    """
    place = "job file"
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise InputError(place, str(path), _A_FILE, "no such file, so check its name and folder") from None
    except IsADirectoryError:
        raise InputError(place, str(path), _A_FILE, "this is a folder, so name a file in it") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it cannot be opened"
        raise InputError(place, str(path), _A_FILE, f"the system says: {reason}") from None
    return job_from_bytes(content, str(path))


def job_from_bytes(content: bytes, name: str = "job file") -> RawJob:
    """Return what the bytes of a job file say.

    Parameters
    ----------
    content : bytes
        The file. [-]
    name : str
        Name of the file for a message. [-]

    Returns
    -------
    RawJob
        Unchecked answers. [-]
    """
    if len(content) > LARGEST_BYTES:
        remedy = "this is no job file, so check its name"
        raise InputError("job file", name, f"at most {LARGEST_BYTES} bytes", remedy)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("job file", name, "text in UTF-8", "save the file as UTF-8 text") from None
    return job_from_text(text, name)


def job_from_text(text: str, name: str = "job file") -> RawJob:
    """Return what the text of a job file says.

    Parameters
    ----------
    text : str
        TOML. [-]
    name : str
        Name of the file for a message. [-]

    Returns
    -------
    RawJob
        Unchecked answers. [-]
    """
    try:
        table = tomllib.loads(text)
    except RecursionError:
        raise InputError(name, Phrase("its nesting"), _A_FILE, "take the inner brackets out") from None
    except ValueError as error:
        reason = " ".join(str(error).split()).rstrip(".")
        raise InputError(name, Phrase("this text"), "TOML", f"the reader says: {reason}") from None
    _check_format(table)
    values: dict[str, object] = {}
    places: dict[str, str] = {}
    for section, content in table.items():
        if section == "format":
            continue
        for found in _section(section, content):
            values[found[0]], places[found[0]] = found[1], found[2]
    return RawJob(values, places)


def _check_format(table: Mapping[str, object]) -> None:
    given = table.get("format", FORMAT)
    if type(given) is not int or given != FORMAT:
        raise InputError("format", safe_to_show(given), f"{FORMAT}", "write format = 1 or leave the line out")


def _section(section: str, content: object) -> list[tuple[str, object, str]]:
    """Return key, value and place of every line of a section."""
    if section not in _SECTIONS:
        place = f"[{_tidy(section)}]"
        raise InputError(place, Phrase("this section"), _listed(_SECTIONS), _section_advice(section))
    if not isinstance(content, Mapping):
        raise InputError(section, safe_to_show(content), "a section", f"write [{section}] on a line of its own")
    known = {f.name: f for f in _ALL if f.section == section}
    found = []
    for name, value in content.items():
        place = f"[{section}] {_tidy(name)}"
        if name not in known:
            raise InputError(place, Phrase("this key"), _listed(known), _key_advice(name, section, known))
        found.append((known[name].key, value, place))
    return found


def _tidy(name: str) -> str:
    """Return a key as one short word of text, since a quoted key can hold anything."""
    return " ".join(name.split())[:40] or "“”"


def _listed(words: Mapping[str, object] | tuple[str, ...]) -> str:
    return ", ".join(words)


def _section_advice(section: str) -> str:
    home = next((f for f in _ALL if section in (f.name, f.key)), None)
    if home is not None:
        return f"{home.name} belongs under [{home.section}]"
    guess = nearest(section[:80], _SECTIONS)
    return f"did you mean [{guess}]?" if guess else "leave it out"


def _key_advice(name: str, section: str, known: Mapping[str, object]) -> str:
    """Point at the nearest key of this section, or at the section a known key belongs to."""
    guess = nearest(name[:80], known)
    elsewhere = next((f for f in _ALL if name in (f.name, f.key) and f.section != section), None)
    own = next((f for f in _ALL if name == f.key and f.section == section), None)
    if own is not None:
        return f"did you mean “{own.name}”?"
    if elsewhere is not None:
        return f"{elsewhere.name} belongs under [{elsewhere.section}]"
    if guess is not None:
        return f"did you mean “{guess}”?"
    other = nearest(name[:80], [f.name for f in _ALL])
    return f"did you mean “{other}” of another section?" if other else "leave it out"
