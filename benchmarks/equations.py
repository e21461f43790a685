"""The package's own compiled equations in the call shapes the peers want: same arithmetic, no drift of the oven."""

from __future__ import annotations

import numpy as np

from task import NZ, STATES, Array, Task
from temperbench.foundation.compiled import kernel
from temperbench.kitchen.bowl_layout import C_POWER, POWER
from temperbench.kitchen.bowl_rates import bowl_jacobian, bowl_rates
from temperbench.kitchen.members import Members

__all__ = ["Bound", "jacobian", "jacobian_into", "many_jacobians", "many_rates", "rates", "rates_into"]


@kernel
def rates_into(y: Array, p: Array, curve: Array, u: Array, f: Array) -> None:
    """Write the rates of the state of a bowl."""
    bowl_rates(y, NZ, p, curve, u, u[C_POWER] * p[POWER], f)


@kernel
def jacobian_into(y: Array, p: Array, curve: Array, u: Array, jac: Array) -> None:
    """Write the derivative of the rates."""
    bowl_jacobian(y, NZ, p, curve, u, u[C_POWER] * p[POWER], jac)


@kernel
def rates(y: Array, _t: float, p: Array, curve: Array, u: Array) -> Array:
    """Return the rates in a new array."""
    f = np.empty(STATES)
    bowl_rates(y, NZ, p, curve, u, u[C_POWER] * p[POWER], f)
    return f


@kernel
def jacobian(y: Array, _t: float, p: Array, curve: Array, u: Array) -> Array:
    """Return the derivative of the rates in a new array."""
    jac = np.empty((STATES, STATES))
    bowl_jacobian(y, NZ, p, curve, u, u[C_POWER] * p[POWER], jac)
    return jac


@kernel
def many_rates(calls: int, states: Array, p: Array, curve: Array, us: Array, out: Array) -> None:
    """Rates at every state so many times, for timing; the states move a little so that nothing can be left out."""
    y = np.empty(STATES)
    for c in range(calls):
        for i in range(states.shape[0]):
            y[:] = states[i]
            y[0] += 1e-12 * c
            rates_into(y, p, curve, us[i], out[i % STATES])


@kernel
def many_jacobians(calls: int, states: Array, p: Array, curve: Array, us: Array, out: Array) -> None:
    """As `many_rates`, the Jacobian."""
    y = np.empty(STATES)
    for c in range(calls):
        for i in range(states.shape[0]):
            y[:] = states[i]
            y[0] += 1e-12 * c
            jacobian_into(y, p, curve, us[i], out)


class Bound:
    """One member and one task, as plain functions of time and state that follow the phase in ``u``."""

    def __init__(self, members: Members, task: Task, which: int = 0) -> None:
        self.p, self.curve, self.start = members.rows[which], members.curves[which], members.start[which]
        self.task, self.us = task, task.at(float(members.air_c[which]))
        self.u = self.us[0]

    def f(self, t: float, y: Array) -> Array:
        """Rates, time first."""
        return rates(y, t, self.p, self.curve, self.u)

    def jac(self, t: float, y: Array) -> Array:
        """Jacobian, time first."""
        return jacobian(y, t, self.p, self.curve, self.u)
