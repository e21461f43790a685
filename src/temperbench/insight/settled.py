"""Settled particles, remembered: settling takes seconds, and a restarted kitchen would settle the same ones again.

Settling follows from its inputs alone, so what it gave is filed under a digest of them. Recalled or settled anew, the
particles are the same bit for bit. Where things are filed is the business of whoever gives the `Memory`.
"""

from __future__ import annotations

import copy
import hashlib
import io
import pickle
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from typing import Any, Protocol

import numba
import numpy as np

from temperbench.insight.estimation import BowlFilter
from temperbench.insight.setup_job import Known

__all__ = ["Memory", "RememberingFilter", "engine_digest"]

_ROOMS = ("foundation", "data", "matter", "kitchen", "insight")
_MODULES = ("temperbench.", "numpy.")
_PLAIN = ("builtins", "copyreg", "numpy")


class Memory(Protocol):
    """Keeps bytes by name, as long as it likes."""

    def recall(self, name: str) -> bytes | None:
        """Return what was kept under a name, whole, or None."""

    def keep(self, name: str, content: bytes) -> None:
        """Keep something under a name. Never raises."""


def _sources(folder: Any) -> Sequence[Any]:
    return [
        one
        for entry in sorted(folder.iterdir(), key=lambda e: str(e.name))
        for one in (_sources(entry) if entry.is_dir() else [entry])
        if one.name.endswith((".py", ".toml"))
    ]


@lru_cache(maxsize=1)
def engine_digest() -> str:
    """Return a digest of everything an answer of the engine depends on: its sources, its tables, its compilers."""
    seen = hashlib.sha256(f"{numba.__version__} {np.__version__}".encode())
    for room in _ROOMS:
        for entry in _sources(resources.files("temperbench").joinpath(room)):
            seen.update(f"{room}/{entry.name}\0".encode())
            seen.update(entry.read_bytes())
    return seen.hexdigest()


class _Reader(pickle.Unpickler):
    """Reads our own arrays and classes back, and calls nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        """Return a class of ours or of numpy."""
        if module in _PLAIN or module.startswith(_MODULES):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} does not belong into settled particles")


class RememberingFilter(BowlFilter):
    """A filter that looks into a memory before it settles, and files there what it settled."""

    def __init__(
        self, known: Known, particles: int | None = None, seed: int = 1, memory: Memory | None = None
    ) -> None:  # fmt: skip
        """Start from the prior of the job."""
        super().__init__(known, particles, seed)
        self._memory = memory
        self._job = repr(known)

    def settle(self) -> None:
        """Prepare moved particles if few carry the weight, from memory where they are there already."""
        if self._memory is None or not self.particles.due or self._settled is not None:
            super().settle()
            return
        name = self._name()
        self._settled = _read(self._memory.recall(name))
        if self._settled is None:
            super().settle()
            self._memory.keep(name, _written(self._settled))

    def _name(self) -> str:
        """Return a digest of all that settling depends on."""
        seen = hashlib.sha256(f"{engine_digest()} {self.seed} {self._job} {self.steps!r}".encode())
        p = self.particles
        for part in (p.z, p.weights, p.told, self.bowls.y, np.array([p.settled, p.log_evidence])):
            seen.update(np.ascontiguousarray(part).tobytes())
        return seen.hexdigest()


def _written(settled: Any) -> bytes:
    particles, bowls = copy.copy(settled[0]), settled[1]
    del particles.model  # the filter: put in again when the particles are taken into use
    return pickle.dumps((particles, bowls), protocol=pickle.HIGHEST_PROTOCOL)


def _read(content: bytes | None) -> Any:
    if content is None:
        return None
    try:
        return _Reader(io.BytesIO(content)).load()
    except (pickle.UnpicklingError, AttributeError, EOFError, ImportError, IndexError, TypeError, ValueError):
        return None  # of another make: settled anew
