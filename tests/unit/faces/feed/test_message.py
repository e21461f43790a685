"""One message: what is read, in whose words, and that nothing a device sends can raise an error."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.faces.feed.message import Message, Refusal, Shape, read_message
from temperbench.foundation.errors import InputError

AT = 1_773_480_413_000  # 2026-03-14T09:26:53Z


@pytest.mark.parametrize(
    ("payload", "expected"),
    [
        ('{"probe": "p1", "celsius": 31.4, "at": 1773480413000}', Message("p1", 31.4, 0.1, AT)),
        ('{"probe": "p1", "celsius": 31.4, "at": "2026-03-14T09:26:53Z"}', Message("p1", 31.4, 0.1, AT)),
        ('{"probe": "p1", "celsius": 31.4, "at": "2026-03-14T10:26:53+01:00"}', Message("p1", 31.4, 0.1, AT)),
        ('{"probe": "p1", "celsius": "31,45"}', Message("p1", 31.45, 0.01)),
        ('{"probe": "p1", "celsius": 31, "bowl": "run-7"}', Message("p1", 31.0, 1.0, None, "run-7")),
        ('{"probe": "p1", "celsius": 31, "at": null, "bowl": null}', Message("p1", 31.0, 1.0)),
    ],
)
def test_the_house_json_is_read(payload: str, expected: Message) -> None:
    """Temperature, time as milliseconds or ISO, and bowl are read; the digit is the one that was written."""
    assert expected == read_message(payload)


@pytest.mark.parametrize(
    ("payload", "celsius", "digit"),
    [
        (b"31.4", 31.4, 0.1),
        (b" 31,4\r\n", 31.4, 0.1),
        ("31.4 °C", 31.4, 0.1),
        (b"-3", -3.0, 1.0),
        (b'"31.40"', 31.4, 0.01),
        (b"\xef\xbb\xbf31.4", 31.4, 0.1),
        (b"89.6 F", 32.0, 0.1 / 1.8),
    ],
)
def test_a_plain_number_is_a_message_of_the_probe_it_came_from(
    payload: bytes | str, celsius: float, digit: float
) -> None:
    """Point or comma, with its unit or without: the channel says whose it is."""
    found = read_message(payload, probe="p1")
    assert isinstance(found, Message)
    assert ("p1", pytest.approx(celsius), pytest.approx(digit)) == (found.probe, found.celsius, found.digit)


@pytest.mark.parametrize(
    ("shape", "payload", "celsius"),
    [
        (Shape(value="data.temp", unit="F"), {"data": {"temp": 89.6}, "battery": 3.1}, 32.0),
        (Shape(value="t", scale=0.1), {"t": 314}, 31.4),
        (Shape(value="t", unit="K"), {"t": 304.55}, 31.4),
        (Shape(value="t.c"), {"t.c": 31.4}, 31.4),
        (Shape(value="t", unit="F"), {"t": "31.4 C"}, 31.4),
    ],
)
def test_other_peoples_keys_are_mapped(shape: Shape, payload: dict[str, object], celsius: float) -> None:
    """Key, unit and scale come from the mapping, keys it does not name are left alone, a written unit goes first."""
    found = read_message(json.dumps(payload), shape, "p1")
    assert isinstance(found, Message)
    assert pytest.approx(celsius) == found.celsius


def test_other_peoples_names_and_clocks_are_mapped() -> None:
    """The probe's name, its time in seconds and the bowl may have other keys as well."""
    shape = Shape(value="v", probe="id", at="ts", clock="s", bowl="batch")
    found = read_message('{"id": "p2", "v": 30.5, "ts": 1773480413.25, "batch": "r1"}', shape)
    assert Message("p2", 30.5, 0.1, AT + 250, "r1") == found


@pytest.mark.parametrize(
    ("payload", "part"),
    [
        (b"", "empty"),
        (b"\xff\xfe", "UTF-8"),
        (b"x" * 70_000, "70000 bytes"),
        (b"hot", "celsius or value"),
        (b"1,234.5", "number such as 31.4"),
        (b'{"probe": "p1", "celsius": 31,4}', "decimal comma needs quotes"),
        (b'{"probe": "p1", "celsius": NaN}', "not JSON"),
        (b'{"probe": "p1"}', "celsius is missing"),
        (b'{"probe": "p1", "celsius": true}', "number"),
        (b'{"probe": "p1", "celsius": [31.4]}', "number"),
        (b'{"probe": "p1", "celsius": 1e400}', "finite"),
        (b'{"probe": "p1", "celsius": -127}', "-60 to 250"),
        (b'{"probe": "p1", "celsius": 304.5}', "check unit and scale"),
        (b'{"probe": "p1", "celcius": 31.4}', "did you mean"),
        (b'{"probe": "p 1", "celsius": 31.4}', "letters, digits"),
        (b'{"probe": "p2", "celsius": 31.4}', "came by the way of p1"),
        (b'{"probe": "p1", "celsius": 31.4, "at": 1773480413}', "multiply by 1000"),
        (b'{"probe": "p1", "celsius": 31.4, "at": "2026-03-14T09:26:53"}', "with its zone"),
        (b'{"probe": "p1", "celsius": 31.4, "at": "yesterday"}', "with its zone"),
        (b'{"probe": "p1", "celsius": 31.4, "at": -5}', "since 1970"),
        (b'{"probe": "p1", "celsius": 31.4, "at": "0001-01-01T00:00:00+14:00"}', "clock"),
        (b'{"probe": "p1", "celsius": 31.4, "bowl": "a/b"}', "bowl"),
        (b"[1, 2]", "one message at a time"),
        (b"[" * 5000, "not JSON"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_sentence(payload: bytes, part: str) -> None:
    """The refusal names what is wrong, and ends like a sentence."""
    found = read_message(payload, probe="p1")
    assert isinstance(found, Refusal)
    assert any(word in found.why for word in part.split(" or ")), found.why
    assert found.why[-1] in ".?"
    assert "\n" not in found.why


def test_a_number_without_a_probe_is_refused() -> None:
    """A plain number on a channel that does not say whose it is belongs to nobody."""
    found = read_message(b"31.4")
    assert isinstance(found, Refusal)
    assert "whose" in found.why


@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_no_bytes_raise(payload: bytes | str) -> None:
    """Whatever comes is a message or a refusal that can be written as JSON."""
    found = read_message(payload, probe="p1")
    assert isinstance(found, Message | Refusal)
    assert not isinstance(found, Refusal) or found.why.encode("utf-8")


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(), max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(st.fixed_dictionaries({}, optional={"probe": ANY, "celsius": ANY, "at": ANY, "bowl": ANY, "x": ANY}))
def test_no_json_raises(found: dict[str, object]) -> None:
    """Whatever stands under the known keys, the answer is a message within the bounds or a refusal."""
    answer = read_message(json.dumps(found))
    assert isinstance(answer, Refusal) or -60.0 <= answer.celsius <= 250.0
    assert not isinstance(answer, Refusal) or answer.why.encode("utf-8")


@pytest.mark.parametrize("wrong", [{"unit": "R"}, {"clock": "min"}, {"scale": 0.0}, {"value": ""}, {"at": "a..b"}])
def test_a_mapping_that_reads_nothing_is_refused(wrong: dict[str, object]) -> None:
    """A slip in the settings is said when they are read, not at the first message."""
    with pytest.raises(InputError):
        Shape(**wrong)
