"""The main job on real input, with the real engine: from the example's file to screen, JSON, paper and files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from temperbench.faces.cli.main import main

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
OTHER = [path for path in EXAMPLES if "[method]" in path.read_text()]  # not in a microwave oven
FEW = ["--members", "64"]


@pytest.fixture(autouse=True)
def _faults_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a fault of the program show itself."""
    monkeypatch.setenv("TEMPERBENCH_TRACE", "1")


def out(*words: str) -> str:
    """Run a command line, check that it succeeds, and return what it prints."""
    result = CliRunner().invoke(main, [*words], catch_exceptions=False)
    assert result.exit_code == 0, result.stderr
    return result.stdout


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e not in OTHER], ids=lambda path: path.stem)
def test_an_example_becomes_a_plan(example: Path, tmp_path: Path) -> None:
    """Every example plans: bursts do not grow (a stir alone is none), temperatures are in order, one page of card."""
    card = tmp_path / "card.pdf"
    plan = json.loads(out("plan", str(example), *FEW, "--json", "--card", str(card)))
    seconds = [step["seconds"] for step in plan["bursts"]]
    bursts = [burst for burst in seconds if burst]
    assert bursts == sorted(bursts, reverse=True)
    assert plan["total_burst_s"] == sum(seconds)
    assert plan["work_from_c"] < plan["work_to_c"] < plan["stop_c"] < plan["limit_c"] < plan["scorch_c"]
    assert 0.0 <= plan["risk_lost"] <= 1.0
    assert 0.0 <= plan["risk_scorch"] <= 1.0
    assert len(PdfReader(card).pages) == 1
    assert {row["at_c"] for row in plan["rescue"]} == {35.0, 36.0, 37.0, 38.0, 40.0, 42.0, 45.0}


@pytest.mark.parametrize("example", OTHER, ids=lambda path: path.stem)
def test_an_example_of_another_method_becomes_a_plan(example: Path, tmp_path: Path) -> None:
    """It names its method, its steps are there, temperatures are in order, and its card is one page."""
    card = tmp_path / "card.pdf"
    plan = json.loads(out("plan", str(example), *FEW, "--json", "--card", str(card)))
    assert plan["method"] == "seed"
    assert len(plan["steps"]) >= 3
    assert plan["work_from_c"] < plan["work_to_c"] < plan["limit_c"] < plan["clear_c"]
    assert 0.0 <= plan["risk_lost"] <= 1.0
    assert 0.0 <= plan["risk_scorch"] <= 1.0
    assert len(PdfReader(card).pages) == 1


def test_the_text_of_a_real_plan_fits_the_screen() -> None:
    """No line of a real plan is wider than 79 characters, and the stop stands in it as in the JSON."""
    words = ["plan", str(EXAMPLES[0]), *FEW]
    text = out(*words)
    assert max(map(len, text.splitlines())) <= 79
    assert f"{json.loads(out(*words, '--json'))['stop_c']} °C" in text


def test_the_same_seed_gives_the_same_plan() -> None:
    """A plan can be replayed to the last digit."""
    words = ["plan", str(EXAMPLES[0]), *FEW, "--seed", "5", "--json"]
    assert out(*words) == out(*words)


def test_a_figure_of_a_plan_answers_where_it_comes_from() -> None:
    """Every source a plan names is known to the sources command."""
    plan = json.loads(out("plan", str(EXAMPLES[0]), *FEW, "--json"))
    assert [key for key in plan["sources"] if key not in out("sources", key)] == []
    assert plan["sources"]


def test_given_bursts_are_run_through_real_bowls(tmp_path: Path) -> None:
    """A simulation starts at the store's temperature and ends warmer after each longer burst."""
    table = tmp_path / "run.csv"
    ends = []
    for burst in ("20", "40", "60"):
        words = ["simulate", str(EXAMPLES[0]), *FEW, "--bursts", f"{burst}/20", "--json", "--csv", str(table)]
        run = json.loads(out(*words))
        ends.append(run["steps"][0]["mean_c"])
    assert ends == sorted(set(ends))
    assert len(table.read_text(encoding="utf-8").splitlines()) == 1 + len(run["path"]["t_s"])


def test_a_real_rescue_adds_more_to_a_hotter_bowl() -> None:
    """From a warm to a hot bowl the buttons grow, until only a full melt helps."""
    words = ["rescue", "--chocolate", "dark", "--grams", "950", "--json", "--at"]
    grams = [json.loads(out(*words, at))["add_g"] for at in ("35", "37", "39", "50")]
    assert grams[:3] == sorted(set(grams[:3]))
    assert grams[3] is None
