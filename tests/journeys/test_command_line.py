"""A cook at the command line: plans, rescues, looks figures up, and is told in one sentence what is wrong."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

import fake_engine
from sample_plan import sample_plan
from temperbench import __version__
from temperbench.app.plan_json import plan_json
from temperbench.faces.cli import announce
from temperbench.faces.cli.main import main
from temperbench.faces.cli.plan_text import plan_text

LEAST = ["--chocolate", "dark", "--grams", "1000", "--oven", "1000"]
JOB = """
format = 1
[chocolate]
kind = "milk"
fat = 38
[bowl]
grams = "1,2 kg"
stock = "block"
[oven]
label_w = 900
[kitchen]
room_c = "68 F"
page = "Letter"
"""


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> fake_engine.Calls:
    """Put an instant engine in place."""
    return fake_engine.put_in_place(monkeypatch)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Write a job file."""
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def run(*words: str, typed: str | None = None) -> Result:
    """Run a command line in this process."""
    return CliRunner().invoke(main, [*words], input=typed)


def sentence(result: Result) -> str:
    """Return the one line that a refused command says, and check that it is refused and that there is only one."""
    assert (result.exit_code, result.stdout) == (2, "")
    line, *more = result.stderr.splitlines()
    assert more == []
    return line


def test_three_options_make_a_plan(engine: fake_engine.Calls) -> None:
    """Chocolate, grams and oven are enough; the plan is printed, and nothing else."""
    result = run("plan", *LEAST)
    assert (result.exit_code, result.stdout, result.stderr) == (0, plan_text(sample_plan()), "")
    assert (engine.jobs[0].chocolate, engine.jobs[0].grams, engine.jobs[0].oven_w) == ("dark", 1000.0, 1000.0)
    assert engine.asked == [{"members": 512, "seed": 1}]


def test_options_win_over_the_file(engine: fake_engine.Calls, job: Path) -> None:
    """A job file is read, an option given beside it replaces its line."""
    result = run("plan", str(job), "--grams", "800", "--seed", "7", "--members", "1000", "--inverter")
    assert result.exit_code == 0
    asked = engine.jobs[0]
    assert (asked.chocolate, asked.fat_pct, asked.grams, asked.stock) == ("milk", 38.0, 800.0, "block")
    assert (asked.room_c, asked.page, asked.oven_inverter) == (pytest.approx(20.0), "Letter", True)
    assert engine.asked == [{"members": 1000, "seed": 7}]


def test_a_job_can_come_through_a_pipe(engine: fake_engine.Calls) -> None:
    """A dash reads the job file from standard input."""
    assert run("plan", "-", typed=JOB).exit_code == 0
    assert engine.jobs[0].grams == 1200.0
    assert sentence(run("plan", "-", typed="gibberish")).startswith("standard input: this text is not usable")


@pytest.mark.parametrize(
    ("words", "inverter"), [(["--inverter"], True), (["--no-inverter"], False), ([], None)], ids=str
)
def test_switches_not_given_stay_unknown(engine: fake_engine.Calls, words: list[str], inverter: bool | None) -> None:
    """Yes, no and not known are three answers."""
    assert run("plan", *LEAST, *words).exit_code == 0
    assert (engine.jobs[0].oven_inverter, engine.jobs[0].warm_oven, engine.jobs[0].glossy) == (inverter, False, True)


