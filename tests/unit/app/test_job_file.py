"""A job file becomes a raw job with the place of every answer, or one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from temperbench.app.job_fields import FIELDS
from temperbench.app.job_file import LARGEST_BYTES, job_from_bytes, job_from_text, read_job_file
from temperbench.foundation.errors import InputError


def refusal(text: str) -> str:
    """Return the sentence with which a text is refused."""
    with pytest.raises(InputError) as caught:
        job_from_text(text, "job.toml")
    return str(caught.value)


def test_every_field_can_stand_in_a_file() -> None:
    """Each field is read from its section and key, and remembers where it stood."""
    sections: dict[str, list[str]] = {}
    for number, asked in enumerate(FIELDS):
        sections.setdefault(asked.section, []).append(f"{asked.name} = {number}")
    text = "\n".join(f"[{name}]\n" + "\n".join(lines) for name, lines in sections.items())
    raw = job_from_text(text)
    assert {asked.key: number for number, asked in enumerate(FIELDS)} == dict(raw.values)
    assert {asked.key: asked.file_place for asked in FIELDS} == dict(raw.places)


def test_options_are_laid_over_the_file() -> None:
    """What is laid over wins with its value and its name; the rest stays."""
    below = job_from_text("[bowl]\ngrams = 1000\n[oven]\nlabel_w = 900")
    above = job_from_text("[bowl]\ngrams = 500")
    both = below.overlaid(above)
    assert dict(both.values) == {"grams": 500, "oven_w": 900}
    assert both.place("oven_w") == "[oven] label_w"
    assert both.place("fat_pct") == "--fat"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[bowl]\ngram = 1", "[bowl] gram: this key is not usable; allowed is grams, "),
        ("[bowl]\ngram = 1", "did you mean “grams”?"),
        ("[bowl]\nroom_c = 20", "room_c belongs under [kitchen]"),
        ("[bowl]\nbowl_g = 20", "did you mean “mass_g”?"),
        (
            "[bowls]\ngrams = 1",
            "[bowls]: this section is not usable; allowed is chocolate, bowl, oven, method, bath, cabinet, slab, "
            "kettle, kitchen, keep;",
        ),
        ("[bowls]\ngrams = 1", "did you mean [bowl]?"),
        ("grams = 1000", "grams belongs under [bowl]"),
        ("kind = 'dark'", "kind belongs under [chocolate]"),
        ("bowl = 3", "bowl: 3 is not usable; allowed is a section; write [bowl] on a line of its own"),
        ("[[bowl]]\ngrams = 1", "bowl: a list is not usable"),
        ("format = 2", "format: 2 is not usable; allowed is 1"),
        ("format = true", "format: true is not usable"),
        ("grams = ", "job.toml: this text is not usable; allowed is TOML; the reader says: "),
        ("a = " + "[" * 20000, "job.toml: its nesting is not usable"),
        ("a = 0" + "1" * 9, "job.toml: this text is not usable"),
        ("a = " + "9" * 6000, "job.toml: this text is not usable"),
        ('["a\\nb"]\nx = 1', "[a b]: this section is not usable"),
        ("[kitchen]\nzzzzzz = 1", "leave it out"),
    ],
)
def test_a_wrong_file_is_told_in_one_sentence(text: str, told: str) -> None:
    """Unknown sections and keys, wrong nesting and broken TOML are named with what would be right."""
    sentence = refusal(text)
    assert told in sentence
    assert "\n" not in sentence


def test_format_may_be_left_out() -> None:
    """A file says format = 1, or nothing."""
    assert job_from_text("format = 1\n[oven]\nlabel_w = 900") == job_from_text("[oven]\nlabel_w = 900")


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"\xff\xfe[\x00", "text in UTF-8"), (b"#" * (LARGEST_BYTES + 1), "at most 65536 bytes")],
)
def test_what_is_no_text_is_refused(content: bytes, told: str) -> None:
    """Other encodings and whole novels are refused."""
    with pytest.raises(InputError, match=told):
        job_from_bytes(content, "job.toml")


def test_a_byte_order_mark_is_forgiven() -> None:
    """Editors that begin a file with a byte order mark do no harm."""
    assert job_from_bytes(b"\xef\xbb\xbf[oven]\nlabel_w = 900").values == {"oven_w": 900}


def test_missing_files_and_folders_are_told_apart(tmp_path: Path) -> None:
    """No such file, a folder, a name with a null and a name too long each get their sentence."""
    for path, told in (
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "this is a folder"),
        (Path("a\0b"), "cannot be opened"),
        (tmp_path / ("x" * 300), "the system says: File name too long"),
    ):
        with pytest.raises(InputError, match=told):
            read_job_file(path)
