"""CVODE of SUNDIALS on the task without Python inside: its library called from compiled code, compiled callbacks.

The libraries are those in the scikit-sundae wheel. It is what a strong engineer would do when the calls back into
Python cost too much.
"""

from __future__ import annotations

import ctypes
from importlib.metadata import files

import numpy as np
from numba import carray, cfunc, farray, njit, types

from equations import jacobian_into, rates_into
from task import SCALE, STATES, Array, Task
from temperbench.kitchen.bowl_layout import C_AIR, C_BENCH, CONTROLS, PARAMETERS
from temperbench.kitchen.many import over_chunks
from temperbench.kitchen.members import Members

__all__ = ["Library", "library_many"]

NP, NU, CUBIC = len(PARAMETERS), len(CONTROLS), 5
MOST_STEPS = 20000


def _library(name: str) -> ctypes.CDLL:
    """Load one of the SUNDIALS libraries inside the wheel."""
    found = [f for f in files("scikit-sundae") or [] if f.name.startswith(f"libsundials_{name}-")]
    return ctypes.CDLL(str(found[0].locate()), mode=ctypes.RTLD_GLOBAL)


_core, _vector, _matrix, _linear, _cvode = map(
    _library, ("core", "nvecserial", "sunmatrixdense", "sunlinsoldense", "cvode")
)
_P, _I, _D = ctypes.c_void_p, ctypes.c_int, ctypes.c_double


def _function(library: ctypes.CDLL, name: str, result: type, *arguments: type) -> ctypes._CFuncPtr:
    function = library[name]
    function.restype, function.argtypes = result, arguments
    return function


_vector_data = _function(_core, "N_VGetArrayPointer", ctypes.POINTER(_D), _P)
_matrix_data = _function(_matrix, "SUNDenseMatrix_Data", ctypes.POINTER(_D), _P)
_reinit = _function(_cvode, "CVodeReInit", _I, _P, _D, _P)
_stop_at = _function(_cvode, "CVodeSetStopTime", _I, _P, _D)
_solve = _function(_cvode, "CVode", _I, _P, _D, _P, _P, _I)
_create = _function(_cvode, "CVodeCreate", _P, _I, _P)
_init = _function(_cvode, "CVodeInit", _I, _P, _P, _D, _P)
_new_vector = _function(_vector, "N_VNew_Serial", _P, _I, _P)
_new_matrix = _function(_matrix, "SUNDenseMatrix", _P, _I, _I, _P)
_new_linear = _function(_linear, "SUNLinSol_Dense", _P, _P, _P, _P)
_set = {
    name: _function(_cvode, name, _I, _P, *kinds)
    for name, kinds in {
        "CVodeSVtolerances": (_D, _P), "CVodeSetUserData": (_P,), "CVodeSetLinearSolver": (_P, _P),
        "CVodeSetJacFn": (_P,), "CVodeSetMaxNumSteps": (ctypes.c_long,),
    }.items()
}  # fmt: skip
BDF, NORMAL, TSTOP = 2, 1, 1


_POINTER = types.CPointer(types.float64)


@cfunc(types.intc(types.float64, types.voidptr, types.voidptr, _POINTER))
def _rates(_t, y, f, data):  # numba reads the types from the decorator
    row = carray(data, (NP + NU + 1,))
    curve = carray(data, (NP + NU + 1 + CUBIC * 64,))[NP + NU + 1 :].reshape(64, CUBIC)[: int(row[NP + NU])]
    into = carray(_vector_data(f), (STATES,))
    rates_into(carray(_vector_data(y), (STATES,)), row[:NP], curve, row[NP : NP + NU], into)
    return 0


@cfunc(types.intc(types.float64, *(types.voidptr,) * 3, _POINTER, *(types.voidptr,) * 3))
def _jacobian(_t, y, _f, jac, data, _1, _2, _3):
    row = carray(data, (NP + NU + 1,))
    curve = carray(data, (NP + NU + 1 + CUBIC * 64,))[NP + NU + 1 :].reshape(64, CUBIC)[: int(row[NP + NU])]
    into = farray(_matrix_data(jac), (STATES, STATES))
    jacobian_into(carray(_vector_data(y), (STATES,)), row[:NP], curve, row[NP : NP + NU], into)
    return 0


_compiled = njit(nogil=True, error_model="numpy")  # addresses of a library cannot be kept between runs