@pytest.mark.usefixtures("engine")
def test_the_first_wait_on_a_machine_is_explained(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing is compiled yet, stderr says so before the work, names its steps and says when it is over."""
    monkeypatch.setattr("temperbench.faces.cli.announce.is_cold", lambda: True)
    first, *steps, last = run("plan", *LEAST).stderr.splitlines()
    assert first.startswith("Preparing the engine for this machine, once (up to half a minute): ")
    assert steps == ["  Finding the bursts."]
    assert last == "The engine is ready and kept for the next time."


def test_the_parts_done_are_counted_while_waiting(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """While the engine is prepared a log gets a line whenever some more parts are done, and none when nothing moves."""
    counts = iter([0, 3, 9, 9, 20])
    seen = threading.Event()

    def parts() -> tuple[int, int]:
        done = next(counts, 20)
        if done == 20:
            seen.set()
        return done, 34

    monkeypatch.setattr(announce, "is_cold", lambda: True)
    monkeypatch.setattr(announce, "parts", parts)
    monkeypatch.setattr(announce, "_LOOK_AGAIN_S", 0.01)
    with announce.Waiting():
        assert seen.wait(10.0)
    lines = [line.split(" after ")[0] for line in capsys.readouterr().err.splitlines() if "parts" in line]
    assert lines == ["  9 of 34 parts ready", "  20 of 34 parts ready"]


def test_who_waits_long_is_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """With everything compiled nothing is said until patience ends, then one sentence and the steps."""
    monkeypatch.setattr(announce, "is_cold", lambda: False)
    with announce.Waiting(patience_s=60.0) as quick:
        quick.tell("Finding the bursts")
    assert capsys.readouterr().err == ""
    said = threading.Event()
    with announce.Waiting(patience_s=0.0) as slow:
        monkeypatch.setattr(slow, "_count", said.set)
        assert said.wait(10.0)
        slow.tell("Finding the bursts")
    lines = capsys.readouterr().err.splitlines()
    assert lines[0].startswith("Still at work")
    assert lines[1:] == ["  Finding the bursts."]


@pytest.mark.usefixtures("engine")
def test_json_is_the_whole_plan() -> None:
    """--json prints the documented object and nothing else."""
    assert json.loads(run("plan", *LEAST, "--json").stdout) == plan_json(sample_plan())


@pytest.mark.usefixtures("engine")
def test_text_and_json_say_the_same() -> None:
    """One plan asked as text and as JSON has the same temperatures, seconds and risks."""
    text = " ".join(run("plan", *LEAST).stdout.split())
    told = json.loads(run("plan", *LEAST, "--json").stdout)
    shown = [
        f"{step['seconds']} s {step['rest_s']} s {step['stir_s']} s {step['mean_c']} °C" for step in told["bursts"]
    ]
    shown += [f"{told[key]} °C" for key in ("stop_c", "limit_c", "scorch_c")]
    assert [figure for figure in shown if figure not in text] == []


def test_a_rescue_says_how_many(engine: fake_engine.Calls) -> None:
    """A rescue needs chocolate, grams and the reading; the oven does not matter."""
    result = run("rescue", "--chocolate", "dark", "--grams", "950", "--at", "100,4 F")
    assert "  38.0 °C          170 g   60 + 60 + 50 g\n" in result.stdout
    assert "It ends at 34.1 °C with 3.0 % of the fat as crystals." in result.stdout
    assert engine.asked == [{"at_c": pytest.approx(38.0)}]
    hot = run("rescue", "--chocolate", "dark", "--grams", "950", "--at", "41", "--json")
    assert json.loads(hot.stdout)["add_g"] is None


def test_given_bursts_are_run(engine: fake_engine.Calls, tmp_path: Path) -> None:
    """A simulation shows steps, path and risks, and writes path and drawing where asked."""
    table, drawing = tmp_path / "run.csv", tmp_path / "run.svg"
    words = ["simulate", *LEAST, "--bursts", "60/20, 15/5/20 0/60", "--csv", str(table), "--plot", str(drawing)]
    result = run(*words, "--seed", "3")
    assert result.exit_code == 0
    assert engine.asked[0] == {"bursts": ((60, 0, 20), (15, 5, 20), (0, 0, 60)), "members": 512, "seed": 3}
    text = " ".join(result.stdout.split())
    assert "30.6 °C (29.7 to 31.5) 54.6 °C 36.0 %" in text
    assert "of 512 bowls like yours 9.2 % lose their temper and 5.6 % scorch (some part above 55.0 °C)." in text
    assert max(map(len, result.stdout.splitlines())) <= 79
    told = json.loads(run("simulate", *LEAST, "--bursts", "60/20", "--json").stdout)
    assert (told["risk_lost"], told["risk_scorch"], told["stop_c"], told["limit_c"]) == (0.092, 0.056, 34.0, 34.5)
    head, *rows = [line.split(",") for line in table.read_text(encoding="utf-8").splitlines()]
    assert head == list(told["path"])
    written = [float(cell) for row in rows for cell in row]
    assert written == pytest.approx([x for row in zip(*told["path"].values(), strict=True) for x in row], abs=0.0506)
    picture = ElementTree.fromstring(drawing.read_text(encoding="utf-8"))
    assert picture.tag == "{http://www.w3.org/2000/svg}svg"
    assert "min" in "".join(picture.itertext())


def test_a_figure_answers_where_it_comes_from() -> None:
    """One id shows its row whole, a beginning lists rows, JSON holds the same."""
    one = run("sources", "limit.grams")
    assert "assumed: a modelling default" in " ".join(one.stdout.split())
    every = run("sources")
    assert "limit.grams" in every.stdout
    assert max(map(len, [*one.stdout.splitlines(), *every.stdout.splitlines()])) <= 79
    rows = json.loads(run("sources", "limit", "--json").stdout)
    assert [row["id"] for row in rows if row["id"] == "limit.risk"] == ["limit.risk"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["plan", "--chocolat", "dark"], "--chocolat: not an option of temperbench plan; did you mean “--chocolate”?"),
        (["plan", "--grams"], "--grams: option '--grams' requires an argument; see temperbench plan --help."),
        (["plan", "--json=yes"], "--json: option '--json' does not take a value; see temperbench plan --help."),
        (["plan", "a", "b"], "temperbench plan: got unexpected extra argument (b); see temperbench plan --help."),
        (["--colour"], "--colour: not an option of temperbench; see temperbench --help."),
        (
            ["pln"],
            "sources, trouble; did you mean “plan”?",
        ),
        (["plan"], "--chocolate: needed but not given; allowed is dark, milk, white, gianduja, praline"),
        (["plan", "none.toml"], "job file: “none.toml” is not usable; allowed is a readable job file in TOML; no such"),
        (["plan", *LEAST, "--members", "3"], "--members: 3 is not usable; allowed is a whole number from 16 to"),
        (["plan", *LEAST, "--seed", "-1"], "--seed: “-1” is not usable; allowed is a whole number from 0 to"),
        (["plan", *LEAST, "--card", "bowl.txt"], "--card: “bowl.txt” is not usable; allowed is a name ending in .pdf"),
        (["plan", *LEAST, "--card", "none/bowl.pdf"], "make its folder first or choose another."),
        (["plan", *LEAST, "--bloomed"], "--bloomed: stock that has bloomed or been warm is not usable"),
        (["rescue", *LEAST], "--at: needed but not given; allowed is 28 to 60 °C; stir the bowl, measure it"),
        (["simulate", *LEAST], "--bursts: needed but not given; allowed is steps"),
        (["simulate", *LEAST, "--bursts", "60/20/5/1"], "--bursts: “60/20/5/1” is not usable"),
        (["sources", "limit.gram"], "ID: “limit.gram” is not usable"),
    ],
)
@pytest.mark.usefixtures("engine")
def test_what_is_wrong_is_told_in_one_sentence(words: list[str], told: str) -> None:
    """Wrong commands, options, arguments, files and values end in one line on stderr and exit code 2."""
    assert told in sentence(run(*words))


@pytest.mark.usefixtures("engine")
def test_nothing_from_a_terminal_can_steer_it() -> None:
    """Control characters in an answer are shown as question marks, not sent to the terminal."""
    assert "\x1b" not in sentence(run("plan", *LEAST, "--stock", "\x1b[2Jbuttons"))


def test_a_fault_of_the_program_is_owned_up_to(engine: fake_engine.Calls, monkeypatch: pytest.MonkeyPatch) -> None:
    """An unexpected exception is one sentence that asks for a report, with exit code 3; a trace only on request."""

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a\nb")

    monkeypatch.setattr("temperbench.app.plan_bowl.plan_bursts", broken)
    with pytest.raises(ZeroDivisionError):
        CliRunner().invoke(main, ["plan", *LEAST], catch_exceptions=False)
    monkeypatch.delenv("TEMPERBENCH_TRACE")
    result = run("plan", *LEAST)
    assert (result.exit_code, result.stdout, engine.jobs) == (3, "", [])
    assert result.stderr == (
        f"Sorry, temperbench {__version__} met a fault of its own (ZeroDivisionError: a b); "
        "please report this line with the command and the job file.\n"
    )


def test_a_stop_by_hand_is_quiet(engine: fake_engine.Calls, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C says so and leaves with 130."""

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("temperbench.app.plan_bowl.plan_bursts", stopped)
    result = run("plan", *LEAST)
    assert (result.exit_code, result.stderr.strip(), engine.jobs) == (130, "Stopped.", [])


@pytest.mark.parametrize(
    ("redirect", "code", "told"),
    [
        ("| head -n 1", 0, ""),
        (">&-", 0, ""),
        ("> /dev/full", 2, "output: No space left on device; check that it can be written and has room.\n"),
    ],
    ids=str,
)
def test_a_broken_output_is_no_traceback(redirect: str, code: int, told: str) -> None:
    """A reader that stops early, a closed output and a full disk end without a trace."""
    line = (
        f"set -o pipefail; {sys.executable} -c 'from temperbench.faces.cli.main import main; main()' sources {redirect}"
    )
    done = subprocess.run(["bash", "-c", line], check=False, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (code, told)


@pytest.mark.parametrize("words", [[], ["--help"], ["-h"], ["plan", "--help"], ["--version"], ["-V"]], ids=str)
def test_help_and_version_are_no_errors(words: list[str]) -> None:
    """Help, version and no command at all leave with 0."""
    result = run(*words)
    assert (result.exit_code, result.stderr) == (0, "")
    wanted = __version__ if "-V" in words or "--version" in words else "Usage: temperbench"
    assert wanted in result.stdout
