"""Reads the settings of the feed from a table as a TOML file gives it; each complaint names the place. docs/feed.md."""

from __future__ import annotations

import tomllib
import typing
from collections.abc import Mapping
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, TypeVar

from temperbench.faces.feed.message import HOUSE, Shape, checked_name
from temperbench.faces.feed.settings import FeedSettings, MqttSettings, ProbeSettings, SerialSettings, Topic
from temperbench.foundation.errors import InputError, nearest, shown

__all__ = ["read_feed_file", "read_feed_settings"]

_T = TypeVar("_T")
_WORDS = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}
_REMEDY = "see docs/feed.md"
_LONGEST_SECRET, _LARGEST = 4096, 262_144
_A_FILE = "a file of feed settings in TOML"


def read_feed_file(path: Path) -> FeedSettings:
    """Return the settings in a TOML file; files it names are looked for beside it. Raises `InputError`."""
    place = "feed settings"
    try:
        with path.open("rb") as stream:
            content = stream.read(_LARGEST + 1)
        if len(content) > _LARGEST:
            raise InputError(place, str(path), f"at most {_LARGEST} bytes", "check that it is the right file")
        raw = tomllib.loads(content.decode("utf-8-sig"))
    except OSError as fault:
        why = fault.strerror or "it cannot be opened"
        raise InputError(place, str(path), _A_FILE, f"the system says: {why}") from None
    except UnicodeDecodeError:
        raise InputError(place, str(path), "text in UTF-8", "save the file as UTF-8 text") from None
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise InputError(place, str(path), _A_FILE, f"correct it: {fault}") from None
    return read_feed_settings(raw, path.parent)


def read_feed_settings(raw: Mapping[str, object], folder: Path | None = None) -> FeedSettings:
    """Return the settings in a table; raise `InputError` for what cannot be used. ``folder``: where files are."""
    _known("feed", raw, ("shapes", "probes", "mqtt", "serial"))
    shapes = {"house": HOUSE}
    for name, one in _table("feed.shapes", raw.get("shapes", {})).items():
        place = f"feed.shapes.{shown(name)}"
        shapes[checked_name("shapes", name)] = _made(place, Shape, _table(place, one))
    probes = {
        name: _made(f"feed.probes.{shown(name)}", ProbeSettings, _shaped(f"feed.probes.{shown(name)}", one, shapes))
        for name, one in _table("feed.probes", raw.get("probes", {})).items()
    }
    serial = tuple(
        _made("feed.serial", SerialSettings, _shaped("feed.serial", one, shapes))
        for one in _list("feed.serial", raw.get("serial", ()))
    )
    mqtt = _mqtt(_table("feed.mqtt", raw["mqtt"]), shapes, folder or Path()) if "mqtt" in raw else None
    return FeedSettings(probes, mqtt, serial)


def _mqtt(table: dict[str, Any], shapes: Mapping[str, Shape], folder: Path) -> MqttSettings:
    place = "feed.mqtt.topics"
    topics = tuple(_made(place, Topic, _shaped(place, one, shapes)) for one in _list(place, table.get("topics", ())))
    if "password_file" in table:
        if "password" in table:
            raise InputError("feed.mqtt", "password and password_file", "one of them", "leave the password out")
        table["password"] = _secret("feed.mqtt.password_file", table.pop("password_file"), folder)
    if isinstance(table.get("ca_file"), str):
        table["ca_file"] = str(folder / table["ca_file"])
    return _made("feed.mqtt", MqttSettings, table | {"topics": topics})


def _secret(place: str, name: object, folder: Path) -> str:
    """Return the first line of a file."""
    try:
        with (folder / str(name)).open(encoding="utf-8") as file:
            return file.readline(_LONGEST_SECRET).rstrip("\r\n")
    except (OSError, ValueError) as fault:
        why = fault.strerror if isinstance(fault, OSError) and fault.strerror else "it is not text"
        raise InputError(place, shown(name), "a file that can be read", why[0].lower() + why[1:]) from None


def _table(place: str, found: object) -> dict[str, Any]:
    if not isinstance(found, Mapping):
        raise InputError(place, shown(found), "a table", _REMEDY)
    return dict(found)


def _list(place: str, found: object) -> list[object]:
    if not isinstance(found, list | tuple):
        raise InputError(place, shown(found), "a list of tables", _REMEDY)
    return list(found)


def _known(place: str, table: Mapping[str, object], keys: typing.Iterable[str]) -> None:
    allowed = sorted(keys)
    for key in table:
        if key not in allowed:
            guess = nearest(key, allowed)
            raise InputError(place, key, ", ".join(allowed), f"did you mean “{guess}”?" if guess else _REMEDY)


def _shaped(place: str, found: object, shapes: Mapping[str, Shape]) -> dict[str, Any]:
    """Return a table with the name of a shape replaced by the shape."""
    table = _table(place, found)
    if "shape" in table:
        name = table["shape"]
        if not isinstance(name, str) or name not in shapes:
            raise InputError(f"{place}.shape", shown(name), ", ".join(shapes), "describe it under shapes")
        table["shape"] = shapes[name]
    return table


def _made(place: str, kind: type[_T], table: Mapping[str, object]) -> _T:
    """Make one of the settings classes, every value of the type its field has."""
    hints = typing.get_type_hints(kind)
    _known(place, table, hints)
    for key, value in table.items():
        hint = hints[key]
        allowed = typing.get_args(hint) if typing.get_origin(hint) in (UnionType, typing.Union) else (hint,)
        plain = [one for one in allowed if one in _WORDS]
        if plain and not _fits(value, plain, none=NoneType in allowed):
            raise InputError(f"{place}.{key}", _veiled(key, value), _WORDS[plain[0]], _REMEDY)
    try:
        return kind(**table)
    except TypeError:
        raise InputError(place, ", ".join(table) or "an empty table", ", ".join(hints), "a key is missing") from None


def _fits(value: object, allowed: list[Any], *, none: bool) -> bool:
    if value is None:
        return none
    if isinstance(value, bool):
        return bool in allowed
    return isinstance(value, tuple(allowed)) or (float in allowed and isinstance(value, int))


def _veiled(key: str, value: object) -> str:
    return "(not shown)" if key == "password" else shown(value)
