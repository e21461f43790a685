"""One decorator for compiled kernels, and where their machine code is kept between runs.

The cache folder's name holds a digest of every kernel source, so that an edit to one kernel never meets the stale
machine code of another. Kernels take floats and arrays, release the interpreter lock and allocate nothing per step.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

from temperbench import __version__

__all__ = ["cache_folder", "is_cold", "kernel", "parts"]

_F = TypeVar("_F", bound=Callable[..., Any])
_KNOWN: set[str] = set()  # kernels of the modules loaded so far, as "module.function"
_ROOMS = ("foundation", "matter", "kitchen", "insight")


def _digest() -> str:
    seen = hashlib.sha256(numba.__version__.encode())
    for room in _ROOMS:
        for entry in sorted(resources.files("temperbench").joinpath(room).iterdir(), key=lambda e: e.name):
            if entry.name.endswith(".py"):
                text = entry.read_bytes()
                if b"@kernel" in text or b"def kernel" in text:
                    seen.update(text)
    return seen.hexdigest()[:12]


def cache_folder() -> Path:
    """Return the folder for compiled code: the user's cache, or a temporary one where that cannot be written."""
    base = os.environ.get("NUMBA_CACHE_DIR") or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    folder = Path(base) / "temperbench" / f"{__version__}-{_digest()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder
    except OSError:
        pass
    return Path(tempfile.gettempdir()) / f"temperbench-{os.getuid()}" / folder.name


_FOLDER = cache_folder()
_FOLDER.mkdir(parents=True, exist_ok=True)
vars(numba.config)["CACHE_DIR"] = str(_FOLDER)


def is_cold() -> bool:
    """Say whether this machine has no compiled code yet, so that a face can announce the wait."""
    return not any(_FOLDER.rglob("*.nbi"))


def parts() -> tuple[int, int]:
    """Return how many kernels have machine code on this machine, and how many there are in the loaded modules."""
    ready = {entry.name.rsplit("-", 1)[0] for entry in _FOLDER.rglob("*.nbi")}  # as in "flow.krieger-31.py311.nbi"
    return len(ready & _KNOWN), len(_KNOWN)


def kernel(function: _F) -> _F:
    """Compile a numeric function with numba, cached on disk, without the interpreter lock."""
    _KNOWN.add(f"{function.__module__.rsplit('.', 1)[-1]}.{function.__qualname__}")
    compiled = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract", "nsz", "arcp"})(function)
    return cast(_F, compiled)
