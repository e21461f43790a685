"""Thousands of odd jobs, by options and by file: each is planned or refused in one sentence, never with a traceback."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import fake_engine
from temperbench.app.job_fields import FIELDS, JobField
from temperbench.faces.cli.main import main

OPTIONS = [asked.option for asked in FIELDS if asked.kind != "switch"]
SWITCHES = ["--bloomed", "--inverter", "--no-inverter", "--warm-oven", "--json"]
SECTIONS = list(dict.fromkeys(asked.section for asked in FIELDS))
NAMES = [asked.name for asked in FIELDS]
PLACES = {
    *(asked.option for asked in FIELDS),
    *(asked.file_place for asked in FIELDS),
    *("format", "job file", "standard input", "--members", "--seed", "--at"),
}
EXAMPLES = {asked.option: asked.example for asked in FIELDS}
WORDS = sorted({word for asked in FIELDS for word in asked.words} | {"steel", "melamine", "compound", "ceramic"})

figures = st.one_of(
    st.sampled_from([0, -1, 1, 5, 20, 36, 38, 40, 50, 90, 99.9, 100, 900, 1000, 50000, 1e300, 10**30, -0.0]),
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=True, allow_infinity=True),
)
units = st.sampled_from(
    ["", " ", "g", " kg", " lb", "oz", " °C", " F", "°", "%", " W", "kW", " L", "ml", " m", "x", "\n"]
)
written = st.builds(lambda figure, unit: f"{figure}{unit}", figures, units)
texts = st.one_of(
    st.sampled_from(WORDS),
    written,
    written.map(lambda text: text.replace(".", ",")),
    st.text(max_size=12),
    st.sampled_from(["", " ", "--", "-", "nan", "1e9", "0x10", "\x1b[2J", "1.2.3", "½", "٣", "9" * 5000, "a" * 5000]),
)
options = st.one_of(
    st.tuples(st.sampled_from(OPTIONS), texts),
    st.sampled_from(OPTIONS).map(lambda option: (option, EXAMPLES[option])),
    st.tuples(st.sampled_from(SWITCHES)),
    st.tuples(st.sampled_from(["--members", "--seed"]), texts),
    st.tuples(st.text(st.characters(codec="ascii"), max_size=8).map(lambda text: f"--{text}")),
)
values = st.recursive(
    st.one_of(figures, st.booleans(), texts, st.dates(), st.datetimes(), st.times()),
    lambda below: st.one_of(st.lists(below, max_size=3), st.dictionaries(st.text(max_size=4), below, max_size=2)),
    max_leaves=4,
)
tables = st.dictionaries(
    st.one_of(st.sampled_from(SECTIONS), st.sampled_from(SECTIONS), st.sampled_from(["bowls", "format", "grams", ""])),
    st.dictionaries(st.one_of(st.sampled_from(NAMES), st.text(max_size=8)), values, max_size=4),
    max_size=4,
)


def written_toml(value: object) -> str:
    """Return a value as TOML writes it on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | int):
        return repr(value)  # nan and inf are TOML too
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, list):
        return "[" + ", ".join(map(written_toml, value)) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written_toml(key)} = {written_toml(below)}" for key, below in value.items()) + "}"
    return '"' + "".join(c if c.isalnum() and c.isascii() else f"\\U{ord(c):08x}" for c in str(value)) + '"'


def toml(content: dict[str, dict[str, object]]) -> str:
    """Return tables as the text of a job file."""
    parts = []
    for section, lines in content.items():
        parts.append(f"[{written_toml(section)}]")
        parts += [f"{written_toml(key)} = {written_toml(value)}" for key, value in lines.items()]
    return "\n".join(parts)


def run(words: list[str], typed: str | bytes | None = None) -> Result:
    """Run a command line in this process, a fault of the program showing as itself."""
    return CliRunner().invoke(main, words, input=typed, catch_exceptions=False)


def shown(text: str) -> str:
    """Return text as the command line shows it: blanks joined, and ? for what a terminal cannot show."""
    return "".join(c if c.isprintable() else "?" for c in " ".join(text.split()))


