"""A cook reads a cooling curve from the command line: calibrate the cup, read the sample, and what goes wrong."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from sample_cups import plain_log
from temperbench.faces.cli.main import main


def call(*words: str, typed: bytes | None = None) -> Result:
    """Run the command."""
    return CliRunner().invoke(main, ["curve", *words], input=typed)


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a sample, water in the same cup, and the sample with a bath."""
    folder = tmp_path_factory.mktemp("logs")
    series = plain_log(0.02, every_s=2.0)
    pairs = list(zip(series.seconds, series.celsius, strict=True))
    (folder / "sample.csv").write_text(
        "Zeit;Probe °C\n" + "\n".join(f"{t:.0f};{c:.2f}".replace(".", ",") for t, c in pairs), encoding="utf-8"
    )
    (folder / "both.csv").write_text(
        "time,choc,bath\n" + "\n".join(f"{t:.0f},{c:.2f},0.2" for t, c in pairs), encoding="utf-8"
    )
    seconds = np.arange(0.0, 1700.0, 2.0)
    fall = 0.2 + 40.0 * np.exp(-np.maximum(seconds - 40.0, 0.0) * 0.0547 / 47.0)
    (folder / "water.csv").write_text(
        "s,c\n" + "\n".join(f"{t:.0f},{c:.2f}" for t, c in zip(seconds, fall, strict=True)), encoding="utf-8"
    )
    return folder


def test_the_cup_is_calibrated_then_the_sample_read(logs: Path) -> None:
    """The conductance of the water run is printed ready for the next command, which takes it."""
    told = call("--water", str(logs / "water.csv"), "--cup-width", "15", "--sample-grams", "12", "--cup-grams", "15")
    assert told.exit_code == 0, told.output
    ends = told.output.split('--conductance "')[1].split('"')[0]
    found = call(str(logs / "sample.csv"), "--chocolate", "dark", "--sample-grams", "12", "--cup-width", "15",
                 "--conductance", ends, "--grams", "1.5 kg")  # fmt: skip
    assert found.exit_code == 0, found.output
    assert "IN TEMPER" in found.output
    assert "a run with water" not in found.output


def test_both_at_once_as_json_with_a_drawing(logs: Path) -> None:
    """--water with the sample uses it at once; JSON and drawing come from the same reading."""
    plot = logs / "curve.svg"
    found = call(str(logs / "both.csv"), "--chocolate", "dark", "--water", str(logs / "water.csv"), "--json",
                 "--plot", str(plot), "--sample-grams", "12", "--cup-width", "15")  # fmt: skip
    assert found.exit_code == 0, found.output
    told = json.loads(found.stdout)
    assert told["verdict"] == "in temper"
    assert f"{told['bend']['celsius']['mid']:.1f} °C" in plot.read_text(encoding="utf-8")
    assert not any("Bath" in text for text in told["defaults_used"])


def test_a_log_on_standard_input(logs: Path) -> None:
    """A dash reads what another program pipes in."""
    found = call("-", "--chocolate", "dark", "--json", typed=(logs / "sample.csv").read_bytes())
    assert found.exit_code == 0, found.output
    assert (
        json.loads(found.stdout)["readings"] == len((logs / "sample.csv").read_text(encoding="utf-8").splitlines()) - 1
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "LOG"),
        (("nowhere.csv", "--chocolate", "dark"), "cannot be read|No such file"),
        (("{sample}",), "--chocolate"),
        (("{sample}", "--chocolate", "dark", "--cup", "wood"), "jacket"),
        (("{sample}", "--chocolate", "dark", "--conductance", "lots"), "W/K"),
        (("{sample}", "--chocolate", "dark", "--conductance", "90"), "0.005 to 5"),
        (("{sample}", "--chocolate", "dark", "--bath", "40"), "-2 to 18 °C"),
        (("{sample}", "--chocolate", "dark", "--column", "rpm"), "Probe °C"),
        (("{sample}", "--chocolate", "dark", "--unit", "K"), "C, F"),
        (("{sample}", "--chocolate", "dark", "--plot", "x.png"), ".svg"),
        (("{sample}", "--chocolate", "dark", "--sample-grams", "500"), "3 to 60 g"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(logs: Path, words: tuple[str, ...], says: str) -> None:
    """Exit code 2, no traceback, and the field with what it allows."""
    found = call(*(word.format(sample=logs / "sample.csv") for word in words))
    assert found.exit_code == 2, found.output
    assert any(part in found.output for part in says.split("|")), found.output
    assert "Traceback" not in found.output
