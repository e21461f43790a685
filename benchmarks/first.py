"""Before the first answer: import times, installed sizes, and a new process from its start to one bowl's result.

Run by itself with a name it is that new process.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError, files
from pathlib import Path
from typing import Any

from measure import child, say

__all__ = ["first"]

SETS = {
    "temperbench": ("numpy", "numba", "llvmlite"),
    "SciPy": ("numpy", "scipy"),
    "scikit-sundae": ("numpy", "scipy", "scikit-sundae"),
    "diffrax": ("numpy", "jax", "jaxlib", "diffrax", "equinox", "lineax", "optimistix", "jaxtyping", "ml_dtypes",
                "opt_einsum", "scipy", "typing_extensions", "wadler_lindig"),
}  # fmt: skip
IMPORTS = {
    "temperbench": "temperbench.kitchen.bowls", "SciPy": "scipy.integrate", "scikit-sundae": "sksundae.cvode",
    "diffrax": "diffrax",
}  # fmt: skip


def _megabytes(packages: tuple[str, ...]) -> float:
    total = 0
    for package in packages:
        try:
            listed = files(package) or []
        except PackageNotFoundError:
            continue
        places = [Path(str(f.locate())) for f in listed if not f.name.endswith(".pyc")]
        total += sum(p.stat().st_size for p in places if p.is_file())
    return total / 1e6


def _answer_s(name: str, repeats: int, **environment: str) -> float:
    return _best(lambda: child("first.py", name, limit_s=300.0, **environment), repeats)


def _import_s(code: str, repeats: int) -> float:
    return _best(lambda: subprocess.run([sys.executable, "-c", code], check=True, timeout=60.0), repeats)


def _best(work: Callable[[], Any], repeats: int) -> float:
    found = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def first(quick: bool) -> dict[str, Any]:
    """Return seconds and megabytes; each the best of a few new processes, an empty interpreter left in.

    Every answer twice: with nothing compiled yet, and with the compiled code that numba and JAX keep on disk if asked.
    """
    repeats = 1 if quick else 5
    found: dict[str, Any] = {"import_s": {}, "installed_MB": {}, "answer_s": {}}
    found["empty_s"] = _import_s("", repeats)
    for name, module in IMPORTS.items():
        say(f"import: {name}")
        found["import_s"][name] = _import_s(f"import {module}", repeats)
        found["installed_MB"][name] = _megabytes(SETS[name])
    names = ["temperbench", "SciPy odeint (LSODA)", "CVODE by scikit-sundae", "CVODE library, compiled",
             "diffrax Bosh3", "diffrax Kvaerno3"]  # fmt: skip
    for name in [] if quick else names:
        say(f"first answer: {name}")
        with tempfile.TemporaryDirectory() as folder:
            kept = {"NUMBA_CACHE_DIR": folder, "JAX_COMPILATION_CACHE_DIR": folder,
                    "JAX_PERSISTENT_CACHE_MIN_COMPILE_TIME_SECS": "0"}  # fmt: skip
            cold, warm = _answer_s(name, 1, **kept), _answer_s(name, 3, **kept)
        found["answer_s"][name] = {"cold": cold, "kept": warm}
    return found


def _answer(name: str) -> None:
    from task import one_bowl, the_task

    members, task = one_bowl(), the_task().ends_only()
    if name == "temperbench":
        from ours import OneBowl as Solver
    elif name == "SciPy odeint (LSODA)":
        from peers_python import Odeint as Solver
    elif name == "CVODE by scikit-sundae":
        from peers_python import Sundae as Solver
    elif name == "CVODE library, compiled":
        from peers_cvode import Library as Solver
    else:
        from functools import partial

        from peers_jax import Diffrax

        Solver = partial(Diffrax, name.removeprefix("diffrax "))
    Solver(members, task).run(1e-3)


if __name__ == "__main__":
    _answer(sys.argv[1])