@_compiled
def _run(mem: int, vector: int, y: Array, us: Array, row: Array, marks: Array, first: Array, out: Array) -> int:
    """All phases of one member; 0 or CVODE's own (negative) flag."""
    told = np.empty(1)
    for k in range(us.shape[0]):
        row[NP : NP + NU] = us[k]
        _reinit(mem, 0.0, vector)
        a, b = int(first[k]), int(first[k + 1])
        _stop_at(mem, marks[b - 1])
        for i in range(a, b):
            flag = _solve(mem, marks[i], vector, told.ctypes.data, NORMAL)
            if flag < 0:
                return flag
            out[i] = y
    return 0


class Library:
    """One CVODE memory, for member after member; a thread has its own."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.members, self.task = members, task
        self.marks = np.concatenate(task.marks)
        self.first = np.cumsum([0, *(len(m) for m in task.marks)]).astype(np.float64)
        self.row = np.zeros(NP + NU + 1 + 64 * CUBIC)
        context = ctypes.c_void_p()
        _function(_core, "SUNContext_Create", _I, _I, _P)(0, ctypes.addressof(context))
        self.context = context
        self.vector, self.scale = _new_vector(STATES, context), _new_vector(STATES, context)
        self.y = self._view(self.vector)
        matrix = _new_matrix(STATES, STATES, context)
        self.mem = _create(BDF, context)
        self.pick(which)
        _init(self.mem, _rates.address, 0.0, self.vector)
        self.tol(1e-3)
        _set["CVodeSetUserData"](self.mem, self.row.ctypes.data)
        _set["CVodeSetLinearSolver"](self.mem, _new_linear(self.vector, matrix, context), matrix)
        _set["CVodeSetJacFn"](self.mem, _jacobian.address)
        _set["CVodeSetMaxNumSteps"](self.mem, MOST_STEPS)

    @staticmethod
    def _view(vector: int) -> Array:
        return np.ctypeslib.as_array(_vector_data(vector), (STATES,))

    def tol(self, tol: float) -> None:
        """Set the absolute tolerance in K; other states scaled beside it."""
        self._view(self.scale)[:] = tol * SCALE
        _set["CVodeSVtolerances"](self.mem, 0.0, self.scale)

    def pick(self, which: int) -> None:
        """Put a member's parameters, controls and starting state in place."""
        curve = self.members.curves[which]
        self.row[:NP], self.row[NP + NU] = self.members.rows[which], len(curve)
        self.row[NP + NU + 1 :][: curve.size] = curve.ravel()
        self.us = self.task.at(float(self.members.air_c[which]))
        self.y[:] = self.members.start[which]

    def run(self, tol: float, which: int = 0) -> Array:
        """Return the states of a member at the outputs."""
        self.tol(tol)
        self.pick(which)
        out = np.empty((len(self.marks), STATES))
        flag = _run(self.mem, self.vector, self.y, self.us, self.row, self.marks, self.first, out)
        if flag < 0:
            raise ArithmeticError(f"CVODE's flag {flag}")
        return out


@_compiled
def _many(mem: int, vector: int, y: Array, start: Array, rows: Array, curves: Array, air: Array, us: Array, row: Array,
          marks: Array, first: Array, out: Array) -> None:  # fmt: skip
    u = us.copy()
    for m in range(start.shape[0]):
        u[:, C_AIR] = air[m]
        u[:, C_BENCH] = air[m]
        row[:NP] = rows[m]
        row[NP + NU] = curves.shape[1]
        for i in range(curves.shape[1]):
            for j in range(CUBIC):
                row[NP + NU + 1 + i * CUBIC + j] = curves[m, i, j]
        y[:] = start[m]
        _run(mem, vector, y, u, row, marks, first, out[m])


def library_many(members: Members, task: Task, tol: float, workers: int | None = None) -> Array:
    """Run an ensemble; return the states at the ends of the phases (m, phases, n)."""
    out = np.full((len(members), len(task.seconds), STATES), np.nan)

    def work(s: slice) -> None:
        one = Library(members, task.ends_only(), s.start)
        one.tol(tol)
        _many(one.mem, one.vector, one.y, members.start[s], members.rows[s], members.curves[s], members.air_c[s],
              task.controls, one.row, one.marks, one.first, out[s])  # fmt: skip

    over_chunks(work, len(members), workers)
    return out
