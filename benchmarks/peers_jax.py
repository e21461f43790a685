"""diffrax on the task: the same equations written in jax.numpy, 64-bit, compiled for the processor.

One `lax.scan` over the phases, one `diffeqsolve` in each; `vmap` over members. The state is scaled so that one
absolute tolerance means the same as for the others, and time by the length of the phase.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import diffrax
import jax
import jax.numpy as jnp
import numpy as np

from task import NZ, SCALE, Array, Task
from temperbench.kitchen import bowl_layout as at
from temperbench.kitchen.bowl_rates import NO_FLUID
from temperbench.kitchen.members import Members
from temperbench.matter import crystals as cr

__all__ = ["SOLVERS", "Diffrax", "check_equations", "rates"]

jax.config.update("jax_enable_x64", True)

SOLVERS = {name: getattr(diffrax, name) for name in ("Kvaerno3", "Kvaerno4", "Kvaerno5", "Bosh3", "Tsit5")}
MOST_STEPS = 4096

Jax = jax.Array


def _solid_fat(curve: Jax, x: Jax) -> Jax:
    """Piecewise cubic at ``x`` (zones,): constant below the first node, continued above the last."""
    starts = curve[:, 0]
    last = jnp.append(starts[1:], jnp.inf)
    inside = (x[:, None] >= starts) & (x[:, None] < last)
    inside = inside.at[:, 0].set(x < last[0])
    c = jnp.where(inside[:, :, None], curve, 0.0).sum(axis=1)
    t = jnp.maximum(x - c[:, 0], 0.0)
    return c[:, 1] + t * (c[:, 2] + t * (c[:, 3] + t * c[:, 4]))


def _melting(over: Jax, hot: Jax) -> Jax:
    return jnp.minimum(1.0, jnp.maximum(over, 0.0) / cr.EXCESS + jnp.maximum(hot, 0.0) / cr.HOT)


def _ramp(below: Jax) -> Jax:
    return jnp.clip(below / cr.RAMP, 0.0, 1.0)


def _rounded_root(z: Jax, round_off: float) -> Jax:
    z = jnp.maximum(z, 0.0)
    return z / jnp.sqrt(z + round_off)


def _crystals(y: Jax, p: Jax, curve: Jax, gamma: Jax) -> tuple[Jax, Jax]:
    """Rates of the five crystal figures (5, zones), and the latent heating (zones,)."""
    x5, x6, xu, n5, nu, t = y.T
    warm, fatty = t + p[cr.SHIFT], 1.0 - p[cr.MILK_SHARE]
    s5 = fatty * _solid_fat(curve, warm)
    s6 = fatty * _solid_fat(curve, warm - p[cr.SIX_OFFSET])
    su = fatty * _solid_fat(curve, warm + p[cr.U_OFFSET])
    stable = x5 + x6
    total = stable + xu
    th5, thu = jnp.maximum(p[cr.T5] - t, 0.0) / cr.SPAN_5, jnp.maximum(p[cr.TU] - t, 0.0) / cr.SPAN_U
    seeds = stable + p[cr.SEED_FLOOR]
    grow5 = p[cr.GROWTH] * th5**2 * _rounded_root(n5, cr.SITE_ROUND) * jnp.sqrt(jnp.maximum(seeds, 0.0) * cr.PER_CENT)
    grow5 *= jnp.maximum(s5 - total, 0.0)
    growu = p[cr.GROWTH_U] * thu**2 * _rounded_root(nu, cr.SITE_ROUND)
    growu *= jnp.sqrt(jnp.maximum(xu + p[cr.SEED_FLOOR], 0.0) * cr.PER_CENT) * jnp.maximum(su - total, 0.0)
    to5 = p[cr.U_RATE] * jnp.exp(p[cr.U_SLOPE] * (t - 24.0)) * xu * _ramp(p[cr.TU] - t)
    to6 = p[cr.SIX_RATE] * jnp.exp(p[cr.SIX_SLOPE] * (t - 30.0)) * x5 * _ramp(p[cr.T5] - t)
    melt5 = p[cr.MELT] * x5 * _melting(stable - s5, t - p[cr.T5])
    melt6 = p[cr.MELT] * x6 * _melting(stable - s6, t - p[cr.T6])
    meltu = p[cr.MELT] * xu * _melting(total - su, t - p[cr.TU])
    f5, f6, fu = grow5 - melt5 + to5 - to6, to6 - melt6, growu - meltu - to5
    cold = jnp.maximum(p[cr.T5] - cr.NUCLEATE_BELOW - t, 0.0)
    bred = p[cr.BREEDING] * seeds * cr.PER_CENT * th5 + p[cr.NUCLEATION] * cold / cr.NUCLEATE_SPAN
    fn5 = gamma / cr.SHEAR * bred - n5 * (melt5 + melt6) / (stable + cr.GONE)
    fnu = p[cr.NUCLEATION_U] * thu**3 - nu * meltu / (xu + cr.GONE)
    latent = p[cr.FAT] * (p[cr.H_U] * fu + p[cr.H_5] * f5 + p[cr.H_6] * f6) / p[cr.CP]
    return jnp.stack([f5, f6, fu, fn5, fnu]), latent


def rates(y: Jax, p: Jax, curve: Jax, u: Jax) -> Jax:
    """Rates of the 19 states; the same as `temperbench.kitchen.bowl_rates.bowl_rates`."""
    zone, wall = y[:-1].reshape(NZ, cr.PARCEL), y[-1]
    t, solid = zone[:, cr.TEMP], zone[:, :3].sum(axis=1)
    share, kappa = p[at.SHARE : at.SHARE + NZ], p[at.KAPPA : at.KAPPA + NZ]
    watts = u[at.C_POWER] * p[at.POWER]
    pull = kappa * jnp.exp(p[at.LOG_BETA] * jnp.clip(1.0 - solid / p[at.SOLID_REF], 0.0, 1.0))
    q = (1.0 - p[at.WALL_SHARE]) * watts * share * pull / (share * pull).sum()
    passed = p[at.CONDUCT] * jnp.diff(t)
    q = q.at[:-1].add(passed).at[1:].add(-passed)
    film = 1.0 + u[at.C_FILM] * (p[at.STIRRED_FILM] - 1.0)
    to_wall = p[at.INSIDE : at.INSIDE + NZ] * film * (t - wall)
    q -= to_wall + p[at.TOP] * share * (t - u[at.C_AIR])
    made, latent = _crystals(zone, p, curve, u[at.C_SHEAR])
    f = jnp.concatenate([made, (latent + q / (share * p[at.MASS] * p[cr.CP]))[None]]).T
    lost = p[at.WALL_AIR] * (wall - u[at.C_AIR]) + p[at.WALL_BENCH] * (wall - u[at.C_BENCH])
    fw = (p[at.WALL_SHARE] * watts - lost + to_wall.sum()) / p[at.WALL_HEAT]
    k = jnp.clip((p[at.SOFT] - solid) / (p[at.SOFT] - p[at.GONE_AT]), 0.0, 1.0)
    d = k * k * (3.0 - 2.0 * k)
    fluid, heat, mean = (share * d).sum(), (share * d * t).sum(), (share * t).sum()
    runs = fluid >= NO_FLUID
    some = jnp.where(runs, fluid, 1.0)
    contact = u[at.C_CONTACT]
    touch = jnp.where(contact > 1.5, 1.0, jnp.where(contact > 0.5, p[at.REST_CONTACT], 0.0))
    e = touch * p[at.LUMP] / (fluid + p[at.FLUID_FLOOR]) / p[cr.CP]
    lumps = e * ((1.0 - d) * (heat - fluid * t) - d * (heat / some - mean))
    f = f.at[:, cr.TEMP].add(jnp.where(runs, lumps, 0.0))
    pool = (share[:, None] * d[:, None] * zone).sum(axis=0) / some
    f += jnp.where(runs, u[at.C_STROKES] / p[at.STROKES] * d[:, None] * (pool - zone), 0.0)
    return jnp.append(f.ravel(), fw)


def _scaled(_t: float, z: Jax, args: tuple[Jax, Jax, Jax, Jax]) -> Jax:
    p, curve, u, seconds = args
    return seconds * rates(z * SCALE, p, curve, u) / SCALE


@partial(jax.jit, static_argnames=("solver", "batch"))
def _solve(solver: str, batch: int, tol: float, start: Jax, p: Jax, curve: Jax, us: Jax, seconds: Jax, marks: Jax
           ) -> tuple[Jax, Jax, Jax]:  # fmt: skip
    """States at the marks (phases, marks, states), steps, success; ``batch`` members in step, 0: one member."""

    def one(start: Jax, p: Jax, curve: Jax, us: Jax) -> tuple[Jax, Jax, Jax]:
        def phase(z: Jax, x: tuple[Jax, Jax, Jax]) -> tuple[Jax, tuple[Jax, Jax, Jax]]:
            u, long, ts = x
            found = diffrax.diffeqsolve(
                diffrax.ODETerm(_scaled), SOLVERS[solver](), 0.0, 1.0, None, z, args=(p, curve, u, long),
                saveat=diffrax.SaveAt(ts=ts) if ts.shape[0] > 1 else diffrax.SaveAt(t1=True), max_steps=MOST_STEPS,
                stepsize_controller=diffrax.PIDController(rtol=1e-13, atol=tol), throw=False,
            )  # fmt: skip
            good = found.result == diffrax.RESULTS.successful
            return found.ys[-1], (found.ys * SCALE, found.stats["num_steps"], good)

        _, (ys, steps, good) = jax.lax.scan(phase, start / SCALE, (us, seconds, marks))
        return ys, steps.sum(), good.all()

    if batch == 0:
        return one(start, p, curve, us)
    if batch >= start.shape[0]:
        return jax.vmap(one)(start, p, curve, us)
    return jax.lax.map(lambda x: one(*x), (start, p, curve, us), batch_size=None if batch == 1 else batch)


class Diffrax:
    """One of diffrax's solvers: for one member, or with ``batch`` for an ensemble, so many members in step at a time.

    A batch as large as the ensemble is plain `vmap`; a smaller one is `lax.map` over batches.
    """

    def __init__(self, solver: str, members: Members, task: Task, which: int | None = 0, batch: int = 0) -> None:
        self.solver, self.batch = solver, batch
        pick: Callable[[Array], Array] = (lambda a: a) if which is None else (lambda a: a[which])
        us = np.stack([task.at(float(air)) for air in members.air_c])
        self.given = [jnp.asarray(pick(a)) for a in (members.start, members.rows, members.curves, us)]
        width = max(len(m) for m in task.marks)
        self.counts = [len(m) for m in task.marks]
        padded = [np.append(m, np.full(width - len(m), m[-1])) / m[-1] for m in task.marks]
        self.more = [jnp.asarray(task.seconds), jnp.asarray(np.array(padded))]
        self.steps = 0

    def run(self, tol: float) -> Array:
        """Return the states at the outputs (outputs, states). ``tol`` in K, states scaled beside it."""
        ys, steps, good = _solve(self.solver, 0, tol, *self.given, *self.more)
        self.steps = int(steps)
        if not good:
            raise ArithmeticError("diffrax gave up")
        return np.concatenate([np.asarray(y[:k]) for y, k in zip(ys, self.counts, strict=True)])

    def run_many(self, tol: float, threads: int = 1) -> Array:
        """Return the states at the ends of the phases (members, phases, states); ``threads`` parts at a time."""
        m = self.given[0].shape[0]
        cuts = np.linspace(0, m, threads + 1).astype(int)

        def part(i: int) -> tuple[Jax, Jax, Jax]:
            given = [a[cuts[i] : cuts[i + 1]] for a in self.given]
            return jax.block_until_ready(_solve(self.solver, self.batch, tol, *given, *self.more))

        with ThreadPoolExecutor(threads) as pool:
            found = list(pool.map(part, range(threads)))
        self.steps = max(int(np.max(steps)) for _, steps, _ in found)
        good = np.concatenate([np.asarray(g) for _, _, g in found])
        ys = np.concatenate([np.asarray(ys)[:, :, -1] for ys, _, _ in found])
        ys[~good] = np.nan
        return ys


def check_equations(compiled: Callable[..., Array], members: Members, task: Task, draws: int = 200) -> float:
    """Return the worst relative difference between these rates and the compiled ones, at random states."""
    rng = np.random.default_rng(3)
    worst, ours = 0.0, jax.jit(rates)
    for _ in range(draws):
        i = int(rng.integers(len(members)))
        y = members.start[i].copy()
        for o in range(0, NZ * cr.PARCEL, cr.PARCEL):
            y[o : o + 3] = rng.uniform(0.0, (0.8, 0.05, 0.1)) * (rng.random(3) > 0.2)
            y[o + 3 : o + 5] = rng.uniform(0.0, (60.0, 5.0)) * (rng.random(2) > 0.2)
            y[o + cr.TEMP] = rng.uniform(15.0, 50.0)
        u = task.at(float(members.air_c[i]))[int(rng.integers(len(task.seconds)))]
        a = compiled(y, 0.0, members.rows[i], members.curves[i], u)
        b = np.asarray(ours(y, members.rows[i], members.curves[i], u))
        worst = max(worst, float(np.max(np.abs(a - b) / (SCALE + np.abs(a)))))
    return worst
