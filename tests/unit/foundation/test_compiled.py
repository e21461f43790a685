"""How many compiled parts there are and how many are ready."""

from __future__ import annotations

from pathlib import Path

import pytest

from temperbench.foundation import compiled


def test_parts_of_other_programs_are_not_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only kernels of the loaded modules count as ready, each once, however many there are in the folder."""
    monkeypatch.setattr(compiled, "_FOLDER", tmp_path)
    monkeypatch.setattr(compiled, "_KNOWN", {"flow.ratio", "flow.stress"})
    assert compiled.parts() == (0, 2)
    for name in ("flow.ratio-31.py311.nbi", "flow.ratio-31.py312.nbi", "slab.other-9.py311.nbi"):
        (tmp_path / name).touch()
    assert compiled.parts() == (1, 2)
