"""Help and version answer at once: no engine and no package for numbers or paper is loaded for them."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

LIMIT_S = 0.3
RUN = "import sys; from temperbench.faces.cli.main import main; main(sys.argv[1:])"
LOADED = """
import sys
from temperbench.faces.cli.main import main
try:
    main(["plan", "--help"])
except SystemExit:
    pass
print(sorted({name.split(".")[0] for name in sys.modules} & {"numpy", "numba", "typst", "segno", "csv"}))
"""


def seconds(*words: str) -> float:
    """Return the time of a fresh process, the best of five, so that a busy machine does not count."""
    best = float("inf")
    for _ in range(5):
        begin = time.perf_counter()
        subprocess.run([sys.executable, "-c", RUN, *words], check=True, capture_output=True, timeout=60)
        best = min(best, time.perf_counter() - begin)
    return best


@pytest.mark.parametrize("words", [["--version"], ["--help"], ["plan", "--help"]], ids=" ".join)
def test_help_is_quick(words: list[str]) -> None:
    """A new process shows version or help in under 0.3 s."""
    assert seconds(*words) < LIMIT_S


def test_help_loads_nothing_heavy() -> None:
    """The packages for numbers and paper are not imported for help."""
    done = subprocess.run([sys.executable, "-c", LOADED], check=True, capture_output=True, text=True, timeout=60)
    assert done.stdout.splitlines()[-1] == "[]"