def judge(result: Result, named: set[str]) -> None:
    """Check that a job was planned, or refused in one sentence that begins with a field that was meant."""
    assert result.exit_code in (0, 2), result.stderr
    if result.exit_code == 0:
        return
    assert result.stdout == ""
    assert result.stderr.endswith((".\n", "?\n"))
    assert "Traceback" not in result.stderr
    sentence = result.stderr[:-1]
    assert sentence.isprintable()
    assert any(sentence.startswith(shown(f"{name}: ")) for name in named), sentence


@pytest.fixture(scope="module", autouse=True)
def _engine() -> Iterator[None]:
    """Put an instant engine in place for all examples."""
    with pytest.MonkeyPatch.context() as patch:
        fake_engine.put_in_place(patch)
        yield


def thousands(count: int) -> settings:
    """Return the settings for so many examples, the same ones every time."""
    slow = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
    return settings(max_examples=count, deadline=None, derandomize=True, database=None, suppress_health_check=slow)


def check_options(given_options: list[tuple[str, ...]], command: str) -> None:
    """Run a command with options and judge what it says."""
    words = [word for option in given_options for word in option]
    result = run([command, *words], b"")
    judge(result, PLACES | {f"temperbench {command}", *(word.split("=")[0] for word in words), *(w[:2] for w in words)})


def check_table(content: dict[str, dict[str, object]]) -> None:
    """Run a plan from a job file through a pipe and judge what it says."""
    sections = {" ".join(section.split()) for section in content}
    keys = {f"[{section}] {' '.join(key.split())}" for section, lines in content.items() for key in [*lines, "“”"]}
    named = PLACES | sections | keys | {f"[{section}]" for section in [*sections, "“”"]}
    judge(run(["plan", "-"], toml(content)), named)


@thousands(1500)
@given(st.lists(options, max_size=6))
def test_odd_options_are_planned_or_refused_in_one_sentence(given_options: list[tuple[str, ...]]) -> None:
    """Any options with any words leave with 0 or 2 and at most one line that names the field."""
    check_options(given_options, "plan")


@thousands(1500)
@given(st.sampled_from(OPTIONS), texts)
def test_one_odd_answer_among_good_ones(option: str, text: str) -> None:
    """With everything else in order, one odd answer is taken or blamed by its name, or by the figure it contradicts."""
    good = [("--chocolate", "dark"), ("--grams", "1000"), ("--oven", "1000"), ("--fat", "36")]
    check_options([*good, (option, text)], "plan")


@thousands(300)
@given(st.lists(options, max_size=4), texts)
def test_odd_rescues_are_answered_or_refused(given_options: list[tuple[str, ...]], at: str) -> None:
    """A rescue treats odd words as a plan does."""
    asked = [option for option in given_options if option[0] not in ("--members", "--seed")]
    check_options([*asked, ("--at", at)], "rescue")


@thousands(800)
@given(tables)
def test_odd_job_files_are_planned_or_refused_in_one_sentence(content: dict[str, dict[str, object]]) -> None:
    """Any sections, keys and types of value leave with 0 or 2 and at most one line that names the field."""
    check_table(content)


@thousands(1000)
@given(st.sampled_from(FIELDS), values)
def test_one_odd_value_in_a_good_file(asked: JobField, value: object) -> None:
    """With everything else in order, one value of any type is taken or blamed by its section and key."""
    content: dict[str, dict[str, object]] = {
        "chocolate": {"kind": "milk", "fat": 36},
        "bowl": {"grams": 1000},
        "oven": {"label_w": 1000},
        "kitchen": {},
    }
    content.setdefault(asked.section, {})[asked.name] = value
    check_table(content)


@thousands(500)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))))
def test_any_bytes_are_no_traceback(content: bytes) -> None:
    """A file of anything at all is refused as such."""
    result = run(["plan", "-"], content)
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.slow
@thousands(20000)
@given(st.lists(options, max_size=8))
def test_many_more_odd_options(given_options: list[tuple[str, ...]]) -> None:
    """As above, at length."""
    check_options(given_options, "plan")


@pytest.mark.slow
@thousands(5000)
@given(tables)
def test_many_more_odd_job_files(content: dict[str, dict[str, object]]) -> None:
    """As above, at length."""
    check_table(content)
