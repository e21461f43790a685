"""A cook prints the answers of the command line: keeping a bowl, a cooling curve, and what is wrong."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result

from sample_cups import plain_log
from temperbench.faces.cli.main import main

KEEP = ("keep", "--chocolate", "dark", "--grams", "2000", "--oven", "1000", "--for", "30 min", "--every", "10")
TROUBLE = ("trouble", "--seen", "thick", "--chocolate", "milk")
POINTS = {"A4": 841.89, "Letter": 792.0}  # ISO 216: 297 mm; ANSI A: 11 in


def call(*words: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(main, words)


def read(path: Path) -> tuple[str, float]:
    """Return the text of a card of one page, and its height."""
    pages = pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages
    assert len(pages) == 1
    return " ".join(pages[0].extract_text().split()), float(pages[0].mediabox.height)


@pytest.mark.parametrize("page", POINTS)
@pytest.mark.parametrize("words", [KEEP, TROUBLE], ids=["keep", "trouble"])
def test_an_answer_is_printed_on_the_paper_asked_for(words: tuple[str, ...], page: str, tmp_path: Path) -> None:
    """The card is written beside the usual text, on A4 or Letter, and is about the same bowl."""
    card = tmp_path / "card.pdf"
    done = call(*words, "--members", "16", "--page", page, "--card", str(card))
    assert (done.exit_code, f"Written: {card}" in done.stderr) == (0, True), done.output
    text, height = read(card)
    assert height == pytest.approx(POINTS[page], abs=0.01)
    assert {"keep": "Keeping 2000 g dark chocolate", "trouble": "milk chocolate"}[words[0]] in text
    assert done.stdout != ""


def test_a_curve_is_printed(tmp_path: Path) -> None:
    """The card of a curve says the verdict that the text says."""
    series, log, card = plain_log(0.02, every_s=5.0), tmp_path / "sample.csv", tmp_path / "curve.pdf"
    rows = "\n".join(f"{t:.0f},{c:.2f}" for t, c in zip(series.seconds, series.celsius, strict=True))
    log.write_text(f"s,c\n{rows}", encoding="utf-8")
    done = call("curve", str(log), "--chocolate", "dark", "--card", str(card))
    assert done.exit_code == 0, done.output
    assert "IN TEMPER" in done.stdout
    assert "In temper too few" in read(card)[0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*KEEP, "--card", "keep.txt"), "allowed is a name ending in .pdf"),
        ((*KEEP, "--card", "keep.pdf", "--page", "A3"), "--page"),
        ((*TROUBLE, "--card", "none/trouble.pdf"), "make its folder first"),
        (("curve", "--water", "water.csv", "--card", "curve.pdf"), "a file with times and temperatures"),
    ],
)
def test_what_cannot_be_printed_is_told_before_the_work(
    words: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong name, a wrong paper, no folder, and a card of nothing end in one sentence and leave no file."""
    monkeypatch.chdir(tmp_path)
    done = call(*words)
    assert (done.exit_code, done.stdout, len(done.stderr.splitlines()), said in done.stderr) == (2, "", 1, True)
    assert list(tmp_path.iterdir()) == []
