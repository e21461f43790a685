"""Settings: what docs/feed.md shows is read, a slip is said with its place, secrets are not shown."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from contract.tree import ROOT
from temperbench.faces.feed.message import HOUSE, Shape
from temperbench.faces.feed.settings import FeedSettings, MqttSettings, ProbeSettings, SerialSettings, Topic
from temperbench.faces.feed.settings_file import read_feed_file, read_feed_settings
from temperbench.foundation.errors import InputError


def read(text: str) -> FeedSettings:
    """Read settings from TOML."""
    return read_feed_settings(tomllib.loads(text))


def test_nothing_is_a_setting() -> None:
    """Without settings there are no probes and no channels."""
    assert FeedSettings() == read("")


def test_every_part_is_read() -> None:
    """Shapes, probes, broker and lines become the settings they say."""
    found = read(
        """
        [shapes.other]
        value = "t"
        unit = "F"
        [probes.p1]
        tau_s = 19
        bowl = "run-1"
        [probes.p2]
        shape = "other"
        [mqtt]
        host = "broker.example"
        user = "kitchen"
        password = "swordfish"
        topics = [{filter = "kitchen/+/t", level = 2, shape = "other"}, {filter = "p1", probe = "p1"}]
        [[serial]]
        port = "COM3"
        probe = "p1"
        shape = "house"
        """
    )
    other = Shape("t", "F")
    topics = (Topic("kitchen/+/t", None, 2, other), Topic("p1", "p1"))
    assert {"p1": ProbeSettings(tau_s=19, bowl="run-1"), "p2": ProbeSettings(shape=other)} == found.probes
    assert MqttSettings("broker.example", topics, user="kitchen", password="swordfish") == found.mqtt
    assert (SerialSettings("COM3", probe="p1", shape=HOUSE),) == found.serial
    assert "swordfish" not in repr(found)


def test_the_example_of_the_page_is_read(tmp_path: Path) -> None:
    """The settings printed in docs/feed.md can be used as they stand, its password file being there."""
    secret = tmp_path / "secret"
    secret.write_text("swordfish\nnot this line\n", encoding="utf-8")
    page = (ROOT / "docs" / "feed.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    found = read(example.replace("mqtt-password.txt", secret.as_posix()))
    assert found.mqtt is not None
    assert (found.mqtt.password, len(found.probes) > 0 and len(found.serial) > 0) == ("swordfish", True)


def test_a_file_is_read_and_what_it_names_stands_beside_it(tmp_path: Path) -> None:
    """The password's file is looked for in the folder of the settings, wherever the server was started."""
    (tmp_path / "word.txt").write_text("swordfish\n", encoding="utf-8")
    text = "[mqtt]\nhost = 'h'\nuser = 'u'\npassword_file = 'word.txt'\nca_file = 'ca.pem'\ntopics = [{filter = 'a'}]\n"
    (tmp_path / "feed.toml").write_text(text, encoding="utf-8")
    found = read_feed_file(tmp_path / "feed.toml").mqtt
    assert found is not None
    assert (found.password, found.ca_file) == ("swordfish", str(tmp_path / "ca.pem"))


@pytest.mark.parametrize(
    ("content", "part"),
    [(None, "No such file"), (b"\xff", "UTF-8"), (b"[", "correct it"), (b"#" * 262_145, "at most 262144 bytes")],
)
def test_a_file_that_cannot_be_read_is_said(content: bytes | None, part: str, tmp_path: Path) -> None:
    """One sentence with the file and what to do."""
    path = tmp_path / "feed.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=part):
        read_feed_file(path)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("probs = 1", ("feed", "probes")),
        ("probes = 1", ("feed.probes", "a table")),
        ("[probes.p1]\ntau = 3", ("feed.probes", "tau_s")),
        ("[probes.p1]\ntau_s = '3'", ("tau_s", "a number")),
        ("[probes.p1]\ntau_s = true", ("tau_s", "a number")),
        ("[probes.p1]\ntau_s = -1", ("tau_s", "above 0")),
        ("[probes.p1]\nkind = 'glass'", ("kind", "infrared")),
        ("[probes.p1]\nshape = 'mine'", ("shape", "house")),
        ("[probes.'p 1']", ("probe", "letters")),
        ("[shapes.s]\nunit = 'R'", ("unit", "C, F, K")),
        ("[mqtt]\nhost = 'h'", ("mqtt", "topic")),
        ("[mqtt]\ntopics = [{filter = 'a'}]", ("feed.mqtt", "a key is missing")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a/#/b'}]", ("filter", "# goes last")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a/b+'}]", ("filter", "levels")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a/+', level = 3}]", ("level", "1 to 2")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a'}]\nport = 70000", ("port", "65535")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a'}]\npassword = 12345678", ("password", "(not shown)")),
        ("[mqtt]\nhost = 'h'\ntopics = [{filter = 'a'}]\npassword_file = 'none-such'", ("password_file", "no such")),
        ("[[serial]]\nport = ''", ("port", "name")),
        ("[[serial]]\nport = 'COM3'\nbaud = 1", ("baud", "50")),
        ("serial = 3", ("feed.serial", "list")),
    ],
)
def test_a_slip_is_said_with_its_place(text: str, parts: tuple[str, ...]) -> None:
    """One sentence with the place, what is allowed and what to do; a password is never in it."""
    with pytest.raises(InputError) as fault:
        read(text)
    assert [part for part in parts if part not in str(fault.value)] == []
    assert "12345678" not in str(fault.value)
