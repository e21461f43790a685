"""One plan on screen, as JSON and on paper has the same figures."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

import fake_engine
from temperbench.faces.cli.main import main
from temperbench.faces.drawing.words import minutes_between

LEAST = ["--chocolate", "dark", "--grams", "1000", "--oven", "1000"]


@pytest.fixture(autouse=True, name="engine")
def _engine(monkeypatch: pytest.MonkeyPatch) -> fake_engine.Calls:
    """Put an instant engine in place."""
    return fake_engine.put_in_place(monkeypatch)


def figures(told: dict) -> Iterator[str]:
    """Yield every figure of a plan that a cook needs, as text and card write it."""
    for key in ("stop_c", "limit_c", "work_to_c", "scorch_c"):
        yield f"{told[key]} °C"
    yield f"{told['total_burst_s']} s"
    yield f"{told['total_min']} min"
    for step in told["bursts"]:
        yield from (f"{step['seconds']} s", f"{step['stir_s']} s", f"{step['mean_c']} °C")
        yield f"{step['low_c']} to {step['high_c']}"
    for key in ("risk_lost", "risk_scorch", "risk_asked"):
        yield f"{100 * told[key]:.1f} %"
    for key in ("draw_down_min", "workable_min", "held_min"):
        yield minutes_between(told[key]["low"], told[key]["mid"], told[key]["high"])
    crystals = told["crystals_pct_of_fat"]
    yield f"{crystals['mid']} %"
    yield f"({crystals['low']} to {crystals['high']})"
    test = told["setting_test"]
    yield f"et by {test['pass_min']} min = enough crystals"
    yield f"expected {test['low_min']} to {test['high_min']} min"
    for row in told["rescue"]:
        if row["add_g"] is not None:
            yield from (f"{row['add_g']} g", f"{' + '.join(map(str, row['portions_g']))} g", f"{row['ends_c']} °C")
    yield f"From {min(row['at_c'] for row in told['rescue'] if row['add_g'] is None)} °C: melt fully, then seed."
    for row in told["reads_then"]:
        yield f"{row['seconds']} s" if row["seconds"] else "stir"
    carries = told["carries"]
    yield carries["text"]
    yield f"{carries['hot_oven_solid_pct_of_fat']} % of the fat solid"
    for store in carries["stores"]:
        yield f"{store['total_burst_s']} s"
    yield from (warning["text"] for warning in told["warnings"])
    yield from (*told["cautions"], *told["rules"], *(line.rstrip(".") for line in told["holds_for"]))
    for default in told["defaults_used"]:
        yield default.partition(":")[2].removeprefix(" taken as ").partition(", because")[0].rstrip(".") or default


def flat(text: str) -> str:
    """Return text with every run of blanks and line ends as one blank."""
    return " ".join(text.split())


@pytest.mark.parametrize("thermometer", ["probe", "none"])
def test_screen_json_and_paper_agree(tmp_path: Path, thermometer: str) -> None:
    """Every figure and sentence of the JSON stands in the text and on the card."""
    words = ["plan", *LEAST, "--thermometer", thermometer]
    card = tmp_path / "card.pdf"
    text = flat(CliRunner().invoke(main, words).stdout)
    told = json.loads(CliRunner().invoke(main, [*words, "--json", "--card", str(card)]).stdout)
    page = flat(PdfReader(card).pages[0].extract_text())
    wanted = list(dict.fromkeys(figures(told)))
    assert [figure for figure in wanted if figure not in text] == []
    assert [figure for figure in wanted if figure not in page] == []


@pytest.mark.parametrize(("words", "width"), [([], 595), (["--page", "letter"], 612)])
def test_the_card_has_the_page_asked_for(tmp_path: Path, words: list[str], width: int) -> None:
    """A4 is the default, Letter on request; one page, and stderr says where it is."""
    card = tmp_path / "card.pdf"
    result = CliRunner().invoke(main, ["plan", *LEAST, *words, "--card", str(card)])
    assert result.exit_code == 0
    assert f"Written: {card}\n" in result.stderr
    pages = PdfReader(io.BytesIO(card.read_bytes())).pages
    assert [round(float(page.mediabox.width)) for page in pages] == [width]


def test_a_card_that_cannot_be_kept_is_refused_before_the_work(tmp_path: Path, engine: fake_engine.Calls) -> None:
    """A folder that may not be written, or is none, ends the command before a plan is made."""
    folder = tmp_path / "card.pdf"
    folder.mkdir()
    result = CliRunner().invoke(main, ["plan", *LEAST, "--card", str(folder)])
    assert result.exit_code == 2
    assert result.stderr.startswith("--card: ")
    assert engine.jobs == []
