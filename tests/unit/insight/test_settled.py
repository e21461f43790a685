"""Settled particles are remembered: a run replays to the same view with and without a memory, only sooner."""

from __future__ import annotations

import os
import pickle
import time
from pathlib import Path

import pytest

from temperbench.app.memory import SettledFiles
from temperbench.insight.job import BowlJob
from temperbench.insight.live import Happening, LiveView
from temperbench.insight.live_run import LiveRun
from temperbench.insight.particles import Particles
from temperbench.insight.settled import RememberingFilter, engine_digest

BEGIN = 1_773_480_413_000
HAPPENED = (
    Happening("t1", "burst", BEGIN + 65_000, seconds=60.0),
    Happening("t2", "stir", BEGIN + 100_000, seconds=30.0),
    Happening("t3", "reading", BEGIN + 105_000, celsius=30.1),
    Happening("t4", "lumps", BEGIN + 106_000, level="some"),
    Happening("t5", "burst", BEGIN + 130_000, seconds=12.0),
    Happening("t6", "stir", BEGIN + 160_000, seconds=25.0),
    Happening("t7", "reading", BEGIN + 165_000, celsius=31.9),
    Happening("t8", "undo", BEGIN + 170_000, of="t7"),
)


def replayed(memory: SettledFiles | None) -> LiveView:
    """Return the view of the run after all of it, folded from the start."""
    run = LiveRun("run", BowlJob("dark", 900.0, 900.0), BEGIN, particles=60, memory=memory)
    for one in HAPPENED:
        run.fold(one)
        run.settle()
    return run.view()


def test_replayed_from_memory_the_view_is_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Byte for byte, and the second time nothing is settled."""
    plain = replayed(None)
    memory = SettledFiles(tmp_path / "settled")
    assert plain == replayed(memory)
    assert list((tmp_path / "settled").iterdir()) != []

    def never(particles: object, state: object) -> object:
        raise AssertionError(f"settled anew: {particles} {state}")

    monkeypatch.setattr(Particles, "settle", never)
    assert plain == replayed(memory)


@pytest.mark.parametrize("damage", [b"", b"x" * 100, pickle.dumps(Path("a"))])
def test_what_is_damaged_is_settled_anew(damage: bytes, tmp_path: Path) -> None:
    """A torn file, rubbish, or something that is not ours changes nothing."""
    memory = SettledFiles(tmp_path / "settled")
    plain = replayed(memory)
    for path in (tmp_path / "settled").iterdir():
        path.write_bytes(path.read_bytes()[:32] + damage)
    assert plain == replayed(memory)
    for path in (tmp_path / "settled").iterdir():
        memory.keep(path.name, damage)
    assert plain == replayed(memory)


def test_another_history_has_another_name() -> None:
    """What was settled for one run is never taken for another."""
    names = set()
    for celsius in (30.1, 30.2):
        run = LiveRun("run", BowlJob("dark", 900.0, 900.0), BEGIN, particles=60)
        for one in (*HAPPENED[:2], Happening("t3", "reading", BEGIN + 105_000, celsius=celsius)):
            run.fold(one)
        assert isinstance(run.filter, RememberingFilter)
        names.add(run.filter._name())
    assert len(names) == 2
    assert len(engine_digest()) == 64


def test_the_oldest_files_go_first(tmp_path: Path) -> None:
    """The folder keeps to its size, what was used last stays, and a folder that cannot be written is no fault."""
    memory = SettledFiles(tmp_path / "s", most_bytes=300)
    for name in ("a", "b", "c"):
        memory.keep(name, name.encode() * 68)
        os.utime(tmp_path / "s" / name, (time.time() - 100 + ord(name), time.time() - 100 + ord(name)))
    memory.recall("a")
    memory.keep("d", b"d" * 68)
    assert [memory.recall(name) is not None for name in "abcd"] == [True, False, True, True]
    (tmp_path / "file").write_bytes(b"")
    SettledFiles(tmp_path / "file").keep("a", b"a")
    assert SettledFiles(tmp_path / "file").recall("a") is None
